"""What a search for an order works on, and how it judges cuts: a rough packing, a bound, and in earnest."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field

from remnants.estimating.pattern_places import item_of, microns
from remnants.model import Construction
from remnants.model.order_plan import ROLL, Cut, Laying, Placed
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors
from remnants.packing import StripPacking, StripProblem, Watch, lower_bound, pack_roughly, pack_strip

__all__ = ["Corners", "Told", "Work"]

Corners = Sequence[tuple[int, int]]

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

    def problem(self, cuts: Iterable[Cut]) -> StripProblem:
        """The cuts as the packer knows them."""
        width = self.roll.width_mm
        return StripProblem(microns(width), tuple(item_of(cut, self.roll.repeat, width) for cut in cuts))

    def pack(self, cuts: Iterable[Cut], watch: Watch) -> StripPacking:
        """The cuts laid on the roll."""
        return pack_strip(
            self.problem(cuts), watch=watch, seed=self.seed, told=lambda length, bound: self.told(length / 1000, bound / 1000)
        )

    def quick(self, cuts: Iterable[Cut]) -> tuple[float, Corners]:
        """Roughly the roll that the cuts take (mm), and their corners on it (µm)."""
        length, corners = pack_roughly(self.problem(cuts))
        return length / 1000, corners

    def quick_mm(self, cuts: Iterable[Cut]) -> float:
        """Roughly the roll that the cuts take (mm)."""
        return self.quick(cuts)[0]

    def bound_mm(self, cuts: Iterable[Cut]) -> float:
        """Roll that the cuts take at least (mm), found without search."""
        return lower_bound(self.problem(cuts)) / 1000

    def tell(self, cuts: Iterable[Cut]) -> None:
        """Tells how the search stands with these cuts."""
        chosen = tuple(cuts)
        self.told(self.quick_mm(chosen), self.bound_mm(chosen))

    def on_roll(self, cuts: Iterable[Cut], corners: Corners) -> tuple[Placed, ...]:
        """The cuts with their corners (µm) on the roll."""
        return tuple(Placed(cut, ROLL, (x / 1000, y / 1000)) for cut, (x, y) in zip(cuts, corners, strict=True))
