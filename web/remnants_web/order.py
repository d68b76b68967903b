"""The estimator's page: rooms and repairs in, stock against roll side by side, pictures, and both to take along."""

from dataclasses import dataclass
from itertools import count

from flask import Blueprint, Response, g, make_response, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.estimate_job import Estimate, held_names
from remnants.actions.make_sheet import fonts
from remnants.actions.quote_order import quote_order
from remnants.actions.told_to import fitted_told
from remnants.errors import BadInput, Fault, NoPlan, NotFound
from remnants.exchange.plans.drawn import LayerSeen
from remnants.model import Role
from remnants.model.order_plan import OrderPlan
from remnants.report.order_sheet import OrderSheet, order_pdf
from remnants.report.order_text import Column, OrderParts, Row, choice_line, order_csv, order_parts
from remnants.report.order_view import order_drawings
from remnants.report.papers import OrderPaper, floors_pdf, quote_pdf, supplier_pdf
from remnants.report.plan_pages import PlanDrawn
from remnants.report.ticket_sheet import TicketSheet, ticket_pdf
from remnants.units import Unit, write_area, write_length
from remnants_web.access import asking, needs
from remnants_web.estimates import worked_out
from remnants_web.figures import SCREEN, on_page
from remnants_web.handed_out import handed_out
from remnants_web.jobs import Picture, key_lines, pictures_of
from remnants_web.prices_form import prices_typed
from remnants_web.problems import STATUS
from remnants_web.questions import ORDER_SECONDS, Worked
from remnants_web.rooms_file import DRAWING_UNITS, layers_sent, sent_rooms
from remnants_web.rooms_form import CORNERS, MOST_ROOMS, PILES, USES, WALLS, rows_of
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue, settings
from remnants_web.tables import PageTable, page_tables
from remnants_web.words import day_words, reader_unit

__all__ = ["area", "ordered_again"]

area = Blueprint("order", __name__, url_prefix="/order")

PER_WORDS = (("m2", "m²"), ("ft2", "ft²"), ("yd2", "yd²"), ("m", "m of roll"), ("ft", "ft of roll"), ("yd", "yd of roll"))
FEWEST_ROWS, MORE_ROWS = 3, 4
SIDE_BY_SIDE = ("All from the roll", "Stock first")


@dataclass(frozen=True)
class OrderShown:
    """The order as the page shows it: a line, tables by their names, pictures, notes."""

    headline: str
    said: tuple[str, ...]
    tables: tuple[tuple[str, PageTable], ...]
    pictures: tuple[Picture, ...]
    choices: tuple[tuple[str, tuple[Picture, ...]], ...]
    repairs: tuple[Picture, ...]
    notes: tuple[str, ...]
    passed_over: tuple[str, ...]


@area.route("", methods=["GET", "POST"])
@needs(Role.LOOK)
def ask() -> BaseResponse:
    """The form; with rooms in it, the answer above. A rooms file is sent, what is typed stands in the address."""
    form = _typed()
    try:
        if "look" in form:
            return make_response(_page(form, layers=layers_sent(request.files.get("file"))))
        form |= sent_rooms(form, request.files.get("file"))
        if "more" in form or not (rows_of(form) or form["held"] or form["steps"] or form["rooms_file"].strip()):
            return make_response(_page(form))
        g.sent = MultiDict(form)  # with the file's content: a page that waits sends it again
        worked = worked_out(form, page=True)
    except (BadInput, NoPlan, NotFound) as error:
        faults = error.told if isinstance(error, BadInput) else (Fault("", str(error)),)
        return make_response(_page(form, faults=faults), STATUS[BadInput])
    return make_response(_page(form, shown=_shown(worked)))


def ordered_again(form: Typed, file: bool) -> str:
    """The form as it was sent when its maker's session was over; `file` says that a file was chosen, which is not kept."""
    return _page(form, faults=(Fault("file", "a page can't keep a file that was chosen: choose it again"),) if file else ())


@area.route("/order.csv", methods=["GET", "POST"])
@needs(Role.LOOK)
def table() -> Response:
    """The order as lines for a spreadsheet."""
    worked = worked_out(_typed())
    return handed_out(order_csv(_columns(worked.estimate), unit=worked.asked.unit), "order.csv")


