"""What every step of fitting one patch needs to know, and the one question it asks: can this shape be cut from that donor?"""

from collections.abc import Collection
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple
from weakref import WeakKeyDictionary

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.same_donor import MOST_TRIES, Effort
from remnants.fitting.patch.shape import Axis, Shape, Split
from remnants.fitting.rules import FitRules
from remnants.geometry.lattice import Lattice, Rows
from remnants.geometry.lie import fits, region
from remnants.geometry.outline import TOLERANCE_MM, Point, bounds
from remnants.geometry.room import room_for
from remnants.geometry.segments import Line, edges_of
from remnants.geometry.tolerances import CLOSE_MM, NUDGE_MM
from remnants.model.patch import Finish, Patch
from remnants.model.style import Repeat
from remnants.packing import Watch
from remnants.sights import Run, Surroundings, View, runs_round

__all__ = ["AXES", "OUT_OF_TIME", "Ask", "OutOfTime", "Reach", "Side"]

Side = bool
"""True for the low half of a split, False for the high half."""


OUT_OF_TIME = "all that was left when the time given was up"
"""What a search that was ended leaves undecided."""


class Reach(NamedTuple):
    """How far a donor fills a split, as far as it was looked at: it `fits` there (mm; None: nowhere), and `fails` to there.

    `fails` is None where it fits all the way, or nowhere. `looks`: how often it was looked at more closely.
    """

    fits: float | None
    fails: float | None = None
    looks: int = 0

    @property
    def found(self) -> bool:
        """True if it is known as closely as it is wanted."""
        return self.fits is None or self.fails is None or abs(self.fails - self.fits) <= CLOSE_MM


NOWHERE = Reach(None)


class OutOfTime(Exception):
    """The time given was up, or somebody asked to stop; it ends the search for one patch and goes no further."""


