"""The same question has the same answer on a loaded machine as on a quiet one: effort ends a search; a clock that did is told."""

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions.order_rooms import STOPPED, TIME_UP, Limits, Ordered, order_rooms
from remnants.estimating import Floors, OrderRules, Room
from remnants.exchange import Stock
from remnants.exchange.rooms import RoomsAsked
from remnants.packing import Watch
from tests.estimating.floors import a_roll, a_room
from tests.thorough import share

HOUSE = (
    a_room("14 ft", "16 ft", trim=37.5),
    a_room("9 ft", "11 ft 6 in", name="Den", trim=37.5),
    a_room("4 ft", "15 ft", name="Hall", trim=37.5),
    a_room("13 ft", "10 ft", name="Study", trim=37.5),
)


def ordered(*rooms: Room, **limits: object) -> Ordered:
    asked = RoomsAsked(Floors("test", rooms), (a_roll(),), OrderRules(cross_seams=1))
    return order_rooms(asked, Stock((), ()), limits=Limits(**limits))  # type: ignore[arg-type]


def a_clock(seed: int, most: float) -> Callable[[], float]:
    """Seconds that pass from one look to the next by chance, as on a machine that others use too."""
    chance, now = random.Random(seed), [0.0]

    def look() -> float:
        now[0] += chance.random() * most
        return now[0]

    return look


@settings(max_examples=share(12))
@given(seed=st.integers(0, 1000), load=st.sampled_from((0.0, 0.0001, 0.003)), rooms=st.integers(1, 4))
def test_the_answer_is_the_same_however_loaded_the_machine_is(seed: int, load: float, rooms: int) -> None:
    quiet = ordered(*HOUSE[:rooms], seconds=None, tries=60)
    loaded = ordered(*HOUSE[:rooms], seconds=60.0, tries=60, clock=a_clock(seed, load))
    assert loaded.chosen.without.hurried or loaded.chosen == quiet.chosen
    if load < 0.001:
        assert loaded.chosen == quiet.chosen and not loaded.notes


def test_where_the_clock_ends_a_search_it_is_told() -> None:
    hurried = ordered(*HOUSE, seconds=1.0, tries=60, clock=a_clock(1, 0.2))
    assert hurried.notes == (TIME_UP,) and hurried.chosen.best.hurried


def test_where_somebody_stops_a_search_it_is_told() -> None:
    stopped = ordered(*HOUSE, seconds=None, tries=60, stop=lambda: True)
    assert stopped.notes == (STOPPED,) and stopped.chosen.best.hurried


def test_rooms_alike_are_laid_alike_and_each_by_its_own_name() -> None:
    house = [a_room("14 ft", "16 ft", name=name, trim=37.5) for name in ("One", "Another", "A third")]
    layings = ordered(*house, seconds=None, tries=20).chosen.best.layings
    assert [laying.room for laying in layings] == ["One", "Another", "A third"]
    assert all(cut.name.startswith(laying.room) and cut.room == laying.room for laying in layings for cut in laying.cuts)
    assert all(seam.room == laying.room for laying in layings for seam in laying.seams)


@pytest.mark.parametrize(("patient", "most"), [(False, 3.0), (True, 8.0)])
def test_a_patient_watch_lets_effort_end_the_parts_of_a_search(patient: bool, most: float) -> None:
    now = [0.0]
    watch = Watch(tries=100, seconds=10.0, clock=lambda: now[0], patient=patient)
    part = watch.part(0.3)
    assert most <= part.seconds_left() < most + 1
    part.count(30)
    now[0] = 9.0
    assert part.over() and not watch.hurried
    now[0] = 11.0
    assert watch.over() and watch.hurried
