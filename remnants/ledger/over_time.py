"""Stock over time and what reuse has saved, added up from the ledger's sums. Pure; areas mm², days in UTC."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import accumulate

__all__ = [
    "AGES",
    "Age",
    "AgedSum",
    "CutSum",
    "Flow",
    "Level",
    "Reuse",
    "Step",
    "StoreSum",
    "levels",
    "periods",
    "reuse",
    "step_for",
]


class Step(StrEnum):
    """How long a period is."""

    WEEK = "week"
    MONTH = "month"
    YEAR = "year"


class Flow(StrEnum):
    """Why what is in store changed: `other` is missing and found, corrected, taken back, gone to a customer."""

    RECEIVED = "received"
    CUT = "cut"
    DISCARDED = "discarded"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Age:
    """A class of age: since when a piece is there; `under_days` 0 has no end."""

    word: str
    under_days: int


AGES = (
    Age("under 3 months", 91),
    Age("3 to 6 months", 182),
    Age("6 to 12 months", 365),
    Age("1 to 2 years", 730),
    Age("2 years and over", 0),
)
"""Common practice, no source."""


@dataclass(frozen=True, slots=True)
class StoreSum:
    """How much pieces and area of a style changed in the period that begins on `period`, and why."""

    period: date
    style: str
    flow: Flow
    pieces: int
    area_mm2: float


@dataclass(frozen=True, slots=True)
class CutSum:
    """What cuts took (parts, allowances included) and wasted; `ours` when out of the shop's store, else kept or laid carpet."""

    period: date
    style: str
    ours: bool
    cuts: int
    taken_mm2: float
    waste_mm2: float


@dataclass(frozen=True, slots=True)
class AgedSum:
    """Pieces and area of a style in store now; `age` is a place in AGES."""

    style: str
    age: int
    pieces: int
    area_mm2: float


@dataclass(frozen=True, slots=True)
class Level:
    """What was in store when a period ended, and by how much area each cause changed it within (less is below zero)."""

    period: date
    pieces: int
    area_mm2: float
    received_mm2: float = 0.0
    cut_mm2: float = 0.0
    discarded_mm2: float = 0.0
    other_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Reuse:
    """What reuse saved: `saved_mm2` is the area of the parts that were cut out of pieces already there, allowances included.

    It is new carpet that was not bought, at the least: a roll would have had its own waste beside the parts. The pieces' waste
    is told apart in `waste_mm2` and is no saving. `ours_mm2` is the share out of the shop's own store.
    """

    cuts: int = 0
    saved_mm2: float = 0.0
    ours_mm2: float = 0.0
    waste_mm2: float = 0.0


def reuse(sums: Iterable[CutSum]) -> Reuse:
    """What reuse saved, over all the sums given; see Reuse."""
    every = tuple(sums)
    return Reuse(
        sum(each.cuts for each in every),
        sum(each.taken_mm2 for each in every),
        sum(each.taken_mm2 for each in every if each.ours),
        sum(each.waste_mm2 for each in every),
    )


def step_for(first: date, last: date) -> Step:
    """Periods that make some ten to sixty columns of the time between two days."""
    days = (last - first).days
    return Step.WEEK if days <= 200 else Step.MONTH if days <= 1900 else Step.YEAR


def periods(first: date, last: date, step: Step) -> tuple[date, ...]:
    """The first days of all periods from the one with `first` to the one with `last`; weeks begin on Monday (ISO 8601)."""
    made = [_start(first, step)]
    while (following := _following(made[-1], step)) <= last:
        made.append(following)
    return tuple(made)


def levels(sums: Iterable[StoreSum], over: Sequence[date]) -> tuple[Level, ...]:
    """What was in store at the end of each period: the changes up to then, added up."""
    changes: dict[date, list[StoreSum]] = {period: [] for period in over}
    for each in sums:
        changes[each.period].append(each)
    pieces = accumulate(sum(each.pieces for each in changes[period]) for period in over)
    areas = accumulate(sum(each.area_mm2 for each in changes[period]) for period in over)
    return tuple(
        Level(period, count, max(0.0, round(area, 3)), *_by_flow(changes[period]))
        for period, count, area in zip(over, pieces, areas, strict=True)
    )


def _by_flow(sums: Sequence[StoreSum]) -> tuple[float, ...]:
    """In the order of Flow."""
    return tuple(sum(each.area_mm2 for each in sums if each.flow is flow) for flow in Flow)


def _start(day: date, step: Step) -> date:
    if step is Step.WEEK:
        return day - timedelta(days=day.weekday())
    return day.replace(day=1) if step is Step.MONTH else day.replace(month=1, day=1)


def _following(period: date, step: Step) -> date:
    if step is Step.WEEK:
        return period + timedelta(days=7)
    if step is Step.YEAR or period.month == 12:
        return date(period.year + 1, 1, 1)
    return period.replace(month=period.month + 1)
