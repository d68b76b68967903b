"""Which outline shows least? Each is fitted in the order of the look that no plan of it beats, until no other can win."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from remnants.fitting.outline.drawn import Board, Drawn, Shaped, drawn_of, shaped_round
from remnants.fitting.outline.found import MOST_MORE_MM2, Found, Looked, told_of
from remnants.fitting.outline.place import place_of
from remnants.fitting.patch.asked import donors_of
from remnants.fitting.patch.best_way import best_for
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.geometry.ground import leaves_sliver, overlap
from remnants.geometry.outline import Ring, area_mm2, bounds
from remnants.geometry.turn import turned_ring, whole_turn
from remnants.model.damage import Damage
from remnants.model.match import Candidate
from remnants.model.merit import Merit, Trouble
from remnants.model.patch import Job, Patch
from remnants.packing import Watch
from remnants.sights import Surroundings

__all__ = ["outlines_for"]

MOST_FITS = 80
"""Outlines that are fitted round one damage at most; the look of each is known before."""

JOINED_COUNTS, UNEVEN_COUNTS = 5, 20
"""One that may be joined from parts counts as so many; where it is no rectangle, as so many: that takes long."""

MOST_AMPLE = 20
"""Outlines that take much and are fitted for another way at most."""

MOST_SMALL = 8
"""Outlines beyond the least one that are tried for the least that stock makes."""

MOST_APART = 4
"""Damages of one patch up to which every way to share them out among outlines is tried; of more, all together and each alone."""


def outlines_for(
    job: Job,
    patch: Patch,
    damage: Damage,
    candidates: Sequence[Candidate],
    rules: FitRules | None = None,
    *,
    watch: Watch | None = None,
) -> tuple[Looked, ...]:
    """The outlines for one patch's damage, the recommended ones first, then such as beat those in something; three at most.

    Several damages are taken together and apart. `watch` ends the search. One at least is given, with `merit.unfilled` where no
    piece can make it. Where every outline leaves a strip of old carpet narrower than a part may be, those are given.
    """
    styles = tuple({candidate.style.name: candidate.style for candidate in candidates}.values())
    left = {candidate.piece.tag: candidate.piece.outline for candidate in candidates}
    donors = Field(tuple(donors_of(patch, candidates, left)))
    turn, room = whole_turn(-patch.pile_deg), job.room_of(patch)
    around = Surroundings.of(room, room.ring).turned(turn) if room is not None and room.ring else Surroundings()
    board = Board(job, patch, place_of(job, patch, damage, styles), donors, rules or FitRules(), around)
    search = _Search(board, watch or Watch())
    return told_of(_weighed([each for groups in _shared_out(board.place.damage) for each in search.apart(groups)]))


def _shared_out(rings: tuple[Ring, ...]) -> Iterator[tuple[tuple[Ring, ...], ...]]:
    """The ways to share damages out among outlines, all together first."""
    if len(rings) > MOST_APART:
        yield (rings,)
        yield tuple((ring,) for ring in rings)
        return
    yield from sorted(_partitions(rings), key=len)


def _partitions(rings: tuple[Ring, ...]) -> Iterator[tuple[tuple[Ring, ...], ...]]:
    first, rest = rings[0], rings[1:]
    if not rest:
        yield ((first,),)
        return
    for groups in _partitions(rest):
        yield ((first,), *groups)
        for index, group in enumerate(groups):
            yield (*groups[:index], (first, *group), *groups[index + 1 :])


def _weighed(looked: Sequence[Looked]) -> list[Looked]:
    """With what takes over 1 m² more than the least of them told so."""
    made = [each for each in looked if not each.merit.unfilled] or list(looked)
    least = min((each.area_mm2 for each in looked), default=0.0)
    return [replace(each, ample=each.area_mm2 > least + MOST_MORE_MM2) for each in made]


@dataclass(eq=False)
class _Search:
    """Working state of `outlines_for`."""

    board: Board
    watch: Watch

    def __post_init__(self) -> None:
        self._known: dict[tuple[Ring, ...], tuple[Looked, ...]] = {}

    def apart(self, groups: Sequence[tuple[Ring, ...]]) -> Iterator[Looked]:
        """The outlines of damages shared out among so many, where they keep off one another and leave no strip between."""
        if self.takes_much(groups):
            return
        if len(groups) == 1:
            yield from self.round(groups[0])
            return
        each = [told_of(self.round(group)) for group in groups]
        for chosen in sorted(product(*each), key=lambda sets: tuple(looked.key for looked in sets)):
            put = _together(chosen)
            if self.keeps_apart(put):
                yield _numbered(put)
                return

    def takes_much(self, groups: Sequence[tuple[Ring, ...]]) -> bool:
        """True if some of the damages, not all, are taken together over more than 1 m² that apart they would leave."""
        return len(groups) > 1 and any(
            _box_mm2(group) - sum(_box_mm2((ring,)) for ring in group) > MOST_MORE_MM2 for group in groups if len(group) > 1
        )

    def keeps_apart(self, looked: Looked) -> bool:
        """True if no two outlines meet, and no strip narrower than a part may be is left between them."""
        place, turn = self.board.place, whole_turn(-self.board.patch.pile_deg)
        rings = tuple(turned_ring(ring, turn) for ring in looked.rings)
        return not overlap(rings) and (not place.room or not leaves_sliver(place.room, rings, place.least_mm))

    def round(self, damage: tuple[Ring, ...]) -> tuple[Looked, ...]:
        """The best outlines round some of the damage: those that leave no sliver, or all where each does."""
        if damage not in self._known:
            shaped = shaped_round(self.board, damage)
            self._known[damage] = self.best_of(damage, shaped, slivers=False) or self.best_of(damage, shaped, slivers=True)
        return self._known[damage]

    def best_of(self, damage: tuple[Ring, ...], shaped: Sequence[Shaped], *, slivers: bool) -> tuple[Looked, ...]:
        """The best of those that leave no sliver, or of all: in one part each, or joined where that may look best."""
        sound = (each for each in shaped if slivers or each.is_sound(self.board.place))
        first = next(sound, None)
        if first is None:
            return ()
        most_mm2 = first.area_mm2 + MOST_MORE_MM2
        found = Found(most_mm2)
        usual = [drawn_of(self.board, damage, each) for each in shaped if each.area_mm2 <= most_mm2]
        tries = [_Try(each, each.bound, joined=False) for each in usual]
        tries += [_Try(each, each.joined_bound, joined=True) for each in usual if each.ask.patch.max_parts > 1]
        self.fitted(found, sorted(tries, key=lambda each: each.key), slivers=slivers)
        larger = (drawn_of(self.board, damage, each) for each in shaped if each.area_mm2 > most_mm2 and each.is_plain)
        ample = [_Try(each, each.bound, joined=False) for each in sorted(larger, key=lambda each: each.key)]
        self.fitted_ample(found, ample, slivers=slivers)
        for each in (first, *islice(sound, MOST_SMALL)):  # the least one is always worth telling, though more of it is seen
            least = drawn_of(self.board, damage, each)
            if found.has(least) or found.add_least(least, self.merit_of(_Try(least, least.bound, joined=True))):
                break
        return found.looked

    def fitted(self, found: Found, tries: Sequence["_Try"], *, slivers: bool) -> None:
        """Fits outlines in the order of their bounds until none can be better than the best."""
        fits = 0
        for each in tries:
            if found.is_settled(each.bound) or fits >= MOST_FITS or self.watch.timed_out():
                return
            if found.has_better(each.drawn, each.bound) or not (slivers or each.drawn.is_sound):
                continue
            fits += each.counts
            found.add(each.drawn, self.merit_of(each))

    def fitted_ample(self, found: Found, tries: Sequence["_Try"], *, slivers: bool) -> None:
        """Fits outlines that take much until one is made, as long as they may look better than the best."""
        for each in tries[:MOST_AMPLE]:
            if found.is_settled(each.bound) or self.watch.timed_out():
                return
            if (slivers or each.drawn.is_sound) and found.add(each.drawn, self.merit_of(each)):
                return

    def merit_of(self, each: "_Try") -> Merit:
        """How good the best plan of the outline alone is."""
        ask = replace(each.drawn.ask, watch=self.watch)
        parts = ask.patch.max_parts if each.joined else 1
        none = replace(each.bound, unfilled=1)
        if area_mm2(ask.shape.cut) > parts * self.board.largest_mm2:
            return none
        made = best_for(ask if each.joined else replace(ask, patch=replace(ask.patch, max_parts=1)), self.board.donors)
        return made.merit if made is not None else none


@dataclass(frozen=True, eq=False)
class _Try:
    """An outline to be fitted in one part, or `joined` from as many as may be, with a look that no such plan beats."""

    drawn: Drawn
    bound: Merit
    joined: bool

    @property
    def counts(self) -> int:
        """As how many fits it counts."""
        return 1 if not self.joined else JOINED_COUNTS if self.drawn.ask.shape.is_rectangle else UNEVEN_COUNTS

    @property
    def key(self) -> tuple[object, ...]:
        return self.bound.key, self.joined, round(self.drawn.area_mm2), self.drawn.shaped.ring


def _box_mm2(damage: Sequence[Ring]) -> float:
    left, lower, right, upper = bounds([point for ring in damage for point in ring])
    return (right - left) * (upper - lower)


def _together(looked: Sequence[Looked]) -> Looked:
    """Several outlines as one answer; what they share in trouble and places is counted for each."""
    merits = [each.merit for each in looked]
    merit = Merit(
        sum(merit.unfilled for merit in merits),
        tuple(sorted((rank for merit in merits for rank in merit.sights), reverse=True)),
        tuple(sorted((points for merit in merits for points in merit.points), reverse=True)),
        sum(merit.seen_mm for merit in merits),
        _summed([merit.trouble for merit in merits]),
        sum(merit.spent_mm2 for merit in merits),
    )
    return Looked(tuple(outlined for each in looked for outlined in each.outlines), merit)


def _summed(troubles: Sequence[Trouble]) -> Trouble:
    far, people, hidden, untold, km, vans = (sum(counts) for counts in zip(*troubles, strict=True))
    return far, people, hidden, untold, km, vans


def _numbered(looked: Looked) -> Looked:
    """Each of several outlines of a patch with its own name: `stain (1 of 2)`."""
    outlines, count = looked.outlines, len(looked.outlines)
    named = (replace(each, patch=f"{each.damage_of} ({number} of {count})") for number, each in enumerate(outlines, 1))
    return replace(looked, outlines=tuple(named))
