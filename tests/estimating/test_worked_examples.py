"""Published and hand-worked examples, each by its own stated rules. Sources stand beside them."""

from dataclasses import replace
from fractions import Fraction

import pytest

from remnants.estimating import Laid, OrderPlan, OrderRules, Per, Price, RepeatRule, Stairs, Weights, amount_of
from remnants.estimating.order import order_from_roll
from remnants.model import Repeat
from remnants.model.rooms import Floors
from remnants.packing import Watch
from remnants.proof.orders import check_order
from tests.estimating.floors import LENGTH_ONLY, PLAIN, a_door, a_roll, a_room, mm, order

FT = 304.8
IN = 25.4
YD2 = 836_127.36


def feet(plan: OrderPlan) -> float:
    return plan.length_mm / FT


# A room of 14 x 16 ft from a 12 ft roll without trim: 32, 28 or 21 ft by how it is laid.
# ehow.com/how_6737804_estimate-carpet-installation.html (a general how-to page; its sums agree).


def test_lengths_of_16_ft_take_two_of_them() -> None:
    assert feet(order(a_room(pile_deg=0.0))) == pytest.approx(32)  # 2 x 16


def test_turned_the_same_room_takes_two_lengths_of_14_ft() -> None:
    plan = order(a_room())
    assert feet(plan) == pytest.approx(28)  # 2 x 14
    assert plan.layings[0].pile_deg % 180 == 90


def test_a_fill_in_two_pieces_takes_half_a_length() -> None:
    plan = order(a_room(), rules=replace(PLAIN, cross_seams=1))
    assert feet(plan) == pytest.approx(21)  # 14 + 14 / 2: one more seam
    assert plan.area_mm2 / YD2 == pytest.approx(28.0)  # 12 x 21 = 252 ft2
    # what is left lies beside the two pieces of the fill: 12 - 2 x 4 = 4 ft by 7 ft
    assert [sorted(side / FT for side in left.largest) for left in plan.leftovers] == [[pytest.approx(4), pytest.approx(7)]]


def test_a_fill_goes_as_often_into_the_width_as_it_can() -> None:
    """Rule: fill pieces n = 12 / fill width, run = length / n (constructionwork.com/resource/carpet-and-vinyl). 12 x 16 and a
    3 ft fill: n = 4, 16 + 4 = 20 ft."""
    rules = replace(PLAIN, cross_seams=3, weights=Weights(cross_seam_mm=0.0))
    plan = order(a_room("15 ft", "16 ft", pile_deg=0.0), rules=rules)
    assert feet(plan) == pytest.approx(20)
    assert plan.area_mm2 / YD2 == pytest.approx(26.67, abs=0.005)


def test_a_doorway_makes_the_fill_wider() -> None:
    """15 x 21 ft, fill of 4 ft because of a doorway: 12 x 28 ft = 37.33 yd2 at $17.95 = $670.13
    (jiskha.com/display.cgi?id=1326255360). A 3 ft fill in four pieces would take 26 ft 3 in, its seam in a doorway."""
    doors = (a_door("11 ft", "0", "14 ft", "0"), a_door("1 ft", "21 ft", "4 ft", "21 ft"))
    price = Price("USD", amount_of("17.95", "USD"), Per.YD2)
    rules = replace(PLAIN, cross_seams=3, weights=Weights(cross_seam_mm=0.0), prices=(price,), least_fill_mm=mm("3 ft"))
    plan = order(a_room("15 ft", "21 ft", pile_deg=0.0, doorways=doors), rules=rules)
    assert feet(plan) == pytest.approx(28)  # 21 + 21 / 3
    assert plan.area_mm2 / YD2 == pytest.approx(37.33, abs=0.005)
    assert str(plan.sums[0].roll) == "670.13 USD"
    assert not any("doorway" in fault for seam in plan.seams for fault in seam.faults)


def test_the_trim_of_one_length_from_a_4_m_roll() -> None:
    """5.90 x 3.70 m, 0.10 m more on the length: 6.00 x 4.00 = 24 m2 (a UK shop guide)."""
    plan = order(a_room("3.70 m", "5.90 m", trim=50.0, pile_deg=0.0), roll=a_roll("4 m"))
    assert plan.area_mm2 / 1e6 == pytest.approx(24.0)


def test_stairs_in_one_run_with_rounded_sizes() -> None:
    """34 in wide taken as 36, riser and tread 17 1/2 in taken as 18, 10 steps: 180 in = 15 ft of 3 ft = 5 yd2
    (ehow.co.uk/how_7299478_calculate-carpet-stairs.html)."""
    stairs = Stairs("Stairs", 10, 34 * IN, 10 * IN, 7.5 * IN, width_step_mm=36 * IN, step_step_mm=1 * IN)
    plan = order(stairs, roll=a_roll("3 ft"))
    assert feet(plan) == pytest.approx(15)
    assert plan.area_mm2 / YD2 == pytest.approx(5.0)


