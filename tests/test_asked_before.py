"""What is not searched twice in a run is what was asked before, and came to its end by itself."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

import pytest

from remnants.actions import fit_job, order_house, order_rooms
from remnants.actions.fit_in_time import FitSearch
from remnants.exchange import read_job
from remnants.exchange.rooms import read_rooms
from tests import asked_before as asked
from tests.stock_values import a_piece, a_stock

JOB: Mapping[str, object] = {
    "unit": "in",
    "job": "Alder Court 7",
    "style": "Velder Loop",
    "patches": [{"width": 10, "length": 9, "pile": 0}],
}
NEVER = partial(bool, 0)


@pytest.fixture
def searched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The jobs that were searched; nothing was answered before."""
    made: list[str] = []
    fit_offer = asked._fit

    def fit(*given: object, **more: object) -> object:
        made.append(given[1].name)  # type: ignore[attr-defined]
        return fit_offer(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(asked, "_fit", fit)
    monkeypatch.setattr(asked, "_fitted", {})
    return made


def search(job: Mapping[str, object] = JOB, *, wide: float = 40) -> FitSearch:
    return FitSearch(fit_job.Offer(a_stock(a_piece("R-1", wide, 60))), read_job(dict(job)), True, 3600.0)


def test_what_was_asked_before_is_answered_and_what_was_not_is_searched(searched: list[str]) -> None:
    with asked.asked_before():
        first = search().answer(NEVER)
        assert search().answer(NEVER) == first and searched == ["Alder Court 7"]
        search({**JOB, "job": "Birch Row 2"}).answer(NEVER)
        search(wide=41).answer(NEVER)
        assert searched == ["Alder Court 7", "Birch Row 2", "Alder Court 7"]
    assert search().answer(NEVER) == first and len(searched) == 3, "afterwards the program is as it was"


def test_what_somebody_or_a_clock_of_its_own_may_cut_short_is_searched_again(searched: list[str]) -> None:
    with asked.asked_before():
        for _ in range(2):
            assert replace(search(), clock=lambda: 0.0).answer(NEVER).plan.job == "Alder Court 7"
            assert search().answer(partial(bool, 1)).plan.job == "Alder Court 7"
    assert len(searched) == 4


def test_orders_of_the_same_rooms_are_looked_for_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asked, "_ordered", {})
    rooms = read_rooms({"unit": "m", "roll": {"width": 4}, "rooms": [{"name": "hall", "width": 2, "length": 3}]})
    limits = order_rooms.Limits(seconds=None, tries=1)
    with asked.asked_before():
        first, again, other = (
            vars(order_house)["order_rooms"](each, asked.EMPTY, limits=limits)
            for each in (rooms, replace(rooms), replace(rooms, floors=replace(rooms.floors, name="another")))
        )
    assert first is again and other is not first
