"""What a change comes to, in words: what makes it then, and nobody's name."""

from dataclasses import replace

from remnants.fitting.bargains.levers import NEW_ROLL
from remnants.fitting.telling.sights import listed
from remnants.model.merit import Merit
from remnants.model.plan import Plan, Verdict

__all__ = ["lower", "made_by", "merit_of", "without_names"]

UNNAMED = "Made once somebody was asked: the page of each piece tells where it lies."
STILL_OPEN = "It is still not made from the pieces that were asked for."


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


def lower(text: str) -> str:
    """The text as it stands after a comma."""
    return text[:1].lower() + text[1:]
