"""Seams wherever the roll wants them: what is found takes less roll than all that was seen, and can be laid and packed so."""

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import Floors, OrderRules, Room, Stairs
from remnants.estimating.roll.choices import Seen
from remnants.estimating.roll.room_ways import group_bearings, stair_ways
from remnants.estimating.roll.seams_anywhere import seams_anywhere
from remnants.estimating.roll.work import Work
from remnants.geometry import outline_of
from remnants.model import Construction, Repeat
from remnants.model.order_rules import Roll, RollThere
from remnants.packing import Watch
from tests.estimating.floors import a_door, a_roll, a_room, order
from tests.thorough import share


def found_for(floors: Floors, roll: Roll, rules: OrderRules, *, tries: int = 20) -> tuple[Work, Seen, list[Seen]]:
    """The work, the whole of every floor's first way, and what is found beside it."""
    work = Work(floors, floors, roll, rules, Construction.CUT, 0, Watch(tries=tries), lambda _length, _bound: None)
    groups = [group_bearings(work, group, work.watch) for group in floors.groups]
    groups += [[(stair_ways(work, flight, work.watch),)] for flight in floors.stairs]
    layings = tuple(ways[0] for bearings in groups for ways in bearings[0])
    base = Seen(work.quick_mm(cut for laying in layings for cut in laying.cuts), layings)
    return work, base, list(seams_anywhere(work, groups, [base], Watch(tries=tries)))


def in_cm(*sizes: tuple[int, int], pile_deg: float | None = None) -> tuple[Room, ...]:
    return tuple(
        a_room(f"{x} cm", f"{y} cm", name=f"R{place}", trim=37.5, pile_deg=pile_deg) for place, (x, y) in enumerate(sizes)
    )


def test_a_breadth_is_as_wide_as_the_roll_has_room_for() -> None:
    """Three rooms of 302.5, 252.5 and 202.5 cm on 400: side by side in two lengths, the second room parted at 97.5 cm."""
    rooms = in_cm((295, 300), (245, 300), (195, 300), pile_deg=0.0)
    _, base, found = found_for(Floors("three", rooms), a_roll("400 cm"), OrderRules())
    assert round(base.length_mm) == 9225
    assert round(found[0].length_mm) == 6150
    assert found[0].seams == 1


def test_connected_rooms_keep_one_pile_and_what_is_no_rectangle_stays_as_it_is() -> None:
    ring = [(0.0, 0.0), (3000.0, 0.0), (3000.0, 1500.0), (1400.0, 1500.0), (1400.0, 3400.0), (0.0, 3400.0)]
    bent = Room("Bent", outline_of(ring), (37.5,) * 6, doorways=(a_door("1 m", "0", "2 m", "0", to="R0"),))
    flight = Stairs("Flight", 13, 800.0, 250.0, 190.0)
    floors = Floors("bent", (bent, *in_cm((430, 300), (245, 380))), (flight,))
    _, base, found = found_for(floors, a_roll("400 cm"), OrderRules())
    assert found
    for whole in found:
        laid = {laying.room: laying for laying in whole.layings}
        assert laid["Bent"] == base.layings[0]
        assert laid["R0"].pile_deg == laid["Bent"].pile_deg
        assert laid["Flight"] == base.layings[-1]


@pytest.mark.parametrize("roll", [a_roll("4 m", repeat=Repeat(400.0, 500.0)), a_roll("40 mm")])
def test_patterned_goods_and_a_tape_of_a_roll_are_left_alone(roll: Roll) -> None:
    rooms = in_cm((295, 300), (245, 300))
    floors = Floors("two", rooms)
    work = Work(floors, floors, roll, OrderRules(), Construction.CUT, 0, Watch(tries=5), lambda _length, _bound: None)
    assert list(seams_anywhere(work, [], [], Watch(tries=5))) == []


def test_seams_lie_where_they_weigh_least() -> None:
    """A breadth of 97.5 cm goes to the wall at which no doorway is cut through by its seam."""
    door = a_door("170 cm", "300 cm", "230 cm", "300 cm")
    plain = in_cm((295, 300), (195, 300), pile_deg=0.0)
    room = a_room("245 cm", "300 cm", name="Door", trim=37.5, pile_deg=0.0, doorways=(door,))
    _, _, found = found_for(Floors("three", (*plain, room)), a_roll("400 cm"), OrderRules())
    assert round(found[0].length_mm) == 6150
    assert not any("doorway" in seam.seam.sentence for laying in found[0].layings for seam in laying.seams)


