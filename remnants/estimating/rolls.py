"""Rolls as they come: which floor is cut from which roll, none from two, floors seen together of one lot, and what is ordered."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from remnants.errors import NoPlan
from remnants.estimating.lengths import in_lengths
from remnants.estimating.roll.work import Corners, Work
from remnants.estimating.roll_lengths import longest_told
from remnants.estimating.stock.what_fits import seen_together
from remnants.geometry import TOLERANCE_MM
from remnants.model.order_plan import Cut, Laying, Placed, Taken
from remnants.model.order_rules import Roll
from remnants.packing import StripPacking, Watch, WhyStopped
from remnants.units import Unit, write_length

__all__ = ["OnRolls", "lot_key", "on_rolls", "set_in_lengths"]

MOST_TRIED = 9
"""Floors of which every way to share them out is tried, up to so many steps; of more, a few good ones."""

MOST_STEPS = 600
CUTS_PER_TRY = 100
"""Cuts packed quickly that count for one try."""
FIT_TRIES, FIT_SHARE = 20, 0.03
"""Effort to see whether cuts fit a roll that a quick packing finds too short."""


@dataclass(frozen=True)
class OnRolls:
    """Cuts on their rolls. `rolls` is empty where nobody told how long rolls are; `bound_mm` is the least for these cuts."""

    placed: tuple[Placed, ...]
    rolls: tuple[Taken, ...]
    length_mm: float
    bound_mm: float
    why: str


@dataclass(frozen=True)
class _One:
    """A roll: its name, its lot, what tells its lot from others, and what it gives without and with its end loss (mm)."""

    name: str
    lot: str
    lot_key: str
    usable_mm: float
    length_mm: float


def on_rolls(work: Work, cuts: Sequence[Cut], watch: Watch) -> OnRolls:
    """The cuts on as much roll as they take. Raises NoPlan, telling why, where the rolls that there are can't give them."""
    if not work.roll.comes_in_lengths:
        packing = work.pack(cuts, watch)
        placed = work.on_roll(cuts, packing.corners)
        return OnRolls(placed, (), packing.length / 1000, packing.bound / 1000, packing.why.value)
    if not cuts:
        return OnRolls((), (), 0.0, 0.0, "")
    return _Sharing(work, cuts, watch).shared()


Shares = tuple[tuple[int, ...], ...]
"""For each roll the places of the floors that are cut from it."""


def set_in_lengths(on: OnRolls, layings: Sequence[Laying], roll: Roll) -> OnRolls:
    """The same cuts on the same rolls, in as many full-width lengths as go, those of a floor one after another."""
    order = {cut.name: place for place, cut in enumerate(cut for laying in layings for cut in laying.cuts)}
    if not on.rolls:
        anew = in_lengths(on.placed, roll.width_mm, order)
        return replace(on, placed=anew, length_mm=_end(anew), bound_mm=min(on.bound_mm, _end(anew)))
    placed: tuple[Placed, ...] = ()
    rolls: list[Taken] = []
    start = 0.0
    for taken in on.rolls:
        end = taken.start_mm + taken.ordered_mm - roll.end_loss_mm
        here = [each for each in on.placed if taken.start_mm - TOLERANCE_MM <= each.at[1] < end - TOLERANCE_MM]
        anew = in_lengths(here, roll.width_mm, order)
        length = _end(anew)
        most = next((each.length_mm for each in roll.there if each.name == taken.name), roll.length_mm)
        ordered = min(roll.ordered_mm(length), most)
        placed += tuple(replace(each, at=(each.at[0], each.at[1] + start)) for each in anew)
        rolls.append(replace(taken, start_mm=start, length_mm=length, ordered_mm=ordered))
        start += ordered - roll.end_loss_mm
    total = sum(each.length_mm for each in rolls)
    return replace(on, placed=placed, rolls=tuple(rolls), length_mm=total, bound_mm=min(on.bound_mm, total))


def _end(placed: Sequence[Placed]) -> float:
    return max((each.at[1] + each.cut.length_mm for each in placed), default=0.0)


