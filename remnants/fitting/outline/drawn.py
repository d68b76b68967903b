"""Every outline that the stops of four sides make round some damage, each with a look that no plan of it beats."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

from remnants.fitting.outline.events import Box, Event, sides_of
from remnants.fitting.outline.place import Place
from remnants.fitting.outline.shaping import Edges, edges_in_room, is_on, kinds_of, plainer, ring_round
from remnants.fitting.outline.telling import stops_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.look import carpet_of, grounds_between, grounds_round, least_trouble, merit_from
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.shape import Shape
from remnants.fitting.rules import FitRules
from remnants.geometry.ground import has_arm, leaves_sliver
from remnants.geometry.outline import TOLERANCE_MM, Ring, area_mm2
from remnants.geometry.segments import Line, edges_of
from remnants.geometry.turn import turned_ring, whole_turn
from remnants.model.finish import Finish
from remnants.model.merit import Merit
from remnants.model.patch import LEAST_PART_MM, Job, Patch
from remnants.model.proposal import Outlined, StopKind
from remnants.sights import Surroundings, View, points_in

__all__ = ["Board", "Drawn", "Shaped", "drawn_of", "shaped_round"]

MOST_SIZES = 3
"""Sizes of the stock that a side may stop at."""


@dataclass(frozen=True, eq=False)
class Board:
    """What every outline of one patch's damage has in common: job, place, donors, and the looks of lines known so far."""

    job: Job
    patch: Patch
    place: Place
    donors: Field
    rules: FitRules
    surroundings: Surroundings
    views: dict[Line, View] = field(default_factory=dict)
    edges: dict[Line, tuple[tuple[Line, Finish], ...]] = field(default_factory=dict)
    looks: dict[tuple[Line, tuple[object, ...]], int] = field(default_factory=dict)

    @cached_property
    def sorts(self) -> tuple[Donor, ...]:
        """A donor of each look."""
        return self.donors.looks[1] if self.donors.donors else ()

    @cached_property
    def largest_mm2(self) -> float:
        """The area of the largest donor."""
        return float(max(self.donors.areas, default=0.0))

    @cached_property
    def sizes(self) -> tuple[tuple[float, float], ...]:
        """Extents (across, along; mm) of what the largest pieces can fill between seams."""
        if not self.donors.donors:
            return ()
        sizes = self.donors.sizes - 2 * self.job.allowance.of(Finish.SEAM)
        largest = sorted({(float(across), float(along)) for across, along in sizes.round(2)}, key=lambda size: -size[0] * size[1])
        return tuple(size for size in largest[:MOST_SIZES] if min(size) > 0)

    def edges_of(self, ring: Ring) -> Edges:
        """The corners of an outline (pile frame), each with the finish of the edge that starts there."""
        return edges_in_room(self.place, ring, self.edges)

    def ask_of(self, edges: Edges) -> Ask:
        """The question that an outline (pile frame) asks; what walls and doorways differ in is left to its plan."""
        told = plainer(edges, self.job.allowance)
        ring, finishes = tuple(corner for corner, _ in told), tuple(finish for _, finish in told)
        patch = replace(self.patch, ring=turned_ring(ring, whole_turn(self.patch.pile_deg)), edges=finishes)
        shape = Shape(ring, finishes, self.job.allowance)
        motif = self.place.motif
        least_mm = max(self.job.min_part_mm, LEAST_PART_MM)
        return Ask(patch, shape, motif, least_mm, self.rules, surroundings=self.surroundings, views=self.views)

    def bound_of(self, ask: Ask, *, inner: int = 0) -> Merit:
        """A look that no plan of an outline with so many seams inside beats: the best that any one kind of carpet makes of it."""
        runs = list(zip(ask.runs, ask.round_mm, strict=True))
        bounds = []
        for donor in self.sorts:
            carpet = carpet_of(donor)
            key = carpet.construction, carpet.patterned, carpet.lay_deg
            seams = []
            for run, shown_mm in runs:
                points = 0
                for stretch in run.stretches:
                    known = self.looks.get((stretch.line, key))
                    if known is None:
                        known = self.looks[stretch.line, key] = points_in(grounds_round(ask, stretch, carpet))
                    points = max(points, known)
                seams.append((points, shown_mm))
            seams += [(self.inner_points(ask, donor), 0.0)] * inner
            bounds.append(replace(merit_from((donor.candidate.match.shade,), seams), trouble=least_trouble((donor,))))
        return min(bounds, key=lambda look: look.key, default=Merit())

    def inner_points(self, ask: Ask, donor: Donor) -> int:
        """The least points of a seam inside an outline: none where furniture may cover it."""
        if self.surroundings.hidden:
            return 0
        seen = View(1.0, 1.0)
        return min(points_in(grounds_between(ask, axis, donor, donor, seen)) for axis in AXES)


