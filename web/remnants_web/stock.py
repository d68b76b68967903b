"""Stock over time, by style and by age, and what reuse saved: plots, the same figures in tables, and lines for a spreadsheet."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, Flask, Response, current_app, make_response, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.estimate_job import stock_mark
from remnants.actions.stock_over_time import StockOverTime, StyleShare, area_price, stock_over_time, worth
from remnants.cells import Figure, cells_text
from remnants.days import day_words
from remnants.errors import BadInput, Fault
from remnants.model import Role
from remnants.report.plots import Series, bars_plot, columns_plot, levels_plot
from remnants.units import MM2_PER_FT2, MM2_PER_M2, is_imperial
from remnants_web.access import needs
from remnants_web.figures import on_page
from remnants_web.handed_out import handed_out
from remnants_web.kept import Kept
from remnants_web.problems import STATUS
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue, settings
from remnants_web.tables import PageTable
from remnants_web.words import reader_unit

__all__ = ["area", "keep_figures"]

area = Blueprint("stock", __name__, url_prefix="/stock")

PER_WORDS = (("m2", "m²"), ("ft2", "ft²"), ("yd2", "yd²"))
MOST_BARS = 12
MOST_ROWS = 60
KEPT = 8


@dataclass(frozen=True)
class Shown:
    """One plot, what stands above it, and the same figures as a table."""

    title: str
    drawing: Markup
    table: PageTable


def keep_figures(app: Flask) -> None:
    """Gives the app a place for figures."""
    app.extensions["stock"] = Kept(KEPT)


@area.get("")
@needs(Role.LOOK)
def show() -> BaseResponse:
    """The figures of all styles, or of the one in the address."""
    form = Typed(request.args.to_dict())
    found = _figures(form["style"])
    try:
        price = area_price(form["amount"], form["currency"], form["per"] or "m2")
    except BadInput as error:
        return make_response(_page(form, found, error.faults), STATUS[BadInput])
    saved = str(worth(found.all_saved.saved_mm2, price)) if found and price else ""
    return make_response(_page(form, found, money=saved))


@area.get("/stock.csv")
@needs(Role.LOOK)
def table() -> Response:
    """A line for each period and style, areas in m²."""
    form = Typed(request.args.to_dict())
    found = _figures(form["style"])
    return handed_out(cells_text(_lines(found)), "stock.csv")


def _figures(style: str) -> StockOverTime | None:
    """The figures up to today, worked out once for each state of the stock."""
    kept: Kept[StockOverTime | None] = current_app.extensions["stock"]
    today = settings().now().date()
    key = (style, today, stock_mark(catalogue()))
    return kept.find(key) or kept.keep(key, stock_over_time(catalogue(), today=today, style=style))


def _page(form: Typed, found: StockOverTime | None, faults: Sequence[Fault] = (), money: str = "") -> str:
    every = [share.style for share in found.styles] if found else []
    return render_template(
        "stock.html",
        form=form,
        faults=tuple(faults),
        found=found,
        money=money,
        plots=_plots(found) if found else (),
        styles=[("", "all styles"), *((name, name) for name in sorted(every))],
        pers=PER_WORDS,
    )


def _plots(found: StockOverTime) -> tuple[Shown, ...]:
    levels, *flows = _over_time(found)
    return (levels, *_today(found), *flows)


def _over_time(found: StockOverTime) -> tuple[Shown, ...]:
    per, unit = _shown_in()
    labels = [_label(level.period, found) for level in found.levels]

    def series(name: str, areas: Iterable[float]) -> Series:
        return Series(name, tuple(area_mm2 / per for area_mm2 in areas))

    held = series("All" if found.leading else "In store", (level.area_mm2 for level in found.levels))
    leading = [series(name, (level.area_mm2 for level in own)) for name, own in found.leading]
    flows = [
        series("Came in", (level.received_mm2 for level in found.levels)),
        series("Cut", (-level.cut_mm2 for level in found.levels)),
        series("Discarded", (-level.discarded_mm2 for level in found.levels)),
    ]
    others = series("Other", (level.other_mm2 for level in found.levels))
    saved = series("Saved", (each.saved_mm2 for each in found.saved))
    waste = series("Waste", (each.waste_mm2 for each in found.saved))
    pieces = Series("Pieces", tuple(float(level.pieces) for level in found.levels))
    made = (
        ("In store over time", levels_plot, [held, *leading], [held, pieces, *leading]),
        ("Came in, cut, discarded", columns_plot, flows, [*flows, others]),
        ("Saved by reuse", columns_plot, [saved], [saved, waste]),
    )
    return tuple(
        Shown(title, on_page(plot(title, labels, drawn, unit=unit), 500 + at), _by_period(labels, told, unit))
        for at, (title, plot, drawn, told) in enumerate(made)
    )


def _today(found: StockOverTime) -> tuple[Shown, Shown]:
    """What is in store now, by age and by style."""
    per, unit = _shown_in()
    ages = [(word, area_mm2 / per, f"{_told(area_mm2)}, {pieces} pc") for word, pieces, area_mm2 in found.ages]
    by_age = tuple((word, f"{count:,}", _figure(area_mm2 / per)) for word, count, area_mm2 in found.ages)
    held = [share for share in found.styles if share.area_mm2 > 0][:MOST_BARS]
    styles = [(share.style, share.area_mm2 / per, _told(share.area_mm2)) for share in held]
    by_style = tuple((share.style, f"{share.pieces:,}", *_areas(share, per)) for share in found.styles[:MOST_ROWS])
    heads = ("Style", "Pieces", unit, f"a year and older, {unit}", f"saved by reuse, {unit}")
    age, style = "By age, today", "By style, today"
    return (
        Shown(age, on_page(bars_plot(age, ages, unit=unit), 510), PageTable(("Age", "Pieces", unit), by_age)),
        Shown(style, on_page(bars_plot(style, styles, unit=unit), 511), PageTable(heads, by_style)),
    )


def _areas(share: StyleShare, per: float) -> tuple[str, ...]:
    return tuple(_figure(mm2 / per) for mm2 in (share.area_mm2, share.old_mm2, share.saved.saved_mm2))


def _by_period(labels: Sequence[str], series: Sequence[Series], unit: str) -> PageTable:
    """The newest period first, as far as a page is for; the spreadsheet has all."""
    rows = [
        (label, *(f"{each.values[at]:,.0f}" if each.name == "Pieces" else _figure(each.values[at]) for each in series))
        for at, label in enumerate(labels)
    ]
    heads = (each.name if each.name == "Pieces" else f"{each.name}, {unit}" for each in series)
    return PageTable(("Period", *heads), tuple(reversed(rows[-MOST_ROWS:])))


def _lines(found: StockOverTime | None) -> Iterator[Sequence[str | int]]:
    heads = ("pieces", "in store", "came in", "cut", "discarded", "other", "saved by reuse", "waste")
    yield ["period from", "style", *(head if head == "pieces" else f"{head} m2" for head in heads)]
    for name, own, saved in found.lines if found else ():
        for level, each in zip(own, saved, strict=True):
            flows = (level.received_mm2, level.cut_mm2, level.discarded_mm2, level.other_mm2)
            areas = (level.area_mm2, *flows, each.saved_mm2, each.waste_mm2)
            if level.pieces or any(areas):
                figures = (Figure(f"{mm2 / 1e6 + 0.0:.4f}") for mm2 in areas)
                yield [level.period.isoformat(), name, level.pieces, *figures]


def _shown_in() -> tuple[float, str]:
    return (MM2_PER_FT2, "ft²") if is_imperial(reader_unit()) else (MM2_PER_M2, "m²")


def _told(area_mm2: float) -> str:
    per, unit = _shown_in()
    return f"{_figure(area_mm2 / per)} {unit}"


def _figure(value: float) -> str:
    return f"{round(value, 1) + 0.0:,.1f}"


def _label(period: date, found: StockOverTime) -> str:
    return day_words(period, year="%y") if found.step == "week" else period.strftime({"month": "%b %Y"}.get(found.step, "%Y"))
