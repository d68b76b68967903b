"""Making room: patches that are not filled, or joined though one piece would do, are nested on a donor with what lies there."""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.fitting.patch.asked import donors_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Layout, Leaf, leaves
from remnants.fitting.patch.look import look_of
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.sharing.from_one_end import Ends, Way
from remnants.fitting.sharing.nesting import Nest
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2
from remnants.geometry.turn import turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate

__all__ = ["Plan", "squeezes"]

Plan = Sequence[Made | None]

MOST_PARTS = 60
"""More parts than this on one donor are not nested together."""

FIRST_ROUNDS = 40
"""Rounds of the search for one nest on the first pass over the donors; each further pass takes twice as many."""

LESS_ALONE = 4
"""All patches that a donor has area for get so many times the rounds that each of them by itself gets."""

MOST_TAKEN_UP, MOST_KNOWN = 4, 60
"""How often a search is taken up before it begins anew, and how many are remembered."""

LEVEL, ASLANT, DIAGONAL = 1e-4, 1 / 3, 1.0
"""What a place further left is worth against one that is lower: only of places equally low, or so much more."""

FROM_ENDS = (
    Way(15, 0.1, LEVEL),
    Way(15, 0.1, ASLANT),
    Way(30, 0.3, LEVEL),
    Way(30, 0.03, ASLANT),
    Way(30, 0.1, DIAGONAL),
    Way(60, 0.03, LEVEL),
    Way(60, 0.3, ASLANT),
    Way(60, 1.0, DIAGONAL),
)
"""Rounds in which parts are laid from the ends of a piece: what one way misses another finds (see `docs/benchmarks.md`)."""

MANY = 9
"""Fewer parts are laid as well by moving them to where they overlap least, and sooner."""

MOST_MOVES = 25
"""Parts moved in one round."""


@dataclass(frozen=True, eq=False)
class _Guest:
    """A part on a donor: of which patch, which of its leaves, and the cut in the piece's axes at no move."""

    patch: int
    leaf: int
    donor: Donor
    ring: Ring
    sites: tuple[Point, ...] | None


class _Nests:
    """Searches for nests that may go on later where they were left; working state of `squeezes`."""

    def __init__(self, rng: random.Random) -> None:
        self.random = rng
        self.known: dict[object, tuple[Nest, int]] = {}

    def nest_of(self, outline: Outline, guests: Sequence[_Guest]) -> Nest:
        """The search for these guests on a piece: the one begun before, or a new one when that has been taken up often."""
        key = outline, tuple((guest.patch, guest.ring) for guest in guests)
        nest, taken = self.known.get(key, (None, 0))
        if nest is None or taken >= MOST_TAKEN_UP:
            sites = [guest.sites for guest in guests]
            nest, taken = Nest([guest.ring for guest in guests], outline, sites=sites, seed=self.random.randrange(2**31)), 0
        if len(self.known) >= MOST_KNOWN:
            self.known.clear()
        self.known[key] = nest, taken + 1
        return nest


class _Ends:
    """Searches from the ends of a piece, in rounds that each look another way; working state of `squeezes`."""

    def __init__(self) -> None:
        self.known: dict[object, tuple[Ends, int]] = {}

    def laid(self, outline: Outline, guests: Sequence[_Guest]) -> Iterator[dict[int, Point] | None]:
        """One round: the moves of as many plain guests as were laid, each time that it is more; None after each other step.

        Nothing once all rounds are done, or where there are few guests or some of a pattern.
        """
        key = outline, tuple((guest.patch, guest.ring) for guest in guests)
        ends, number = self.known.get(key, (None, 0))
        if number == len(FROM_ENDS) or len(guests) < MANY or any(guest.sites is not None for guest in guests):
            return
        ends = ends or Ends([guest.ring for guest in guests], outline)
        if len(self.known) >= MOST_KNOWN:
            self.known.clear()
        self.known[key] = ends, number + 1
        most = 0
        for laid in ends.laid(FROM_ENDS[number]):
            yield dict(laid) if len(laid) > most else None
            most = len(laid)