def test_stairs_step_by_step_three_across() -> None:
    """12 steps of 3 ft 2 in by 1 ft 9 in (18 in true and 3 in for tuck and squaring), 12 ft goods: 4 rows of 1 ft 9 in = 7 ft,
    84 ft2 = 9.33 yd2 (math.answers.com, "What is a stair riser")."""
    stairs = Stairs("Stairs", 12, 38 * IN, 10.5 * IN, 7.5 * IN, tuck_mm=3 * IN, laid=Laid.STEPS)
    plan = order(stairs)
    assert feet(plan) == pytest.approx(7)
    assert plan.area_mm2 / YD2 == pytest.approx(9.33, abs=0.005)


def test_a_runner_with_cushion_at_the_nosing() -> None:
    """Tread 10 1/2 + riser 7 1/2 + 1 in for the nosing, 13 steps, whole run + 6 in: 19 x 13 + 6 = 253 in; 36 in stair + 1 1/4 in
    turned under at each side = 38 1/2 in (rule from the stair page at boulderlibrary.net, sum derived)."""
    stairs = Stairs("Stairs", 13, 36 * IN, 10.5 * IN, 7.5 * IN, nosing_mm=IN, side_mm=1.25 * IN, run_mm=6 * IN)
    plan = order(stairs)
    assert plan.length_mm / IN == pytest.approx(253)
    assert plan.placed[0].cut.width_mm / IN == pytest.approx(38.5)


def test_three_runners_lie_side_by_side_on_12_ft() -> None:
    # 3 x 38 1/2 = 115 1/2 in of 144 in: 28 1/2 in is left beside them
    flights = [
        Stairs(name, 13, 36 * IN, 10.5 * IN, 7.5 * IN, nosing_mm=IN, side_mm=1.25 * IN, run_mm=6 * IN)
        for name in ("Lower", "Middle", "Upper")
    ]
    plan = order(*flights)
    assert plan.length_mm / IN == pytest.approx(253)
    assert min(plan.leftovers[0].largest) / IN == pytest.approx(28.5)


def test_winders_are_cut_one_by_one() -> None:
    stairs = Stairs("Stairs", 0, 900.0, 250.0, 180.0, winders=((1000.0, 600.0), (1100.0, 700.0)))
    plan = order(stairs, roll=a_roll("4 m"))
    assert plan.length_mm == pytest.approx(700.0)  # side by side: 1000 + 1100 of 4000 across
    assert len(plan.placed) == 2


# Patterns worked by hand: a room 24 ft wide from a 12 ft roll, two breadths, no trims. All figures in inches.


def patterned(length: str, repeat: Repeat, rule: RepeatRule, width: str = "24 ft") -> float:
    rules = replace(PLAIN, repeat_rule=rule)
    return order(a_room(width, length, pile_deg=0.0), roll=a_roll(repeat=repeat), rules=rules).length_mm / IN


SET = Repeat(18 * IN, 18 * IN)


def test_set_match_takes_whole_repeats() -> None:
    # 192 in / 18 = 10.67 -> 11 repeats = 198 in, twice
    assert patterned("16 ft", SET, RepeatRule.WHOLE) == pytest.approx(396)


def test_set_match_at_its_tightest_leaves_the_last_cut_as_it_is() -> None:
    # the second cut starts at the next whole repeat, 198 in, and ends 192 in on
    assert patterned("16 ft", SET, RepeatRule.TIGHT) == pytest.approx(390)


def test_set_match_with_a_repeat_more_on_every_cut() -> None:
    # 198 + 18 = 216 in, twice: allow one full repeat to every cut (FCI-87457)
    assert patterned("16 ft", SET, RepeatRule.CAUTIOUS) == pytest.approx(432)


def test_half_drop_alternates_whole_and_half_repeats() -> None:
    # 12 ft holds 3 repeats of 48 in: the second breadth lies 3 x 1/2 = 1 1/2, so half a repeat (9 in) off the first.
    # 183 in / 18 = 10.17 -> 10 1/2 repeats = 189 in; the second starts at 189 = 10 1/2 repeats, which is its place: 378 in
    assert patterned("15' 3\"", Repeat(48 * IN, 18 * IN, 0.5), RepeatRule.WHOLE) == pytest.approx(378)


def test_half_drop_waits_for_its_place() -> None:
    # 192 in -> 11 repeats = 198 in; the second may start at 9, 27, ... 207 in: 207 + 198 = 405 in
    assert patterned("16 ft", Repeat(48 * IN, 18 * IN, 0.5), RepeatRule.WHOLE) == pytest.approx(405)


def test_half_drop_over_an_even_count_is_a_set_match() -> None:
    # 12 ft holds 6 repeats of 24 in: 6 x 1/2 = 3 whole repeats, so nothing is off: 2 x 198
    assert patterned("16 ft", Repeat(24 * IN, 18 * IN, 0.5), RepeatRule.WHOLE) == pytest.approx(396)