@dataclass(frozen=True, eq=False)
class Ask:
    """One patch in its pile frame, the motif it must meet there (None if any phase will do), and the rules.

    `known` remembers each donor's thresholds as long as the donor lives: they are asked again for every shade and for every way
    to share out parts; `around` what the seams round the patch show. `thrifty`: the stock is spared before the look.
    `surroundings` are what the job tells of the room, in the pile frame; `views` and `spans` what is seen of seams there.
    `watch` ends the search, wherever it is, by time or where somebody asks to stop; it is looked at before each piece of work.
    `programmes` limits how many linear programmes one donor is worth. `undecided` names what a search gave up on: a no is then
    no proof. `searched` tells of three and four parts what was searched to the end without finding any, in that order.
    """

    patch: Patch
    shape: Shape
    motif: Point | None
    min_part_mm: float
    rules: FitRules
    programmes: int = MOST_TRIES
    thrifty: bool = False
    watch: Watch = field(default_factory=Watch, repr=False)
    known: WeakKeyDictionary[Donor, dict[tuple[object, ...], Reach]] = field(default_factory=WeakKeyDictionary, repr=False)
    undecided: set[str] = field(default_factory=set)
    searched: dict[str, None] = field(default_factory=dict)
    around: dict[tuple[object, ...], tuple[int, ...]] = field(default_factory=dict, repr=False)
    surroundings: Surroundings = field(default_factory=Surroundings)
    views: dict[Line, View] = field(default_factory=dict, repr=False)
    spans: dict[tuple[object, ...], tuple[tuple[float, float, View], ...]] = field(default_factory=dict, repr=False)

    def go_on(self) -> None:
        """Nothing while there is time. Raises OutOfTime."""
        if self.watch.timed_out():
            raise OutOfTime

    def effort(self) -> Effort:
        """What one question about parts on a donor is worth, watched."""
        return Effort(self.programmes, self.go_on)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The seams round the patch (pile frame), each as people see it."""
        return runs_round(self.shape.ring, self.shape.finishes)

    @property
    def light_deg(self) -> float | None:
        """The bearing (in room axes) from which light comes in, as the room has it or else the patch."""
        return self.patch.light_deg if self.surroundings.light_deg is None else self.surroundings.light_deg

    def view_of(self, line: Line) -> View:
        """What is seen of a seam along a line (pile frame)."""
        if line not in self.views:
            self.views[line] = self.surroundings.view_of(line)
        return self.views[line]

    @cached_property
    def round_mm(self) -> tuple[float, ...]:
        """How much is seen of each seam round the patch (mm)."""
        return tuple(sum(self.view_of(stretch.line).shown_mm for stretch in run.stretches) for run in self.runs)

    def has_pins(self, tags: Collection[str]) -> bool:
        """Whether every piece that must give a part of the patch is among the tags."""
        return set(tags).issuperset(self.patch.use)

    @cached_property
    def by_doorway(self) -> bool:
        """True where a doorway is known, or an edge meets another floor: seams keep away from there."""
        return bool(self.doorways)

    @cached_property
    def doorways(self) -> tuple[Line, ...]:
        """The doorways where feet turn (pile frame): those of the room, or else the edges that meet another floor."""
        if self.surroundings.doorways:
            return tuple(line for line, _ in self.surroundings.doorways)
        edges = zip(edges_of(self.shape.ring, closed=True), self.shape.finishes, strict=True)
        return tuple(edge for edge, finish in edges if finish is Finish.TRANSITION)

    def lattice_of(self, donor: Donor) -> Lattice | None:
        """The donor's pattern lattice; None for plain goods."""
        repeat: Repeat | None = donor.candidate.style.repeat
        return None if repeat is None else Lattice(repeat.across_mm, repeat.along_mm, repeat.drop)

    def lies(self, shape: Shape, donor: Donor) -> bool:
        """True if the shape's cut can lie on the donor, its pattern met. Raises OutOfTime."""
        self.go_on()
        if not shape.wide_enough(self.min_part_mm) or not shape.is_simple:
            return False
        if self.motif is None or donor.candidate.style.repeat is None:
            return fits(donor.ground, shape.cut)
        return bool(self.moves(shape, donor))

    def moves(self, shape: Shape, donor: Donor) -> tuple[Point, ...] | None:
        """The moves worth trying: on the lattice if the pattern must meet, else between rows if the style has rows and there is
        play, else None (any corner of the region)."""
        lattice = self.lattice_of(donor)
        if self.motif is None or lattice is None:
            return self._between_rows(shape, donor) or None
        if donor.motif is None:
            return ()
        start = (donor.motif[0] - self.motif[0], donor.motif[1] - self.motif[1])
        found = region(donor.ground, shape.cut)
        points = lattice.points_in(found.box, start) if found else ()
        return tuple(move for x, y in points if found.holds(move := (float(x), float(y))))

    def _between_rows(self, shape: Shape, donor: Donor) -> tuple[Point, ...]:
        """Moves that set the seam along the pile between two rows of the donor; none without rows, such a seam, or play.

        Rows are counted from the donor's own edge along the pile: it was woven, or cut, between two of them.
        """
        seam = _seam_along(shape)
        row = donor.candidate.style.row_mm
        if row is None or seam is None:
            return ()
        rows = Rows(row, donor.box[0] - seam)
        found = region(donor.ground, shape.cut, slack=False)
        snapped = ((gap, y) for x, y in found.corners() for gap in (rows.at_or_before(x), rows.at_or_after(x)))
        return tuple(dict.fromkeys(move for move in snapped if found.holds(move)))

    def threshold(self, split: Split, side: Side, donor: Donor) -> float | None:
        """How far the donor can fill a split: the greatest seam position from the low side, the least from the high side.

        None if it can't at any position within the split's limits. Monotone: any smaller part of that side fits as well.
        """
        reach = self.reach(split, side, donor)
        while not reach.found:
            reach = self.reach(split, side, donor, closer=True)
        return reach.fits

    def reach(self, split: Split, side: Side, donor: Donor, *, closer: bool = False) -> Reach:
        """What is known of a threshold so far; `closer`: after one more look. Raises OutOfTime."""
        known = self.known.setdefault(donor, {})
        key = (split.shape.ring, split.axis, split.rising, split.falling, side)
        reach = known.get(key)
        if reach is None:
            reach = known[key] = self._first_reach(split, side, donor)
        elif closer and reach.fits is not None and reach.fails is not None and not reach.found:
            reach = known[key] = self._closer(split, side, donor, reach)
        return reach

    def _closer(self, split: Split, side: Side, donor: Donor, reach: Reach) -> Reach:
        """A reach that isn't found yet, after one look at a place in it; or after two, beside where a rectangle should end."""
        fits, fails, looks = reach
        assert fits is not None and fails is not None
        places = [(fits + fails) / 2]
        if looks % 3 < 2 and donor.is_plain and (self.motif is None or donor.candidate.style.repeat is None):
            places = _ends_beside(split, side, donor, fits, fails) or places
        for at in places:
            if not min(fits, fails) < at < max(fits, fails):
                continue
            if self._half_lies(split, side, donor, at):
                fits = at
            else:
                fails = at
        return Reach(fits, fails, looks + 1)

    def _first_reach(self, split: Split, side: Side, donor: Donor) -> Reach:
        low, high = split.limits(self.min_part_mm)
        if low > high + TOLERANCE_MM:
            return NOWHERE
        near, far = (low, max(low, high)) if side else (max(low, high), low)
        self.go_on()
        if split.shape.is_rectangle and (self.motif is None or donor.candidate.style.repeat is None):
            return Reach(self._straight(split, side, donor, near, far))
        nudged = (
            near + NUDGE_MM if side else near - NUDGE_MM
        )  # right at a corner of the patch the mitre can ask for a sliver more
        beyond = nudged > far if side else nudged < far
        core = split.core(near, near if beyond else nudged, side=0 if side else 1)
        if core is not None and not fits(donor.ground, core):
            return NOWHERE
        if not self._half_lies(split, side, donor, near):
            near = nudged
            if beyond or not self._half_lies(split, side, donor, near):
                return NOWHERE
        return Reach(far) if self._half_lies(split, side, donor, far) else Reach(near, far)

    def _half_lies(self, split: Split, side: Side, donor: Donor, at: float) -> bool:
        return self.lies(split.halves(at)[0 if side else 1], donor)

    def _straight(self, split: Split, side: Side, donor: Donor, near: float, far: float) -> float | None:
        """The threshold of a rectangle, from the room for its half in one step."""
        half = split.halves(near)[0 if side else 1]
        if not half.wide_enough(self.min_part_mm):
            return None
        axis = split.axis
        box = bounds(half.cut)
        extent, other = box[axis + 2] - box[axis], box[3 - axis] - box[1 - axis]
        spare = room_for(donor.ground, axis, other) - extent
        if spare < 0:
            return None
        return min(far, near + spare) if side else max(far, near - spare)


