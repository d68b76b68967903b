"""Questions about what a plan tells in words and counts: which job, which patches, which verdicts, which pieces."""

import math
from collections.abc import Iterator

from remnants.errors import Fault
from remnants.model.plan import Verdict
from remnants.proof.case import Case, Question
from remnants.proof.regions import can_be_left, is_sound

__all__ = ["QUESTIONS"]


def job(case: Case) -> Iterator[Fault]:
    """Does it answer this job?"""
    if case.plan.job != case.job.name:
        yield Fault("job", f"it answers the job {case.plan.job!r}, not {case.job.name!r}")


def patches(case: Case) -> Iterator[Fault]:
    """Is there one answer for each patch, in order and by its name?"""
    if len(case.plan.patches) != len(case.job.patches):
        yield Fault("patches", f"{len(case.plan.patches)} answers for {len(case.job.patches)} patches")
    for pair in case.pairs:
        if pair.made.name != pair.patch.name:
            yield Fault(pair.where, f"told as {pair.made.name!r}, asked as {pair.patch.name!r}")


def verdicts(case: Case) -> Iterator[Fault]:
    """Is each patch called whole, joined or none as its number of parts has it, and is that as many as it allows?"""
    for pair in case.pairs:
        count = len(pair.made.parts)
        due = (Verdict.NONE, Verdict.WHOLE)[count] if count < 2 else Verdict.JOINED
        if pair.made.verdict is not due:
            yield Fault(pair.where, f"verdict {pair.made.verdict}, but it has {count} parts")
        if count > pair.patch.max_parts:
            yield Fault(pair.where, f"{count} parts; at most {pair.patch.max_parts} are allowed")


def job_verdict(case: Case) -> Iterator[Fault]:
    """Is the verdict of the job the worst of its patches', or partly where only some have none?"""
    made = [len(each.parts) for each in case.plan.patches]
    if not any(made):
        due = Verdict.NONE
    elif 0 in made:
        due = Verdict.PARTLY
    else:
        due = Verdict.JOINED if max(made) > 1 else Verdict.WHOLE
    if case.plan.verdict is not due:
        yield Fault("verdict", f"{case.plan.verdict} told, {due} by its patches")


def short(case: Case) -> Iterator[Fault]:
    """Is every patch without parts told as short, and no other?"""
    due = sorted(made.name for made in case.plan.patches if not made.parts)
    told = sorted(each.patch for each in case.plan.short)
    if told != due:
        yield Fault("short", f"told {told}, but without parts are {due}")


def passed_over(case: Case) -> Iterator[Fault]:
    """Is no piece told as passed over that a part is cut from?"""
    used = {part.piece for made in case.plan.patches for part in made.parts}
    for tag in sorted(used & {passed.piece for passed in case.plan.passed_over}):
        yield Fault("passed_over", f"{tag} is told as passed over, and is cut")


def pieces(case: Case) -> Iterator[Fault]:
    """Is every part cut from a piece that there is, of a style that is known?"""
    for place, tag in _tags(case):
        piece = case.pieces.get(tag)
        if piece is None:
            yield Fault(place, f"there is no piece {tag!r}")
        elif piece.style not in case.styles:
            yield Fault(place, f"nothing is known of {piece.style!r}, the style of {tag}")


def _tags(case: Case) -> Iterator[tuple[str, str]]:
    for index, made in enumerate(case.plan.patches):
        for number, part in enumerate(made.parts):
            yield f"patches[{index}].parts[{number}]", part.piece


def outlines(case: Case) -> Iterator[Fault]:
    """Is every outline one that can be drawn: three corners or more, counter-clockwise, nowhere touching itself?"""
    for index, made in enumerate(case.plan.patches):
        for number, part in enumerate(made.parts):
            where = f"patches[{index}].parts[{number}]"
            for name, ring in (("net", part.net), ("cut", part.cut)):
                if not is_sound(ring):
                    yield Fault(f"{where}.{name}", "it is no simple outline with its corners counter-clockwise")
            if not math.isfinite(part.turn_deg + sum(part.shift)):
                yield Fault(where, f"turned {part.turn_deg!r}° and moved {part.shift!r} is no place")
    for number, left in enumerate(case.plan.leftovers):
        if not can_be_left(left.outline.ring, left.outline.cutouts):
            what = "it is no simple outline with its corners counter-clockwise, or its cutouts don't lie in it, each by itself"
            yield Fault(f"leftovers[{number}]", what)


QUESTIONS: tuple[Question, ...] = (
    job,
    patches,
    verdicts,
    job_verdict,
    short,
    passed_over,
    pieces,
    outlines,
)
