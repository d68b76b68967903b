"""Why a plan was taken where a person chose: another way, a piece asked for or left out, and their own words."""

from collections.abc import Iterator

from remnants.actions.fit_job import Fitted
from remnants.units import write_length

__all__ = ["beside", "why_taken"]


def why_taken(fitted: Fitted, said: str = "") -> str:
    """What the ledger keeps of a person's choice: `way 2 of 3: nothing to lift and nobody to ask; R-0188 asked for`.

    `said` are their own words, told last. Empty where they took what was recommended and said nothing.
    """
    return beside("; ".join([fitted.chosen, *_named(fitted)]), said)


def beside(before: str, said: str) -> str:
    """A reason with what was said later behind it, each told once."""
    told = [text.strip("; ") for text in (before, said) if text.strip("; ")]
    return told[0] if len(told) == 2 and told[1] in told[0] else "; ".join(told)


def _named(fitted: Fitted) -> Iterator[str]:
    """What the job asks for: pieces that are cut for it, seams that are moved, pieces left out."""
    plan, job = fitted.plan, fitted.job
    used = dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts)
    asked = {tag.casefold() for tag in job.use}
    yield from (f"{tag} asked for" for tag in used if tag.casefold() in asked)
    known = {passed.piece.casefold(): passed.piece for passed in plan.passed_over}
    moved = {patch.name: patch.seam_shift_mm for patch in job.patches if patch.seam_shift_mm}
    yield from (f"seam of {name} moved {write_length(by, job.unit)}" for name, by in moved.items())
    yield from (f"{known.get(tag.casefold(), tag)} left out" for tag in dict.fromkeys(job.avoid))