class _Sharing:
    """Floors shared out over rolls; what a roll holds is looked up where it was packed before."""

    def __init__(self, work: Work, cuts: Sequence[Cut], watch: Watch) -> None:
        self._work, self._watch, self._cuts = work, watch, cuts
        names = list(dict.fromkeys(cut.room for cut in cuts))
        self._floors = [tuple(cut for cut in cuts if cut.room == name) for name in names]
        views = seen_together(work.floors)
        self._view = [next(place for place, view in enumerate(views) if name in view) for name in names]
        self._names = names
        self._ones = _ones(work.roll, len(names))
        self._packed: dict[tuple[int, ...], tuple[float, Corners]] = {}
        self._exact: set[tuple[int, ...]] = set()
        self._steps = MOST_STEPS

    def shared(self) -> OnRolls:
        """The least to order that is found, then the fewest rolls."""
        for place in range(len(self._floors)):
            if not any(self._fits((place,), one) for one in self._ones):
                raise NoPlan(self._too_long(place))
        found: list[Shares] = []
        for order in self._orders():
            shares = None if found and self._watch.over() else self._one_by_one(order)
            found += [shares] if shares else []
        if len(self._floors) <= MOST_TRIED:
            found += self._every(self._orders()[0])
        if not found:
            raise NoPlan(self._too_little())
        return self._laid(min(found, key=self._worth))

    def _worth(self, shares: Shares) -> tuple[float, int, Shares]:
        rolls = [(one, share) for one, share in zip(self._ones, shares, strict=True) if share]
        ordered = sum(_ordered(self._work.roll, one, self._length(share)) for one, share in rolls)
        return round(ordered, 3), len(rolls), shares

    def _orders(self) -> list[list[int]]:
        """Orders in which floors are given their rolls: what is seen together at once, the largest or the longest first."""
        area = [sum(cut.width_mm * cut.length_mm for cut in cuts) for cuts in self._floors]
        long = [max(cut.length_mm for cut in cuts) for cuts in self._floors]
        view = {each: -sum(a for a, other in zip(area, self._view, strict=True) if other == each) for each in self._view}
        places = range(len(self._floors))
        return [
            sorted(places, key=lambda place: (view[self._view[place]], self._view[place], -area[place], place)),
            sorted(places, key=lambda place: (-long[place], place)),
            sorted(places, key=lambda place: (-area[place], place)),
        ]

    def _one_by_one(self, order: Sequence[int]) -> Shares | None:
        """Each floor from the first roll that holds it too."""
        shares: Shares = ((),) * len(self._ones)
        for place in order:
            found = next(self._with(shares, place), None)
            if found is None:
                return None
            shares = found
        return shares

    def _every(self, order: Sequence[int], shares: Shares | None = None) -> Iterator[Shares]:
        shares = shares or ((),) * len(self._ones)
        if not order:
            yield shares
            return
        for each in self._with(shares, order[0]):
            self._steps -= 1
            if self._steps < 0:
                return
            yield from self._every(order[1:], each)

    def _with(self, shares: Shares, place: int) -> Iterator[Shares]:
        """The same with one floor more, from rolls cut already first; of rolls alike and whole yet, from the first alone."""
        lots = {
            self._ones[at].lot_key for at, share in enumerate(shares) for other in share if self._view[other] == self._view[place]
        }
        begun = [at for at, share in enumerate(shares) if share]
        kinds = {(self._ones[at].lot_key, self._ones[at].usable_mm): at for at in reversed(range(len(shares))) if not shares[at]}
        for at in (*begun, *sorted(kinds.values())):
            one, share = self._ones[at], tuple(sorted((*shares[at], place)))
            if (not lots or one.lot_key in lots) and self._fits(share, one):
                yield (*shares[:at], share, *shares[at + 1 :])

    def _fits(self, share: tuple[int, ...], one: _One) -> bool:
        room = one.usable_mm + TOLERANCE_MM
        if self._length(share) <= room:
            return True
        cuts = self._of(share)
        if share in self._exact or self._work.bound_mm(cuts) > room:
            return False
        self._exact.add(share)
        self._keep(share, self._work.pack(cuts, self._watch.part(FIT_SHARE, tries=FIT_TRIES)))
        return self._length(share) <= room

    def _keep(self, share: tuple[int, ...], packing: StripPacking) -> None:
        if packing.length / 1000 < self._length(share):
            self._packed[share] = packing.length / 1000, packing.corners

    def _of(self, share: Sequence[int]) -> list[Cut]:
        return [cut for place in share for cut in self._floors[place]]

    def _length(self, share: tuple[int, ...]) -> float:
        if share not in self._packed:
            self._watch.count(sum(len(self._floors[place]) for place in share) / CUTS_PER_TRY)
            self._packed[share] = self._work.quick(self._of(share))
        return self._packed[share][0]

    def _laid(self, shares: Shares) -> OnRolls:
        used = [(one, share) for one, share in zip(self._ones, shares, strict=True) if share]
        placed: list[Placed] = []
        rolls: list[Taken] = []
        start, whys = 0.0, list[str]()
        for index, (one, share) in enumerate(used):
            cuts = self._of(share)
            packing = self._work.pack(cuts, self._watch.part(1 / (len(used) - index)))
            self._keep(share, packing)
            whys.append(packing.why.value)
            length, corners = self._packed[share]
            ordered = _ordered(self._work.roll, one, length)
            on_it = self._work.on_roll(cuts, corners)
            placed += [replace(each, at=(each.at[0], each.at[1] + start)) for each in on_it]
            rolls.append(Taken(one.name, one.lot, start, length, ordered))
            start += ordered - self._work.roll.end_loss_mm
        total = sum(each.length_mm for each in rolls)
        why = next((each for each in whys if each != WhyStopped.BEST_POSSIBLE.value), EACH_BEST if whys else "")
        return OnRolls(tuple(placed), tuple(rolls), total, min(total, self._work.bound_mm(self._cuts)), why)

    def _too_long(self, place: int) -> str:
        least = self._written(self._work.bound_mm(self._floors[place]))
        longest = longest_told(self._work.roll, self._unit)
        return f"{self._names[place]!r} takes at least {least} of one roll, and {longest}: {TO_DO}"

    def _too_little(self) -> str:
        least = self._work.bound_mm(self._cuts)
        held = sum(one.usable_mm for one in self._ones)
        told = ", ".join(f"{one.name} {self._written(one.length_mm)}" for one in self._ones[:8])
        if least > held + TOLERANCE_MM:
            return f"the cuts take at least {self._written(least)}, and the rolls hold {self._written(held)} ({told}): {MORE}"
        return f"no way was found to cut each floor from one roll, floors seen together from one lot ({told}): {MORE}"

    def _written(self, length_mm: float) -> str:
        return write_length(length_mm, self._unit)

    @property
    def _unit(self) -> Unit:
        return Unit(self._work.floors.unit)


EACH_BEST = "each roll as short as its cuts go"
"""Why nothing shorter was looked for, though other floors on other rolls might be."""

TO_DO = "no room is joined from two rolls; get a longer one, or lay it another way"
MORE = "get another roll of the same lot, or leave a room out"


def _ones(roll: Roll, floors: int) -> tuple[_One, ...]:
    """The rolls there are; of rolls all alike as many as there are floors."""
    if roll.there:
        return tuple(
            _One(
                each.name,
                each.lot,
                lot_key(each.name, each.lot),
                each.length_mm - roll.end_loss_mm,
                each.length_mm,
            )
            for each in roll.there
        )
    return tuple(_One(f"roll {n + 1}", roll.lot, "", roll.longest_mm, roll.length_mm) for n in range(floors))


def lot_key(name: str, lot: str) -> str:
    """What tells the lot of a roll from others: one that nobody told is taken for a lot of its own."""
    return lot.strip().casefold() or f" {name}"


def _ordered(roll: Roll, one: _One, length_mm: float) -> float:
    """What is ordered of a roll: as it is sold, and no more than is on it."""
    return min(roll.ordered_mm(length_mm), one.length_mm)
