"""What stock cost and what it is worth today, in sums. Pure values; areas mm², money in whole minor units."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["By", "WorthSum"]


class By(StrEnum):
    """By what the sums are told: an age is a place in AGES, of a branch the sums are told by place."""

    STYLE = "style"
    BRANCH = "branch"
    AGE = "age"
    SUPPLIER = "supplier"


@dataclass(frozen=True, slots=True)
class WorthSum:
    """Pieces in store that have `key` in common and cost a sum of one currency; "" for those whose cost nobody told.

    `worth_minor` is the cost of those among them that would be kept today.
    """

    key: str
    currency: str
    pieces: int
    area_mm2: float
    cost_minor: int
    worth_minor: int
