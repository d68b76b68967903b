"""A job or an order that one test asks of a page or a command is answered to the next from what came of it.

Pages and commands ask the same few dozen, some thousand times over. How an answer is searched is asked of the search itself, in
`tests/fitting/` and `tests/estimating/`, and each time anew.
"""

import hashlib
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

import pytest

from remnants.actions import estimate_job, fit_in_time, fit_job, fit_tasks, order_house, order_rooms, propose_job, why_not
from remnants.actions.fit_job import Fitted, Offer, Searching
from remnants.actions.order_rooms import STOPPED, TIME_UP, Limits, Ordered
from remnants.cli import fit_run, sheet_options
from remnants.cli import order as order_command
from remnants.exchange import Stock
from remnants.exchange.rooms import RoomsAsked
from remnants.fitting import FitRules
from remnants.matching.stock_names import StockNames
from remnants.model import Job

__all__ = ["asked_before"]

WHOLE = (str, bytes, int, float, bool, type(None), date, datetime, Decimal, Fraction)
CLOCK = time.monotonic
HEAR_NOTHING = {module.__name__ for module in (estimate_job, fit_job, fit_run, order_command, order_house, order_rooms)}
"""The modules whose hearers of a search only show how far it has come, at a terminal."""
EMPTY, MOST_PIECES = Stock((), ()), 300

_fitted: dict[str, tuple[Fitted, float]] = {}
_ordered: dict[str, Ordered] = {}
_fit, _order = fit_job.fit_offer, order_rooms.order_rooms


class NotPlainError(Exception):
    """Something asked is no plain value, so that nobody can tell whether it was asked before."""


@contextmanager
def asked_before() -> Iterator[None]:
    """Within it what ended by its tries, without a clock or a person, is not searched twice."""
    with pytest.MonkeyPatch.context() as here:
        for module in (estimate_job, fit_in_time, fit_job, fit_tasks, propose_job, sheet_options, why_not):
            here.setattr(module, "fit_offer", _fit_offer)
        for module in (estimate_job, order_house):
            here.setattr(module, "order_rooms", _order_rooms)
        yield


def _fit_offer(
    offer: Offer, job: Job, *, rules: FitRules | None = None, search: Searching | None = None, ways: bool = False
) -> Fitted:
    how = search or Searching()
    watch = how.watch
    limits = [watch._most_tries, round(watch._end - watch._start, 3), watch._patient, watch.tries] if watch else []
    timed = watch is not None and watch._clock is not CLOCK and watch.seconds_left() < float("inf")
    key = _key(offer.stock, replace(offer, stock=EMPTY), job, rules, ways, how.seed, how.beside is None, limits)
    if not key or timed or (watch and watch.timed_out()) or not _shows_alone(how.told):
        return _fit(offer, job, rules=rules, search=search, ways=ways)
    if key in _fitted:
        found, tries = _fitted[key]
        if watch:
            watch.count(tries)
        return found
    tries = watch.tries if watch else 0.0
    found = _fit(offer, job, rules=rules, search=search, ways=ways)
    if not (watch and (watch.timed_out() or watch.hurried)) and not (how.beside and how.beside()):
        _fitted[key] = found, (watch.tries if watch else 0.0) - tries
    return found


def _order_rooms(asked: RoomsAsked, stock: Stock, *, limits: Limits, **more: Any) -> Ordered:
    key = _key(stock, asked, more.get("names"), limits.seconds, limits.tries, limits.seed)
    if not key or limits.clock not in (None, CLOCK) or limits.stop() or not _shows_alone(more.get("told", _order)):
        return _order(asked, stock, limits=limits, **more)
    if key in _ordered:
        return _ordered[key]
    found = _order(asked, stock, limits=limits, **more)
    if not {STOPPED, TIME_UP} & set(found.notes):
        _ordered[key] = found
    return found


def _shows_alone(told: Callable[..., None]) -> bool:
    return getattr(told, "__module__", "") in HEAR_NOTHING


def _key(stock: Stock, *asked: object) -> str:
    """The same for the same values, whoever asks; nothing where it can't be told, or would take long."""
    if len(stock.pieces) > MOST_PIECES:
        return ""
    try:
        return hashlib.sha256(repr(_plain((stock, *asked))).encode()).hexdigest()
    except NotPlainError:
        return ""


def _plain(value: object) -> object:
    if type(value) in WHOLE or isinstance(value, Enum):
        return value
    if isinstance(value, StockNames):
        return ["names", _plain(value._labels), _plain(value._styles)]
    if isinstance(value, Mapping):
        return ["mapping", *((_plain(name), _plain(each)) for name, each in value.items())]
    if isinstance(value, (set, frozenset)):
        return ["set", *sorted(repr(_plain(each)) for each in value)]
    if isinstance(value, (tuple, list)):
        return [_plain(each) for each in value]
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *(_plain(getattr(value, each.name)) for each in fields(value))]
    raise NotPlainError(type(value))
