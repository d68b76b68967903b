"""Up to three ways that nothing beats in every term: the best looking, the least trouble, the least spent."""

from collections.abc import Callable, Sequence
from typing import Protocol

from remnants.fitting.telling.sights import listed
from remnants.model.match import Candidate
from remnants.model.merit import NO_TROUBLE, STEP_MM2, Merit
from remnants.model.plan import Plan, Way
from remnants.units import Unit, write_area

__all__ = ["Fit", "no_floor_or_person", "told", "ways_of"]


class Worked(Protocol):
    """A plan that is not told yet."""

    @property
    def merit(self) -> Merit:
        """How it compares."""

    def plan(self) -> Plan:
        """The plan, told."""


Fit = Callable[[Sequence[Sequence[Candidate]], bool], Worked]
"""Makes a plan from candidates, the stock spared first where asked."""


def ways_of(first: Plan, candidates: Sequence[Sequence[Candidate]], fit: Fit, unit: Unit) -> tuple[Way, ...]:
    """The plan and up to two beside it: one that lifts and asks less, one that spends less, where there is one.

    Each other way fills as much. The first one is recommended: it shows least.
    """
    plans = [first]
    if first.merit is None or not any(patch.parts for patch in first.patches):
        return (Way(first),)
    if first.merit.trouble != NO_TROUBLE:
        easier = fit(no_floor_or_person(candidates), False)
        if _is_another(easier.merit, plans, lambda merit: merit.trouble):
            plans.append(easier.plan())
    thrifty = fit(candidates, True)
    if _is_another(thrifty.merit, plans, lambda merit: merit.spent):
        plans.append(thrifty.plan())
    return told(plans, unit)


def no_floor_or_person(candidates: Sequence[Sequence[Candidate]]) -> tuple[tuple[Candidate, ...], ...]:
    """Those of the candidates that lie ready: no floor is lifted for them and nobody asked."""
    return tuple(tuple(candidate for candidate in own if candidate.trouble is None) for own in candidates)


def _is_another(own: Merit, plans: Sequence[Plan], term: Callable[[Merit], object]) -> bool:
    """True if a plan of this merit fills as much as the first and is better in a term than all so far."""
    merits = [each.merit for each in plans if each.merit is not None]
    if own.unfilled > merits[0].unfilled:
        return False
    return all(term(own) < term(merit) for merit in merits)  # type: ignore[operator]


def told(plans: Sequence[Plan], unit: Unit) -> tuple[Way, ...]:
    """Each plan with what speaks for it and against it beside the others."""
    return tuple(Way(plan, tuple(_for(plan, plans, unit)), tuple(_against(plan, plans, unit))) for plan in plans)


def _for(plan: Plan, plans: Sequence[Plan], unit: Unit) -> list[str]:
    merit, others = plan.merit, [other.merit for other in plans if other is not plan and other.merit is not None]
    if merit is None or not others:
        return []
    found = []
    if all(merit.look < other.look for other in others):
        found.append("shows least")
    least = all(merit.trouble <= other.trouble for other in others) and any(merit.trouble < other.trouble for other in others)
    if least:
        found.append(_nothing(others) if merit.trouble == NO_TROUBLE else f"troubles least: {_trouble(plan)}")
    alike = [other for other in others if other.trouble == merit.trouble]
    if least and alike and all(merit.look < other.look for other in alike):
        found.append("shows less than the other way like that")
    if all(merit.spent < other.spent for other in others):
        found.append(f"spends least: {_spent(merit, unit)}")
    return found


def _against(plan: Plan, plans: Sequence[Plan], unit: Unit) -> list[str]:
    merit, others = plan.merit, [other for other in plans if other is not plan and other.merit is not None]
    if merit is None:
        return []
    found = []
    better = [other for other in others if other.merit is not None and other.merit.look < merit.look]
    if better:
        found.append(_shows_more(plan, better[0]))
    if any(other.merit is not None and merit.trouble > other.merit.trouble for other in others):
        found.append(_trouble(plan))
    if any(other.merit is not None and merit.spent > other.merit.spent for other in others):
        found.append(f"spends more: {_spent(merit, unit)}")
    return found


def _shows_more(plan: Plan, better: Plan) -> str:
    """What of a plan is seen that the better one doesn't have, the plainest."""
    known = {sight.sentence for sight in better.sights}
    own = sorted((sight for sight in plan.sights if sight.sentence not in known), key=lambda sight: (-sight.worst, -sight.best))
    return f"shows more ({own[0].sentence.partition('. ')[0].rstrip('.')})" if own else "shows more"


def _nothing(others: Sequence[Merit]) -> str:
    """What one has nothing of that troubles nobody, beside others that do."""
    lifts, fetches = any(any(other.trouble[:3]) for other in others), any(any(other.trouble[3:]) for other in others)
    words = [*(["nothing to lift and nobody to ask"] if lifts or not fetches else []), *(["nothing to fetch"] if fetches else [])]
    return listed(words)


def _trouble(plan: Plan) -> str:
    far, people, hidden, *_ = plan.merit.trouble if plan.merit else NO_TROUBLE
    words = [
        _counted(hidden, "hidden floor to lift and make good", "hidden floors to lift and make good"),
        _counted(people, "customer to ask first", "customers to ask first"),
        _counted(far, "floor in view or in another house to lift", "floors in view or in other houses to lift"),
    ]
    return listed([*(word for word in words if word), *(fetch.words for fetch, _ in plan.fetched)])


def _counted(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}" if count else ""


def _spent(merit: Merit, unit: Unit) -> str:
    return f"{write_area(merit.spent * STEP_MM2, unit)} worth of the stock"
