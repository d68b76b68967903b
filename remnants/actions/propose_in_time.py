"""Outlines proposed within seconds, for somebody who waits: the best by then, with no more of the stock than their donors."""

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from remnants.actions.fit_in_time import CUT_SHORT, donors_alone
from remnants.actions.fit_job import Searching
from remnants.actions.propose_job import Proposed, proposals_of
from remnants.model import DamagedJob
from remnants.packing import Watch
from remnants.store import Catalogue

__all__ = ["proposals_in_time"]


def proposals_in_time(
    catalogue: Catalogue,
    asked: DamagedJob,
    *,
    today: date,
    seconds: float,
    stop: Callable[[], bool] = lambda: False,
    clock: Callable[[], float] = time.monotonic,
) -> tuple[Proposed, ...]:
    """As `proposals_of`, its search ended after so many seconds or when `stop` says so; a note tells where its time was over."""
    watch = Watch(seconds=seconds, clock=clock, stop=stop)
    found = proposals_of(catalogue, asked, today=today, search=Searching(watch=watch))
    notes = (CUT_SHORT.format(seconds=seconds),) if watch.seconds_left() <= 0 else ()
    return tuple(_alone(each, notes) for each in found)


def _alone(proposed: Proposed, notes: tuple[str, ...]) -> Proposed:
    fitted = donors_alone(proposed.fitted)
    return replace(proposed, fitted=replace(fitted, notes=(*fitted.notes, *notes)))
