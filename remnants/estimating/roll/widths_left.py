"""Which widths the cuts of other floors leave on the roll beside them: a fill that is just as wide costs no roll."""

from collections.abc import Iterator

from remnants.estimating.roll.bearings import bearings_of
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.grow import grown_bounds
from remnants.geometry.turn import between, turned_ring
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors

__all__ = ["widths_left"]

MOST_LEFT = 12
"""Widths kept, the widest."""

MOST_FLOORS = 12
"""Of more floors there is always one to lie beside another: their usual seams leave widths enough."""


def widths_left(floors: Floors, roll: Roll, rules: OrderRules) -> tuple[float, ...]:
    """Widths (mm, with trims) beside a floor no wider than the roll, or beside what full breadths leave of a wider one."""
    if len(floors.rooms) + len(floors.stairs) > MOST_FLOORS:
        return ()
    needed = [width for width in _needed(floors, roll, rules) if width < roll.width_mm]
    found = sorted((roll.width_mm - width for width in needed), reverse=True)
    least = rules.least_fill_mm + rules.seam_mm
    kept = [width for place, width in enumerate(found) if width >= least and _is_new(width, found[:place])]
    return tuple(kept[:MOST_LEFT])


def _is_new(width: float, before: list[float]) -> bool:
    return all(abs(width - other) > TOLERANCE_MM for other in before)


def _needed(floors: Floors, roll: Roll, rules: OrderRules) -> Iterator[float]:
    between_seams = roll.width_mm - 2 * rules.seam_mm
    for group in floors.groups:
        for bearing in bearings_of(group):
            for room in group:
                left, _, right, _ = grown_bounds(turned_ring(room.outline.ring, between(bearing, 0.0)), room.trims_mm)
                over = right - left
                while over > roll.width_mm and between_seams > 0:
                    over -= between_seams
                yield over
    for flight in floors.stairs:
        yield from (width for width in (flight.cut_width_mm, *(width for width, _ in flight.winders)) if width > 0)
