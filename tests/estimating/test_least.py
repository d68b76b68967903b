"""A bound over every way of laying. Worked by hand, and held against every order that the other tests make (by the check)."""

from dataclasses import replace
from typing import Any

import pytest

from remnants.estimating import Doorway, Floors, Laid, OrderRules, Room, Stairs
from remnants.estimating.order import order_from_roll
from remnants.estimating.roll.least_length import least_mm
from remnants.estimating.stock.what_fits import most_from_stock
from remnants.geometry import outline_of
from remnants.model import Grade, Repeat
from remnants.packing import Watch
from remnants.proof.orders import check_order
from tests.estimating.floors import LENGTH_ONLY, PLAIN, a_door, a_remnant, a_roll, a_room, mm, order

FT = 304.8
BOTH = (0.0, 90.0)


def least_ft(
    *rooms: Room, bearings: tuple[float, ...] = BOTH, rules: OrderRules = PLAIN, stairs: tuple[Stairs, ...] = ()
) -> float:
    floors = Floors("x", rooms, stairs)
    return least_mm(floors, [bearings for _ in floors.groups], a_roll(), rules) / FT


def test_a_room_wider_than_the_roll_takes_two_lengths() -> None:
    # 14 x 16 ft from 12 ft (W1): two lengths of 16 ft, or turned two of 14 ft; by area it would be 224 / 12 = 18.67 ft
    assert least_ft(a_room(), bearings=(0.0,)) == pytest.approx(32)
    assert least_ft(a_room()) == pytest.approx(28)
    assert order(a_room()).least_mm / FT == pytest.approx(28)  # so the 28 ft found are proved the least of all


def test_with_cross_seams_allowed_only_what_they_can_save_is_given_up() -> None:
    # 14 ft columns in up to two pieces each give for certain one piece of 7 ft: 16 ft of them take two rows of 7 ft = 14 ft;
    # by area it is 224 / 12 = 18.67 ft, which is more
    assert least_ft(a_room(), rules=replace(PLAIN, cross_seams=1)) == pytest.approx(224 / 12, abs=1e-3)


def test_trims_and_seams_add_to_it() -> None:
    # 16 ft + 2 x 1 1/2 in along; across 23 ft + 3 in + one seam of 2 in = 23 ft 5 in: two lengths of 16 ft 3 in
    room = a_room("23 ft", "16 ft", trim=mm("1 1/2 in"))
    assert least_ft(room, bearings=(0.0,), rules=OrderRules(seam_mm=mm("1 in"))) == pytest.approx(32.5)
    # 23 ft 8 in needs 23 ft 11 in + 2 in = 24 ft 1 in, so a third length
    room = a_room("23' 8\"", "16 ft", trim=mm("1 1/2 in"))
    assert least_ft(room, bearings=(0.0,), rules=OrderRules(seam_mm=mm("1 in"))) == pytest.approx(48.75)


def test_a_room_that_only_its_trims_make_too_wide_takes_a_seam() -> None:
    # 11 ft 11 in + 3 in of trims = 12 ft 2 in takes a seam of 2 in: beside 11 ft 6 in + 3 in that is 24 ft 1 in, a third length
    rooms = [a_room(wide, "16 ft", name=wide, trim=mm("1 1/2 in")) for wide in ("11' 11\"", "11' 6\"")]
    assert least_ft(*rooms, bearings=(0.0,), rules=OrderRules(seam_mm=mm("1 in"))) == pytest.approx(3 * 16.25)


def test_an_l_is_bounded_by_its_long_side_and_by_its_area() -> None:
    # 3 ft of 20 ft beside 9 ft of 5 ft on 12 ft: one length of 20 ft holds both
    ring = [(0, 0), (12, 0), (12, 5), (3, 5), (3, 20), (0, 20)]
    room = Room("L", outline_of([(x * FT, y * FT) for x, y in ring]), (0.0,) * 6)
    assert least_ft(room, bearings=(0.0,)) == pytest.approx(20)


def test_the_trim_beside_a_nook_may_lie_in_the_cut_that_covers_both() -> None:
    # 3.9 m wide, half of it 1.5 m deep and half 1.05 m, trims 37.5 mm: one cut of 3.975 x 1.575 m covers it
    ring = [(0.0, 0.0), (3900.0, 0.0), (3900.0, 1050.0), (1950.0, 1050.0), (1950.0, 1500.0), (0.0, 1500.0)]
    plan = order(Room("L", outline_of(ring), (37.5,) * 6, 0.0), roll=a_roll("4 m"))
    assert (plan.length_mm, plan.least_mm) == pytest.approx((1575, 1575))


def an_island(depth: float, **more: Any) -> Room:
    """3.8 x 1.4 m with an island so deep across its middle, trims of 25.4 mm."""
    ring = [(0.0, 0.0), (3800.0, 0.0), (3800.0, 1400.0), (0.0, 1400.0)]
    low, high = 700 - depth / 2, 700 + depth / 2
    hole = [(1520.0, low), (2280.0, low), (2280.0, high), (1520.0, high)]
    return Room("Room", outline_of(ring, [hole]), (25.4,) * 4, 0.0, **more)


def test_one_cut_round_an_island_takes_its_whole_repeats_once() -> None:
    # 1400 + 2 x 25.4 = 1450.8 -> three repeats of 500 mm; two cuts for what lies before and behind would take two each
    plan = order(an_island(280.0), roll=a_roll("4 m", repeat=Repeat(400.0, 500.0)))
    assert (plan.length_mm, plan.least_mm) == pytest.approx((1500, 1500))


