"""One thing that a technician can change about a job."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from remnants.model.bargain import Asked, Change
from remnants.model.patch import Job, Patch
from remnants.model.plan import Plan

__all__ = ["EFFORT", "Lever", "of_one_patch", "said", "which"]

EFFORT = {
    "allowance": 1,
    "narrow": 1,
    "margin": 2,
    "shave": 2,
    "grow": 2,
    "parts": 2,
    "turn": 3,
    "lot": 3,
    "shade": 3,
    "held": 3,
    "another customer": 4,
    "in view": 5,
    "style": 6,
    "roll": 7,
}
"""What a change costs the technician, by its group, less is easier (common practice, no source)."""


@dataclass(frozen=True)
class Lever:
    """One thing to change. `effort` sorts, less is easier; `name` tells it where it is of no help; `change` is the answer's own.

    `asked` changes what is asked by an amount (mm), `words` tell it with the plan that it gives, `cost` what it costs.
    `stops_mm` are the amounts that are tried, least first; of what is changed or not, 0. `halved`: what helps at some amount
    helps at each greater one up to the next stop, so that the least is found by halving between them. `opens`: it only adds
    ways to those there are, so that whatever helps with it alone is there with others like it as well.
    """

    effort: int
    name: str
    change: Change
    asked: Callable[[Asked, float], Asked]
    words: Callable[[float, Plan], str]
    cost: str
    stops_mm: tuple[float, ...] = (0.0,)
    halved: bool = False
    opens: bool = False

    @property
    def is_length(self) -> bool:
        """Whether it is a matter of how much."""
        return self.stops_mm != (0.0,)

    def at(self, by_mm: float) -> Change:
        """The change by that much."""
        return replace(self.change, by_mm=by_mm) if self.is_length else self.change


def of_one_patch(index: int, changed: Callable[[Patch, float], Patch], asked: Asked, by_mm: float) -> Asked:
    """What is asked with one of its patches changed."""
    job = asked.job
    patch = changed(job.patches[index], by_mm)
    return replace(asked, job=replace(job, patches=(*job.patches[:index], patch, *job.patches[index + 1 :])))


def which(job: Job, patch: Patch) -> str:
    """What a patch is called in a sentence."""
    return "the patch" if len(job.patches) == 1 else patch.name


def said(words: str, _by_mm: float, _plan: Plan) -> str:
    """Words that no amount changes."""
    return words
