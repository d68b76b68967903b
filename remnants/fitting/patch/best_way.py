"""One patch: the best way to make it from what is left of the donors."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import groupby, islice
from weakref import WeakKeyDictionary

import numpy as np

from remnants.fitting.patch import worth
from remnants.fitting.patch.best_of_more import least_of_more, ways_of_more
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Leaf
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.made import NO_LESS, Made, at_best, first_settled, phase_of, settled
from remnants.fitting.patch.meeting_patterns import pairs_in_phase
from remnants.fitting.patch.more_parts import joined
from remnants.fitting.patch.out_of_reach import is_settled, out_of_reach, tell_what_is_settled
from remnants.fitting.patch.question import AXES, OUT_OF_TIME, Ask, OutOfTime
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.same_donor_pairs import one_donor_pairs, turned_apart
from remnants.fitting.patch.seam_places import pairs
from remnants.fitting.patch.seam_spans import Where, spans_along
from remnants.fitting.patch.shape import Axis, splits
from remnants.fitting.patch.uneven_seams import uneven_pairs
from remnants.fitting.patch.whole import lying
from remnants.geometry.lie import region
from remnants.geometry.outline import Point
from remnants.model.merit import Merit, thrift_key
from remnants.packing import Watch
from remnants.sights import View

__all__ = ["best_for"]

AT_ONCE = 200
"""Donors up to which a patch has a first answer in any case: one piece that makes it whole is found in a moment."""

PLACES_LATE = 2
"""Places tried for a first answer once time is up."""

TRIES_BESIDE = 12
"""Donors tried for both parts where two pieces make the patch already: one donor fetched is the last tie but one."""

MOST_LOOKED_AT = 400
"""Donors up to which one piece is looked for that shows less than the best pair; with more of them the bound leaves it open."""

PLACES_OF_A_SEAM = 3
"""Most places of a seam that one donor comes with."""

MOST_WEIGHED = 60
"""Pairs settled for one patch; where one more might look better still the bound leaves it open."""

MOST_PHASES = 60
"""Places of the pattern tried where the patch doesn't say where its motif lies."""


def best_for(ask: Ask, field: Field) -> Made | None:
    """The best way to make one patch, or None if there is none within the rules; the best so far where time is up."""
    search = _Best(ask, field)
    try:
        search.whole()
        if ask.patch.max_parts > 1:
            search.in_phase(2) if _free_phase(ask, field) else search.two()
        for parts in range(3, ask.patch.max_parts + 1):
            search.more(parts)
    except OutOfTime:
        ask.undecided.add(OUT_OF_TIME)
    if OUT_OF_TIME in ask.undecided:
        search.open.append(NO_LESS)
    return search.answer()


