"""Rectangles on a strip that may be divided across it, as the breadths of a floor are: which pieces, and where on the strip?

Whole numbers of any one unit. Where an item is divided lies open until it is packed: so a piece can be just as wide as the gap
that it fills. What a division costs is width, the seam that is trimmed from both pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Divided", "DividedProblem", "Divisible", "Piece"]


@dataclass(frozen=True, slots=True)
class Divisible:
    """Something to be laid in one of several ways: the width and length that it takes in each, None where it can't be.

    Items with the same `turn` are all laid in the same of their ways. One that is `whole` must not be divided.
    """

    sizes: tuple[tuple[int, int] | None, ...]
    turn: int
    whole: bool = False


@dataclass(frozen=True, slots=True)
class DividedProblem:
    """A strip's width, what must lie on it, what each division adds to the width, and the narrowest piece.

    Pieces are cut in widths that are multiples of `step`, rounded up where need be.
    """

    width: int
    items: tuple[Divisible, ...]
    seam: int
    least: int
    step: int = 1

    def in_steps(self, width: int) -> int:
        """The width to cut."""
        return -(-width // self.step) * self.step

    def fewest(self, width: int) -> int:
        """Divisions that something so wide can't do without."""
        return max(0, -(-(width - self.width) // (self.width - self.seam)))

    def least_area(self) -> int:
        """Area that all items take at least, with the divisions that they can't do without."""
        by_turn: dict[int, list[int]] = {}
        for item in self.items:
            known = by_turn.setdefault(item.turn, [0] * len(item.sizes))
            for way, size in enumerate(item.sizes):
                known[way] += BEYOND_ANY if size is None else (size[0] + self.seam * self.fewest(size[0])) * size[1]
        return sum(min(areas) for areas in by_turn.values())


BEYOND_ANY = 1 << 54
"""A larger area than any."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of an item, laid in that way: its corner and how wide it is cut."""

    item: int
    way: int
    x: int
    y: int
    width: int


@dataclass(frozen=True)
class Divided:
    """All items, divided and laid out on the strip."""

    pieces: tuple[Piece, ...]
    length: int

    @property
    def divisions(self) -> int:
        """How often something is divided."""
        return len(self.pieces) - len({piece.item for piece in self.pieces})

    def of(self, item: int) -> Sequence[Piece]:
        """The pieces of one item."""
        return [piece for piece in self.pieces if piece.item == item]
