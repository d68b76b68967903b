"""Which branch asks for a job, and what of its plan is fetched from elsewhere in the shop, in words."""

from remnants.belonging import asks_from
from remnants.errors import BadInput, Fault
from remnants.model import Job, Plan
from remnants.model.branches import Branches

__all__ = ["fetch_notes", "refuse_unknown_branch"]


def refuse_unknown_branch(job: Job, ours: Branches) -> None:
    """Refuses a job that asks from a branch or van that the shop hasn't. Raises BadInput."""
    if job.branch and not ours.named(job.branch):
        what = f"no branch and no van is called {job.branch!r}; `remnants branch` and `remnants van` list those there are"
        raise BadInput([Fault("branch", what)])


def fetch_notes(plan: Plan, job: Job, ours: Branches) -> tuple[str, ...]:
    """From where a plan's pieces are fetched; and that nobody told who asks, where a shop has several branches."""
    if ours.several and not asks_from(job.branch, ours):
        return ("branch: it isn't told which one asks, so carpet of every branch counts as if it lay at hand",)
    return tuple(f"fetched {fetch.words}: {', '.join(tags)}" for fetch, tags in plan.fetched)
