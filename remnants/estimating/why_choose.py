"""Why one would take one order rather than another for the same floors: what it saves, and what that costs in seams."""

from collections import Counter
from collections.abc import Sequence

from remnants.estimating.roll_lengths import write_roll_length
from remnants.geometry import TOLERANCE_MM
from remnants.model import SeamKind
from remnants.model.order_plan import OrderPlan
from remnants.units import Unit

__all__ = ["seams_told", "why_choose"]

KINDS = ((SeamKind.SIDE, "along the pile"), (SeamKind.CROSS, "across it"), (SeamKind.ANGLED, "aslant"))


def why_choose(plan: OrderPlan, recommended: OrderPlan, unit: Unit) -> str:
    """One line against the recommended order: roll saved or added, for how many seams more or fewer."""
    if plan is recommended or plan == recommended:
        return "recommended: roll and drawbacks together are least"
    seams = len(plan.seams) - len(recommended.seams)
    saved = recommended.ordered_mm - plan.ordered_mm
    length = write_roll_length(abs(saved), unit)
    if abs(saved) <= TOLERANCE_MM:
        return f"as much roll, {_counted(seams)}"
    if saved < 0:
        return f"{_counted(seams)} for {length} more roll"
    return f"saves {length} of roll for {_counted(seams)}" if seams else f"saves {length} of roll for seams that show more"


def _counted(seams: int) -> str:
    if not seams:
        return "seams elsewhere"
    return f"{abs(seams)} seam{'s' * (abs(seams) > 1)} {'more' if seams > 0 else 'fewer'}"


def seams_told(plan: OrderPlan) -> str:
    """The seams by kind and by place: `3: 2 along the pile, 1 across it; 1 in a doorway`."""
    if not plan.seams:
        return "none"
    kinds = Counter(each.seam.kind for each in plan.seams)
    told = [f"{kinds[kind]} {words}" for kind, words in KINDS if kinds[kind]]
    places = [f"{count} in a doorway" for count in (sum(bool(each.to) for each in plan.seams),) if count]
    faults = Counter(fault for each in plan.seams for fault in each.faults)
    places += [f"{count} of them {fault if count == 1 else _of_many(fault)}" for fault, count in sorted(faults.items())]
    return "; ".join([f"{len(plan.seams)}: {', '.join(told)}", *_joined(places)])


def _of_many(fault: str) -> str:
    verb, rest = fault.split(" ", 1)
    return f"{MANY.get(verb, verb)} {rest}"


MANY = {"is": "are", "has": "have", "runs": "run", "lies": "lie", "meets": "meet"}


def _joined(places: Sequence[str]) -> list[str]:
    return [", ".join(places)] if places else []
