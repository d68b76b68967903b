"""A job fitted within seconds, for somebody who waits: the best answer by then, marked as such, with no more than its donors."""

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from remnants.actions.fit_job import Fitted, Searching, fit_job
from remnants.fitting import TRIES
from remnants.model import Job
from remnants.packing import Watch
from remnants.store import Catalogue

__all__ = ["CUT_SHORT", "donors_alone", "fit_in_time"]

CUT_SHORT = "the search ended after {seconds:g} seconds with the best found by then; `remnants fit` searches on for a better one"


def fit_in_time(
    catalogue: Catalogue,
    job: Job,
    *,
    today: date,
    own: str | None = None,
    ways: bool = False,
    seconds: float,
    stop: Callable[[], bool] = lambda: False,
    clock: Callable[[], float] = time.monotonic,
) -> Fitted:
    """As `fit_job`, its search ended after so many seconds or when `stop` says so; a note tells where its time was over."""
    watch = Watch(tries=TRIES, seconds=seconds, clock=clock, stop=stop)
    fitted = fit_job(catalogue, job, today=today, own=own, ways=ways, search=Searching(watch=watch))
    if watch.seconds_left() <= 0 and watch.tries_left() > 0:
        fitted = replace(fitted, notes=(*fitted.notes, CUT_SHORT.format(seconds=seconds)))
    return fitted


def donors_alone(fitted: Fitted) -> Fitted:
    """The same with no other pieces and styles than those of its donors, in all its ways: what a page needs of the stock."""
    plans = (fitted.plan, *(way.plan for way in fitted.ways))
    used = {part.piece for plan in plans for patch in plan.patches for part in patch.parts}
    pieces = {tag: piece for tag, piece in fitted.pieces.items() if tag in used}
    named = {piece.style for piece in pieces.values()}
    known = {tag: version for tag, version in fitted.known_versions.items() if tag in used}
    styles = {name: style for name, style in fitted.styles.items() if name in named}
    return replace(fitted, pieces=pieces, styles=styles, known_versions=known)
