"""An order as its page and its papers show it: carpet by carpet, tables, pictures, what is to be said of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from remnants.actions.estimate_job import Estimate
from remnants.model.house_plan import CarpetPlan
from remnants.model.order_plan import OrderPlan
from remnants.report.house_text import house_table
from remnants.report.order_text import Column, OrderParts, Row, choice_line, order_parts
from remnants.report.order_view import order_drawings
from remnants.report.papers import stock_told
from remnants.units import Unit, write_area, write_length
from remnants_web.access import asking
from remnants_web.figures import SCREEN, on_page
from remnants_web.jobs import Picture, key_lines, pictures_of
from remnants_web.questions import Worked
from remnants_web.tables import PageTable, page_tables
from remnants_web.words import reader_unit

__all__ = ["CarpetShown", "HouseShown", "columns_of", "house_shown", "notes_of", "parts_of"]

SIDE_BY_SIDE = ("All from the roll", "Stock first")

OF_A_CARPET = 2000
"""Numbers of pictures that a carpet's have among themselves."""


@dataclass(frozen=True)
class CarpetShown:
    """The order of one carpet: what it is called ("" for the only one), a line, tables by their names, pictures, notes."""

    carpet: str
    headline: str
    said: tuple[str, ...]
    tables: tuple[tuple[str, PageTable], ...]
    pictures: tuple[Picture, ...]
    choices: tuple[tuple[str, tuple[Picture, ...]], ...]
    repairs: tuple[Picture, ...]
    notes: tuple[str, ...]
    passed_over: tuple[str, ...]


@dataclass(frozen=True)
class HouseShown:
    """The order as the page shows it: each carpet, and of several what all come to."""

    carpets: tuple[CarpetShown, ...]
    total: PageTable | None


def house_shown(worked: Worked) -> HouseShown:
    """The whole page's answer."""
    unit = reader_unit()
    pairs = enumerate(zip(worked.plans, worked.estimates, strict=True))
    carpets = tuple(_shown(part, estimate, unit, first=OF_A_CARPET * index) for index, (part, estimate) in pairs)
    total = None if worked.asked.is_one else page_tables((house_table(worked.plans, unit),))[0]
    return HouseShown(carpets, total)


def columns_of(estimate: Estimate) -> list[Column]:
    """The orders side by side, the one to take last."""
    without, first = SIDE_BY_SIDE
    return [(without, estimate.without), (first, estimate.best)] if estimate.uses_stock else [(without, estimate.without)]


def parts_of(estimate: Estimate, unit: Unit) -> OrderParts:
    """Its tables."""
    others = [(f"roll {write_length(way.roll.width_mm, unit)} wide", way.best) for way in estimate.ordered.ways[1:]]
    more, offered = _repair_rows(estimate, unit), _offered(estimate)
    near = estimate.ordered.chosen.near_misses
    passed = estimate.ordered.chosen.best.passed_over
    return order_parts(columns_of(estimate), others, unit=unit, choices=offered, near=near, more=more, passed=passed)


def notes_of(estimate: Estimate, unit: Unit) -> tuple[str, ...]:
    """What is to be said of it before anything else."""
    notes = [*estimate.ordered.notes, *estimate.ordered.refused]
    notes += [note for fitted in estimate.repairs for note in fitted.notes]
    if estimate.repairs_mm2:
        notes.append(
            f"Repairs take {write_area(estimate.repairs_mm2, unit)} of stock, allowances included. "
            "A new roll would be of another dye lot than the carpet that is there."
        )
    if stock := stock_told([estimate.best], unit):
        notes.append(f"A quote prices the roll alone: {stock}, cut from stock, is not in it.")
    return tuple(dict.fromkeys(notes))


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


def _others(estimate: Estimate) -> list[OrderPlan]:
    """The choices beside the one recommended."""
    return [plan for plan in _offered(estimate) if plan != estimate.without]


def _drawn(plan: OrderPlan, unit: Unit, numbers: Iterator[int]) -> tuple[Picture, ...]:
    drawn = order_drawings(plan, unit=unit, paper=SCREEN)
    return tuple(Picture(on_page(each, next(numbers)), each.title, key_lines(each)) for each in drawn)


def _shown(part: CarpetPlan, estimate: Estimate, unit: Unit, *, first: int) -> CarpetShown:
    parts = parts_of(estimate, unit)
    named = (
        ("Stock against order", parts.figures),
        ("Choices, all from the roll", parts.choices),
        ("Roll widths", parts.widths),
        ("Cuts", parts.cuts),
        ("Seams", parts.seams),
        ("Left over", parts.leftovers),
    )
    tables = tuple((name, page_tables((each,))[0]) for name, each in named if each)
    drawn_repairs = (
        pictures_of(fitted, unit, asking().role, first=first + 300 + 50 * index) for index, fitted in enumerate(estimate.repairs)
    )
    choices = tuple(
        (choice_line(plan, estimate.without, unit), _drawn(plan, unit, count(first + 600 + 50 * index)))
        for index, plan in enumerate(_others(estimate))
    )
    return CarpetShown(
        part.carpet,
        parts.headline,
        parts.said,
        tables,
        _drawn(estimate.best, unit, count(first + 200)),
        choices,
        tuple(each for pictures in drawn_repairs for each in pictures),
        notes_of(estimate, unit),
        parts.passed_over,
    )
