"""Cuts rounded up to what a tape shows, and what that takes of the roll."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import OrderRules, Per, Price, Stairs
from remnants.estimating.cut_steps import exact_length_mm
from remnants.model import Repeat
from tests.estimating.floors import PLAIN, a_roll, a_room, mm, order
from tests.thorough import share

CM = replace(PLAIN, cut_step_mm=10.0)
HALF_INCH = replace(PLAIN, cut_step_mm=12.7)


def test_a_cut_is_rounded_up_to_the_half_inch_both_ways() -> None:
    # 9' 3 1/16" x 11' 7 5/16" are cut 9' 3 1/2" x 11' 7 1/2"
    plan = order(a_room("9' 3 1/16\"", "11' 7 5/16\"", pile_deg=0.0), rules=HALF_INCH)
    (placed,) = plan.placed
    assert placed.cut.width_mm == pytest.approx(mm("9' 3 1/2\""))
    assert (placed.cut.length_mm, plan.length_mm) == pytest.approx((mm("11' 7 1/2\""),) * 2)
    assert placed.cut.rounded_mm == pytest.approx((mm("7/16 in"), mm("3/16 in")))
    assert plan.exact_mm == pytest.approx(mm("11' 7 5/16\""))


def test_what_is_on_the_tape_already_stays() -> None:
    plan = order(a_room("3.2 m", "4.1 m", pile_deg=0.0), roll=a_roll("4 m"), rules=CM)
    assert plan.placed[0].cut.rounded_mm == pytest.approx((0.0, 0.0), abs=1e-6)
    assert plan.exact_mm == plan.length_mm


def test_a_full_width_stays_a_full_width() -> None:
    plan = order(a_room("3.657 m", "4.1 m", pile_deg=0.0), roll=a_roll("3.66 m"), rules=replace(PLAIN, cut_step_mm=25.0))
    assert plan.placed[0].cut.width_mm == pytest.approx(3660.0)


def test_an_even_share_of_the_roll_is_kept_as_folding_finds_it() -> None:
    # three of 1330 mm on 4 m goods: 1340 would go in only twice, a third of the roll is 1333.3
    rules = replace(PLAIN, cut_step_mm=20.0)
    assert rules.cut_width_mm(1330.0, 4000.0) == pytest.approx(4000 / 3)
    assert rules.cut_width_mm(1300.0, 4000.0) == pytest.approx(1300.0)
    assert rules.cut_width_mm(3990.0, 4000.0, 5.0) == pytest.approx(3995.0)  # its pattern starts 5 mm into the roll


def test_whole_repeats_are_not_rounded_again() -> None:
    plan = order(a_room("3 m", "2 m", pile_deg=0.0), roll=a_roll("4 m", repeat=Repeat(457.0, 457.0)), rules=CM)
    assert plan.length_mm == pytest.approx(5 * 457.0)


def test_steps_of_a_stair_are_rounded_up_too() -> None:
    plan = order(Stairs("Stairs", 13, 803.0, 251.0, 182.0), roll=a_roll("4 m"), rules=CM)
    assert (plan.placed[0].cut.width_mm, plan.placed[0].cut.length_mm) == pytest.approx((810.0, 5630.0))  # 13 x 433 = 5629


def test_what_rounding_costs_is_told_in_money() -> None:
    """3.205 x 4.101 m are cut 3.21 x 4.11 m; sold by 10 cm it is 4.2 m: 99 mm of 4 m goods at 25.00 a m² are 9.90."""
    rules = replace(CM, prices=(Price("EUR", Fraction(2500), Per.M2),))
    plan = order(a_room("3.205 m", "4.101 m", pile_deg=0.0), roll=a_roll("4 m", step_mm=100.0), rules=rules)
    assert plan.exact_mm is not None
    assert (plan.exact_mm, plan.length_mm, plan.ordered_mm) == pytest.approx((4101.0, 4110.0, 4200.0))
    assert str(plan.sums[0].rounding) == "9.90 EUR"


SIDE = st.integers(1500, 7000).map(float)


@settings(max_examples=share(60), deadline=None)
@given(
    st.lists(st.tuples(SIDE, SIDE), min_size=1, max_size=3), st.sampled_from((10.0, 12.7, 25.0)), st.sampled_from((0.0, 100.0))
)
def test_every_cut_is_found_on_the_tape_and_no_floor_is_short(sides: list[tuple[float, float]], step: float, sold: float) -> None:
    rooms = [a_room(f"{wide} mm", f"{long} mm", name=f"R{n}", trim=37.5) for n, (wide, long) in enumerate(sides)]
    rules = OrderRules(cut_step_mm=step)
    plan = order(*rooms, roll=a_roll("4 m", step_mm=sold), rules=rules, tries=20)  # proved there: covered, trimmed, apart
    assert plan.exact_mm is not None
    assert plan.exact_mm == pytest.approx(exact_length_mm(plan.placed))
    assert plan.exact_mm <= plan.length_mm + 0.01
    for placed in plan.placed:
        long, wide = placed.cut.length_mm / step, placed.cut.width_mm / step
        assert long == pytest.approx(round(long), abs=1e-3)
        assert wide == pytest.approx(round(wide), abs=1e-3) or 4000 / placed.cut.width_mm == pytest.approx(
            round(4000 / placed.cut.width_mm), abs=1e-6
        )
