"""A room at one pile bearing, and what its many layouts share: looked up once, kept while the layouts are made.

Everything lies in the room's pile frame: the room turned so that its pile lays along +y.
"""

from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

from remnants.estimating.rooms.seams import room_seam, walked_lines
from remnants.geometry import TOLERANCE_MM, Outline, Point
from remnants.geometry.bands import band, on_line, runs_within, slab
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

    def __init__(
        self,
        room: Room,
        pile_deg: float,
        *,
        roll: Roll,
        rules: OrderRules,
        construction: Construction,
        fills_mm: Sequence[float] = (),
    ) -> None:
        self.room = room
        self.pile_deg = pile_deg
        self.roll = roll
        self.rules = rules
        self.fills_mm = tuple(fills_mm)
        self._construction = construction
        self._boxes: dict[Outline, Box] = {}
        self._bands: dict[Point, tuple[Outline, ...]] = {}
        self._side_seams: dict[float, tuple[tuple[RoomSeam, float], ...]] = {}
        self._lengths: dict[tuple[Outline, int], tuple[Outline, ...]] = {}
        self._seams: dict[tuple[Line, SeamKind], tuple[RoomSeam, float]] = {}

    @cached_property
    def floor(self) -> Outline:
        """The room in its pile frame."""
        return turned(self.room.outline, between(self.pile_deg, 0.0))

    @cached_property
    def is_straight(self) -> bool:
        """True if every wall and island runs along the pile or across it."""
        return all(min(abs(b[0] - a[0]), abs(b[1] - a[1])) <= TOLERANCE_MM for a, b, _ in self.walls)

    @property
    def is_rectangle(self) -> bool:
        """True if the floor is a rectangle along the pile, without islands."""
        return self.is_straight and len(self.floor.ring) == 4 and not self.floor.cutouts

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

    def band(self, low: float, high: float) -> tuple[Outline, ...]:
        """The connected parts of the floor between x = `low` and `high`."""
        if (low, high) not in self._bands:
            self._bands[low, high] = band(self.floor, low, high)
        return self._bands[low, high]

    def breadth(self, low: float, high: float) -> tuple[Outline, ...] | None:
        """The floor between x = `low` and `high`; None when a part of it would be a sliver or too wide for the roll."""
        parts = self.band(low, high)
        for part in parts:
            box = self.box_of(part)
            if not self.fits(part.bounds[2] - part.bounds[0], box[2] - box[0]):
                return None
        return parts

    def fits(self, net_mm: float, width_mm: float) -> bool:
        """True if a part so wide, and `width_mm` with its trims, is no sliver and not wider than the roll."""
        least = min(self.rules.least_fill_mm, self.floor.bounds[2] - self.floor.bounds[0])
        return net_mm >= least - TOLERANCE_MM and width_mm <= self.roll.width_mm + TOLERANCE_MM

    def side_seams(self, place: float) -> tuple[tuple[RoomSeam, float], ...]:
        """The seams along the pile at x = `place`, and what each weighs."""
        if place not in self._side_seams:
            _, low, _, high = self.floor.bounds
            runs = runs_within(self.floor, (place, low), (place, high))
            self._side_seams[place] = tuple(self.seam(run, SeamKind.SIDE) for run in runs)
        return self._side_seams[place]

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
                area_mm=(self.floor.bounds[2] - self.floor.bounds[0], self.floor.bounds[3] - self.floor.bounds[1]),
                paths=self.paths,
                construction=self._construction,
                weights=self.rules.weights,
            )
        return self._seams[line, kind]
