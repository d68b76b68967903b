"""Rolls as they come: how long they are, which there are, and which room is cut from which."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadInput, NoPlan
from remnants.estimating import ROLL, OrderPlan, Roll, RollThere, Room, Stairs
from remnants.estimating.roll_lengths import write_roll_length
from remnants.units import Unit
from tests.estimating.floors import PLAIN, a_door, a_remnant, a_room, order
from tests.thorough import few

CM = replace(PLAIN, cut_step_mm=10.0)


def a_bed(name: str, length: int, wide: int = 4000) -> Room:
    return a_room(f"{wide} mm", f"{length} mm", name=name, pile_deg=0.0)


def there(*rolls: tuple[str, int, str], **more: float) -> Roll:
    return Roll(4000.0, there=tuple(RollThere(name, float(length), lot) for name, length, lot in rolls), **more)  # type: ignore[arg-type]


def shares(plan: OrderPlan) -> dict[str, set[str]]:
    """The rooms by roll."""
    found: dict[str, set[str]] = {}
    for placed in plan.placed:
        if placed.source == ROLL:
            found.setdefault(plan.roll_of(placed).name, set()).add(placed.cut.room)
    return found


def test_rooms_are_shared_out_over_the_rolls_that_there_are() -> None:
    # 6 + 5 + 4 m on rolls of 10 and 5 m: the two that make 10 on one
    rooms = [a_bed("Bed 1", 6000), a_bed("Bed 2", 5000), a_bed("Bed 3", 4000)]
    plan = order(*rooms, roll=there(("A", 10_000, "7"), ("B", 5_000, "7")), rules=CM)
    assert shares(plan) == {"A": {"Bed 1", "Bed 3"}, "B": {"Bed 2"}}
    assert [(each.name, each.length_mm, each.ordered_mm) for each in plan.rolls] == [("A", 10_000, 10_000), ("B", 5_000, 5_000)]


def test_what_may_be_shorter_shared_otherwise_is_not_called_the_best_possible() -> None:
    # two of 2 x 3 m side by side on A, one of 2 x 4 m on B: 7 m, where their area alone would take 5
    rooms = [a_bed("Bed 1", 3000, 2000), a_bed("Bed 2", 3000, 2000), a_bed("Bed 3", 4000, 2000)]
    plan = order(*rooms, roll=there(("A", 3_000, "7"), ("B", 4_000, "7")), rules=CM)
    assert (plan.length_mm, plan.stopped) == (7_000, "each roll as short as its cuts go")
    assert plan.bound_mm < plan.length_mm


def test_of_rolls_all_of_a_length_as_many_are_ordered_as_it_takes() -> None:
    # 7, 6 and 5.5 m off rolls of 12 m: 6 and 5.5 on one, 7 on another; 50 mm of each length are squared off
    rooms = [a_bed("Bed 1", 7000), a_bed("Bed 2", 6000), a_bed("Bed 3", 5500)]
    plan = order(*rooms, roll=Roll(4000.0, length_mm=12_000.0, end_loss_mm=50.0, step_mm=100.0), rules=CM)
    assert shares(plan) == {"roll 1": {"Bed 1"}, "roll 2": {"Bed 2", "Bed 3"}}
    assert [each.ordered_mm for each in plan.rolls] == [7_100, 11_600]


def test_a_room_is_never_joined_from_two_rolls() -> None:
    # two breadths of 6 m: neither roll of 9 m holds both, one of 12 m does
    hall = a_room("8000 mm", "6000 mm", name="Hall", pile_deg=0.0)
    with pytest.raises(NoPlan, match=r"'Hall' takes at least 12000 mm of one roll; the longest, A, gives 9000 mm"):
        order(hall, roll=there(("A", 9_000, "7"), ("B", 9_000, "7")), rules=CM)
    assert shares(order(hall, roll=there(("A", 9_000, "7"), ("C", 12_000, "7")), rules=CM)) == {"C": {"Hall"}}


def test_a_room_that_is_longer_than_any_roll_is_laid_the_other_way() -> None:
    plan = order(a_room("3900 mm", "9000 mm", name="Hall"), roll=there(("A", 8_000, "7"), ("B", 12_000, "7")), rules=CM)
    assert shares(plan) == {"B": {"Hall"}}
    short = order(a_room("3900 mm", "9000 mm", name="Hall"), roll=Roll(4000.0, length_mm=8_500.0 + 3_500.0), rules=CM)
    assert max(placed.cut.length_mm for placed in short.placed) <= 12_000


def test_a_run_of_stairs_longer_than_the_roll_is_told_by_name() -> None:
    with pytest.raises(NoPlan, match="'Stairs' takes a longer run than there is: a roll gives 5000 mm"):
        order(Stairs("Stairs", 13, 800.0, 250.0, 180.0), roll=Roll(4000.0, length_mm=5_000.0), rules=CM)


def test_rolls_that_hold_too_little_are_told_with_what_is_taken() -> None:
    rooms = [a_bed(f"Bed {n}", 5000) for n in range(3)]
    with pytest.raises(NoPlan, match=r"the cuts take at least 15000 mm, and the rolls hold 14000 mm \(A 8000 mm, B 6000 mm\)"):
        order(*rooms, roll=there(("A", 8_000, "7"), ("B", 6_000, "7")), rules=CM)
    with pytest.raises(NoPlan, match="no way was found to cut each floor from one roll"):
        order(*rooms, roll=there(("A", 9_000, "7"), ("B", 9_000, "7")), rules=CM)


def test_rooms_seen_together_come_from_one_lot_and_a_closet_from_any() -> None:
    hall = replace(a_bed("Hall", 5000), doorways=(a_door("0", "1 m", "0", "2 m", to="Den"),))
    rolls = there(("A", 6_000, "7"), ("B", 6_000, "8"), ("C", 6_000, "7"))
    plan = order(hall, a_bed("Den", 5000), a_bed("Closet", 5000), roll=rolls, rules=CM)
    told = shares(plan)
    assert told.pop("B") == {"Closet"} and told.keys() == {"A", "C"} and set().union(*told.values()) == {"Hall", "Den"}
    with pytest.raises(NoPlan, match="floors seen together from one lot"):
        order(hall, a_bed("Den", 5000), roll=there(("A", 6_000, "7"), ("B", 6_000, "8")), rules=CM)
    with pytest.raises(NoPlan):  # nobody told their lots
        order(hall, a_bed("Den", 5000), roll=there(("A", 6_000, ""), ("B", 6_000, "")), rules=CM)


def test_stock_spares_a_roll() -> None:
    closet = a_room("1000 mm", "2000 mm", name="Closet", hidden=True, pile_deg=0.0)
    stock = (a_remnant("R-1", "1.2 m", "2.2 m"),)
    plan = order(a_bed("Bed", 6000), closet, roll=there(("A", 6_000, "7"), ("B", 4_000, "7")), rules=CM, stock=stock)
    assert (shares(plan), plan.tags) == ({"A": {"Bed"}}, ("R-1",))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"there": (RollThere("A", 0.0),)}, "nothing to cut from"),
        ({"there": (RollThere("A", 10.0), RollThere("A", 10.0))}, "a name of its own"),
        ({"length_mm": 40.0, "end_loss_mm": 50.0}, "no longer than its end loss"),
        ({"end_loss_mm": -1.0}, "no length"),
    ],
)
def test_a_roll_that_cannot_be_is_refused(changes: dict[str, object], told: str) -> None:
    with pytest.raises(BadInput, match=told):
        Roll(4000.0, **changes)  # type: ignore[arg-type]


LENGTH = st.integers(20, 80).map(lambda tenths: tenths * 100)


@settings(max_examples=few(60), deadline=None)
@given(
    st.lists(st.tuples(st.integers(10, 70), LENGTH), min_size=2, max_size=5),
    st.lists(st.tuples(st.integers(60, 200).map(lambda tenths: tenths * 100), st.sampled_from("78")), min_size=1, max_size=4),
    st.sampled_from((0.0, 50.0)),
    st.sampled_from((0.0, 500.0)),
    st.booleans(),
)
def test_no_room_is_cut_from_two_rolls_and_no_roll_gives_more_than_it_has(
    sides: list[tuple[int, int]], rolls: list[tuple[int, str]], loss: float, step: float, joined: bool
) -> None:
    """The proof inside `order` asks for the same; here it is counted once more from what is told."""
    rooms = [a_room(f"{wide * 100} mm", f"{long} mm", name=f"R{n}", trim=37.5) for n, (wide, long) in enumerate(sides)]
    if joined:
        rooms[0] = replace(rooms[0], doorways=(a_door("0", "100 mm", "0", "900 mm", to="R1"),))
    named = tuple((f"N{n}", length, lot) for n, (length, lot) in enumerate(rolls))
    try:
        plan = order(*rooms, roll=there(*named, end_loss_mm=loss, step_mm=step), rules=replace(CM, seam_mm=25.0), tries=10)
    except NoPlan as refused:
        assert any(word in str(refused) for word in ("one roll", "the rolls hold"))
        return
    found = shares(plan)
    assert sum(len(rooms_of) for rooms_of in found.values()) == len(set().union(*found.values()))
    on_it = {name: length for name, length, _ in named}
    for taken in plan.rolls:
        ends = [plan.along_mm(each) + each.cut.length_mm for each in plan.placed if plan.roll_of(each) == taken]
        assert max(ends) == pytest.approx(taken.length_mm)
        assert taken.length_mm + loss <= taken.ordered_mm + 0.01 <= on_it[taken.name] + 0.02
    if joined and not plan.layings[0].room.startswith("R0 "):
        lots = {taken.lot for taken in plan.rolls if found[taken.name] & {"R0", "R1"}}
        assert len(lots) == 1


@pytest.mark.parametrize(
    ("unit", "text"), [(Unit.IN, "12' 0 1/2\""), (Unit.FT, "12' 0 1/2\""), (Unit.CM, "367.0 cm"), (Unit.M, "3.670 m")]
)
def test_roll_is_ordered_in_feet_by_whoever_reads_inches(unit: Unit, text: str) -> None:
    assert write_roll_length(3670.3, unit) == text