class _Best:
    """The best way so far and what can't be beaten; working state of `best_for`."""

    def __init__(self, ask: Ask, field: Field) -> None:
        self.ask, self.field = ask, field
        self.best: Made | None = None
        self.open: list[Merit] = []
        """Looks that something not looked at might reach."""

    def answer(self) -> Made | None:
        """The best way, with the look that no other beats."""
        if self.best is None:
            return None
        best = self.best.merit
        least = min((look for look in self.open if look.key < best.key), key=lambda look: look.key, default=best)
        return replace(self.best, floor=replace(least, spent_mm2=0.0))

    def take(self, made: Iterable[Made]) -> None:
        """Keeps the best of those it has and these."""
        ways = (*([self.best] if self.best else []), *made)
        self.best = min(ways, key=self.rank, default=None)

    def rank(self, way: Made) -> tuple[object, ...]:
        """Sorts ways, the best first."""
        return thrift_key(way.merit) + way.key if self.ask.thrifty else way.key

    def may_win(self, at_best: Made) -> bool:
        """True if a way that is no better than this one may be taken."""
        return self.best is None or self.rank(at_best) < self.rank(self.best)

    def worse(self, look: Merit) -> bool:
        """True if nothing with this look can beat the way in hand, whatever it spends."""
        return (
            not self.ask.thrifty
            and self.best is not None
            and (*look.look, look.trouble) > (*self.best.merit.look, self.best.merit.trouble)
        )

    def beats(self, look: Merit) -> bool:
        """True if a way with this look would beat the way in hand, whatever it spends."""
        return self.best is None or (*look.look, look.trouble) < (*self.best.merit.look, self.best.merit.trouble)

    def may_win_alone(self, look: Merit, donor: Donor) -> bool:
        """True if both parts from one donor, with this look at best, may be taken: the floor alone spends so much of it."""
        if self.best is None or self.beats(look):
            return True
        spent = worth.least_spoiled_mm2(donor, (self.ask.shape.ring,), self.ask.rules, anyhow=True)
        return replace(look, spent_mm2=spent).key <= self.best.merit.key

    def whole(self) -> None:
        """One part: by look, all that look alike together; exact. Of few donors an answer is taken though time is up already: of
        a rectangle as ever, its place is found in a moment; of others the first, unless somebody asks to stop.
        """
        few = len(self.field.donors) <= AT_ONCE
        ask = replace(self.ask, watch=Watch()) if few and self.ask.shape.is_rectangle else self.ask
        late = replace(ask, watch=Watch(stop=ask.watch.stopped), rules=replace(ask.rules, placements=PLACES_LATE))
        numbers, firsts = self.field.looks
        looks = [_least(self.ask, None, (first,)) for first in firsts]
        for look, group in groupby(sorted(range(len(firsts)), key=lambda i: looks[i].key), key=lambda i: looks[i]):
            if self.worse(look):
                return
            alike = self.field.some(np.isin(numbers, list(group)))
            self.take(first_settled(ask, _wholes(ask, alike), ask.rules.donors_weighed))
            if self.best is None and few and ask.watch.timed_out():
                self.take(first_settled(late, _wholes(late, alike), 1))

    def two(self) -> None:
        """Two parts, of two pieces or of one: exact as far as `one_donor_pairs` looks."""
        weighed = 0

        def worth(look: Merit) -> bool:
            return not self.worse(look) and (weighed < self.ask.rules.donors_weighed or self.beats(look))

        for look, layout in pairs(self.ask, self.ask.shape, self.field, worth):
            if not worth(look):
                break
            if weighed >= (self.ask.rules.donors_weighed if self.ask.thrifty else MOST_WEIGHED):
                self.open.append(look)
                break
            if not self.may_win(at_best(self.ask, layout)):  # where its parts lie best need not be known
                weighed += 1
                continue
            made = settled(self.ask, Option(layout))
            if made is not None:
                weighed += 1
                self.take([made])
        if self.best is None or not self.ask.thrifty:
            self.take(first_settled(self.ask, uneven_pairs(self.ask, self.field), self.ask.rules.donors_weighed))
        if self.ask.thrifty and self.best is not None:
            return  # both parts of one piece spend more than the whole does
        for axis in AXES:
            for view, where in spans_along(self.ask, axis):
                self.one_donor(axis, view, where)
                self.one_donor_turned(axis, view, where)

    def one_donor(self, axis: Axis, view: View, where: Where) -> None:
        """Both parts from one piece at one turn, the seam where it is seen alike: of the kinds that show least first."""
        numbers, firsts = self.field.looks
        looks = [_least(self.ask, axis, (first,), inner=1, view=view) for first in firsts]
        for look, group in groupby(sorted(range(len(firsts)), key=lambda i: looks[i].key), key=lambda i: looks[i]):
            if self.worse(look):
                break
            self.alike_alone(look, self.field.some(np.isin(numbers, list(group))), where)

    def alike_alone(self, look: Merit, alike: Field, where: Where) -> None:
        """Both parts from one of some pieces that look alike; in full where such a way would beat the one in hand."""
        better = self.beats(look)
        full = self.best is None or (better and len(alike.donors) <= MOST_LOOKED_AT)
        tries = None if full else TRIES_BESIDE
        most = PLACES_OF_A_SEAM if full and self.best is not None else self.ask.rules.donors_weighed
        may_win = partial(self.may_win_alone, look)
        found = one_donor_pairs(self.ask, self.ask.shape, alike, tries, where=where, may_win=may_win)
        self.take(first_settled(self.ask, found, most))
        if better and not full and self.beats(look):
            self.open.append(look)

    def one_donor_turned(self, axis: Axis, view: View, where: Where) -> None:
        """Both parts from one piece at two allowed turns, the seam where it is seen alike: those of the best look first."""
        by_look: dict[Merit, list[tuple[int, int]]] = {}
        kinds: dict[tuple[int, int], Merit] = {}
        numbers, firsts = self.field.looks
        for one, two in turned_apart(self.field, self.ask.shape):
            kind = int(numbers[one]), int(numbers[two])
            if kind not in kinds:
                kinds[kind] = _least(self.ask, axis, (firsts[kind[0]], firsts[kind[1]]), inner=1, view=view)
            by_look.setdefault(kinds[kind], []).append((one, two))
        for look in sorted(by_look, key=lambda each: each.key):
            if self.worse(look):
                return
            better, places = self.beats(look), by_look[look]
            full = self.best is None or (better and len(places) <= MOST_LOOKED_AT)
            tries, most = (None if full else TRIES_BESIDE), self.ask.rules.donors_weighed
            may_win = partial(self.may_win_alone, look)
            here = self.ask, self.ask.shape, self.field
            found = one_donor_pairs(*here, tries, where=where, places=places, may_win=may_win)
            self.take(first_settled(self.ask, found, most))
            if better and not full and self.beats(look):
                self.open.append(look)

    def in_phase(self, parts: int) -> None:
        """Parts that must meet each other's pattern, where nothing says how it lies in the room."""
        self._by_shade(parts, lambda good: _made_in_phase(self.ask, good, parts))

    def more(self, parts: int) -> None:
        """Three or four parts: of the donors whose shade is best, then of more and more of them."""
        if self.best is None and out_of_reach(self.ask, self.field, parts):
            return
        if _free_phase(self.ask, self.field):
            self.in_phase(parts)
            return
        ask = replace(self.ask, undecided=set())
        without = self._by_shade(parts, lambda good: _made(ask, good, parts, self.best))
        if self.best is None:
            tell_what_is_settled(ask, self.field, parts)
        else:
            self.open += [look for look, good in without if self.beats(look) and not is_settled(ask, good, parts)]
        self.ask.undecided.update(ask.undecided)

    def _by_shade(self, parts: int, made_of: Callable[[Field], list[Made]]) -> list[tuple[Merit, Field]]:
        """Takes what is made of the donors; those of which nothing is, with a look that no way of theirs beats."""
        shades, without = self.field.shades, list[tuple[Merit, Field]]()
        for shade in sorted(set(shades.tolist())):
            firsts = [donor for donor, rank in zip(self.field.looks[1], self._ranks, strict=True) if rank == shade]
            look = min((self._least_of(first, parts) for first in firsts), key=lambda each: each.key)
            if self.worse(look):
                break
            good = self.field.some(shades <= shade)
            made = made_of(good)
            self.take(made)
            if not made:
                without.append((look, good))
            elif self.beats(look):
                self.open.append(look)
        return without

    def _least_of(self, donor: Donor, parts: int) -> Merit:
        """A look with its trouble that no way in so many parts of such pieces beats."""
        look = least_of_more(self.ask, donor, parts) if parts > 2 else least_look(self.ask, None, (donor,), inner=1)
        return replace(look, trouble=least_trouble((donor,)))

    @property
    def _ranks(self) -> list[int]:
        numbers, firsts = self.field.looks
        return [int(self.field.shades[np.flatnonzero(numbers == number)[0]]) for number in range(len(firsts))]


