"""What is told of the rolls of an order: how much of each, what to watch between two of them, what rounding up takes."""

from remnants.estimating import ROLL, OrderPlan
from remnants.estimating.roll_lengths import write_roll_length
from remnants.geometry.tolerances import TOLERANCE_MM
from remnants.report.wording import sentence
from remnants.units import Unit

__all__ = ["rolls_apart", "rolls_told", "rounding_told"]


def rolls_told(plan: OrderPlan, unit: Unit) -> str:
    """How much is taken of each roll, after a colon; "" where nobody told how long rolls are."""
    taken = [
        f"{each.name}{f' (lot {each.lot})' * bool(each.lot)} {write_roll_length(each.ordered_mm, unit)}" for each in plan.rolls
    ]
    return f": {', '.join(taken)}" if taken else ""


def rolls_apart(plan: OrderPlan) -> list[str]:
    """What is to be watched where floors that are seen together come off two rolls."""
    roll = {each.cut.room: plan.roll_of(each).name for each in plan.placed if each.source == ROLL}
    doors = [(room.name, door.to) for room in plan.floors.rooms for door in room.doorways if door.to and not door.shut]
    doors += [(flight.name, flight.joins) for flight in plan.floors.stairs if flight.joins]
    told = []
    for one, other in dict.fromkeys(tuple(sorted(door)) for door in doors):
        if one in roll and other in roll and roll[one] != roll[other]:
            two = f"{one} comes off {roll[one]}, {other} off {roll[other]}"
            told.append(f"{two}: hold both to the light before cutting, as they are seen together.")
    if len(plan.rolls) > 1 and not plan.roll.there:
        told.append(f"Ask for {len(plan.rolls)} rolls of one lot, with numbers that follow one another.")
    return told


def rounding_told(plan: OrderPlan, unit: Unit) -> str:
    """What rounding up takes, as a sentence; "" where it takes nothing."""
    exact = plan.length_mm if plan.exact_mm is None else plan.exact_mm
    by_cuts, by_supplier = plan.length_mm - exact, plan.ordered_mm - plan.length_mm
    told = []
    if by_cuts > TOLERANCE_MM:
        told.append(f"cuts rounded up take {write_roll_length(by_cuts, unit)} of roll")
    if by_supplier > TOLERANCE_MM:
        told.append(f"{write_roll_length(by_supplier, unit)} more is ordered than they take, as the roll is sold")
    costs = [str(each.rounding) for each in plan.sums if each.rounding and each.rounding.minor]
    return sentence("; ".join(told) + (f": {' or '.join(costs)}" if costs else "")) if told else ""
