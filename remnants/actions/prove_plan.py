"""The plan that is shown: proved, and where one fails its proof the next option, patch by patch.

A plan that fails is a mistake of ours. It is logged with its input; what it cut wrongly is barred from the patch that it was cut
for, and the job is planned again, so that one mistake withholds one way to make one patch and not the answer.
"""

import json
import logging
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from remnants.errors import Fault, Unproved
from remnants.exchange import Stock, answer_json, job_json, stock_json
from remnants.matching.grade import Graded
from remnants.model import Job, PassedOver, Plan
from remnants.proof import check_plan

__all__ = ["Planner", "proved_plan"]

MOST_OPTIONS = 4
"""Plans in which a patch may be cut wrongly before it is told as one that can't be made."""

_log = logging.getLogger("remnants.proof")

Planner = Callable[[Sequence[Graded]], tuple[Plan, tuple[str, ...]]]
"""The plan from the pieces graded for each patch, with what it leaves out told, and notes on it."""

_PLACE = re.compile(r"patches\[(\d+)\](?:\.parts\[(\d+)\])?")
_LEFT = re.compile(r"leftovers\[(\d+)\]|leftovers of (.+)")


def proved_plan(job: Job, stock: Stock, graded: Sequence[Graded], plan_of: Planner) -> tuple[Plan, tuple[str, ...]]:
    """A plan that passes its proof, the notes on it, and one for each way to make a patch that did not.

    Raises Unproved when what is wrong can't be put down to a patch, or goes on with every patch left out that it was put down to.
    """
    graded, barred = list(graded), [0] * len(job.patches)
    notes: list[str] = []
    while True:
        plan, told = plan_of(graded)
        faults = check_plan(job, stock.piece_of, stock.style_of, plan)
        if not faults:
            return _doubted(plan, job, barred), (*told, *notes)
        _tell(job, stock, plan, faults)
        blamed = _blamed(plan, faults)
        if not blamed:
            wrong = "; ".join(str(fault) for fault in faults)
            raise Unproved(
                f"the plan for {job.name!r} failed its check and is withheld: {wrong}. Please report this with the job file"
            )
        for index, tags in blamed.items():
            barred[index] += 1
            name = job.patches[index].name
            if barred[index] >= MOST_OPTIONS:
                why = f"every plan for {name} that was tried failed its check; please report this with the job file"
                graded[index] = replace(graded[index], candidates=(), refusal=why)
            else:
                why = f"a plan that cut {name} from it failed its check and is withheld; please report this with the job file"
                graded[index] = _without(graded[index], tags, why)
            notes.append(f"a plan that cut {name} from {' and '.join(tags)} failed its check; another one was looked for")


def _doubted(plan: Plan, job: Job, barred: Sequence[int]) -> Plan:
    """The plan, a no of whose patches isn't proved where pieces were barred because a cut failed its check."""
    names = {patch.name for patch, times in zip(job.patches, barred, strict=True) if times}
    why = "pieces that were left out because a plan with them failed its check"
    return replace(
        plan,
        proof=tuple(
            replace(each, proved=False, undecided=(*each.undecided, why)) if each.patch in names else each for each in plan.proof
        ),
    )


def _tell(job: Job, stock: Stock, plan: Plan, faults: Sequence[Fault]) -> None:
    """Logs what failed, with all that is needed to plan and prove it again."""
    used = {part.piece for made in plan.patches for part in made.parts}
    pieces = tuple(piece for piece in stock.pieces if piece.tag in used)
    given = {"job": job_json(job), "stock": stock_json(Stock(stock.styles, pieces)), "plan": answer_json(plan)}
    told = "; ".join(str(fault) for fault in faults)
    _log.error("the plan for %r failed its check: %s. Please report this line: %s", job.name, told, json.dumps(given))


def _blamed(plan: Plan, faults: Sequence[Fault]) -> Mapping[int, tuple[str, ...]]:
    """The patches that were cut wrongly, by their places, each with the pieces that it should not be cut from again."""
    found: dict[int, set[str]] = {}
    for fault in faults:
        place, left = _PLACE.match(fault.where), _LEFT.match(fault.where)
        if place:
            index = int(place[1])
            parts = plan.patches[index].parts if index < len(plan.patches) else ()
            told = parts[int(place[2])].piece if place[2] else ""
            found.setdefault(index, set()).update({told} if told else {part.piece for part in parts})
        elif left:
            tag = plan.leftovers[int(left[1])].piece if left[1] else left[2]
            for index, made in enumerate(plan.patches):
                if any(part.piece == tag for part in made.parts):
                    found.setdefault(index, set()).add(tag)
    return {index: tuple(sorted(tags)) for index, tags in sorted(found.items()) if tags}


def _without(graded: Graded, tags: Sequence[str], why: str) -> Graded:
    kept = tuple(candidate for candidate in graded.candidates if candidate.piece.tag not in tags)
    refused = (*graded.refused, *(PassedOver(tag, why) for tag in tags))
    return replace(graded, candidates=kept, refused=refused, refusal="" if kept else why)
