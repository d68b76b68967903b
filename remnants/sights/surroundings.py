"""What lies round a seam: doorways, the lanes that people walk, what furniture covers, and where light comes from."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.geometry.inside import plainer, plainer_path
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring, bounds
from remnants.geometry.segments import Line, bearing_deg, edges_of, gap_mm, part_of, shares_outside
from remnants.geometry.turn import between, turned_point, turned_ring
from remnants.model import RepairRoom

__all__ = ["ACROSS_DEG", "Surroundings", "View", "crosses"]

ACROSS_DEG = 45.0
"""A line that lies further than this from along another runs across it."""

MOST_CORNERS = 80
"""Corners of furniture on one patch, in all, as far as the search looks at them."""
MOST_POINTS = 120
"""Points of lanes on one patch, in all."""


def crosses(along_deg: float, bearing_deg: float) -> bool:
    """True if a bearing runs more across than along a line."""
    apart = between(along_deg, bearing_deg) % 180.0
    return ACROSS_DEG < apart < 180.0 - ACROSS_DEG


@dataclass(frozen=True, slots=True)
class View:
    """What of a straight seam is seen: how much of it (mm), which doorway it touches ("" for none), whether it crosses a lane."""

    shown_mm: float
    length_mm: float
    doorway: str = ""
    across_lane: bool = False

    @property
    def is_hidden(self) -> bool:
        """True if furniture covers all of it."""
        return self.shown_mm <= TOLERANCE_MM < self.length_mm

    @property
    def hidden_mm(self) -> float:
        """How much of it furniture covers."""
        return self.length_mm - self.shown_mm


@dataclass(frozen=True)
class Surroundings:
    """What is known round a patch, in the axes that its seams are told in (mm).

    `doorways` are the stretches of wall that are open, each with what it is called. Under `hidden` nothing is seen but its edge.
    """

    doorways: tuple[tuple[Line, str], ...] = ()
    lanes: tuple[tuple[Point, ...], ...] = ()
    hidden: tuple[Ring, ...] = ()
    light_deg: float | None = None

    @classmethod
    def of(cls, room: RepairRoom, patch: Ring) -> "Surroundings":
        """Those of a room near a patch, in its axes; a door that stays shut is a wall.

        Furniture of very many corners is drawn in to fewer, and lanes are made plainer, within what nobody measures.
        """
        walked = (door for door in room.doorways if not door.shut)
        doorways = tuple((room.line_of(door), f"the doorway to {door.to}" if door.to else "a doorway") for door in walked)
        near = [ring for ring in room.hidden if _meet(bounds(ring), bounds(patch))]
        steps = [lane for lane in room.lanes if _meet(bounds(lane), bounds(patch))]
        lanes = tuple(plainer_path(lane, MOST_POINTS // max(1, len(steps))) for lane in steps)
        return cls(doorways, lanes, plainer(near, MOST_CORNERS), room.light_deg)

    def turned(self, degrees: float) -> "Surroundings":
        """The same in axes turned by so many degrees; bearings of light stay those of the room."""
        doorways = tuple(((turned_point(line[0], degrees), turned_point(line[1], degrees)), name) for line, name in self.doorways)
        lanes = tuple(turned_ring(lane, degrees) for lane in self.lanes)
        return Surroundings(doorways, lanes, tuple(turned_ring(ring, degrees) for ring in self.hidden), self.light_deg)

    @cached_property
    def steps(self) -> tuple[Line, ...]:
        """The straight parts of the lanes."""
        steps = (step for lane in self.lanes for step in edges_of(lane, closed=False))
        return tuple(step for step in steps if math.dist(*step) > TOLERANCE_MM)

    @property
    def is_plain(self) -> bool:
        """True if it is all one where a seam lies."""
        return not (self.doorways or self.steps or self.hidden)

    def view_of(self, line: Line) -> View:
        """What is seen of a seam along a line, and what it meets where it is seen."""
        length_mm = math.dist(*line)
        if self.is_plain:
            return View(length_mm, length_mm)
        shown = [part_of(line, low, high) for low, high in shares_outside(line, self.hidden)]
        doorway = next((name for door, name in self.doorways for part in shown if gap_mm(part, door) <= TOLERANCE_MM), "")
        own = bearing_deg(line)
        across = [step for step in self.steps if crosses(own, bearing_deg(step))]
        meets = any(gap_mm(part, step) <= TOLERANCE_MM for part in shown for step in across)
        return View(math.fsum(math.dist(*part) for part in shown), length_mm, doorway, meets)


def _meet(one: Sequence[float], two: Sequence[float]) -> bool:
    """True if two boxes (mm) meet, a hair apart counting as meeting."""
    apart = max(one[0] - two[2], two[0] - one[2], one[1] - two[3], two[1] - one[3])
    return apart <= TOLERANCE_MM
