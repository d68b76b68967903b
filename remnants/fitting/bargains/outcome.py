"""What a change comes to, in words: what makes it then, what no longer shows, and nobody's name."""

from dataclasses import replace

from remnants.fitting.bargains.levers import NEW_ROLL
from remnants.fitting.telling.sights import listed
from remnants.model.merit import Merit, Rank
from remnants.model.plan import Plan, Verdict
from remnants.model.sight import Sight

__all__ = ["gain", "lower", "made_by", "merit_of", "shown", "shows", "without_names"]

UNNAMED = "Made once somebody was asked: the page of each piece tells where it lies."
STILL_OPEN = "It is still not made from the pieces that were asked for."

SEEN = 2
"""The grade from which on a sight shows."""


def shows(sight: Sight) -> bool:
    """Whether a sight is seen however it turns out. One that may be hard to find, as of a lot not known, asks to be looked at."""
    return sight.worst >= SEEN and sight.best > 0


def shown(merit: Merit) -> tuple[Rank, ...]:
    """Those of the sights that show."""
    return tuple(rank for rank in merit.sights if rank[0] >= SEEN)


def merit_of(plan: Plan) -> Merit:
    """How it compares."""
    return plan.merit or Merit()


def made_by(plan: Plan) -> str:
    """What then makes it: `R-0188 makes it whole`, or of several patches which."""
    tags = list(dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts))
    tags = [f"the {tag}" if tag == NEW_ROLL else tag for tag in tags]
    named, makes = listed(tags), "make" if len(tags) > 1 else "makes"
    made = [patch.name for patch in plan.patches if patch.verdict is not Verdict.NONE]
    left = [patch.name for patch in plan.patches if patch.verdict is Verdict.NONE]
    if left:
        return f"{named} {makes} {listed(made)}; {listed(left)} {'stay' if len(left) > 1 else 'stays'} open"
    joined = any(patch.verdict is Verdict.JOINED for patch in plan.patches)
    it = "it" if len(made) == 1 else listed(made)
    return f"{named} {makes} {it} {'with a seam' if joined else 'whole'}"


def without_names(plan: Plan) -> Plan:
    """The plan, made or missing, told without the place where a piece lies: it may be another customer's address."""
    patches = tuple(replace(each, reason=UNNAMED if each.parts else STILL_OPEN) for each in plan.patches)
    return replace(plan, patches=patches, short=tuple(replace(each, reason=STILL_OPEN, nearest="") for each in plan.short))


def gain(before: Plan, after: Plan) -> str:
    """What no longer shows, the plainest; else whom it no longer troubles."""
    known = {sight.sentence for sight in after.sights}
    gone = sorted((each for each in before.sights if shows(each) and each.sentence not in known), key=lambda each: -each.worst)
    if shown(merit_of(after)) < shown(merit_of(before)) and gone:
        return f"What then no longer shows: {lower(gone[0].sentence.partition('. ')[0].rstrip('.'))}."
    return "Then fewer floors are lifted, or fewer people asked." if merit_of(after).trouble < merit_of(before).trouble else ""


def lower(text: str) -> str:
    """The text as it stands after a comma."""
    return text[:1].lower() + text[1:]
