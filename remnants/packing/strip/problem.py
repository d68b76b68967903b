"""Rectangles on a strip: what is asked, and what the answer is. Whole numbers of any one unit (we use micrometres).

The strip is `width` across (x) and as long (y) as it takes; nothing is turned. An item may be tied to a lattice, so that
a pattern woven into the strip falls where it must.
"""

from dataclasses import dataclass
from enum import StrEnum

from remnants.errors import BadInput, Fault

__all__ = ["Item", "Lattice", "StripPacking", "StripProblem", "WhyStopped"]


@dataclass(frozen=True, slots=True)
class Lattice:
    """Where an item's corner may lie: x = x0 + k * across, y = y0 + k * drop + m * along, for any whole k and m.

    0 <= x0 < across, 0 <= y0 < along, 0 <= drop < along.
    """

    x0: int
    across: int
    y0: int
    along: int
    drop: int = 0

    def along_start(self, x: int) -> int:
        """The least y >= 0 that goes with `x`, which must be of the lattice."""
        return (self.y0 + (x - self.x0) // self.across * self.drop) % self.along

    def holds(self, x: int, y: int) -> bool:
        """True when (x, y) is a point of the lattice."""
        return (x - self.x0) % self.across == 0 and (y - self.along_start(x)) % self.along == 0


@dataclass(frozen=True, slots=True)
class Item:
    """A rectangle `width` across and `length` along the strip."""

    width: int
    length: int
    lattice: Lattice | None = None


@dataclass(frozen=True)
class StripProblem:
    """A strip's width and what must lie on it. Raises BadInput for an item that no strip this wide can hold."""

    width: int
    items: tuple[Item, ...]

    def __post_init__(self) -> None:
        faults = [] if self.width > 0 else [Fault("width", f"{self.width!r} is no width: give one above zero")]
        for index, item in enumerate(self.items):
            where = f"items[{index}]"
            if item.width <= 0 or item.length <= 0:
                faults.append(Fault(where, f"{item.width} x {item.length} has no size"))
            elif item.width + (item.lattice.x0 if item.lattice else 0) > self.width:
                faults.append(Fault(where, f"{item.width} across does not fit a strip {self.width} wide"))
        if faults:
            raise BadInput(faults)

    @property
    def area(self) -> int:
        """Sum of the items' areas."""
        return sum(item.width * item.length for item in self.items)


class WhyStopped(StrEnum):
    """Why a search ended."""

    BEST_POSSIBLE = "best possible"
    LIMIT = "limit reached"
    TIME = "time was up"
    ASKED = "asked to stop"


@dataclass(frozen=True)
class StripPacking:
    """Corner (x, y) of every item, in the order of the problem; no plan is shorter than `bound`."""

    corners: tuple[tuple[int, int], ...]
    length: int
    bound: int
    why: WhyStopped
    tries: int
    seconds: float
    seed: int

    @property
    def gap(self) -> float:
        """By how much of its length the plan may be longer than the best: 0 when it is the best possible."""
        return (self.length - self.bound) / self.length if self.length else 0.0
