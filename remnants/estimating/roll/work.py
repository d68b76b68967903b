"""What a search for an order works on, and how it judges cuts: a rough packing, a bound, and in earnest."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from remnants.estimating.pattern_places import item_of, microns
from remnants.model import Construction
from remnants.model.order_plan import ROLL, Cut, Laying, Placed
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors
from remnants.packing import StripPacking, StripProblem, Watch, lower_bound, pack_roughly, pack_strip

__all__ = ["Corners", "Told", "Work"]

Corners = Sequence[tuple[int, int]]

Sizes = tuple[tuple[int, int], ...]

Told = Callable[[float, float], None]
"""Is told of each better plan: roll taken and the least possible for its cuts (mm)."""


@dataclass(frozen=True)
class Work:
    """What does not change during a search: the floors `asked` for, and as they are to be laid (some rooms perhaps as one)."""

    asked: Floors
    floors: Floors
    roll: Roll
    rules: OrderRules
    construction: Construction
    seed: int
    watch: Watch
    told: Told
    beside_mm: tuple[float, ...] = ()
    """Widths that cuts of some floors leave on the roll beside them (mm): fills may be as wide."""
    known: dict[Hashable, tuple[str, list[Laying]]] = field(default_factory=dict, compare=False)
    """Ways of rooms at a bearing that were looked at already, with the name of the first such room."""

    packed: dict[Sizes, tuple[int, tuple[tuple[int, int], ...]]] = field(default_factory=dict, compare=False)
    """Packings found while floors were divided: of cuts by their sizes, smallest first, the length and the corners (µm)."""

    def problem(self, cuts: Iterable[Cut]) -> StripProblem:
        """The cuts as the packer knows them."""
        width = self.roll.width_mm
        return StripProblem(microns(width), tuple(item_of(cut, self.roll.repeat, width) for cut in cuts))

    def pack(self, cuts: Iterable[Cut], watch: Watch) -> StripPacking:
        """The cuts laid on the roll."""
        problem = self.problem(cuts)
        known = self._remembered(problem)

        def told(length: int, bound: int) -> None:
            self.told(length / 1000, bound / 1000)

        return pack_strip(problem, watch=watch, seed=self.seed, told=told, start=known[1] if known else None)

    def quick(self, cuts: Iterable[Cut]) -> tuple[float, Corners]:
        """Roughly the roll that the cuts take (mm), and their corners on it (µm)."""
        problem = self.problem(cuts)
        length, corners = self._remembered(problem) or pack_roughly(problem)
        return length / 1000, corners

    def quick_mm(self, cuts: Iterable[Cut]) -> float:
        """Roughly the roll that the cuts take (mm)."""
        return self.quick(cuts)[0]

    def bound_mm(self, cuts: Iterable[Cut]) -> float:
        """Roll that the cuts take at least (mm), found without search."""
        return lower_bound(self.problem(cuts)) / 1000

    def remember(self, cuts: Iterable[Cut], corners: Corners) -> None:
        """Keeps where cuts lie (µm), if none lies over another or the roll's side, and it is shorter than a quick packing."""
        problem = self.problem(cuts)
        boxes = [(x, y, x + item.width, y + item.length) for (x, y), item in zip(corners, problem.items, strict=True)]
        apart = all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(boxes, 2))
        length = max((box[3] for box in boxes), default=0)
        if apart and all(box[2] <= problem.width for box in boxes) and length < self.quick(cuts)[0] * 1000:
            order, sizes = _by_size(problem)
            self.packed[sizes] = length, tuple(corners[place] for place in order)

    def _remembered(self, problem: StripProblem) -> tuple[int, Corners] | None:
        if not self.packed:
            return None
        order, sizes = _by_size(problem)
        if sizes not in self.packed:
            return None
        length, corners = self.packed[sizes]
        at = dict(zip(order, corners, strict=True))
        return length, [at[place] for place in range(len(order))]

    def tell(self, cuts: Iterable[Cut]) -> None:
        """Tells how the search stands with these cuts."""
        chosen = tuple(cuts)
        self.told(self.quick_mm(chosen), self.bound_mm(chosen))

    def on_roll(self, cuts: Iterable[Cut], corners: Corners) -> tuple[Placed, ...]:
        """The cuts with their corners (µm) on the roll."""
        return tuple(Placed(cut, ROLL, (x / 1000, y / 1000)) for cut, (x, y) in zip(cuts, corners, strict=True))


def _by_size(problem: StripProblem) -> tuple[list[int], Sizes]:
    """The places of the cuts from the smallest on, and their sizes."""
    sizes = [(item.width, item.length) for item in problem.items]
    order = sorted(range(len(sizes)), key=lambda place: sizes[place])
    return order, tuple(sizes[place] for place in order)
