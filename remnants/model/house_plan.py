"""What a whole house takes: a part for each carpet, each an order of its own, their cuts numbered through the house."""

from collections.abc import Sequence
from dataclasses import dataclass

from remnants.model.money import Money
from remnants.model.order_plan import OrderPlan
from remnants.model.rooms import Floors

__all__ = ["CarpetPlan", "summed"]


@dataclass(frozen=True)
class CarpetPlan:
    """The floors asked for in one carpet, and their order. `carpet` is what it is called, "" where the house has but one."""

    carpet: str
    asked: Floors
    plan: OrderPlan


def summed(plans: Sequence[CarpetPlan]) -> tuple[Money, ...]:
    """What the carpets remain at together, by currency: in each that every one of them is priced in."""
    priced = [{each.net.currency: each.net.minor for each in part.plan.sums} for part in plans]
    first = priced[0] if priced else {}
    return tuple(
        Money(sum(each[currency] for each in priced), currency) for currency in first if all(currency in each for each in priced)
    )
