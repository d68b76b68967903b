"""What a job may be cut from: the tags it names, the house it is for, and what asking somebody would change."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from remnants.actions.near_tags import no_such_tag
from remnants.belonging import names_house, needed_for, same_floor, taken_for_ours
from remnants.errors import BadInput, Fault
from remnants.model import Job, Kind, MayUse, PatchPlan, Piece, Plan, Verdict

__all__ = ["assumed_notes", "house_notes", "one_floor_notes", "refuse_unknown_tags", "with_asking"]

ASKING = {
    MayUse.OTHER_CUSTOMERS: "A piece kept with another customer would do: ask them first.",
    MayUse.IN_VIEW: "Carpet laid in this house where it is seen would do: ask whether it may be lifted.",
}
"""What would help where nothing that the job may use does; nobody's name, for a customer reads it. Least trouble first."""


def refuse_unknown_tags(job: Job, known: Callable[[str], bool], tags: Callable[[str], Collection[str]]) -> None:
    """Refuses a job that names tags which no piece has, telling the nearest. Raises BadInput with all of them.

    `known` says whether a piece has a tag, whatever the letter case; `tags` gives those that one may have meant.
    """
    faults = [
        Fault(f"{key}[{index}]", f"{no_such_tag(tag, tags(tag))}: write it as it stands on the piece")
        for key, named in (("use", job.use), ("avoid", job.avoid))
        for index, tag in enumerate(named)
        if not known(tag)
    ]
    if faults:
        raise BadInput(faults)


def house_notes(job: Job, places: Iterable[str]) -> tuple[str, ...]:
    """Where the job names its house, and none of the places of carpet is there: that it may be written otherwise."""
    if not job.house or any(names_house(place, job) for place in places):
        return ()
    return (f"house: nothing is kept or laid in {job.house!r}; if something should be, look how its place is written",)


def assumed_notes(job: Job, pieces: Iterable[Piece]) -> list[str]:
    """Of pieces used: which are taken for this house's because nothing says whose they are."""
    assumed = (piece.tag for piece in pieces if taken_for_ours(piece, job))
    return [f"{tag}: taken for this house's, because neither its place nor a customer says whose it is" for tag in assumed]


def one_floor_notes(pieces: Iterable[Piece]) -> list[str]:
    """Of pieces that one plan cuts: which are told on one floor, where one carpet may have been measured twice."""
    laid = [piece for piece in pieces if piece.kind is Kind.LAID]
    return [
        f"{one.tag} and {two.tag} are told on one floor ({one.place}): see that they are two pieces, not one measured twice"
        for one, two in combinations(laid, 2)
        if same_floor(one, two)
    ]


def with_asking(plan: Plan, job: Job, left_alone: Sequence[Piece], fits: Callable[[Job], Plan]) -> Plan:
    """A plan that leaves patches open, each told what asking would fill it, if it does. `fits` answers the job anew."""
    for allowance, sentence in ASKING.items():
        if not any(needed_for(piece, job) is allowance for piece in left_alone) or allowance in job.may_use:
            continue
        asked = fits(replace(job, may_use=job.may_use | {allowance}))
        plan = _told(plan, asked.patches, sentence)
    return plan


def _told(plan: Plan, asked: Sequence[PatchPlan], sentence: str) -> Plan:
    filled = {
        before.name
        for before, after in zip(plan.patches, asked, strict=True)
        if before.verdict is Verdict.NONE and after.verdict is not Verdict.NONE
    }
    return replace(
        plan,
        patches=tuple(
            replace(patch, reason=f"{patch.reason} {sentence}") if patch.name in filled else patch for patch in plan.patches
        ),
        short=tuple(replace(each, reason=f"{each.reason} {sentence}") if each.patch in filled else each for each in plan.short),
    )
