"""Which outline shows least? Every one that the sides' stops make, by a look that none with it beats, until no other can win."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from remnants.fitting.outline.events import Event, sides_of
from remnants.fitting.outline.place import place_of
from remnants.fitting.outline.shaping import edges_in_room, kinds_of, ring_round
from remnants.fitting.outline.telling import stops_of
from remnants.fitting.patch.best_way import ask_of, best_for, donors_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.geometry.ground import leaves_sliver
from remnants.geometry.outline import Ring, area_mm2
from remnants.geometry.turn import turned_ring, whole_turn
from remnants.model.damage import Damage
from remnants.model.finish import Finish
from remnants.model.match import Candidate
from remnants.model.merit import Merit
from remnants.model.patch import Job, Patch
from remnants.model.proposal import Outlined, StopKind
from remnants.packing import Watch

__all__ = ["MOST_TOLD", "Looked", "outlines_for"]

MOST_TOLD = 3
"""Outlines that are proposed at most."""

MOST_MORE_MM2 = 1_000_000.0
"""An outline that takes more than 1 m² beyond the least one is only another way (common practice, no source)."""

MOST_FITS = 80
"""Outlines that are fitted for one patch's damage at most; the look of each is known before."""

MOST_SMALL = 8
"""Outlines beyond the least one that are tried for the least that stock makes."""

MOST_SIZES = 3
"""Sizes of the stock that a side may stop at."""


@dataclass(frozen=True, eq=False)
class Looked:
    """An outline with how good the best plan of it alone is; `merit.unfilled` is 1 where no piece of the stock makes it.

    `ample`: it takes over 1 m² more than the least one.
    """

    outlined: Outlined
    merit: Merit
    ample: bool = False

    @property
    def key(self) -> tuple[object, ...]:
        """Sorts them, the recommended one first."""
        return self.merit.unfilled, self.ample, self.merit.key, round(self.outlined.area_mm2), self.outlined.ring


@dataclass(frozen=True, eq=False)
class _Drawn:
    """An outline not fitted yet: `bound` is a look that no plan of it beats."""

    outlined: Outlined
    ask: Ask
    bound: Merit
    kinds: tuple[StopKind, ...]
    ring: Ring

    @property
    def key(self) -> tuple[object, ...]:
        return self.bound.key, round(self.outlined.area_mm2), self.ring


def outlines_for(
    job: Job,
    patch: Patch,
    damage: Damage,
    candidates: Sequence[Candidate],
    rules: FitRules | None = None,
    *,
    watch: Watch | None = None,
) -> tuple[Looked, ...]:
    """The outlines for one patch's damage, the recommended one first, then such as end in another way; three at most.

    `watch` ends the search. One at least is given, with `merit.unfilled` where no piece can make it. Where every outline leaves
    a strip of old carpet narrower than a part may be, those are given.
    """
    return _Search(job, patch, damage, candidates, rules=rules or FitRules(), watch=watch or Watch()).found()


class _Found:
    """The outlines fitted so far: the best of each way to end."""

    def __init__(self, most_mm2: float) -> None:
        self.most_mm2 = most_mm2
        self.filled: dict[tuple[StopKind, ...], Looked] = {}
        self.unfilled: list[Looked] = []

    def add(self, each: _Drawn, merit: Merit) -> bool:
        """Takes one in; true if stock makes it."""
        looked = Looked(each.outlined, merit, each.outlined.area_mm2 > self.most_mm2)
        if merit.unfilled:
            self.unfilled.append(looked)
            return False
        ends = _ends(each.kinds)
        before = self.filled.get(ends)
        if before is None or looked.key < before.key:
            self.filled[ends] = looked
        return True

    def has_better(self, each: _Drawn) -> bool:
        """True if one that ends in the same way is better than any plan of this one."""
        before = self.filled.get(_ends(each.kinds))
        return before is not None and (before.merit.look, before.merit.trouble) < (each.bound.look, each.bound.trouble)

    def is_filled_by(self, each: _Drawn) -> bool:
        """True if this very outline is among those that stock makes."""
        before = self.filled.get(_ends(each.kinds))
        return before is not None and before.outlined == each.outlined

    def is_settled(self, bound: Merit) -> bool:
        """True once enough are known, and no plan with that look can be better than the recommended one."""
        ready = [looked for looked in self.filled.values() if not looked.ample]
        if not ready or len(_told(tuple(self.filled.values()))) < MOST_TOLD:
            return False
        best = min(ready, key=lambda looked: looked.key).merit
        return (bound.look, bound.trouble) > (best.look, best.trouble)

    def told(self) -> tuple[Looked, ...]:
        """The recommended one, then others that have something for them, the least among them; else the least, not made."""
        told = _told(tuple(self.filled.values()))
        if not told:
            return tuple(sorted(self.unfilled, key=lambda looked: (looked.outlined.area_mm2, looked.key))[:1])
        least = min(told, key=lambda looked: (looked.outlined.area_mm2, looked.key))
        return tuple(told[:MOST_TOLD]) if len(told) <= MOST_TOLD or least in told[:MOST_TOLD] else (*told[: MOST_TOLD - 1], least)


