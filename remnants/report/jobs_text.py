"""What several jobs of one run come to together: how many can be made, and which of them want the same piece."""

from collections import Counter
from collections.abc import Mapping, Sequence

from remnants.model import Plan, Verdict
from remnants.report.wording import listed, visible

__all__ = ["contested_lines", "jobs_text"]

_SHORT = {
    Verdict.WHOLE: "in one piece",
    Verdict.JOINED: "joined from parts",
    Verdict.PARTLY: "only partly",
    Verdict.NONE: "not at all",
}


def jobs_text(plans: Sequence[Plan], contested: Mapping[str, Sequence[str]]) -> str:
    """How the jobs came out, by verdict, and a line for each contested piece."""
    counts = Counter(plan.verdict for plan in plans)
    told = ", ".join(f"{counts[verdict]} {words}" for verdict, words in _SHORT.items() if counts[verdict])
    return "\n".join([f"In all {len(plans)} jobs: {told}.", *contested_lines(contested)]) + "\n"


def contested_lines(contested: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """A line for each piece that several jobs would cut, and what to do about it: whoever holds it first has it."""
    lines = [f"{visible(tag)} is wanted by {listed([visible(job) for job in jobs])}." for tag, jobs in contested.items()]
    return (*lines, "Each answer stands alone: hold the job that goes first, then ask again for the others.") if lines else ()