@dataclass(frozen=True, eq=False)
class Shaped:
    """What of a box lies in the room (pile frame), with the stops of its four sides."""

    ring: Ring
    stops: tuple[Event, ...]
    area_mm2: float
    is_plain: bool
    """True if each side stops at the first or the last place that it can."""

    least_mm: float
    """The narrowest that an arm of it may be."""

    def is_sound(self, place: Place) -> bool:
        """True if it has no arm, and leaves no strip of old carpet, narrower than a part may be; its seams lie on rows."""
        if not place.room:
            return True
        return (
            not has_arm(self.ring, self.least_mm)
            and _on_rows(place, self.ring)
            and not leaves_sliver(place.room, (self.ring,), place.least_mm)
        )


@dataclass(frozen=True, eq=False)
class Drawn:
    """An outline (pile frame) that isn't fitted yet: `bound` is a look that no plan of it in one part beats."""

    board: Board
    damage: tuple[Ring, ...]
    shaped: Shaped
    ask: Ask
    bound: Merit

    @property
    def key(self) -> tuple[object, ...]:
        """Sorts outlines, those first that may look best."""
        return self.bound.key, round(self.area_mm2), self.shaped.ring

    @property
    def area_mm2(self) -> float:
        """How much carpet it takes, without allowance."""
        return self.shaped.area_mm2

    @cached_property
    def edges(self) -> Edges:
        """Its corners with the finish of each edge."""
        return self.board.edges_of(self.shaped.ring)

    @cached_property
    def kinds(self) -> tuple[StopKind, ...]:
        """What each of its four sides ends at."""
        return kinds_of(self.board.place, self.edges, self.shaped.stops)

    @cached_property
    def joined_bound(self) -> Merit:
        """A look that no plan of it in several parts beats."""
        return self.board.bound_of(self.ask, inner=1)

    @cached_property
    def outlined(self) -> Outlined:
        """It as it is told, in the axes of the patch."""
        patch, place = self.board.patch, self.board.place
        told = stops_of(place, self.damage, self.shaped.ring, kinds=self.kinds, unit=self.board.job.unit)
        ring = turned_ring([corner for corner, _ in self.edges], whole_turn(patch.pile_deg))
        finishes = tuple(finish for _, finish in self.edges)
        first = min(range(len(ring)), key=lambda corner: (ring[corner][1], ring[corner][0]))  # the lowest, then leftmost
        return Outlined(patch.name, ring[first:] + ring[:first], finishes[first:] + finishes[:first], told, patch.name)

    @cached_property
    def is_sound(self) -> bool:
        """True if it leaves no strip of old carpet narrower than a part may be."""
        return self.shaped.is_sound(self.board.place)


def shaped_round(board: Board, damage: tuple[Ring, ...]) -> list[Shaped]:
    """Every outline that the sides' stops make round some of the damage (pile frame), the least first."""
    sides = sides_of(board.place, damage, board.sizes)
    ends = tuple({events[0], events[-1]} for events in sides)
    found: dict[Ring, Shaped] = {}
    least_mm = min(board.place.least_mm, *(abs(sides[axis + 2][0].at - sides[axis][0].at) for axis in (0, 1)))
    for stops in product(*sides):
        ring = ring_round(board.place, _box(stops), damage)
        if ring is not None and ring not in found:
            plain = all(stop in own for stop, own in zip(stops, ends, strict=True))
            found[ring] = Shaped(ring, stops, area_mm2(ring), plain, least_mm)
    return sorted(found.values(), key=lambda each: (round(each.area_mm2), each.ring))


def _on_rows(place: Place, ring: Ring) -> bool:
    """True if each seam along the pile lies between two rows, as far as rows are known."""
    if not place.has_rows:
        return True
    along = (line for line in edges_of(ring, closed=True) if abs(line[0][0] - line[1][0]) <= TOLERANCE_MM)
    off = (line for line in along if abs(place.rows[0].nearest(line[0][0]) - line[0][0]) > TOLERANCE_MM)
    return all(any(is_on(line, wall) for wall, _ in place.walls) for line in off)


def drawn_of(board: Board, damage: tuple[Ring, ...], shaped: Shaped) -> Drawn:
    """One of them with the question that it asks and its bound."""
    ask = board.ask_of(board.edges_of(shaped.ring))
    return Drawn(board, damage, shaped, ask, board.bound_of(ask))


def _box(stops: Sequence[Event]) -> Box:
    return stops[0].at, stops[1].at, stops[2].at, stops[3].at