def test_trims_at_both_sides_of_a_thin_island_may_be_the_same_carpet() -> None:
    # 50 mm is less than two trims, so none is counted: the floor's own 1400 mm, while 60 mm leave room for both
    for depth, least in ((50.0, 1400.0), (60.0, 1450.8)):
        plan = order(an_island(depth), roll=a_roll("4 m"))
        assert (plan.length_mm, plan.least_mm) == pytest.approx((1450.8, least))


def test_rooms_that_carpet_runs_through_take_whole_repeats_once() -> None:
    # 1.2 m and 1.2 m in one cut of 2.4 m are five repeats of 500 mm, not three and three
    den = a_room("3 m", "1.2 m", name="Den", pile_deg=0.0, doorways=(a_door("1 m", "1.2 m", "2 m", "1.2 m", to="Hall"),))
    ring = [(0.0, 1200.0), (3000.0, 1200.0), (3000.0, 2400.0), (0.0, 2400.0)]
    floors = Floors("x", (den, Room("Hall", outline_of(ring), (0.0,) * 4, 0.0)))
    roll = a_roll("4 m", repeat=Repeat(400.0, 500.0))
    plan = order_from_roll(floors, roll, rules=PLAIN, watch=Watch(tries=60))
    assert check_order(plan, floors, PLAIN) == ()
    assert plan.length_mm == pytest.approx(2500)
    assert least_mm(floors, [(0.0,)], roll, PLAIN) <= 2500


def test_rooms_that_do_not_lie_beside_each_other_add_up() -> None:
    # 7 ft and 8 ft don't share 12 ft: 10 + 9 ft; only 9 ft of both is sure to be that long: 2 x 9 = 18 ft
    rooms = (a_room("7 ft", "10 ft", name="A", pile_deg=0.0), a_room("8 ft", "9 ft", name="B", pile_deg=0.0))
    assert least_ft(*rooms, bearings=(0.0,)) == pytest.approx(18)


def test_a_repeat_lengthens_every_cut() -> None:
    floors = Floors("x", (a_room("24 ft", "16 ft", pile_deg=0.0),))
    roll = a_roll(repeat=Repeat(mm("18 in"), mm("18 in")))
    assert least_mm(floors, [(0.0,)], roll, PLAIN) / FT == pytest.approx(33)  # 192 in -> 11 x 18 = 198 in, twice


def test_stairs_count_step_by_step_or_in_their_runs() -> None:
    steps = Stairs("Stairs", 12, mm("38 in"), mm("10 1/2 in"), mm("7 1/2 in"), tuck_mm=mm("3 in"), laid=Laid.STEPS)
    assert least_ft(stairs=(steps,)) == pytest.approx(7)  # four rows of 1 ft 9 in (S2)
    run = replace(steps, laid=Laid.RUN)
    assert least_ft(stairs=(run,)) == pytest.approx(21)
    # in up to three runs, ten pieces of a step at least are sure, three across: four rows, 7 ft
    assert least_ft(stairs=(replace(run, most_runs=3),)) == pytest.approx(7)


def test_no_trim_is_counted_where_carpet_may_run_through_a_doorway() -> None:
    # the den 2.6 x 1 m and the hall 1.3 x 1.2 m in one cut of 3.9 m + 2 x 37.5 mm across the roll, as the wall is 100 mm thick;
    # trims at both sides of that wall would make 4012.5 mm, and two lengths on 4 m
    ring = [(0.0, 2600.0), (1200.0, 2600.0), (1200.0, 3900.0), (0.0, 3900.0)]
    hall = Room("Hall", outline_of(ring), (37.5,) * 4)
    for depth, through in ((100.0, True), (50.0, False)):
        door = Doorway((100.0, 2600.0), (900.0, 2600.0), "Hall", depth_mm=depth)
        floors = Floors("x", (a_room("1 m", "2.6 m", name="Den", trim=37.5, doorways=(door,)), hall))
        plan = order_from_roll(floors, a_roll("4 m"), rules=PLAIN, watch=Watch(tries=60))
        assert check_order(plan, floors, PLAIN) == ()
        assert (plan.length_mm == pytest.approx(1275)) == through
        # through: the hall's own 1200 mm; apart, both laid across are 2675 + 1375 = 4050 mm of at least 1075 mm: two rows
        assert plan.least_mm == pytest.approx(1200 if through else 2150)


def test_stock_takes_off_what_it_could_give() -> None:
    closet = a_room("4 ft", "5 ft", name="Closet", hidden=True, pile_deg=0.0)
    floors = Floors("x", (a_room(pile_deg=0.0), closet))
    # the closet whole from another lot: 32 ft are left; of the roll's own lot 24 ft2 of any part: 224 + 20 - 24 = 220 ft2
    other, own = a_remnant("R-1", "4 ft", "6 ft"), a_remnant("R-2", "4 ft", "6 ft", grade=Grade.SAME_LOT)
    for stock, least in (((other,), 32.0), ((own,), 220 / 12)):
        given, area = most_from_stock(floors, stock, a_roll(lot="77"))
        found = least_mm(floors, [(0.0,), (0.0,)], a_roll(), PLAIN, given=given, stock_mm2=area)
        assert found / FT == pytest.approx(least, abs=1e-3)
    assert most_from_stock(floors, (), a_roll()) == (frozenset(), 0.0)


def test_slanted_walls_are_bounded_by_what_is_surely_there() -> None:
    # a trapezoid 12 ft across, 10 ft on one side and 20 ft on the other, in one cut of 20 ft: the bound is 15 ft by area
    ring = [(0, 0), (12, 0), (12, 20), (0, 10)]
    room = Room("Slant", outline_of([(x * FT, y * FT) for x, y in ring]), (0.0,) * 4, 0.0)
    assert least_ft(room, bearings=(0.0,)) == pytest.approx(15, abs=1e-3)
    plan = order(room, rules=replace(PLAIN, weights=LENGTH_ONLY))
    assert plan.least_mm <= plan.length_mm
