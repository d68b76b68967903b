"""A job fitted within seconds, for somebody who waits: the best answer by then, marked as such, with no more than its donors."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from remnants.actions.ask_in_words import with_told
from remnants.actions.fit_job import Fitted, Offer, Searching, fit_offer, offer_of
from remnants.actions.fit_tasks import bare
from remnants.fitting import TRIES
from remnants.model import Job, Piece
from remnants.packing import Watch
from remnants.question import How, Stop, here
from remnants.store import Catalogue

__all__ = ["CUT_SHORT", "FitSearch", "donors_alone", "fit_in_time", "is_cut_short"]

CUT_SHORT = (
    "the search ended after {seconds:g} seconds with the best found by then; "
    "at the desk, by command, it goes on for as long as you let it"
)


FIRST_SHARE = 0.75
"""Of the time given, so much is for the plan; the rest is for ways beside it, and for what would help."""


@dataclass(frozen=True)
class FitSearch:
    """A job and what is offered for it, to be fitted within so many seconds from when it is begun, wherever."""

    offer: Offer = field(repr=False)
    job: Job
    ways: bool
    seconds: float
    clock: Callable[[], float] = time.monotonic

    def answer(self, stop: Stop) -> Fitted:
        """The plan, without the stock that it was offered; a note tells where its time was over. Raises as `fit_offer`."""
        whole = Watch(tries=TRIES, seconds=self.seconds, clock=self.clock, stop=stop)
        watch = whole.sooner(FIRST_SHARE) if self.ways else whole
        fitted = fit_offer(self.offer, self.job, ways=self.ways, search=Searching(watch=watch, beside=whole.timed_out))
        if watch.seconds_left() <= 0 and watch.tries_left() > 0:
            fitted = replace(fitted, notes=(*fitted.notes, CUT_SHORT.format(seconds=self.seconds)))
        return bare(fitted)


def fit_in_time(
    catalogue: Catalogue,
    job: Job,
    *,
    today: date,
    own: str | None = None,
    ways: bool = False,
    seconds: float,
    stop: Stop = lambda: False,
    clock: Callable[[], float] = time.monotonic,
    how: How = here,
    beside: Sequence[Piece] = (),
) -> Fitted:
    """As `fit_job`, its search ended after so many seconds or when `stop` says so; a note tells where its time was over.

    Pieces `beside` are in no stock, and count too. `how` works the search out; raises what that raises, too.
    """
    offer = with_told(offer_of(catalogue, job, today=today, own=own), beside)
    fitted: Fitted = how(FitSearch(offer, job, ways, seconds, clock), stop)
    return replace(fitted, pieces=offer.stock.piece_of, styles=offer.stock.style_of)


def is_cut_short(fitted: Fitted) -> bool:
    """Whether its time was over before its search: on another day the same question may get a better answer."""
    return any(note.startswith(CUT_SHORT.partition("{")[0]) for note in fitted.notes)


def donors_alone(fitted: Fitted) -> Fitted:
    """The same with no other pieces and styles than those of its donors, in all its ways: what a page needs of the stock."""
    plans = (fitted.plan, *(way.plan for way in fitted.ways))
    used = {part.piece for plan in plans for patch in plan.patches for part in patch.parts}
    pieces = {tag: piece for tag, piece in fitted.pieces.items() if tag in used}
    named = {piece.style for piece in pieces.values()}
    known = {tag: version for tag, version in fitted.known_versions.items() if tag in used}
    styles = {name: style for name, style in fitted.styles.items() if name in named}
    return replace(fitted, pieces=pieces, styles=styles, known_versions=known)
