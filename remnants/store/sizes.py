"""What is in store by its sizes alone, for lists that look at all of it, plain rectangles by their index. Lengths mm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from remnants.geometry.staircase import largest_step
from remnants.rules import LeastSizes
from remnants.store.catalogue import Catalogue
from remnants.store.in_store import in_store
from remnants.store.least_sizes import holds_least
from remnants.store.rows import ALL_BUT, time_of, time_text

__all__ = ["Looked", "Sized", "first_plain", "odd_in_store", "plain_sums"]

_ALL = 2**62
"""More than there are of anything, where a limit has to be told."""

_LARGEST = "(across_mm * along_mm)"
_PLAIN = f"area_mm2 >= {_LARGEST} * ?"
_FREE = "(hold_until IS NULL OR hold_until < ?)"


class Sized(NamedTuple):
    """A remnant or offcut on hand that nothing holds: its usable area (mm²), the width across and length along the pile of the
    largest rectangle in it, when it came in (the last time).
    """

    tag: str
    style: str
    area_mm2: float
    width_mm: float
    length_mm: float
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


def plain_sums(catalogue: Catalogue, looked: Looked) -> tuple[int, float, float]:
    """Of the plain rectangles that are looked for: how many, their area, and what they are worth (mm²)."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    sql = f"SELECT count(*), sum(area_mm2), sum({worth}) FROM {in_store(catalogue)} AND {where}"
    count, area_mm2, worth_mm2 = catalogue.execute(sql, [*own, *values]).fetchone()
    return int(count), float(area_mm2 or 0), float(worth_mm2 or 0)


def first_plain(catalogue: Catalogue, looked: Looked, most: int | None) -> Iterator[Sized]:
    """The plain rectangles that are looked for, the least worth first, then by tag: up to `most`, or all."""
    worth, own = _worth(looked)
    where, values = _where(looked)
    told = "tag, style, area_mm2, across_mm, along_mm, came"
    sql = f"SELECT {told}, {worth} AS worth FROM {in_store(catalogue)} AND {where} ORDER BY worth, tag LIMIT ?"
    for row in catalogue.each(sql, [*own, *values, _ALL if most is None else most]):
        tag, style, area_mm2, across_mm, along_mm, came, _ = row.values()
        yield Sized(tag, style, area_mm2, across_mm, along_mm, time_of(came))


def odd_in_store(catalogue: Catalogue, day: date) -> Iterator[Sized]:
    """Every piece in store that is no plain rectangle and that no hold binds on `day`, by the rectangles kept of it.

    The largest of a piece with slanted edges is a few percent smaller than the largest that there is.
    """
    sql = f"SELECT tag, style, area_mm2, came, staircase FROM {in_store(catalogue)} AND {_FREE} AND NOT {_PLAIN}"
    for row in catalogue.each(sql, [day.isoformat(), ALL_BUT]):
        tag, style, area_mm2, came, staircase = row.values()
        width_mm, length_mm = largest_step(staircase) if staircase else (0.0, 0.0)
        yield Sized(tag, style, area_mm2, width_mm, length_mm, time_of(came))


def _worth(looked: Looked) -> tuple[str, list[Any]]:
    """`FitRules.value_mm2` of a plain rectangle, as SQL and its values."""
    return f"area_mm2 * {_LARGEST} / ({_LARGEST} + ?)", [looked.half_value_mm2]


def _where(looked: Looked) -> tuple[str, list[Any]]:
    holds, sizes = holds_least(looked.least)
    others = f" AND style NOT IN ({', '.join('?' * len(looked.asked))})" if looked.asked else ""
    grounds = f"(came < ? OR NOT {holds} OR (came < ?{others}))"
    values = [looked.day.isoformat(), ALL_BUT, time_text(looked.old), *sizes]
    return f"{_FREE} AND {_PLAIN} AND {grounds}", [*values, time_text(looked.unasked), *looked.asked]
