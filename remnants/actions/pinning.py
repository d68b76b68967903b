"""Pieces that a job says must give carpet: a plan that cuts them all, or why there is none."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice, product

from remnants.matching.grade import Graded
from remnants.model import Candidate, Job, Plan, Verdict

__all__ = ["pinned"]

MOST_ASSIGNED = 24
"""Ways to share out the pins among the patches that are tried."""
MOST_BESIDE = 40
"""Pieces that are tried one by one beside the pins."""

NOT_COMPARED = "the pins decide: not compared with every other way"

Fits = Callable[[Job, Sequence[Sequence[Candidate]]], Plan]


def pinned(
    job: Job, graded: Sequence[Graded], plan: Plan, fits: Fits, *, told: Mapping[str, str]
) -> tuple[Plan, tuple[str, ...]]:
    """A plan that cuts every piece that the job must use, and what is to be said of it.

    `plan` is the best where nothing is pinned; it is given back with the reason where the pins can't all be used, or only by
    leaving more patches open. `fits` answers a job from candidates for each patch; `told` says why pieces are no candidates.
    """
    wanted = _as_written(job, graded)
    if wanted.keys() <= _used(plan):
        return plan, ()
    unfit = [f"{tag} is not used: {told.get(tag, 'it is not on hand')}" for tag, patches in wanted.items() if not patches]
    if not unfit:
        most_open = _open(plan)
        for assigned in islice(product(*wanted.values()), MOST_ASSIGNED):
            found = _with_pins(job, graded, dict(zip(wanted, assigned, strict=True)), fits)
            if found is not None and _open(found) <= most_open:
                return _because(found, wanted), ()
        unfit = [_can_not(wanted, plan, told)]
    return _told(plan, unfit), tuple(f"use: {why}" for why in unfit)


def _told(plan: Plan, unfit: Sequence[str]) -> Plan:
    """The plan, its first patch told why the pins are not used: an answer file has no notes."""
    first, *rest = plan.patches
    said = " ".join(f"{why[:1].upper()}{why[1:]}." for why in unfit)
    reason = f"{first.reason} {said}".strip()
    short = tuple(replace(each, reason=reason) if each.patch == first.name else each for each in plan.short)
    return replace(plan, patches=(replace(first, reason=reason), *rest), short=short)


def _as_written(job: Job, graded: Sequence[Graded]) -> dict[str, tuple[int, ...]]:
    """The tags that must be used, as the pieces have them, and the patches each could give carpet to."""
    found: dict[str, tuple[int, ...]] = {}
    for named in job.use:
        tags = {
            each.piece.tag for grades in graded for each in grades.candidates if each.piece.tag.casefold() == named.casefold()
        }
        tag = named if named in tags else min(tags, default=named)
        found[tag] = tuple(
            index for index, grades in enumerate(graded) if any(each.piece.tag == tag for each in grades.candidates)
        )
    return found


def _with_pins(job: Job, graded: Sequence[Graded], assigned: Mapping[str, int], fits: Fits) -> Plan | None:
    """A plan where each pin gives carpet to the patch that it is assigned to; None if none is found."""
    pins = {index: tuple(tag for tag, at in assigned.items() if at == index) for index in assigned.values()}
    asked = replace(
        job,
        patches=tuple(replace(patch, use=pins.get(index, ())) for index, patch in enumerate(job.patches)),
    )
    for candidates in _choices(graded, pins):
        plan = fits(asked, candidates)
        if assigned.keys() <= _used(plan):
            return plan
    return None


def _choices(graded: Sequence[Graded], pins: Mapping[int, Sequence[str]]) -> Iterator[tuple[tuple[Candidate, ...], ...]]:
    """Candidates for each patch: all; then where pins are, those alone, and with one other piece at a time, best first."""
    whole = [each.candidates for each in graded]
    yield tuple(whole)
    for index, tags in pins.items():
        own = tuple(each for each in whole[index] if each.piece.tag in tags)
        others = [each for each in whole[index] if each.piece.tag not in tags]
        for beside in ((), *((other,) for other in others[:MOST_BESIDE])):
            yield tuple((*own, *beside) if at == index else each for at, each in enumerate(whole))


def _because(plan: Plan, wanted: Mapping[str, object]) -> Plan:
    """The plan, each patch cut from a pin told that it is so because the job says it."""
    patches = []
    for patch in plan.patches:
        here = [tag for tag in wanted if tag in {part.piece for part in patch.parts}]
        says = f"The job says to use {' and '.join(here)}. " if here else ""
        patches.append(replace(patch, reason=f"{says}{patch.reason}"))
    return replace(plan, patches=tuple(patches), bound=NOT_COMPARED)


def _can_not(wanted: Mapping[str, object], plan: Plan, told: Mapping[str, str]) -> str:
    missing = [tag for tag in wanted if tag not in _used(plan)]
    over = {passed.piece: passed.reason for passed in plan.passed_over}
    whys = [f"{tag} ({over.get(tag) or told.get(tag) or 'it makes no part of a patch'})" for tag in missing]
    return f"no way was found to cut {' and '.join(whys)} and fill as much; this answer is made without"


def _used(plan: Plan) -> set[str]:
    return {part.piece for patch in plan.patches for part in patch.parts}


def _open(plan: Plan) -> int:
    return sum(patch.verdict is Verdict.NONE for patch in plan.patches)