def squeezes(
    asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]], alone: Plan, best: "Plan", rng: random.Random
) -> Iterator[list[Made | None] | None]:
    """One step of work each: None, or a plan in which a donor of `best` holds more patches whole.

    `best` is read anew before each donor, so it may be a list that grows better meanwhile.
    """
    nests, ends, rounds = _Nests(rng), _Ends(), FIRST_ROUNDS
    stock = {candidate.piece.tag: candidate for own in candidates for candidate in own}
    while True:
        tried = False
        for tag in sorted(stock, key=lambda tag: (stock[tag].piece.outline.usable_area_mm2, tag)):
            for place, wanted in enumerate(_wanted(asks, candidates, alone, best, tag)):
                before = list(best)
                guests = _guests(asks, candidates, before, tag, wanted)
                if not guests:
                    continue
                tried = True
                laying = False
                for laid in ends.laid(stock[tag].piece.outline, guests) if place == 0 else ():
                    laying = True
                    yield None if laid is None else _with(asks, before, wanted, guests, laid)
                if laying:
                    break
                nest = nests.nest_of(stock[tag].piece.outline, guests)
                for _ in range(rounds // LESS_ALONE if place else rounds):
                    moves = nest.work(min(len(guests), MOST_MOVES))
                    yield None if moves is None else _with(asks, before, wanted, guests, dict(enumerate(moves)))
                    if moves is not None:
                        break
                if list(best) != before:
                    break
        if not tried:
            return
        rounds *= 2


def _wanted(
    asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]], alone: Plan, best: Plan, tag: str
) -> Iterator[tuple[int, ...]]:
    """Patches worth putting whole on a donor: all that it has area for, then each by itself."""
    own = [
        index
        for index, ask in enumerate(asks)
        if _could_gain(ask, best[index], alone[index]) and any(each.piece.tag == tag for each in candidates[index])
    ]
    own.sort(key=lambda index: (best[index] is not None, -abs(area_mm2(asks[index].shape.cut)), index))
    outlines = [candidate.piece.outline for each in candidates for candidate in each if candidate.piece.tag == tag]
    room = sum(outline.usable_area_mm2 + 2 * TOLERANCE_MM * outline.usable.length for outline in outlines[:1])
    room -= sum(abs(area_mm2(cut)) for made in best if made is not None for at, cut in made.cuts if at == tag)
    together: list[int] = []
    for index in own:
        area = abs(area_mm2(asks[index].shape.cut))
        if area <= room:
            together.append(index)
            room -= area
    if len(together) > 1:
        yield tuple(together)
    yield from ((index,) for index in together)


def _could_gain(ask: Ask, made: Made | None, alone: Made | None) -> bool:
    """True if a patch is not whole, but could be from untouched stock."""
    if alone is None or len(alone.parts) > 1:
        return False
    return made is None or len(made.parts) > 1 or made.look.key > alone.look.key


def _guests(
    asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]], best: Plan, tag: str, wanted: Sequence[int]
) -> list[_Guest]:
    """What lies on a donor and the patches wanted there too; nothing if one of those can't lie there, or if they are too many."""
    guests = [
        guest for index in range(len(asks)) if index not in wanted for guest in _lying(asks[index], index, best[index], tag)
    ]
    for index in wanted:
        donor = _whole_donor(asks[index], candidates[index], tag)
        if donor is None:
            return []
        guests.append(_guest(asks[index], index, 0, Leaf(asks[index].shape, donor)))
    guests.sort(key=lambda guest: (guest.patch, guest.leaf))
    return guests if len(guests) <= MOST_PARTS and all(guest.sites != () for guest in guests) else []


def _whole_donor(ask: Ask, candidates: Sequence[Candidate], tag: str) -> Donor | None:
    """The uncut piece, lying as it best may for the whole patch; None if it can't lie there."""
    own = [candidate for candidate in candidates if candidate.piece.tag == tag]
    able = [donor for donor in donors_of(ask.patch, own, {tag: own[0].piece.outline}) if ask.lies(ask.shape, donor)]
    return min(able, key=lambda donor: look_of(ask, Leaf(ask.shape, donor)).key, default=None)


def _lying(ask: Ask, index: int, made: Made | None, tag: str) -> Iterator[_Guest]:
    """The parts of a patch that lie on a donor."""
    for number, leaf in enumerate(leaves(made.layout) if made is not None else ()):
        if leaf.donor.tag == tag:
            donor = replace(leaf.donor, left=leaf.donor.candidate.piece.outline)
            yield _guest(ask, index, number, Leaf(leaf.shape, donor))


def _guest(ask: Ask, index: int, number: int, leaf: Leaf) -> _Guest:
    donor = leaf.donor
    patterned = ask.motif is not None and donor.candidate.style.repeat is not None
    sites = tuple(turned_point(move, whole_turn(-donor.turn_deg)) for move in ask.moves(leaf.shape, donor) or ())
    ring = turned_ring(leaf.shape.cut, whole_turn(-donor.turn_deg))
    return _Guest(index, number, donor, ring, sites if patterned else None)


def _with(
    asks: Sequence[Ask], best: Plan, wanted: Sequence[int], guests: Sequence[_Guest], moves: Mapping[int, Point]
) -> list[Made | None] | None:
    """The plan with the guests moved, and those wanted made whole; without the patches of which a guest has no move."""
    plan = list(best)
    for index in dict.fromkeys(guest.patch for guest in guests):
        numbers = [number for number, guest in enumerate(guests) if guest.patch == index]
        if not moves.keys() >= set(numbers):
            plan[index] = None
            continue
        own = {guests[number].leaf: (guests[number].donor, moves[number]) for number in numbers}
        before = best[index]
        if index in wanted or before is None:
            layout: Layout = Leaf(asks[index].shape, own[0][0])
            laid: list[Point] = [(0.0, 0.0)]
        else:
            layout, laid = _on(before.layout, {leaf: donor for leaf, (donor, _) in own.items()}), list(before.moves)
        for leaf, (donor, move) in own.items():
            laid[leaf] = turned_point(move, donor.turn_deg)
        plan[index] = settled(asks[index], Option(layout, tuple(laid)))
        if plan[index] is None:
            return None
    return plan


def _on(layout: Layout, donors: dict[int, Donor], first: int = 0) -> Layout:
    """The layout with some leaves, by number, on other donors."""
    if isinstance(layout, Leaf):
        return Leaf(layout.shape, donors.get(first, layout.donor))
    low = _on(layout.low, donors, first)
    return Joint(layout.split, layout.at, low, _on(layout.high, donors, first + len(leaves(layout.low))))