def test_quarter_drop_comes_round_after_four_breadths() -> None:
    # One repeat of 12 ft across: each breadth lies a quarter (4 1/2 in) on. 183 in -> 41 quarters = 184 1/2 in; laid in the order
    # of their quarters each starts where the one before ends: 4 x 184 1/2 = 738 in
    assert patterned("15' 3\"", Repeat(144 * IN, 18 * IN, 0.25), RepeatRule.WHOLE, width="48 ft") == pytest.approx(738)


FLIGHT = Stairs("Stairs", 12, 38 * IN, 10.5 * IN, 7.5 * IN, tuck_mm=3 * IN, laid=Laid.STEPS)


@pytest.mark.parametrize(("rule", "inches"), [(RepeatRule.TIGHT, 201), (RepeatRule.WHOLE, 216)])
def test_every_step_shows_the_pattern_at_the_same_place(rule: RepeatRule, inches: float) -> None:
    # 38 in wide steps start at whole repeats of 18 in: at 0 and 54 in across, not at 108 (146 in of 144): two across, six rows.
    # Rows start 36 in apart; the last is 21 in long, or cut to two repeats: 5 x 36 + 21 = 201 in, 6 x 36 = 216 in
    plan = order(FLIGHT, roll=a_roll(repeat=SET), rules=replace(PLAIN, repeat_rule=rule))
    assert plan.length_mm / IN == pytest.approx(inches)


def test_a_pattern_goes_on_from_run_to_run() -> None:
    # 13 steps of 19 in, and 6 in a run: in runs of 7 and 6 steps 139 and 120 in, cut to 8 and 7 repeats, 144 and 126 in. The
    # second begins 7 x 19 = 133 in into the flight, 7 in past a repeat: at 72 in across and 7 in along, beside the first, it ends
    # at 133 in.
    stairs = Stairs("Stairs", 13, 36 * IN, 10.5 * IN, 7.5 * IN, nosing_mm=IN, side_mm=1.25 * IN, run_mm=6 * IN, most_runs=2)
    plan = order(stairs, roll=a_roll(repeat=Repeat(36 * IN, 18 * IN)))
    assert plan.length_mm / IN == pytest.approx(144)
    assert [(round(each.at[0] / IN) % 36, round(each.at[1] / IN) % 18) for each in plan.placed] == [(0, 0), (0, 7)]
    first, second = plan.placed
    moved = replace(plan, placed=(first, replace(second, at=(second.at[0], second.at[1] + 2))))
    floors = Floors("test", (), (stairs,))
    assert any("its pattern is 2.00 mm off" in str(fault) for fault in check_order(moved, floors, PLAIN))


@pytest.mark.parametrize(("width", "breadths"), [("22' 11\"", 2), ("23 ft", 3)])
def test_goods_short_of_a_repeat_lose_it_at_every_seam_but_the_first(width: str, breadths: int) -> None:
    """11 ft 11 in goods with a 1 ft repeat meet at 11 ft (FCI-84819): the first breadth may be cut to its
    full 143 in, the next ones start within a repeat and give 132 in: two breadths reach 143 + 132 = 275 in = 22 ft 11 in."""
    roll = a_roll("11' 11\"", repeat=Repeat(12 * IN, 12 * IN))
    plan = order(a_room(width, "9 ft", pile_deg=0.0), roll=roll)
    assert len(plan.placed) == breadths


def test_an_order_is_rounded_as_the_supplier_sells() -> None:
    roll = a_roll(step_mm=mm("3 in"), least_mm=mm("10 ft"))
    assert [roll.ordered_mm(mm(length)) / IN for length in ("0", "4 ft", "10 ft", "16' 1\"")] == pytest.approx([0, 120, 120, 195])


def test_prices_are_exact_and_leftovers_are_credited() -> None:
    # 14 x 16 ft in 21 ft: 252 ft2 at 3.333 a ft2 = 839.916 -> 839.92; 4 x 7 ft left is 28 ft2, a quarter of its price 23.331
    rules = OrderRules(
        wall_mm=0,
        seam_mm=0,
        cross_seams=1,
        prices=(Price("EUR", amount_of("3.333", "EUR"), Per.FT2, 0.25), Price("JPY", Fraction(2000), Per.M)),
    )
    plan = order(a_room(), rules=rules)
    euros, yen = plan.sums
    assert [str(euros.roll), str(euros.credit), str(euros.net)] == ["839.92 EUR", "23.33 EUR", "816.59 EUR"]
    assert str(yen.roll) == "12,802 JPY"  # 6.4008 m x 2000 = 12801.6


def test_a_rule_is_never_broken_for_a_shorter_roll() -> None:
    """However cheap cross seams are, none are made where none are allowed."""
    floors = Floors("test", (a_room(),))
    rules = replace(PLAIN, weights=LENGTH_ONLY)
    assert order_from_roll(floors, a_roll(), rules=rules, watch=Watch(tries=50)).length_mm == pytest.approx(28 * FT)
