"""Every question that an order must answer before it is shown, and the proof that asks them all."""

from collections.abc import Sequence

from remnants.errors import Fault, Unproved
from remnants.model.match import Candidate
from remnants.model.order_plan import OrderPlan
from remnants.model.order_rules import OrderRules
from remnants.model.rooms import Floors
from remnants.proof.leaving import largest, left_apart, left_complete, left_inside, left_whole
from remnants.proof.order_case import OrderCase, OrderQuestion
from remnants.proof.order_floors import QUESTIONS as FLOORS
from remnants.proof.order_laying import QUESTIONS as LAYING
from remnants.proof.order_roll import QUESTIONS as FROM_ROLL
from remnants.proof.order_sums import QUESTIONS as SUMS

__all__ = ["QUESTIONS", "check_order", "order_refusals", "prove_order"]

LEAVING: tuple[OrderQuestion, ...] = (left_inside, left_apart, left_complete, left_whole, largest)

QUESTIONS: tuple[OrderQuestion, ...] = (*FLOORS, *LAYING, *FROM_ROLL, *LEAVING, *SUMS)
"""In the order asked. Each is a function whose docstring is the question; it yields a fault for each thing that is wrong."""


def prove_order(plan: OrderPlan, floors: Floors, rules: OrderRules, stock: Sequence[Candidate] = ()) -> OrderPlan:
    """The plan, once proved. Raises Unproved with every fault."""
    faults = check_order(plan, floors, rules, stock)
    if faults:
        told = "; ".join(str(fault) for fault in faults)
        raise Unproved(f"the order failed its check and is withheld ({told}); please report it")
    return plan


def check_order(plan: OrderPlan, floors: Floors, rules: OrderRules, stock: Sequence[Candidate] = ()) -> tuple[Fault, ...]:
    """Every fault of an order for these floors, with its figures (mm); empty when it holds. `stock` is what it may take."""
    return tuple(fault for faults in order_refusals(plan, floors, rules, stock).values() for fault in faults)


def order_refusals(
    plan: OrderPlan, floors: Floors, rules: OrderRules, stock: Sequence[Candidate] = ()
) -> dict[str, tuple[Fault, ...]]:
    """The faults of an order by the name of the question that found them; questions without faults are left out."""
    case = OrderCase(plan, floors, rules, stock)
    found = {question.__name__: tuple(question(case)) for question in QUESTIONS}
    return {name: faults for name, faults in found.items() if faults}
