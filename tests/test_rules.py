"""The rules of the trade that a shop may change: what a leftover must hold to be kept, how long a hold lasts."""

import pytest

from remnants.errors import BadInput
from remnants.rules import KeepRule, ShopRules

IN = 25.4


@pytest.mark.parametrize(("width_in", "length_in"), [(12, 18), (18, 12), (39, 21), (12, 400)])
def test_a_leftover_that_holds_twelve_by_eighteen_inches_is_kept(width_in: float, length_in: float) -> None:
    assert KeepRule().worth_keeping(width_in * IN, length_in * IN)


@pytest.mark.parametrize(("width_in", "length_in"), [(11.9, 18), (17.9, 17.9), (11, 400), (0, 0)])
def test_a_smaller_one_is_waste(width_in: float, length_in: float) -> None:
    assert not KeepRule().worth_keeping(width_in * IN, length_in * IN)


def test_the_same_sizes_written_the_other_way_round_are_the_same_rule() -> None:
    rule = KeepRule(short_mm=18 * IN, long_mm=12 * IN)
    assert rule.worth_keeping(12 * IN, 18 * IN)
    assert not rule.worth_keeping(17 * IN, 17 * IN)


def test_what_is_held_is_held_for_a_fortnight() -> None:
    assert ShopRules().hold_days == 14


def test_a_size_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput, match="no size to keep"):
        KeepRule(short_mm=float("nan"))
