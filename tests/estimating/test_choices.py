"""The choices of an order: from the fewest seams to the shortest roll, each worth what it costs, one recommended."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import Floors, OrderPlan, OrderRules, Roll, Room, Stairs
from remnants.estimating.order import choices, orders_from_roll
from remnants.estimating.pattern_places import item_of
from remnants.estimating.roll.widths_left import widths_left
from remnants.estimating.rooms.layings import lay_room
from remnants.estimating.why_choose import seams_told, why_choose
from remnants.geometry import TOLERANCE_MM
from remnants.packing import StripProblem, Watch, lower_bound, pack_strip
from remnants.proof.orders import check_order
from remnants.units import Unit
from tests.estimating.floors import PLAIN, a_door, a_roll, a_room
from tests.thorough import share


def offered(*rooms: Room, roll: Roll, rules: OrderRules, tries: int = 120) -> tuple[tuple[OrderPlan, ...], OrderPlan]:
    """The choices, each proved, and the one recommended."""
    floors = Floors("test", rooms)
    plans = orders_from_roll(floors, roll, rules=rules, watch=Watch(tries=tries))
    found = choices(plans)
    assert all(check_order(plan, floors, rules) == () for plan in found)
    return found, plans[0]


def in_feet(plans: Sequence[OrderPlan]) -> list[tuple[int, float]]:
    return [(len(plan.seams), round(plan.ordered_mm / 304.8, 3)) for plan in plans]


@pytest.mark.parametrize(
    ("width", "length", "joins", "due"),
    [
        # turned, two lengths; and the fill split in two (ehow.com/how_6737804_estimate-carpet-installation.html)
        ("14 ft", "16 ft", 1, [(1, 28.0), (2, 21.0)]),
        # first run 12 x 16, fill 3 ft: n = 4, 16 + 4 ft (rule: constructionwork.com/resource/carpet-and-vinyl)
        ("15 ft", "16 ft", 3, [(1, 30.0), (2, 22.5), (3, 20.0)]),
        # a fill of 4 ft in three, 12 x 28 ft (jiskha.com/display.cgi?id=1326255360), and by the rule above 21 + 21/4 ft
        ("15 ft", "21 ft", 3, [(1, 30.0), (3, 28.0), (4, 26.25)]),
    ],
)
def test_the_published_sums_stand_beside_what_takes_less_roll(width: str, length: str, joins: int, due: object) -> None:
    rules = OrderRules(wall_mm=0.0, seam_mm=0.0, least_fill_mm=0.0, cross_seams=joins)
    found, recommended = offered(a_room(width, length), roll=a_roll(), rules=rules)
    assert in_feet(found) == due
    assert recommended in found


def test_joins_end_to_end_are_a_permission_and_not_a_wish() -> None:
    """A permission for three adds choices and takes none away."""
    without, _ = offered(a_room("15 ft", "21 ft"), roll=a_roll(), rules=PLAIN)
    rules = OrderRules(wall_mm=0.0, seam_mm=0.0, least_fill_mm=0.0, cross_seams=3)
    found, recommended = offered(a_room("15 ft", "21 ft"), roll=a_roll(), rules=rules)
    assert in_feet(without)[0] == in_feet(found)[0]
    assert len(recommended.seams) == 1


def test_one_seam_in_the_smaller_of_two_rooms_saves_72_cm() -> None:
    """230 x 322 and 158 x 228 cm on 366 cm took 404 cm, though 332 will do: a room in halves that lie beside the other."""
    rooms = (a_room("230 cm", "322 cm", name="Bedroom", trim=37.5), a_room("158 cm", "228 cm", name="Box room", trim=37.5))
    found, _ = offered(*rooms, roll=a_roll("366 cm"), rules=OrderRules())
    assert [len(plan.seams) for plan in found] == [0, 1]
    assert found[1].length_mm <= 3320


@pytest.mark.parametrize(
    ("sizes", "wide", "least"),
    [
        # by a plain exact model that chooses seams, bearings and places on the roll at once (tests/bench/small_orders.py)
        (((302, 419), (134, 237), (135, 319)), 400, 5688),  # 6188: no fill was as wide as the first room leaves beside it
        (((471, 197), (253, 465), (445, 171)), 400, 8216),  # 8552: found only by changing more than one room at once
        (((268, 432), (135, 438), (454, 227)), 400, 7946),  # 8792
        (((161, 368), (253, 138), (120, 194)), 400, 3698),  # 3822
    ],
)
def test_small_jobs_once_longer_than_an_exact_model_take_no_more(
    sizes: Sequence[tuple[int, int]], wide: int, least: float
) -> None:
    rooms = [a_room(f"{x} cm", f"{y} cm", name=f"R{place}", trim=37.0) for place, (x, y) in enumerate(sizes)]
    found, _ = offered(*rooms, roll=a_roll(f"{wide} cm"), rules=OrderRules(), tries=400)
    assert found[-1].length_mm <= least + TOLERANCE_MM


@pytest.mark.parametrize("turned", [False, True])
def test_a_fill_may_be_as_wide_as_another_floor_leaves_on_the_roll(turned: bool) -> None:
    """A room 3.02 m wide leaves 90.6 cm of 4 m; a flight leaves what its cuts do; of many floors none is told."""
    size = ("419 cm", "302 cm") if turned else ("302 cm", "419 cm")
    room = a_room(*size, trim=37.0, pile_deg=90.0 if turned else 0.0)
    flight = Stairs("Flight", 13, 800.0, 250.0, 190.0)
    rules = OrderRules()
    assert widths_left(Floors("one", (room,)), Roll(4000.0), rules) == pytest.approx((906.0,))
    both = widths_left(Floors("two", (room,), (flight,)), Roll(4000.0), rules)
    assert both == pytest.approx((4000 - flight.cut_width_mm, 906.0))
    many = tuple(replace(room, name=f"R{place}") for place in range(13))
    assert widths_left(Floors("many", many), Roll(4000.0), rules) == ()


def test_the_shorter_roll_of_a_corridor_is_offered_beside_the_one_without_a_seam() -> None:
    ends = tuple(a_door("60 cm", y, "150 cm", y) for y in ("0", "12 m"))
    found, recommended = offered(a_room("2.1 m", "12 m", trim=37.5, doorways=ends), roll=a_roll("4 m"), rules=OrderRules())
    assert [(len(plan.seams), round(plan.ordered_mm)) for plan in found] == [(0, 12_075), (3, 8_700)]
    assert recommended is found[0]
    assert why_choose(found[0], recommended, Unit.CM) == "recommended: roll and drawbacks together are least"
    assert why_choose(found[1], recommended, Unit.CM) == "saves 337.5 cm of roll for 3 seams more"
    assert why_choose(found[0], found[1], Unit.CM) == "3 seams fewer for 337.5 cm more roll"
    assert seams_told(found[1]) == "3: 3 along the pile; 3 of them are crossed by people who walk"


sizes = st.integers(9, 60)


@settings(max_examples=share(18))
@given(wide=st.lists(st.tuples(sizes, sizes), min_size=1, max_size=3), roll=st.sampled_from((30, 40)), joins=st.integers(0, 2))
def test_every_choice_is_worth_what_it_costs(wide: list[tuple[int, int]], roll: int, joins: int) -> None:
    """Proved; fewer seams for more roll and never more of both; the recommended one weighs least and stands among them."""
    rooms = [a_room(f"{x * 10} cm", f"{y * 10} cm", name=f"R{place}", trim=37.5) for place, (x, y) in enumerate(wide)]
    found, recommended = offered(*rooms, roll=Roll(roll * 100.0), rules=OrderRules(cross_seams=joins))
    assert recommended in found
    assert min(found, key=lambda plan: plan.merit_mm).merit_mm == recommended.merit_mm
    for one, other in product(found, found):
        if one is not other and other is not recommended:
            assert len(one.seams) > len(other.seams) or one.ordered_mm > other.ordered_mm + TOLERANCE_MM


@settings(max_examples=share(6))
@given(wide=st.lists(st.tuples(st.integers(12, 34), st.integers(12, 34)), min_size=2, max_size=2))
def test_the_shortest_choice_of_a_small_job_is_near_what_every_way_of_laying_it_can_reach(wide: list[tuple[int, int]]) -> None:
    """Against every way of both rooms at both bearings, each pair packed to the end."""
    roll, rules = Roll(3660.0), OrderRules()
    rooms = [a_room(f"{x * 10} cm", f"{y * 10} cm", name=f"R{place}", trim=37.5) for place, (x, y) in enumerate(wide)]
    found, _ = offered(*rooms, roll=roll, rules=rules)
    assert found[-1].length_mm <= 1.03 * shortest(rooms, roll, rules, known=found[-1].length_mm)


def shortest(rooms: Sequence[Room], roll: Roll, rules: OrderRules, *, known: float) -> float:
    """The least roll (mm) of all pairs of ways, `known` if none is shorter."""
    best = round(known * 1000)
    every = [[way for bearing in (0.0, 90.0) for way in lay_room(room, bearing, roll=roll, rules=rules)] for room in rooms]
    ways = [[way for way in each if len(way.cuts) <= 2] for each in every]
    for pair in product(*ways):
        items = tuple(item_of(cut, None, roll.width_mm) for way in pair for cut in way.cuts)
        problem = StripProblem(round(roll.width_mm * 1000), items)
        if lower_bound(problem) < best:
            best = min(best, pack_strip(problem, watch=Watch(tries=40)).length)
    return best / 1000
