"""Long lists leaf by leaf: which lines of a list a page shows, and where the others are."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from remnants_web.choices import digits

__all__ = ["Leaf", "leaf_of", "leaf_of_pieces", "leaf_of_places"]

PIECES_A_LEAF = 100
"""A drawing each: a page of some 150 KB."""

PLACES_A_LEAF = 300

Line = TypeVar("Line")


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf of a list of `count` lines, `most` a leaf; `number` counts from 1. A short or empty list has one."""

    number: int
    most: int
    count: int

    @property
    def skipped(self) -> int:
        """How many lines stand on the leaves before it."""
        return (self.number - 1) * self.most

    @property
    def first(self) -> int:
        """The place of its first line in the list, counted from 1."""
        return min(self.skipped + 1, self.count)

    @property
    def last(self) -> int:
        """The place of its last line in the list, counted from 1."""
        return min(self.skipped + self.most, self.count)

    @property
    def leaves(self) -> int:
        """How many leaves the list has."""
        return max(-(-self.count // self.most), 1)

    def of(self, lines: Sequence[Line]) -> Sequence[Line]:
        """Its lines, of the whole list."""
        return lines[self.skipped : self.skipped + self.most]


def leaf_of(count: int, asked: str, *, most: int) -> Leaf:
    """The leaf that an address asks for (`?leaf=2`) of a list of so many lines: the first one where it asks for none.

    The last one where it asks for one behind it, as when pieces went since.
    """
    last = Leaf(1, most, count).leaves
    return Leaf(min(max(digits(asked) or 1, 1), last), most, count)


def leaf_of_pieces(count: int, asked: str) -> Leaf:
    """The leaf that an address asks for of the pieces at a place, for all that stands on its page and is made from there."""
    return leaf_of(count, asked, most=PIECES_A_LEAF)


def leaf_of_places(count: int, asked: str) -> Leaf:
    """The leaf that an address asks for of a list of places."""
    return leaf_of(count, asked, most=PLACES_A_LEAF)
