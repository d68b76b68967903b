"""What is in store by its sizes alone, for lists that look at all of it, by an index. Lengths mm."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import in_store
from remnants.store.least_sizes import holds_least
from remnants.store.rows import time_of, time_text

__all__ = ["Looked", "Sized", "first_looked", "looked_sums"]

_ALL = 2**62
"""More than there are of anything, where a limit has to be told."""

_SOME = 30_000
"""Pieces that a first look is at."""

_ROUNDING = 1.001
"""What areas were rounded by, many times over."""

_LARGEST = "(largest_short_mm * largest_long_mm)"
_FREE = "(hold_until IS NULL OR hold_until < ?)"


class Sized(NamedTuple):
    """A remnant or offcut on hand that nothing holds: its usable area (mm²), the sides of the largest rectangle known to lie in
    it, the shorter first, when it came in (the last time).

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


def looked_sums(catalogue: Catalogue, looked: Looked) -> tuple[int, float, float]:
    """Of the pieces that are looked for: how many, their area, and what they are worth (mm²)."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    sql = f"SELECT count(*), sum(area_mm2), sum({worth}) FROM {in_store(catalogue)} AND {where}"
    count, area_mm2, worth_mm2 = catalogue.execute(sql, [*own, *values]).fetchone()
    return int(count), float(area_mm2 or 0), float(worth_mm2 or 0)


def first_looked(catalogue: Catalogue, looked: Looked, most: int | None) -> Iterator[Sized]:
    """The pieces that are looked for, the least worth first, then by tag: up to `most`, or all."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    told = "tag, style, area_mm2, largest_short_mm, largest_long_mm, came"
    largest_mm2 = None if most is None else _largest_among_first(catalogue, looked, most)
    if largest_mm2 is not None:
        where, values = f"{_LARGEST} <= ? AND {where}", [largest_mm2, *values]
    sql = f"SELECT {told}, {worth} AS worth FROM {in_store(catalogue)} AND {where} ORDER BY worth, tag LIMIT ?"
    for row in catalogue.each(sql, [*own, *values, _ALL if most is None else most]):
        tag, style, area_mm2, short_mm, long_mm, came, _ = row.values()
        yield Sized(tag, style, area_mm2, short_mm, long_mm, time_of(came))


def _largest_among_first(catalogue: Catalogue, looked: Looked, most: int) -> float | None:
    """What the largest rectangle of none of the `most` least worth pieces exceeds (mm²); None where that isn't known at once.

    None of the least worth of all exceeds what so many of any thousands are worth; and as a piece is no smaller than the
    rectangle in it, it is worth at least R² / (R + half). Most pieces are then passed over by one comparison.
    """
    worth, own = _worth(looked)
    where, values = _where(looked)
    some = f"SELECT {worth} AS worth FROM {in_store(catalogue)} AND {where} LIMIT ?"
    sql = f"SELECT worth FROM ({some}) AS first_rows ORDER BY worth LIMIT 1 OFFSET ?"
    row = catalogue.execute(sql, [*own, *values, _SOME, most - 1]).fetchone()
    if row is None:
        return None
    worth_mm2 = float(row[0])
    return _ROUNDING * (worth_mm2 + math.sqrt(worth_mm2**2 + 4 * worth_mm2 * looked.half_value_mm2)) / 2


def _worth(looked: Looked) -> tuple[str, list[Any]]:
    """`FitRules.value_mm2` as SQL and its values."""
    return f"area_mm2 * {_LARGEST} / ({_LARGEST} + ?)", [looked.half_value_mm2]


def _where(looked: Looked) -> tuple[str, list[Any]]:
    holds, sizes = holds_least(looked.least)
    others = f" AND style NOT IN ({', '.join('?' * len(looked.asked))})" if looked.asked else ""
    grounds = f"(came < ? OR NOT {holds} OR (came < ?{others}))"
    values = [looked.day.isoformat(), time_text(looked.old), *sizes, time_text(looked.unasked), *looked.asked]
    return f"{_FREE} AND {grounds}", values