def test_a_remembered_packing_must_be_one() -> None:
    floors = Floors("two", in_cm((195, 300), (195, 300)))
    work = Work(floors, floors, a_roll("410 cm"), OrderRules(), Construction.CUT, 0, Watch(tries=5), lambda _length, _bound: None)
    cuts = [cut for room in floors.rooms for cut in group_bearings(work, [room], work.watch)[0][0][0].cuts]
    work.remember(cuts, [(0, 0), (0, 0)])
    work.remember(cuts, [(0, 0), (3_000_000, 0)])
    assert not work.packed


def test_many_rooms_are_packed_some_at_a_time() -> None:
    """Eighteen rooms, two of them connected: within 5 % of their area, the two keep the pile that they had."""
    sizes = [(180 + 37 * n % 410, 190 + 53 * n % 390) for n in range(17)]
    bedroom = a_room("430 cm", "300 cm", name="Bedroom", trim=37.5, doorways=(a_door("1 m", "0", "2 m", "0", to="R0"),))
    work, base, (found,) = found_for(Floors("many", (*in_cm(*sizes), bedroom)), a_roll("400 cm"), OrderRules(), tries=30)
    cuts = [cut for laying in found.layings for cut in laying.cuts]
    assert found.length_mm < base.length_mm
    assert sum(cut.width_mm * cut.length_mm for cut in cuts) / 4000 > 0.95 * found.length_mm
    assert work.pack(cuts, Watch(tries=1)).length / 1000 == found.length_mm
    piles = [{laying.room: laying.pile_deg for laying in whole.layings} for whole in (base, found)]
    assert [pile["Bedroom"] for pile in piles] == [pile["R0"] for pile in piles]
    assert piles[0]["R0"] == piles[1]["R0"]


def test_with_no_effort_left_many_rooms_stay_as_they_were() -> None:
    rooms = in_cm(*((180 + 10 * n, 300) for n in range(18)))
    floors = Floors("many", rooms)
    work, base, _ = found_for(floors, a_roll("400 cm"), OrderRules(), tries=1)
    groups = [group_bearings(work, group, work.watch) for group in floors.groups]
    assert list(seams_anywhere(work, groups, [base], Watch(tries=0))) == []


sizes = st.integers(14, 52)


@settings(max_examples=share(18), deadline=None)
@given(
    wide=st.lists(st.tuples(sizes, sizes), min_size=1, max_size=5),
    roll=st.sampled_from((3660, 4000)),
    pile=st.none() | st.just(0.0),
    step=st.sampled_from((0.0, 10.0, 12.7)),
)
def test_what_is_found_is_shorter_than_all_that_was_seen(
    wide: Sequence[tuple[int, int]], roll: int, pile: float | None, step: float
) -> None:
    """With no more seams; no fill is a sliver; and the roll told for it is what its cuts take, none over another."""
    rooms = in_cm(*((x * 10, y * 10) for x, y in wide), pile_deg=pile)
    rules = OrderRules(cut_step_mm=step)
    work, base, found = found_for(Floors("some", rooms), Roll(float(roll)), rules, tries=8)
    before = [base]
    for whole in found:
        assert all(whole.length_mm < each.length_mm for each in before if each.seams <= whole.seams)
        cuts = [cut for laying in whole.layings for cut in laying.cuts]
        plan = work.pack(cuts, Watch(tries=1))
        assert plan.length / 1000 <= whole.length_mm + 0.001
        for laying in whole.layings:
            narrow = [
                cut for cut in laying.cuts if cut.net and cut.net.bounds[2] - cut.net.bounds[0] < rules.least_fill_mm - 0.01
            ]
            assert not narrow
        before.append(whole)


def test_an_order_with_seams_anywhere_is_proved() -> None:
    plan = order(*in_cm((295, 300), (245, 300), (195, 300), pile_deg=0.0), roll=a_roll("400 cm"), rules=OrderRules(), tries=20)
    assert plan.least_mm <= plan.length_mm


def test_fewer_seams_are_asked_for_each_time_where_fills_may_be_of_any_width() -> None:
    """Rounding gives the closet a seam more than asked; the same number was asked for again, and again."""
    door, back = a_door("4 m", "1 m", "4 m", "2 m", to="Closet"), a_door("0 m", "1 m", "0 m", "2 m", to="Lounge")
    rooms = (
        a_room("4 m", "4 m", pile_deg=0.0, doorways=(door,)),
        a_room("2 m", "4.5 m", name="Closet", hidden=True, pile_deg=0.0, doorways=(back,)),
        a_room("3 m", "2.5 m", name="Bed", pile_deg=0.0),
    )
    rolls = (RollThere("A", 4000.0, "7"), RollThere("B", 7000.0, "8"))
    assert order(*rooms, roll=a_roll("4 m", there=rolls), tries=40).ordered_mm == 9000
