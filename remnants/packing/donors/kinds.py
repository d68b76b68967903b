"""A packing problem with like parts and like donors counted instead of told apart."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.packing.donors.problem import DonorProblem, Spot

__all__ = ["Filling", "Kind", "Kinds", "Lay", "Sort", "kinds_of"]


@dataclass(frozen=True, slots=True)
class Sort:
    """Parts that are alike: their size, and which of the problem's parts they are."""

    width: int
    length: int
    parts: tuple[int, ...]

    @property
    def area(self) -> int:
        """Width times length."""
        return self.width * self.length


@dataclass(frozen=True, slots=True)
class Kind:
    """Donors that are alike: size, cost, the sorts that may lie on them, and which of the problem's donors they are."""

    width: int
    length: int
    cost: int
    sorts: frozenset[int]
    donors: tuple[int, ...]

    @property
    def area(self) -> int:
        """Width times length."""
        return self.width * self.length


@dataclass(frozen=True, slots=True)
class Filling:
    """One donor of a kind with parts of some sorts on it: (sort, x, y) each."""

    kind: int
    spots: tuple[tuple[int, int, int], ...]
    sorts: tuple[int, ...]

    @classmethod
    def of(cls, kind: int, spots: Iterable[tuple[int, int, int]]) -> "Filling":
        """The filling with these spots; `sorts` is what lies on it, sorted."""
        laid = tuple(spots)
        return cls(kind, laid, tuple(sorted(sort for sort, _, _ in laid)))


@dataclass(frozen=True, slots=True)
class Lay:
    """A plan: fillings, and how many of each sort are missing."""

    fillings: tuple[Filling, ...]
    missing: tuple[int, ...]
    cost: int

    @property
    def rank(self) -> tuple[int, int]:
        """Less is better: parts missing, then cost."""
        return sum(self.missing), self.cost


@dataclass(frozen=True)
class Kinds:
    """The sorts of parts and the kinds of donors of a problem."""

    sorts: tuple[Sort, ...]
    kinds: tuple[Kind, ...]

    @cached_property
    def demand(self) -> tuple[int, ...]:
        """How many of each sort are wanted."""
        return tuple(len(sort.parts) for sort in self.sorts)

    @cached_property
    def supply(self) -> tuple[int, ...]:
        """How many of each kind there are."""
        return tuple(len(kind.donors) for kind in self.kinds)

    def lay(self, fillings: Iterable[Filling]) -> Lay:
        """The plan of these fillings; where they hold more of a sort than is wanted, the last of them are taken out."""
        left = list(self.demand)
        kept = []
        for filling in fillings:
            spots = []
            for spot in filling.spots:
                if left[spot[0]]:
                    left[spot[0]] -= 1
                    spots.append(spot)
            if spots:
                kept.append(filling if len(spots) == len(filling.spots) else Filling.of(filling.kind, spots))
        return Lay(tuple(kept), tuple(left), sum(self.kinds[filling.kind].cost for filling in kept))

    def spots(self, lay: Lay) -> tuple[Spot, ...]:
        """The plan told in the problem's own parts and donors, by part."""
        parts = [iter(sort.parts) for sort in self.sorts]
        donors = [iter(kind.donors) for kind in self.kinds]
        laid = []
        for filling in lay.fillings:
            donor = next(donors[filling.kind])
            laid += [Spot(next(parts[sort]), donor, x, y) for sort, x, y in filling.spots]
        return tuple(sorted(laid, key=lambda spot: spot.part))


def kinds_of(problem: DonorProblem) -> Kinds:
    """Counts like parts and like donors; both keep the problem's order."""
    ties = sorted({part.donors for part in problem.parts if part.donors is not None}, key=sorted)
    grouped: dict[tuple[int, int, frozenset[int] | None], list[int]] = defaultdict(list)
    for index, part in enumerate(problem.parts):
        grouped[part.width, part.length, part.donors].append(index)
    alike: dict[tuple[int, int, int, tuple[bool, ...]], list[int]] = defaultdict(list)
    for index, donor in enumerate(problem.donors):
        alike[donor.width, donor.length, donor.cost, tuple(index in tie for tie in ties)].append(index)
    sorts = tuple(Sort(width, length, tuple(parts)) for (width, length, _), parts in grouped.items())
    wanted = [(width, length, -1 if tie is None else ties.index(tie)) for width, length, tie in grouped]
    kinds = tuple(
        Kind(width, length, cost, _held(width, length, tied, wanted), tuple(donors))
        for (width, length, cost, tied), donors in alike.items()
    )
    return Kinds(sorts, kinds)


def _held(width: int, length: int, tied: Sequence[bool], wanted: Sequence[tuple[int, int, int]]) -> frozenset[int]:
    """The sorts that a donor of this size and with these ties may hold."""
    return frozenset(
        sort
        for sort, (part_width, part_length, tie) in enumerate(wanted)
        if part_width <= width and part_length <= length and (tie < 0 or tied[tie])
    )