def _least(ask: Ask, axis: Axis | None, donors: tuple[Donor, ...], *, inner: int = 0, view: View | None = None) -> Merit:
    """A look with its trouble that no way of these kinds beats."""
    return replace(least_look(ask, axis, donors, inner=inner, view=view), trouble=least_trouble(donors))


def _free_phase(ask: Ask, field: Field) -> bool:
    """True if parts must meet each other's pattern, but the patch has no motif point that says where it lies in the room."""
    return ask.motif is None and any(donor.candidate.style.repeat is not None for donor in field.donors)


def _made_in_phase(ask: Ask, field: Field, parts: int) -> list[Made]:
    """Joined ways with the pattern laid in any way: exact for two parts.

    For more, it is laid where some donor's part lies snug in a corner of it; the first phases that work are taken.
    """
    if parts == 2:
        made = first_settled(ask, pairs_in_phase(ask, field), ask.rules.donors_weighed)
        for way in made[:1]:  # with the pattern where it lies now, places and seam are chosen as ever
            made += _made(replace(ask, motif=phase_of(way), known=WeakKeyDictionary()), field, parts)
        return made
    made = []
    for motif in islice(_phases(ask, field), MOST_PHASES):
        made += _made(replace(ask, motif=motif, known=WeakKeyDictionary()), field, parts)
        if len(made) >= ask.rules.donors_weighed:
            break
    if not made:
        ask.undecided.add("where the pattern lies in the room, which the patch doesn't say")
    return made


def _phases(ask: Ask, field: Field) -> Iterator[Point]:
    """Motif points for the patch: each half of each even split, in each corner that it can lie in on each patterned donor."""
    halves = [half for axis in AXES for split in splits(ask.shape, axis) for half in split.halves((split.low + split.high) / 2)]
    for donor in sorted(field.donors, key=lambda donor: (donor.area_mm2, donor.tag)):
        if donor.motif is None:
            continue
        for half in halves:
            for x, y in region(donor.ground, half.cut).corners():
                yield donor.motif[0] - x, donor.motif[1] - y


def _made(ask: Ask, field: Field, parts: int, best: Made | None = None) -> list[Made]:
    """Ways to make the patch in so many parts, two or more, the likeliest; some if and only if one exists."""
    if parts > 2:
        return ways_of_more(ask, field, parts, best)
    most = ask.rules.donors_weighed
    made = first_settled(ask, map(Option, joined(ask, ask.shape, field, parts)), most)
    return made + first_settled(ask, one_donor_pairs(ask, ask.shape, field, TRIES_BESIDE if made else None), most)


def _wholes(ask: Ask, field: Field) -> Iterator[Option]:
    """The patch whole from each donor that holds it, the likeliest first. Raises OutOfTime."""
    return (Option(Leaf(ask.shape, donor)) for donor in lying(ask, field))
