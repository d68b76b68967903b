"""A plan as its customer may see it drawn: without what is for the shop's own people, and without a name for another's carpet."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from remnants.belonging import Whose, whose
from remnants.materials.cuts import donors_of
from remnants.model import Job, PatchPlan, Piece, Plan
from remnants.model.patch_attributes import PATCH_MORE

__all__ = ["OTHER", "CustomerView", "customer_view"]

OTHER = "other carpet"
"""What carpet that is another's is called where its tag would stand."""

_SILENT: Mapping[str, Any] = {attribute.field: attribute.usual for attribute in PATCH_MORE}
"""A patch without what is for the shop's own people."""


@dataclass(frozen=True)
class CustomerView:
    """Plan, job and donors by tag, for drawings that a customer sees."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]


def customer_view(plan: Plan, job: Job, pieces: Mapping[str, Piece]) -> CustomerView:
    """The donors bare of place, room and customer, the plan without reasons, tags of another's carpet changed for words."""
    others = [tag for tag in donors_of(plan) if whose(pieces[tag], job) is Whose.ANOTHERS]
    called = {tag: OTHER if len(others) == 1 else f"{OTHER} {number}" for number, tag in enumerate(others, 1)}
    bare = {
        called.get(tag, tag): replace(pieces[tag], tag=called.get(tag, tag), place="", room="", customer="")
        for tag in donors_of(plan)
    }
    told = replace(
        plan,
        patches=tuple(_named(answer, called) for answer in plan.patches),
        leftovers=tuple(replace(left, piece=called.get(left.piece, left.piece)) for left in plan.leftovers),
        passed_over=(),
        more_passed=0,
        asking=(),
    )
    asked = replace(job, patches=tuple(replace(patch, **_SILENT) for patch in job.patches))
    return CustomerView(told, asked, bare)


def _named(answer: PatchPlan, called: Mapping[str, str]) -> PatchPlan:
    parts = tuple(replace(part, piece=called.get(part.piece, part.piece)) for part in answer.parts)
    return replace(answer, reason="", parts=parts)
