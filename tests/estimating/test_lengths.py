"""Full-width lengths off a roll: crosscuts part no cut, and every cut lies in one length."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import ROLL, OrderPlan, Roll, RollThere, Room
from remnants.estimating.lengths import in_lengths, lengths_of
from remnants.model.order_plan import Cut, CutKind, Placed
from remnants.report.ticket_text import stroke_told, strokes_of
from remnants.units import Unit
from tests.estimating.floors import PLAIN, a_roll, a_room, order
from tests.thorough import few

CM = replace(PLAIN, cut_step_mm=10.0)


def a_cut(name: str, width: float, length: float, at: tuple[float, float]) -> Placed:
    return Placed(Cut(name, name[0], CutKind.FILL, None, (0.0, 0.0, width, length), length), ROLL, at)


def names(cuts: tuple[Placed, ...]) -> list[str]:
    return [each.cut.name for each in cuts]


def test_cuts_that_straddle_are_set_so_that_a_crosscut_parts_none() -> None:
    # two of 2 x 3 m and two of 2 x 1 m on 4 m goods, packed 3 + 1 beside 1 + 3: no crosscut; as 3 and 1 they take no more
    packed = [
        a_cut("A 1", 2000, 3000, (0, 0)), a_cut("B 1", 2000, 1000, (2000, 0)),
        a_cut("A 2", 2000, 3000, (2000, 1000)), a_cut("B 2", 2000, 1000, (0, 3000)),
    ]  # fmt: skip
    set_anew = in_lengths(packed, 4000.0, {"A 1": 0, "A 2": 1, "B 1": 2, "B 2": 3})
    found = {each.cut.name: each.at for each in set_anew}
    assert found == {"A 1": (0, 0), "A 2": (2000, 0), "B 1": (0, 3000), "B 2": (2000, 3000)}


def test_what_takes_more_when_set_anew_stays_as_it_was_packed() -> None:
    # a pinwheel round 1 x 1 m: five cuts of which no crosscut leaves all whole
    packed = [
        a_cut("A", 2000, 1000, (0, 0)), a_cut("B", 1000, 2000, (2000, 0)), a_cut("C", 2000, 1000, (1000, 2000)),
        a_cut("D", 1000, 2000, (0, 1000)), a_cut("E", 1000, 1000, (1000, 1000)),
    ]  # fmt: skip
    anew = in_lengths(packed, 3000.0, {name: place for place, name in enumerate("ABCDE")})
    assert list(anew) == sorted(packed, key=lambda each: each.at[::-1])


def test_breadths_of_a_room_come_off_the_roll_one_after_another() -> None:
    packed = [a_cut("A 1", 4000, 3000, (0, 0)), a_cut("B", 4000, 2000, (0, 3000)), a_cut("A 2", 4000, 3000, (0, 5000))]
    assert names(in_lengths(packed, 4000.0, {"A 1": 0, "A 2": 1, "B": 2})) == ["A 1", "A 2", "B"]


def test_the_lengths_of_an_order_follow_its_rooms() -> None:
    plan = order(
        a_room("7000 mm", "5000 mm", name="Hall", pile_deg=0.0), a_room("4000 mm", "3000 mm", name="Bed", pile_deg=0.0),
        roll=a_roll("4 m"), rules=CM,
    )  # fmt: skip
    off = lengths_of(plan)
    assert [(each.start_mm, each.length_mm) for each in off] == [(0, 5000), (5000, 5000), (10_000, 3000)]
    assert [names(each.cuts) for each in off] == [["Hall 1"], ["Hall 2"], ["Bed"]]


def test_a_length_is_cut_by_strokes_from_edge_to_edge() -> None:
    plan = order(a_room("3000 mm", "5000 mm", name="Bed", pile_deg=0.0), roll=a_roll("4 m"), rules=CM)
    (length,) = lengths_of(plan)
    assert [stroke_told(each, Unit.MM) for each in strokes_of(plan, length)] == [
        "along, 3000 mm from the left, from 0 mm to 5000 mm"
    ]


SIDE = st.integers(10, 60).map(lambda tenths: tenths * 100)


@settings(max_examples=few(60), deadline=None)
@given(st.lists(st.tuples(SIDE, SIDE), min_size=1, max_size=6), st.booleans())
def test_every_cut_lies_whole_in_one_length_and_lengths_take_no_more_roll(sides: list[tuple[int, int]], by_rolls: bool) -> None:
    rooms: list[Room] = [a_room(f"{wide} mm", f"{long} mm", name=f"R{n}") for n, (wide, long) in enumerate(sides)]
    there = tuple(RollThere(f"N{n}", 60_000.0, "7") for n in range(2)) if by_rolls else ()
    plan: OrderPlan = order(*rooms, roll=Roll(4000.0, there=there), rules=CM, tries=10)  # proved there
    off = lengths_of(plan)
    assert sorted(name for each in off for name in names(each.cuts)) == sorted(names(plan.placed))
    assert sum(each.length_mm for each in off) == pytest.approx(plan.length_mm)
    for each in off:
        for placed in each.cuts:
            assert placed.at[1] >= -0.01 and placed.at[1] + placed.cut.length_mm <= each.length_mm + 0.01
        freed = [index for stroke in strokes_of(plan, each) for index in stroke.frees]
        assert len(freed) == len(set(freed))
