"""What is in store by its sizes alone, for lists that look at all of it, by an index. Lengths mm."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import IN_STORE_ROWS, in_store
from remnants.store.least_sizes import holds_least
from remnants.store.rows import time_of, time_text

__all__ = ["Looked", "LookedAt", "Sized", "look_at_sizes"]

_ALL = 2**62
"""More than there are of anything, where a limit has to be told."""

_SOME = 30_000
"""Pieces that a first look is at."""

_ROUNDING = 1.001
"""What areas were rounded by, many times over."""

_TOLD = "tag, style, area_mm2, largest_short_mm, largest_long_mm, came"
_LARGEST = "(largest_short_mm * largest_long_mm)"
_FREE = "(hold_until IS NULL OR hold_until < ?)"
_OURS = "tag NOT IN (SELECT theirs.tag FROM piece AS theirs WHERE theirs.customer <> '')"
"""By the index of what customers have, as the index of what is in store doesn't tell them."""


class Sized(NamedTuple):
    """A remnant or offcut on hand that nothing holds and no customer has: its usable area (mm²), the sides of the largest
    rectangle known to lie in it, the shorter first, when it came in (the last time).

    The largest of a piece with slanted edges is a few percent smaller than the largest that there is.
    """

    tag: str
    style: str
    area_mm2: float
    short_mm: float
    long_mm: float
    came: datetime


@dataclass(frozen=True)
class Looked:
    """Which pieces are looked for: what came before `old`; what holds no rectangle of the `least` size of its style; what
    came before `unasked` and is of none of the `asked` styles. What a piece is worth, and which holds bind on `day`.
    """

    old: datetime
    unasked: datetime
    asked: Sequence[str]
    least: LeastSizes
    half_value_mm2: float
    day: date


@dataclass(frozen=True)
class LookedAt:
    """The first of the pieces that are looked for, the least worth first, then by tag; of all of them how many, their area and
    what they are worth (mm²)."""

    first: tuple[Sized, ...]
    count: int
    area_mm2: float
    worth_mm2: float


def look_at_sizes(catalogue: Catalogue, looked: Looked, most: int | None) -> LookedAt:
    """What is looked for: up to `most` of it told, or all. Where it is few the stock is gone through once, else twice."""
    if most is None:
        return LookedAt(tuple(_first(catalogue, looked, _ALL, math.inf)), *_sums(catalogue, looked))
    some = _among_some(catalogue, looked, most)
    if some.count < _SOME:
        return some
    sums = _sums(catalogue, looked)
    return LookedAt(tuple(_first(catalogue, looked, most, _largest_mm2(some, looked, most))), *sums)


def _among_some(catalogue: Catalogue, looked: Looked, most: int) -> LookedAt:
    """The same of the first thousands that are found, which may be all there are."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    some = f"SELECT {_TOLD}, {worth} AS worth FROM {in_store(catalogue)} AND {where} AND {_OURS} LIMIT ?"
    sums = "count(*) OVER () AS pieces, sum(area_mm2) OVER () AS all_mm2, sum(worth) OVER () AS worths"
    sql = f"SELECT first_rows.*, {sums} FROM ({some}) AS first_rows ORDER BY worth, tag LIMIT ?"
    rows = list(catalogue.query(sql, [*own, *values, _SOME, most]))
    if not rows:
        return LookedAt((), 0, 0.0, 0.0)
    return LookedAt(tuple(map(_sized, rows)), rows[0]["pieces"], rows[0]["all_mm2"], rows[0]["worths"])


def _largest_mm2(some: LookedAt, looked: Looked, most: int) -> float:
    """What the largest rectangle of none of the `most` least worth pieces exceeds (mm²), as far as those among `some` tell.

    None of the least worth of all exceeds what so many of any thousands are worth; and as a piece is no smaller than the
    rectangle in it, it is worth at least R² / (R + half). Most pieces are then passed over by one comparison.
    """
    if len(some.first) < most:
        return math.inf
    last, half_mm2 = some.first[-1], looked.half_value_mm2
    largest_mm2 = last.short_mm * last.long_mm
    worth_mm2 = last.area_mm2 * largest_mm2 / (largest_mm2 + half_mm2)
    return _ROUNDING * (worth_mm2 + math.sqrt(worth_mm2**2 + 4 * worth_mm2 * half_mm2)) / 2


def _sums(catalogue: Catalogue, looked: Looked) -> tuple[int, float, float]:
    """Of all in store without what customers have of it, which are few: to ask each piece in store took as long once more."""
    theirs = f"{catalogue.by_index('piece', 'piece_by_customer')} WHERE customer <> '' AND {IN_STORE_ROWS}"
    (count, area_mm2, worth_mm2), less = _sums_of(catalogue, looked, in_store(catalogue)), _sums_of(catalogue, looked, theirs)
    return count - less[0], area_mm2 - less[1], worth_mm2 - less[2]


def _sums_of(catalogue: Catalogue, looked: Looked, among: str) -> tuple[int, float, float]:
    worth, own = _worth(looked)
    where, values = _where(looked)
    sql = f"SELECT count(*), sum(area_mm2), sum({worth}) FROM {among} AND {where}"
    count, area_mm2, worth_mm2 = catalogue.execute(sql, [*own, *values]).fetchone()
    return int(count), float(area_mm2 or 0), float(worth_mm2 or 0)


def _first(catalogue: Catalogue, looked: Looked, most: int, largest_mm2: float) -> Iterator[Sized]:
    """Up to `most`, the least worth first, then by tag, of those whose largest rectangle is no larger than that."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    if largest_mm2 < math.inf:
        where, values = f"{_LARGEST} <= ? AND {where}", [largest_mm2, *values]
    sql = f"SELECT {_TOLD}, {worth} AS worth FROM {in_store(catalogue)} AND {where} AND {_OURS} ORDER BY worth, tag LIMIT ?"
    return map(_sized, catalogue.each(sql, [*own, *values, most]))


def _sized(row: dict[str, Any]) -> Sized:
    sides = row["largest_short_mm"], row["largest_long_mm"]
    return Sized(row["tag"], row["style"], row["area_mm2"], *sides, time_of(row["came"]))


def _worth(looked: Looked) -> tuple[str, list[Any]]:
    """`FitRules.value_mm2` as SQL and its values."""
    return f"area_mm2 * {_LARGEST} / ({_LARGEST} + ?)", [looked.half_value_mm2]


def _where(looked: Looked) -> tuple[str, list[Any]]:
    holds, sizes = holds_least(looked.least)
    others = f" AND style NOT IN ({', '.join('?' * len(looked.asked))})" if looked.asked else ""
    grounds = f"(came < ? OR NOT {holds} OR (came < ?{others}))"
    values = [looked.day.isoformat(), time_text(looked.old), *sizes, time_text(looked.unasked), *looked.asked]
    return f"{_FREE} AND {grounds}", values