class _Search:
    """Working state of `outlines_for`."""

    def __init__(
        self, job: Job, patch: Patch, damage: Damage, candidates: Sequence[Candidate], *, rules: FitRules, watch: Watch
    ) -> None:
        self.job, self.patch, self.rules, self.watch = job, patch, rules, watch
        styles = tuple({candidate.style.name: candidate.style for candidate in candidates}.values())
        self.place = place_of(job, patch, damage, styles)
        left = {candidate.piece.tag: candidate.piece.outline for candidate in candidates}
        self.field = Field(tuple(donors_of(patch, candidates, left)))
        self.largest_mm2, self.fits = float(max(self.field.areas, default=0.0)), 0
        self.sorts: tuple[Donor, ...] = self.field.looks[1] if self.field.donors else ()

    def found(self) -> tuple[Looked, ...]:
        """Those told, best first."""
        every = sorted(self.drawn(), key=lambda each: each.key)
        return self.best_of(every, slivers=False) or self.best_of(every, slivers=True)

    def best_of(self, drawn: Sequence[_Drawn], *, slivers: bool) -> tuple[Looked, ...]:
        """The best of those that leave no sliver, or of all."""
        by_area = sorted(drawn, key=lambda each: (each.outlined.area_mm2, each.key))
        sound = (each for each in by_area if slivers or self.is_sound(each))
        first = next(sound, None)
        if first is None:
            return ()
        most_mm2 = first.outlined.area_mm2 + MOST_MORE_MM2
        found = _Found(most_mm2)
        for each in drawn:
            if found.is_settled(each.bound):
                break
            if not found.has_better(each) and (slivers or self.is_sound(each)):
                found.add(each, self.merit_of(each))
            if self.fits >= MOST_FITS or self.watch.timed_out():
                break
        for each in (first, *islice(sound, MOST_SMALL)):  # the least one is always worth telling, though more of it is seen
            if found.is_filled_by(each) or found.add(each, self.merit_of(each)):
                break
        return found.told()

    def is_sound(self, each: _Drawn) -> bool:
        """True if the outline leaves no strip of old carpet narrower than a part may be."""
        place = self.place
        return not place.room or not leaves_sliver(place.room, (each.ring,), place.least_mm)

    def merit_of(self, each: _Drawn) -> Merit:
        """How good the best plan of the outline alone is."""
        if area_mm2(each.ask.shape.cut) > self.patch.max_parts * self.largest_mm2:
            return replace(each.bound, unfilled=1)
        self.fits += 1
        made = best_for(replace(each.ask, watch=self.watch), self.field) if self.field.donors else None
        return made.merit if made is not None else replace(each.bound, unfilled=1)

    def drawn(self) -> Iterator[_Drawn]:
        """Every outline that the sides' stops make."""
        seen = set()
        place, sizes = self.place, self.sizes()
        for stops in product(*sides_of(place, place.damage, sizes)):
            box = (stops[0].at, stops[1].at, stops[2].at, stops[3].at)
            ring = ring_round(place, box, place.damage)
            if ring is None or ring in seen:
                continue
            seen.add(ring)
            yield self.drawn_of(ring, stops)

    def drawn_of(self, ring: Ring, stops: Sequence[Event]) -> _Drawn:
        """One of them."""
        edges = edges_in_room(self.place, ring)
        kinds = kinds_of(self.place, edges, stops)
        finishes = tuple(finish for _, finish in edges)
        corners = turned_ring(tuple(corner for corner, _ in edges), whole_turn(self.patch.pile_deg))
        told = stops_of(self.place, ring, kinds, self.job.unit)
        ask = ask_of(self.job, replace(self.patch, ring=corners, edges=finishes), self.rules)
        return _Drawn(Outlined(self.patch.name, corners, finishes, told), ask, self.bound_of(ask), kinds, ring)

    def bound_of(self, ask: Ask) -> Merit:
        """A look that no plan of an outline beats."""
        looks = [replace(least_look(ask, None, (donor,)), trouble=least_trouble((donor,))) for donor in self.sorts]
        return min(looks, key=lambda look: look.key, default=Merit())

    def sizes(self) -> tuple[tuple[float, float], ...]:
        """Extents (across, along; mm) of what the widest and the longest pieces can fill between seams."""
        if not self.field.donors:
            return ()
        sizes = self.field.sizes - 2 * self.job.allowance.of(Finish.SEAM)
        largest = sorted({(float(across), float(along)) for across, along in sizes.round(2)}, key=lambda size: -size[0] * size[1])
        return tuple(size for size in largest[:MOST_SIZES] if min(size) > 0)


def _ends(kinds: Sequence[StopKind]) -> tuple[StopKind, ...]:
    """What tells outlines apart that a person would call different: on which sides they end at a wall, a doorway, or a seam."""
    return tuple(kind if kind in (StopKind.WALL, StopKind.DOORWAY) else StopKind.DAMAGE for kind in kinds)


def _told(filled: Sequence[Looked]) -> list[Looked]:
    """Those that beat every one before them in something: look, trouble, what is spent, or how little they take."""
    told: list[Looked] = []
    for each in sorted(filled, key=lambda looked: looked.key):
        if all(_beats_somewhere(each, before) for before in told):
            told.append(each)
    return told


def _beats_somewhere(one: Looked, two: Looked) -> bool:
    return (
        one.merit.look < two.merit.look
        or one.merit.trouble < two.merit.trouble
        or one.merit.spent < two.merit.spent
        or round(one.outlined.area_mm2) < round(two.outlined.area_mm2)
    )
