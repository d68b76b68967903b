"""Outlines proposed within seconds, for somebody who waits: the best by then, with no more of the stock than their donors."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date

from remnants.actions.fit_in_time import CUT_SHORT, donors_alone
from remnants.actions.fit_job import Offer, Searching, offer_of
from remnants.actions.propose_job import Proposed, proposals_from
from remnants.model import DamagedJob
from remnants.packing import Watch
from remnants.question import How, Stop, here
from remnants.store import Catalogue

__all__ = ["OutlinesSearch", "proposals_in_time"]


@dataclass(frozen=True)
class OutlinesSearch:
    """A job's damage and what is offered for it, to be given outlines within so many seconds from when it is begun."""

    offer: Offer = field(repr=False)
    asked: DamagedJob
    seconds: float
    clock: Callable[[], float] = time.monotonic

    def answer(self, stop: Stop) -> tuple[Proposed, ...]:
        """The outlines with their donors; a note tells where its time was over. Raises as `proposals_from`."""
        watch = Watch(seconds=self.seconds, clock=self.clock, stop=stop)
        found = proposals_from(self.offer, self.asked, search=Searching(watch=watch))
        notes = (CUT_SHORT.format(seconds=self.seconds),) if watch.seconds_left() <= 0 else ()
        return tuple(_alone(each, notes) for each in found)


def proposals_in_time(
    catalogue: Catalogue,
    asked: DamagedJob,
    *,
    today: date,
    seconds: float,
    stop: Stop = lambda: False,
    clock: Callable[[], float] = time.monotonic,
    how: How = here,
) -> tuple[Proposed, ...]:
    """As `proposals_of`, its search ended after so many seconds or when `stop` says so; a note tells where its time was over.

    `how` works the search out; raises what that raises, too.
    """
    offer = offer_of(catalogue, asked.job, today=today)
    found: tuple[Proposed, ...] = how(OutlinesSearch(offer, asked, seconds, clock), stop)
    return found


def _alone(proposed: Proposed, notes: tuple[str, ...]) -> Proposed:
    fitted = donors_alone(proposed.fitted)
    return replace(proposed, fitted=replace(fitted, notes=(*fitted.notes, *notes)))
