"""How good a plan is: the preference as one frozen value with named terms, first term first, less is better.

The order is the trade's habit (common practice, no source): fill what can be filled; then show as little as can be; then trouble
as few people and floors as can be; then spend as little stock as can be. Tags never decide between plans that differ.
"""

from dataclasses import dataclass, field

__all__ = ["NO_TROUBLE", "STEP_MM2", "TERMS", "TROUBLE_TIERS", "Merit", "Rank", "Trouble", "reaches", "thrift_key"]

Rank = tuple[int, int]
"""A sight's grade as it is compared: its worst case, then its best."""

Trouble = tuple[int, int, int, int, int, int]
"""Floors or people to be troubled, of the highest tier first: seen floors and other houses, other customers, hidden floors; then
what is fetched from elsewhere in the shop: branches that nobody told how far they are, km to other branches, vans."""

TROUBLE_TIERS = (3, 2, 1, 0, -1, -2)
"""The tier that each of them counts."""

NO_TROUBLE: Trouble = (0, 0, 0, 0, 0, 0)

STEP_MM2 = 100_000.0
"""What is spent is told in steps of 0.1 m²: less is not worth a second look."""

TERMS = ("unfilled", "sights", "points", "seen_mm", "trouble", "spent")
"""The terms in their order."""


@dataclass(frozen=True)
class Merit:
    """Of a plan or a part of one. `unfilled`: patches without carpet. `sights`: the rank of each sight, worst first.

    `points`: those of each seam, most first. `seen_mm`: how long all seams in view are. `trouble`: see `Trouble`.
    `spent_mm2`: worth that the cuts take from the stock, each place beyond the first counted as one step (mm² of full-value
    carpet), compared in steps of 0.1 m², rounded up.
    """

    unfilled: int = 0
    sights: tuple[Rank, ...] = ()
    points: tuple[int, ...] = ()
    seen_mm: int = 0
    trouble: Trouble = NO_TROUBLE
    spent_mm2: float = field(default=0.0)

    @property
    def spent(self) -> int:
        """What is spent, in steps."""
        return -int(-round(self.spent_mm2, 3) // STEP_MM2)

    @property
    def look(self) -> tuple[object, ...]:
        """What a customer sees: the terms before trouble."""
        return self.unfilled, self.sights, self.points, self.seen_mm

    @property
    def key(self) -> tuple[object, ...]:
        """Sorts plans, the best first."""
        return *self.look, self.trouble, self.spent

    def differs_in(self, other: "Merit") -> str:
        """The first of `TERMS` in which the two differ; "" where they are alike."""
        pairs = zip(TERMS, self.key, other.key, strict=True)
        return next((term for term, own, its in pairs if own != its), "")


def reaches(merit: Merit, bound: Merit) -> bool:
    """True if a plan is as good as the bound in all but what it spends."""
    return (*merit.look, merit.trouble) <= (*bound.look, bound.trouble)


def thrift_key(merit: Merit) -> tuple[object, ...]:
    """Sorts plans where the stock is to be spared before the look."""
    return merit.unfilled, merit.spent, *merit.key
