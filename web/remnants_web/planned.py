"""A job's plan as its page shows it: as people of the asker's role are told it, with its donors as they lie before the cut."""

from remnants.actions.fit_job import Fitted
from remnants.actions.keep_job import KeptJob, State
from remnants.actions.make_sheet import kept_plan, plan_as_cut
from remnants.actions.told_to import fitted_told
from remnants_web.access import asking
from remnants_web.shop import catalogue

__all__ = ["planned"]


def planned(kept: KeptJob) -> Fitted | None:
    """A job's plan with its donors as they lie before the cut; None for one that was let go. Raises StockChanged."""
    if kept.stage is State.RELEASED:
        return None
    if kept.stage is State.CUT:
        return fitted_told(asking().role, plan_as_cut(catalogue(), kept.plan, kept.job, versions=kept.versions))
    return fitted_told(asking().role, kept_plan(catalogue(), kept.plan, kept.job))
