"""A room at one pile bearing, and what its many layouts share: looked up once, kept while the layouts are made.

Everything lies in the room's pile frame: the room turned so that its pile lays along +y.
"""

from functools import cached_property
from itertools import pairwise

from remnants.estimating.rooms.seams import room_seam, walked_lines
from remnants.geometry import TOLERANCE_MM, Outline, Point
from remnants.geometry.bands import band, on_line, slab
from remnants.geometry.grow import grown_bounds
from remnants.geometry.turn import between, turned
from remnants.model import Construction, SeamKind
from remnants.model.order_plan import RoomSeam
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Room

__all__ = ["Site"]

Box = tuple[float, float, float, float]
Line = tuple[Point, Point]


class Site:
    """Working state of laying one room at one bearing; lengths mm."""

    def __init__(self, room: Room, pile_deg: float, *, roll: Roll, rules: OrderRules, construction: Construction) -> None:
        self.room = room
        self.pile_deg = pile_deg
        self.roll = roll
        self.rules = rules
        self._construction = construction
        self._boxes: dict[Outline, Box] = {}
        self._bands: dict[Point, tuple[Outline, ...] | None] = {}
        self._lengths: dict[tuple[Outline, int], tuple[Outline, ...]] = {}
        self._seams: dict[tuple[Line, SeamKind], tuple[RoomSeam, float]] = {}

    @cached_property
    def floor(self) -> Outline:
        """The room in its pile frame."""
        return turned(self.room.outline, between(self.pile_deg, 0.0))

    @cached_property
    def outer(self) -> Box:
        """Bounds of the floor with its trims."""
        return grown_bounds(self.floor.ring, self.room.trims_mm)

    @cached_property
    def walls(self) -> tuple[tuple[Point, Point, float], ...]:
        """Every wall edge and island edge with its trim."""
        around = max(self.room.trims_mm)
        ring = self.floor.ring
        sides = list(zip(ring, (*ring[1:], ring[0]), self.room.trims_mm, strict=True))
        for island in self.floor.cutouts:
            sides += [(a, b, around) for a, b in zip(island, (*island[1:], island[0]), strict=True)]
        return tuple(sides)

    @cached_property
    def paths(self) -> tuple[tuple[Point, ...], ...]:
        """Where feet go, in room axes."""
        return walked_lines(self.room)

    @property
    def between_seams_mm(self) -> float:
        """Net width of a breadth with a seam on both sides."""
        return self.roll.width_mm - 2 * self.rules.seam_mm

    def box_of(self, part: Outline) -> Box:
        """What must be cut for a part of the floor: its bounds with the trim of every edge."""
        if part not in self._boxes:
            ring = part.ring
            edges = zip(ring, (*ring[1:], ring[0]), strict=True)
            self._boxes[part] = grown_bounds(ring, [self._trim(a, b) for a, b in edges])
        return self._boxes[part]

    def _trim(self, a: Point, b: Point) -> float:
        middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        return next((trim for start, end, trim in self.walls if on_line(middle, start, end)), self.rules.seam_mm)

    def breadth(self, low: float, high: float) -> tuple[Outline, ...] | None:
        """The floor between x = `low` and `high`; None when a part of it would be a sliver or too wide for the roll."""
        if (low, high) not in self._bands:
            parts = band(self.floor, low, high)
            self._bands[low, high] = parts if all(self._fits(part) for part in parts) else None
        return self._bands[low, high]

    def _fits(self, part: Outline) -> bool:
        box = self.box_of(part)
        least = min(self.rules.least_fill_mm, self.floor.bounds[2] - self.floor.bounds[0])
        wide_enough = part.bounds[2] - part.bounds[0] >= least - TOLERANCE_MM
        return wide_enough and box[2] - box[0] <= self.roll.width_mm + TOLERANCE_MM

    def in_lengths(self, part: Outline, count: int) -> tuple[Outline, ...]:
        """A part with `count` - 1 cross seams, so that all its cuts are equally long; just the part where that makes slivers."""
        if (part, count) not in self._lengths:
            self._lengths[part, count] = self._divided(part, count)
        return self._lengths[part, count]

    def _divided(self, part: Outline, count: int) -> tuple[Outline, ...]:
        box, seam = self.box_of(part), self.rules.seam_mm
        each = (box[3] - box[1] + 2 * seam * (count - 1)) / count
        lines = [box[1] + (index + 1) * each - (2 * index + 1) * seam for index in range(count - 1)]
        edges = [part.bounds[1], *lines, part.bounds[3]]
        if any(high <= low for low, high in pairwise(edges)):
            return (part,)
        pieces = tuple(piece for low, high in pairwise(edges) for piece in slab(part, low, high))
        return (part,) if any(self._is_sliver(piece) for piece in pieces) else pieces

    def _is_sliver(self, piece: Outline) -> bool:
        left, low, right, high = piece.bounds
        return min(right - left, high - low) < self.rules.least_fill_mm - TOLERANCE_MM

    def seam(self, line: Line, kind: SeamKind) -> tuple[RoomSeam, float]:
        """The seam on a line of the pile frame, and what it weighs."""
        if (line, kind) not in self._seams:
            self._seams[line, kind] = room_seam(
                self.room,
                line,
                kind,
                pile_deg=self.pile_deg,
                paths=self.paths,
                construction=self._construction,
                weights=self.rules.weights,
            )
        return self._seams[line, kind]