@area.route("/order.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def paper() -> Response:
    """The order on paper."""
    worked = worked_out(_typed())
    unit = reader_unit()
    day = day_words(settings().now())
    parts, notes = _parts(worked, unit), _notes(worked, unit)
    sheet = OrderSheet(
        worked.asked.floors.name, parts, worked.estimate.best, unit, notes, day, settings().paper_note, _drawn(worked)
    )
    return handed_out(order_pdf(sheet, fonts()), "order.pdf")


@area.route("/ticket.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def cut_ticket() -> Response:
    """The cut ticket, for whoever cuts the roll."""
    worked = worked_out(_typed())
    day = day_words(settings().now())
    sheet = TicketSheet(worked.asked.floors.name, worked.estimate.best, reader_unit(), day, settings().paper_note)
    return handed_out(ticket_pdf(sheet, fonts()), "ticket.pdf")


@area.route("/quote.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def quote() -> Response:
    """The customer's quote, by the shop's prices as they are typed."""
    typed = _typed()
    prices, worked = prices_typed(typed), worked_out(typed)
    quoted = quote_order(worked.estimate.best, worked.asked.floors, prices)
    return handed_out(quote_pdf(_order_paper(worked), quoted, fonts()), "quote.pdf")


@area.route("/supplier.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def supplier() -> Response:
    """The supplier's order."""
    return handed_out(supplier_pdf(_order_paper(worked_out(_typed())), fonts()), "supplier.pdf")


@area.route("/floors.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def floors() -> Response:
    """The installer's drawings."""
    return handed_out(floors_pdf(_order_paper(worked_out(_typed())), fonts()), "floors.pdf")


def _order_paper(worked: Worked) -> OrderPaper:
    asked, day = worked.asked.floors, day_words(settings().now())
    return OrderPaper(asked.name, worked.estimate.best, asked, reader_unit(), day, settings().paper_note)


def _drawn(worked: Worked) -> tuple[PlanDrawn, ...]:
    told = (fitted_told(asking().role, each) for each in worked.estimate.repairs)
    return tuple(PlanDrawn(each.plan, each.job, each.pieces, each.styles) for each in told)


def _typed() -> Typed:
    """What was typed, in the address or sent."""
    return Typed({name: text for name, text in request.values.items() if text.strip() and name != "key"})


def _page(
    form: Typed, *, faults: tuple[Fault, ...] = (), shown: OrderShown | None = None, layers: tuple[LayerSeen, ...] = ()
) -> str:
    more = MORE_ROWS if form.pop("more", "") else 0
    rows = min(MOST_ROOMS, max(FEWEST_ROWS, max(rows_of(form), default=0) + 1 + more))
    return render_template(
        "order.html",
        form=form,
        faults=faults,
        shown=shown,
        layers=layers,
        rows=rows,
        most=MOST_ROOMS,
        seconds=ORDER_SECONDS,
        pers=PER_WORDS,
        uses=USES,
        corners=CORNERS,
        walls=WALLS,
        drawing_units=DRAWING_UNITS,
        piles=PILES,
        held=[("", "none"), *held_names(catalogue())],
    )


def _columns(estimate: Estimate) -> list[Column]:
    without, first = SIDE_BY_SIDE
    return [(without, estimate.without), (first, estimate.best)] if estimate.uses_stock else [(without, estimate.without)]


def _parts(worked: Worked, unit: Unit) -> OrderParts:
    estimate = worked.estimate
    others = [(f"roll {write_length(way.roll.width_mm, unit)} wide", way.best) for way in estimate.ordered.ways[1:]]
    more, offered = _repair_rows(estimate, unit), _offered(estimate)
    return order_parts(
        _columns(estimate), others, unit=unit, choices=offered, near=estimate.ordered.chosen.near_misses, more=more
    )


def _offered(estimate: Estimate) -> tuple[OrderPlan, ...]:
    """The choices, where they are for all that is asked: not where stock makes repairs that the roll would make too."""
    way = estimate.ordered.chosen
    return way.choices if way.without == estimate.without else ()


def _repair_rows(estimate: Estimate, unit: Unit) -> list[Row]:
    """A line each: cut from roll in one column, what stock gives in the other."""
    rows: list[Row] = []
    for fitted in estimate.repairs:
        for answer in fitted.plan.patches:
            tags = ", ".join(dict.fromkeys(part.piece for part in answer.parts))
            seams = sum(seam.length_mm for seam in answer.seams)
            joined = f"; {len(answer.seams)} seam, {write_length(seams, unit)}" if answer.seams else ""
            told = f"{answer.verdict} from {tags}{joined}" if answer.parts else "stock can't; from the roll"
            rows.append((f"repair {answer.name}", ["from the roll", told] if estimate.uses_stock else [told]))
    return rows


def _notes(worked: Worked, unit: Unit) -> tuple[str, ...]:
    estimate = worked.estimate
    notes = [*estimate.ordered.notes, *estimate.ordered.refused]
    notes += [note for fitted in estimate.repairs for note in fitted.notes]
    if estimate.repairs_mm2:
        notes.append(
            f"Repairs take {write_area(estimate.repairs_mm2, unit)} of stock, allowances included. "
            "A new roll would be of another dye lot than the carpet that is there."
        )
    return tuple(dict.fromkeys(notes))


def _others(estimate: Estimate) -> list[OrderPlan]:
    """The choices beside the one recommended."""
    return [plan for plan in _offered(estimate) if plan != estimate.without]


def _choice_drawn(plan: OrderPlan, estimate: Estimate, unit: Unit, *, first: int) -> tuple[str, tuple[Picture, ...]]:
    """What opens another choice, and its pictures."""
    numbers = count(first)
    drawn = order_drawings(plan, unit=unit, paper=SCREEN)
    pictures = tuple(Picture(on_page(each, next(numbers)), each.title, key_lines(each)) for each in drawn)
    return choice_line(plan, estimate.without, unit), pictures


def _shown(worked: Worked) -> OrderShown:
    unit, estimate = reader_unit(), worked.estimate
    parts = _parts(worked, unit)
    named = (
        ("Stock against order", parts.figures),
        ("Choices, all from the roll", parts.choices),
        ("Roll widths", parts.widths),
        ("Cuts", parts.cuts),
        ("Seams", parts.seams),
        ("Left over", parts.leftovers),
    )
    tables = tuple((name, page_tables((each,))[0]) for name, each in named if each)
    drawn = order_drawings(estimate.best, unit=unit, paper=SCREEN)
    numbers = count(200)
    pictures = tuple(Picture(on_page(each, next(numbers)), each.title, key_lines(each)) for each in drawn)
    drawn_repairs = (
        pictures_of(fitted, unit, asking().role, first=300 + 50 * index) for index, fitted in enumerate(estimate.repairs)
    )
    repairs = tuple(each for pictures in drawn_repairs for each in pictures)
    choices = tuple(_choice_drawn(plan, estimate, unit, first=600 + 50 * index) for index, plan in enumerate(_others(estimate)))
    return OrderShown(parts.headline, parts.said, tables, pictures, choices, repairs, _notes(worked, unit), parts.passed_over)
