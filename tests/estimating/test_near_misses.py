"""What a little less trim would save: a room over so many breadths by no more than the trim at its sides."""

import pytest

from remnants.actions.order_rooms import Limits, order_rooms
from remnants.estimating import Floors, OrderRules, Roll, Room
from remnants.estimating.near_misses import NearMiss, near_miss_told
from remnants.exchange import Stock
from remnants.exchange.rooms import RoomsAsked
from remnants.units import Unit
from tests.estimating.floors import a_room, mm


def missed(*rooms: Room, roll: str = "12 ft", rules: OrderRules | None = None) -> tuple[NearMiss, ...]:
    asked = RoomsAsked(Floors("test", rooms), (Roll(mm(roll)),), rules or OrderRules())
    return order_rooms(asked, Stock((), ()), limits=Limits(seconds=None, tries=60)).chosen.near_misses


def test_a_room_as_wide_as_the_roll_is_told_what_its_side_trims_cost() -> None:
    """12 ft on 12 ft goods with 1 1/2 in at each side: 3 in."""
    (miss,) = missed(a_room("12 ft", "16 ft", trim=mm("1 1/2 in"), pile_deg=0.0))
    assert miss.less_mm == pytest.approx(mm("3 in")) and miss.sides == 2
    assert miss.seams >= 1 and miss.saved_mm > 0
    assert near_miss_told(miss, Unit.IN).startswith("Lounge: 3 in less trim at its two sides together would save 1 seam and ")


def test_trim_is_taken_from_one_side_where_that_has_as_much() -> None:
    (miss,) = missed(a_room("3.55 m", "5 m", trim=75.0, pile_deg=0.0), roll="3.66 m")
    assert (round(miss.less_mm, 3), miss.sides) == (40.0, 1)


def test_what_is_the_same_both_ways_round_is_told_once() -> None:
    """12 x 12 ft, the pile free: 24 ft 6 in with a seam, whichever way; with 3 in less one length of 12 ft 3 in."""
    (miss,) = missed(a_room("12 ft", "12 ft", trim=mm("1 1/2 in")))
    assert (round(miss.less_mm, 1), miss.sides, miss.seams) == (76.2, 2, 1)
    assert miss.saved_mm == pytest.approx(mm("12 ft 3 in"))


@pytest.mark.parametrize("width", ["11 ft 8 in", "13 ft", "15 ft"])
def test_a_room_that_is_over_by_more_than_its_trims_or_not_at_all_is_no_near_miss(width: str) -> None:
    assert missed(a_room(width, "16 ft", trim=mm("1 1/2 in"), pile_deg=0.0)) == ()


def test_two_breadths_and_a_little_are_a_near_miss_too() -> None:
    """Two breadths of 4 m hold 7.95 m between the walls' trims; 7.9 m with 7.5 cm of trim is 2.5 cm over."""
    (miss,) = missed(a_room("7.9 m", "5 m", trim=37.5, pile_deg=0.0), roll="4 m")
    assert (round(miss.less_mm, 3), miss.sides, miss.seams) == (25.0, 1, 1)


def test_nothing_is_told_where_less_trim_saves_nothing() -> None:
    """Turned, 12 x 11 ft 8 in lies in one length of 12 ft 3 in; the other way round it is over by the trims, and no shorter."""
    told = missed(a_room("12 ft", "11 ft 8 in", trim=mm("1 1/2 in")))
    assert all(miss.seams > 0 or miss.saved_mm >= 150 for miss in told)