def _ends_beside(split: Split, side: Side, donor: Donor, fits: float, fails: float) -> list[float]:
    """Positions (mm) just before and just after where a half grows too large for a rectangle, if it grows evenly."""
    boxes = [split.halves(at)[0 if side else 1].cut_box for at in (fits, fails)]
    shares = [1.0]
    for axis in AXES:
        room = donor.box[axis + 2] - donor.box[axis] + TOLERANCE_MM
        before, after = (box[axis + 2] - box[axis] for box in boxes)
        if before <= room < after:
            shares.append((room - before) / (after - before))
    at, step = fits + (fails - fits) * min(shares), CLOSE_MM / 2 if fails > fits else -CLOSE_MM / 2
    return [at - 0.9 * step, at + 0.9 * step] if len(shares) > 1 else []


def _seam_along(shape: Shape) -> float | None:
    """Where the last seam along the pile lies (x, mm): a joint comes last in a half's edges."""
    edges = zip(shape.ring, (*shape.ring[1:], shape.ring[0]), shape.finishes, strict=True)
    along = [a[0] for a, b, finish in edges if finish is Finish.SEAM and abs(a[0] - b[0]) <= TOLERANCE_MM]
    return along[-1] if along else None


AXES = (Axis.ACROSS, Axis.ALONG)
