"""What is in store by its sizes alone, for lists that look at all of it: no outline of a plain rectangle is read. Lengths mm."""

from collections.abc import Iterator
from datetime import date, datetime
from typing import NamedTuple

from remnants.geometry import Outline
from remnants.store.catalogue import Catalogue
from remnants.store.rows import rings_of, time_of

__all__ = ["Sized", "sizes_in_store"]


class Sized(NamedTuple):
    """A remnant or offcut on hand: its size across and along the pile, its usable area (mm²), when it came in (the last time).

    `held_until` is the last day of its hold, lapsed or not; `outline` that of an odd piece, None for a plain rectangle.
    """

    tag: str
    style: str
    across_mm: float
    along_mm: float
    area_mm2: float
    pile_deg: float
    came: datetime
    held_until: date | None
    outline: Outline | None


def sizes_in_store(catalogue: Catalogue) -> Iterator[Sized]:
    """Every remnant and offcut on hand, held ones too."""
    sql = (
        "SELECT tag, style, across_mm, along_mm, area_mm2, pile_deg, came, hold_until,"
        " CASE WHEN staircase IS NOT NULL THEN rings END AS odd FROM piece"
        " JOIN (SELECT tag, max(at) AS came FROM entry WHERE act = 'received' GROUP BY tag) AS coming USING (tag)"
        " WHERE stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut')"
    )
    for row in catalogue.each(sql):
        tag, style, across_mm, along_mm, area_mm2, pile_deg, came, until, rings = row.values()
        held_until, outline = date.fromisoformat(until) if until else None, rings_of(rings) if rings else None
        yield Sized(tag, style, across_mm, along_mm, area_mm2, pile_deg, time_of(came), held_until, outline)
