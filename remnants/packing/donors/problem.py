"""Rectangles on donors: what is asked, and what the answer is. Whole numbers of any one unit (we use micrometres).

A donor is `width` across (x) and `length` along (y), and so is a part; nothing is turned. Each donor may have its own size and
cost, and each part may be tied to some of the donors.
"""

from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.packing.strip.problem import WhyStopped

__all__ = ["Donor", "DonorPacking", "DonorProblem", "Part", "Spot"]


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle `width` across and `length` along; `donors` names those that it may be cut from, None for any."""

    width: int
    length: int
    donors: frozenset[int] | None = None


@dataclass(frozen=True, slots=True)
class Donor:
    """A rectangle to cut from, and what using it costs, however little is cut from it."""

    width: int
    length: int
    cost: int = 1


@dataclass(frozen=True)
class DonorProblem:
    """What must be cut, and what from. Raises BadInput for a size or a cost not above zero and for a donor that isn't there."""

    parts: tuple[Part, ...]
    donors: tuple[Donor, ...]

    def __post_init__(self) -> None:
        sized: list[tuple[str, Part | Donor]] = [*((f"parts[{i}]", part) for i, part in enumerate(self.parts))]
        sized += [*((f"donors[{i}]", donor) for i, donor in enumerate(self.donors))]
        faults = [
            Fault(where, f"{one.width} x {one.length} has no size") for where, one in sized if one.width <= 0 or one.length <= 0
        ]
        faults += [
            Fault(f"donors[{index}].cost", f"{donor.cost!r} is no cost: give a whole number above zero")
            for index, donor in enumerate(self.donors)
            if donor.cost <= 0
        ]
        for index, part in enumerate(self.parts):
            unknown = sorted(donor for donor in part.donors or () if not 0 <= donor < len(self.donors))
            faults += [Fault(f"parts[{index}].donors", f"there is no donor {donor}") for donor in unknown]
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True, slots=True)
class Spot:
    """A part on a donor (both by their place in the problem), its least corner at (x, y)."""

    part: int
    donor: int
    x: int
    y: int


@dataclass(frozen=True)
class DonorPacking:
    """The best plan found: first the fewest parts left out, then the least cost.

    `bound` is proved: no plan that places every part costs less. `why` tells what ended the search.
    """

    spots: tuple[Spot, ...]
    unplaced: tuple[int, ...]
    cost: int
    bound: int
    why: WhyStopped
    tries: int
    seconds: float
    seed: int

    @property
    def donors(self) -> tuple[int, ...]:
        """The donors used, each once, in order."""
        return tuple(sorted({spot.donor for spot in self.spots}))
