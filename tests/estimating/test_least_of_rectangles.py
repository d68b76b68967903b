"""The bound over every way of laying a few rectangular rooms: what their shortest choice takes, so it is proved the least."""

import pytest

from remnants.estimating import Floors, OrderRules, Room, Stairs
from remnants.estimating.order import choices, orders_from_roll
from remnants.estimating.roll.least_of_rectangles import least_of_rectangles_mm
from remnants.estimating.roll.work import Work
from remnants.geometry import outline_of
from remnants.model import Construction, Repeat
from remnants.model.order_rules import Roll
from remnants.packing import Watch
from tests.estimating.floors import a_roll, a_room


def in_cm(*sizes: tuple[int, int]) -> tuple[Room, ...]:
    return tuple(a_room(f"{x} cm", f"{y} cm", name=f"R{place}", trim=37.0) for place, (x, y) in enumerate(sizes))


@pytest.mark.parametrize(
    ("sizes", "wide", "least"),
    [
        (((161, 368), (253, 138), (120, 194)), 400, 3468),
        (((136, 339), (367, 415), (127, 225)), 400, 7002),
        (((268, 470), (470, 215)), 366, 6998),
    ],
)
def test_the_shortest_choice_of_up_to_three_rooms_is_proved(sizes: tuple[tuple[int, int], ...], wide: int, least: float) -> None:
    """As a plain exact model finds them (tests/bench/small_orders.py); the bound by columns and rows is up to 4.5 % less."""
    floors = Floors("few", in_cm(*sizes))
    plans = orders_from_roll(floors, a_roll(f"{wide} cm"), rules=OrderRules(), watch=Watch(tries=80))
    shortest = choices(plans)[-1]
    assert (round(shortest.length_mm), round(shortest.least_mm)) == (least, least)


def least(floors: Floors, roll: Roll, rules: OrderRules) -> float:
    """From a bound of 1 mm, of an order that takes 30 m."""
    work = Work(floors, floors, roll, rules, Construction.CUT, 0, Watch(tries=9), lambda _length, _bound: None)
    return least_of_rectangles_mm(work, least_mm=1.0, known_mm=30_000.0)


def test_it_is_told_only_where_it_holds() -> None:
    """Not for patterned goods, joins end to end, a flight, a floor that is no rectangle, nor many rooms."""
    rooms, roll, rules = in_cm((300, 400), (200, 350)), a_roll("400 cm"), OrderRules()
    assert least(Floors("two", rooms), roll, rules) > 4000
    ring = [(0.0, 0.0), (3000.0, 0.0), (3000.0, 1500.0), (1400.0, 1500.0), (1400.0, 3400.0), (0.0, 3400.0)]
    bent = Room("Bent", outline_of(ring), (37.0,) * 6)
    assert least(Floors("bent", (*rooms, bent)), roll, rules) == 1.0
    assert least(Floors("flight", rooms, (Stairs("Flight", 13, 800.0, 250.0, 190.0),)), roll, rules) == 1.0
    assert least(Floors("many", in_cm(*((300, 400 + n) for n in range(9)))), roll, rules) == 1.0
    assert least(Floors("two", rooms), a_roll("400 cm", repeat=Repeat(400.0, 500.0)), rules) == 1.0
    assert least(Floors("two", rooms), roll, OrderRules(cross_seams=1)) == 1.0
