"""Orders: the laws they keep, what stock gives, and what the check sees."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadInput, NoPlan, Unproved
from remnants.estimating import ROLL, CutKind, Floors, OrderPlan, OrderRules, Roll, Room, Stairs, Weights
from remnants.estimating.order import order_from_roll, order_with_stock, orders_from_roll
from remnants.estimating.roll.ways_together import finalists
from remnants.estimating.roll.work import Work
from remnants.estimating.rooms.layings import lay_room
from remnants.geometry import outline_of, rectangle
from remnants.model import Construction, Grade, Repeat, SeamKind, Wanted
from remnants.packing import Watch
from remnants.proof.orders import check_order, prove_order
from tests.estimating.floors import LENGTH_ONLY, PLAIN, a_door, a_remnant, a_roll, a_room, mm, order
from tests.thorough import few, share

SIDE = st.integers(15, 90).map(lambda tenths: tenths * 100.0)


@st.composite
def rooms(draw: st.DrawFn) -> Room:
    """A rectangle, an L, or a rectangle with an island, with some bearing, trims and a doorway."""
    width, length = draw(SIDE), draw(SIDE)
    ring = [(0.0, 0.0), (width, 0.0), (width, length), (0.0, length)]
    islands = []
    match draw(st.sampled_from(("plain", "L", "island"))):
        case "L":
            x, y = width * draw(st.sampled_from((0.3, 0.5, 0.7))), length * draw(st.sampled_from((0.3, 0.5, 0.7)))
            ring = [(0.0, 0.0), (width, 0.0), (width, y), (x, y), (x, length), (0.0, length)]
        case "island":
            islands = [[(width * a, length * b) for a, b in ((0.4, 0.4), (0.6, 0.4), (0.6, 0.6), (0.4, 0.6))]]
    outline = outline_of(ring, islands)
    pile = draw(st.sampled_from((None, 0.0, 90.0, 30.0)))
    trim = draw(st.sampled_from((0.0, 37.5)))
    return Room("Room", outline, (trim,) * len(outline.ring), pile, (a_door("300 mm", "0", "1100 mm", "0"),))


@settings(max_examples=share(40), deadline=None)
@given(rooms(), st.sampled_from((3660.0, 4000.0)), st.booleans(), st.integers(0, 2))
def test_every_order_passes_the_check_and_covers_the_room(room: Room, width: float, patterned: bool, cross: int) -> None:
    roll = Roll(width, Repeat(457.2, 457.2, 0.5) if patterned else None)
    floors = Floors("any", (room,))
    rules = OrderRules(cross_seams=cross)
    try:
        plan = order_from_roll(floors, roll, rules=rules, watch=Watch(tries=60))
    except NoPlan as refused:
        assert "Room" in str(refused)
        return
    assert check_order(plan, floors, rules) == ()
    nets = [cut.net.usable_area_mm2 for laying in plan.layings for cut in laying.cuts if cut.net]
    assert sum(nets) == pytest.approx(room.outline.usable_area_mm2)
    assert plan.area_mm2 >= plan.floor_mm2 - 1


@settings(max_examples=share(25), deadline=None)
@given(SIDE, SIDE, st.floats(0, 60), st.floats(0, 60), st.integers(0, 2))
def test_a_wider_trim_never_shortens_the_roll(width: float, length: float, less: float, more: float, cross: int) -> None:
    lengths = []
    for trim in sorted((less, less + more)):
        room = Room("Room", rectangle(width, length), (trim,) * 4)
        rules = replace(PLAIN, seam_mm=trim / 2, cross_seams=cross, weights=LENGTH_ONLY)
        lengths.append(order(room, roll=Roll(4000.0), rules=rules).length_mm)
    assert lengths[0] <= lengths[1] + 0.01


REMNANTS = st.lists(st.tuples(st.integers(5, 45), st.integers(5, 60), st.sampled_from(("77", "78"))), max_size=4)


@cache
def all_from_roll(asked: tuple[Room | Stairs, ...], roll: Roll) -> tuple[Floors, tuple[OrderPlan, ...]]:
    """The orders without stock, which are the same whatever it holds: nine tenths of the work."""
    rooms = tuple(each for each in asked if isinstance(each, Room))
    floors = Floors("test", rooms, tuple(each for each in asked if isinstance(each, Stairs)))
    plans = orders_from_roll(floors, roll, rules=PLAIN, watch=Watch(tries=400))
    assert check_order(plans[0], floors, PLAIN) == ()
    return floors, plans


@settings(max_examples=few(25), deadline=None)
@given(REMNANTS, REMNANTS)
def test_more_stock_never_lengthens_the_roll(some: list[tuple[int, int, str]], others: list[tuple[int, int, str]]) -> None:
    asked = (
        a_room("5 m", "4 m", name="Lounge"),
        a_room("1.2 m", "1.5 m", name="Closet", hidden=True),
        Stairs("Stairs", 12, 900, 250, 180),
    )
    roll = a_roll("4 m", lot="77")
    stock = [
        a_remnant(
            f"R{index}", f"{w * 100} mm", f"{h * 100} mm", lot=lot, grade=Grade.SAME_LOT if lot == "77" else Grade.OTHER_LOT
        )
        for index, (w, h, lot) in enumerate((*some, *others))
    ]
    floors, plans = all_from_roll(asked, roll)
    lengths = [plans[0].length_mm]
    for count in (len(some), len(stock)):
        plan = order_with_stock(plans, floors, stock[:count], rules=PLAIN, watch=Watch(tries=400))
        assert check_order(plan, floors, PLAIN, stock[:count]) == ()
        lengths.append(plan.length_mm)
    assert lengths[0] >= lengths[1] - 0.01 >= lengths[2] - 0.02


def test_a_closet_comes_from_another_lot_but_a_fill_does_not() -> None:
    closet = a_room("1.2 m", "1.5 m", name="Closet", hidden=True, pile_deg=0.0)
    plan = order(a_room("4 m", "4 m"), closet, roll=a_roll("4 m"), stock=[a_remnant("R-1", "1.3 m", "1.6 m")])
    assert {each.cut.room: each.source for each in plan.placed if each.source != ROLL} == {"Closet": "R-1"}
    plan = order(a_room("5 m", "4 m", pile_deg=0.0), roll=a_roll("4 m"), stock=[a_remnant("R-2", "1.2 m", "4.2 m")])
    assert {each.source for each in plan.placed} == {ROLL}


def test_a_fill_comes_from_the_rolls_own_lot() -> None:
    lounge = a_room("5 m", "4 m", name="Lounge", pile_deg=0.0)
    stock = [a_remnant("R-2", "1.2 m", "4.2 m", lot="77", grade=Grade.SAME_LOT)]
    without, plan = order(lounge, roll=a_roll("4 m")), order(lounge, roll=a_roll("4 m", lot="77"), stock=stock)
    assert (without.length_mm, plan.length_mm) == pytest.approx((8000, 4000))
    assert [each.cut.kind for each in plan.placed if each.source == "R-2"] == [CutKind.FILL]
    assert any(left.piece == "R-2" for left in plan.leftovers)


def test_a_remnant_lying_across_is_turned_with_its_pile() -> None:
    closet = a_room("1.2 m", "2 m", name="Closet", hidden=True, pile_deg=0.0)
    across = order(closet, roll=a_roll("4 m"), stock=[a_remnant("R-1", "2.1 m", "1.3 m", pile=90.0)])
    along = order(closet, roll=a_roll("4 m"), stock=[a_remnant("R-1", "2.1 m", "1.3 m", pile=0.0)])
    assert (across.length_mm, along.length_mm) == (0.0, 2000.0)


def test_rooms_seen_together_are_of_one_lot() -> None:
    hall = a_room("1.2 m", "3 m", name="Hall", pile_deg=0.0, doorways=(a_door("0", "1 m", "0", "1.8 m", to="Study"),))
    study = a_room("3 m", "3 m", name="Study", pile_deg=0.0)
    stock = [a_remnant("R-1", "1.3 m", "3.2 m")]
    assert {each.source for each in order(hall, study, roll=a_roll("4 m"), stock=stock).placed} == {ROLL}
    shut = replace(hall, doorways=(replace(hall.doorways[0], shut=True),))
    assert "R-1" in {each.source for each in order(shut, study, roll=a_roll("4 m"), stock=stock).placed}


def test_a_patterned_closet_comes_from_a_remnant_whose_pattern_meets() -> None:
    repeat = Repeat(400.0, 500.0, 0.5)
    closet = a_room("1 m", "1 m", name="Closet", hidden=True, pile_deg=0.0, motif=(100.0, 200.0))
    for size, source in (("1.4 m", "R-1"), ("1.05 m", ROLL)):
        remnant = a_remnant("R-1", size, size)
        remnant = replace(remnant, piece=replace(remnant.piece, motif=(0.0, 0.0)))
        plan = order(closet, roll=a_roll("4 m", repeat=repeat), stock=[remnant])
        assert {each.source for each in plan.placed} == {source}


def test_connected_rooms_run_one_way_and_the_pile_faces_the_entry() -> None:
    hall = a_room("1.2 m", "5 m", name="Hall", doorways=(a_door("0", "1 m", "0", "1.8 m", to="Study"),))
    study = a_room("5 m", "3 m", name="Study", doorways=(a_door("1 m", "0", "1.8 m", "0", entry=True),))
    plan = order(hall, study, roll=a_roll("4 m"))
    assert len({laying.pile_deg for laying in plan.layings}) == 1
    assert plan.layings[0].pile_deg in (180.0, 270.0)  # the entry lies down and to the left of the room's middle


def test_seams_keep_out_of_a_doorway_where_they_can() -> None:
    plain = order(a_room("6 m", "4 m", pile_deg=0.0), roll=a_roll("4 m"))
    at = plain.seams[0].seam.line[0][0]
    door = a_door(f"{at - 400} mm", "0", f"{at + 400} mm", "0")
    plan = order(a_room("6 m", "4 m", pile_deg=0.0, doorways=(door,)), roll=a_roll("4 m"))
    assert not at - 400 < plan.seams[0].seam.line[0][0] < at + 400
    assert not any("doorway" in fault for fault in plan.seams[0].faults)


def test_an_l_is_covered_with_its_seam_at_the_corner() -> None:
    outline = outline_of([(0, 0), (6000, 0), (6000, 3000), (3000, 3000), (3000, 7000), (0, 7000)])
    plan = order(Room("L", outline, (0.0,) * 6, 0.0), roll=a_roll("4 m"))
    # 3 m of 7 m beside 3 m of 3 m: 10 m in a row; with the seam at 4 m the fill is 2 m of 3 m, and still 10 m
    assert plan.length_mm == pytest.approx(10000)
    assert len(plan.placed) == 2


def test_the_search_for_layouts_tells_how_it_stands() -> None:
    told: list[tuple[float, float]] = []
    floors = Floors("x", tuple(a_room(f"{3 + index} m", "5 m", name=f"R{index}") for index in range(4)))
    work = Work(floors, floors, a_roll("4 m"), PLAIN, Construction.CUT, 0, Watch(tries=60), lambda *each: told.append(each))
    finalists(work)
    assert len(told) > 1
    assert all(0 < bound <= length for length, bound in told)


def test_an_order_stopped_at_once_is_still_an_order() -> None:
    floors = Floors("many", tuple(a_room(f"{4 + index % 4} m", f"{3 + index % 5} m", name=f"R{index}") for index in range(6)))
    plan = order_from_roll(floors, a_roll("4 m"), rules=OrderRules(), watch=Watch(stop=lambda: True))
    assert check_order(plan, floors, OrderRules()) == ()
    assert plan.bound_mm <= plan.length_mm


def a_plan() -> tuple[OrderPlan, Floors, OrderRules]:
    rules = OrderRules(cross_seams=1)
    floors = Floors("proof", (a_room("6 m", "4 m", trim=37.5, pile_deg=0.0), a_room("2 m", "2 m", name="Den", trim=37.5)))
    return order_from_roll(floors, a_roll("4 m"), rules=rules, watch=Watch(tries=60)), floors, rules


def test_the_check_sees_what_is_wrong() -> None:
    plan, floors, rules = a_plan()
    assert check_order(plan, floors, rules) == ()
    first, *rest = plan.placed
    wrong = {
        "over the roll's side": replace(plan, placed=(replace(first, at=(3900.0, 0.0)), *rest)),
        "lies over": replace(plan, placed=(first, *(replace(each, at=first.at) for each in rest))),
        "one place": replace(plan, placed=plan.placed[1:]),
        "can't be ordered": replace(plan, ordered_mm=plan.length_mm - 1),
        "not among the stock": replace(plan, placed=(replace(first, source="R-9"), *rest)),
        "without carpet": replace(
            plan,
            layings=(
                replace(
                    plan.layings[0], cuts=(replace(plan.layings[0].cuts[0], net=rectangle(10, 10)), *plan.layings[0].cuts[1:])
                ),
                *plan.layings[1:],
            ),
        ),
        "is not covered": replace(
            plan,
            layings=tuple(
                replace(lay, cuts=tuple(replace(cut, box=cut.net.bounds) for cut in lay.cuts if cut.net)) for lay in plan.layings
            ),
        ),
        "no seam is told": replace(plan, layings=(replace(plan.layings[0], seams=()), *plan.layings[1:])),
        "asked 0": replace(plan, layings=(replace(plan.layings[0], pile_deg=180.0), *plan.layings[1:])),
    }
    for words, bad in wrong.items():
        assert any(words in str(fault) for fault in check_order(bad, floors, rules)), words
        with pytest.raises(Unproved):
            prove_order(bad, floors, rules)


def test_the_check_sees_a_pattern_that_does_not_meet() -> None:
    floors = Floors("proof", (a_room("6 m", "4 m", pile_deg=0.0),))
    plan = order_from_roll(floors, a_roll("4 m", repeat=Repeat(500, 500)), rules=PLAIN, watch=Watch(tries=60))
    assert check_order(plan, floors, PLAIN) == ()
    moved = replace(plan.placed[-1], at=(plan.placed[-1].at[0], plan.placed[-1].at[1] + 3))
    assert any(
        "3.00 mm off" in str(fault) for fault in check_order(replace(plan, placed=(*plan.placed[:-1], moved)), floors, PLAIN)
    )


def test_the_check_sees_lots_that_meet_in_view() -> None:
    floors = Floors("proof", (a_room("5 m", "4 m", pile_deg=0.0),))
    plan = order_from_roll(floors, a_roll("4 m"), rules=PLAIN, watch=Watch(tries=60))
    stock = [a_remnant("R-1", "1.2 m", "4.2 m")]
    fill = next(each for each in plan.placed if each.cut.kind is CutKind.FILL)
    others = [each for each in plan.placed if each is not fill]
    bad = replace(plan, placed=(*others, replace(fill, source="R-1", at=(0.0, 0.0))))
    assert any("lots meet" in str(fault) for fault in check_order(bad, floors, PLAIN, stock))


def test_cross_seams_are_counted() -> None:
    plan = order(a_room(), rules=replace(PLAIN, cross_seams=1))
    assert [seam.seam.kind for seam in plan.seams].count(SeamKind.CROSS) == 1


def test_bad_rooms_are_told_by_name() -> None:
    with pytest.raises(BadInput, match="off the wall"):
        a_room(doorways=(a_door("1 ft", "1 ft", "3 ft", "1 ft"),))
    with pytest.raises(BadInput, match="outside the walls"):
        Room(
            "Lounge",
            outline_of([(0, 0), (4000, 0), (4000, 4000), (0, 4000)], [[(3500, 10), (4500, 10), (4500, 900)]]),
            (0.0,) * 4,
        )
    with pytest.raises(BadInput, match="no roll width"):
        Roll(0.0)
    with pytest.raises(BadInput, match="'Hall' has a doorway to 'Nowhere'"):
        Floors("x", (a_room(name="Hall", doorways=(a_door("0", "0", "1 m", "0", to="Nowhere"),)),))
    with pytest.raises(BadInput, match="'A' and 'B' are connected but their piles are fixed at odds"):
        Floors(
            "x",
            (a_room(name="A", pile_deg=0.0, doorways=(a_door("0", "0", "1 m", "0", to="B"),)), a_room(name="B", pile_deg=90.0)),
        )
    with pytest.raises(NoPlan, match="'Lounge' can't be laid"):
        order(a_room("5 m", "5 m"), roll=a_roll("4 m"), rules=OrderRules(least_fill_mm=3500))


def test_stock_that_matches_no_pattern_is_told() -> None:
    floors = Floors("x", (a_room("1 m", "1 m", name="Closet", hidden=True, pile_deg=0.0),), (), Wanted())
    plan = order_from_roll(floors, a_roll("4 m", repeat=Repeat(500, 500)), rules=PLAIN, watch=Watch(tries=20))
    plan = order_with_stock([plan], floors, [a_remnant("R-1", "2 m", "2 m")], rules=PLAIN, watch=Watch(tries=20))
    assert [passed.piece for passed in plan.passed_over] == ["R-1"]


def test_lengths_typed_in_feet_are_exact() -> None:
    assert mm("12 ft") == 3657.6


def test_a_room_as_wide_as_the_roll_within_the_tolerance_is_one_cut() -> None:
    plan = order(Room("Lounge", rectangle(3657.605, 4000.0), (0.0,) * 4, 0.0))
    assert [each.cut.kind for each in plan.placed] == [CutKind.WHOLE]


def test_with_stock_in_plenty_every_room_of_its_own_comes_from_it() -> None:
    asked = [a_room(f"{2000 + 300 * index} mm", "2 m", name=f"R{index}", pile_deg=0.0) for index in range(6)]
    stock = [a_remnant(f"P{index}", "3.9 m", "2.1 m", lot=str(70 + index % 3)) for index in range(30)]
    plan = order(*asked, roll=a_roll("4 m"), stock=stock)  # 18 ways to use it: three lots for each of six rooms
    assert (plan.length_mm, plan.ordered_mm) == (0.0, 0.0)
    assert len({each.source for each in plan.placed}) == 6


def test_a_cross_seam_at_the_step_of_an_l_leaves_no_hairline() -> None:
    """Turned, the step lies some 1e-13 mm beside the seam in the middle: no cut keeps that as a spike of its outline."""
    room = Room(
        "R",
        outline_of([(0, 0), (5100, 0), (5100, 630), (2550, 630), (2550, 900), (0, 900)]),
        (25.4,) * 6,
        90.0,
        hidden=True,
    )
    floors, rules = Floors("any", (room,)), OrderRules(cross_seams=2)
    for laying in lay_room(room, 90.0, roll=Roll(5000.0), rules=rules):
        told = sum(seam.seam.length_mm for seam in laying.seams)
        nets = [cut.net for cut in laying.cuts if cut.net]
        meet = (sum(net.usable.length for net in nets) - room.outline.usable.length) / 2
        assert told == pytest.approx(meet, abs=1.0)
    plan = order_from_roll(floors, Roll(5000.0), rules=rules, watch=Watch(tries=60))
    assert check_order(plan, floors, rules) == ()


def test_fills_that_meet_in_a_point_beside_an_island_are_not_joined() -> None:
    """At 30 degrees a corner of this island lies on a seam, and there the fills below and above it touch."""
    island = [(3240.0, 1520.0), (4860.0, 1520.0), (4860.0, 2280.0), (3240.0, 2280.0)]
    room = Room("Room", outline_of([(0.0, 0.0), (8100.0, 0.0), (8100.0, 3800.0), (0.0, 3800.0)], [island]), (37.5,) * 4, 30.0)
    floors = Floors("any", (room,))
    plan = order_from_roll(floors, Roll(3660.0), rules=OrderRules(), watch=Watch(tries=60))
    assert check_order(plan, floors, OrderRules()) == ()


def test_an_island_parts_a_fill_into_two_with_joins_of_their_own() -> None:
    """Above and below the island a fill may have its one join each; together they are not one fill with two."""
    hole = [(3160.0, 3000.0), (4740.0, 3000.0), (4740.0, 4500.0), (3160.0, 4500.0)]
    room = Room("Room", outline_of([(0.0, 0.0), (7900.0, 0.0), (7900.0, 7500.0), (0.0, 7500.0)], [hole]), (37.5,) * 4)
    floors, rules = Floors("any", (room,)), OrderRules(cross_seams=1, weights=Weights(each_seam_mm=0.0))
    plan = order_from_roll(floors, Roll(3660.0), rules=rules, watch=Watch(tries=60))
    fills = [cut for cut in plan.layings[0].cuts if cut.kind is CutKind.FILL]
    assert len(fills) == 4
    assert check_order(plan, floors, rules) == ()
    assert any("1 joins in one fill, 0 are allowed" in fault.what for fault in check_order(plan, floors, OrderRules()))


def test_cross_seams_leave_no_sliver_in_an_l() -> None:
    ring = ((0.0, 0.0), (1500.0, 0.0), (1500.0, 3600.0), (450.0, 3600.0), (450.0, 7200.0), (0.0, 7200.0))
    rules = OrderRules(cross_seams=1, weights=LENGTH_ONLY)
    for pile in (0.0, 90.0):
        plan = order(Room("L", outline_of(ring), (0.0,) * 6, pile), roll=Roll(3660.0), rules=rules)
        nets = [cut.net.bounds for laying in plan.layings for cut in laying.cuts if cut.net]
        assert all(min(right - left, high - low) >= 300.0 for left, low, right, high in nets)


def test_a_room_that_fits_the_roll_is_not_seamed_to_save_a_little_roll() -> None:
    """A den 1.2 m wide does not lie beside a room of 2.9 m on 4 m; split into two of 0.6 m it would.

    That saves 0.3 m, less than the seam weighs, or 1.5 m, which is more.
    """
    asked = (a_room("2.9 m", "5 m", pile_deg=0.0), a_room("1.2 m", "0.3 m", name="Den", pile_deg=0.0))
    assert [seam.room for seam in order(*asked, roll=a_roll("4 m")).seams] == []
    asked = (asked[0], a_room("1.2 m", "1.5 m", name="Den", pile_deg=0.0))
    assert [seam.room for seam in order(*asked, roll=a_roll("4 m")).seams] == ["Den"]
