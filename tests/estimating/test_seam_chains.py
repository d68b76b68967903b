"""Where the seams of a room may lie: every set of places in a small room, the best in a long one, found with bounded work."""

import math
from bisect import bisect_left
from itertools import combinations, islice, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import OrderRules, Room, Weights
from remnants.estimating.rooms.breadth_lengths import BreadthLengths
from remnants.estimating.rooms.room_at_bearing import Site
from remnants.estimating.rooms.seam_chains import MOST_BREADTHS, MOST_BREADTHS_SLANTED, chains, places_of
from remnants.geometry import TOLERANCE_MM, Outline, rectangle
from remnants.model import Construction
from tests.estimating.floors import a_door, a_roll, a_room, order
from tests.thorough import share


def a_site(room: Room, *, roll: str = "4 m", rules: OrderRules | None = None) -> Site:
    return Site(room, 0.0, roll=a_roll(roll), rules=rules or OrderRules(), construction=Construction.CUT)


def an_l(wide: float, high: float, step: float, rise: float) -> Room:
    corners = ((0.0, 0.0), (wide, 0.0), (wide, rise), (step, rise), (step, high), (0.0, high))
    return Room("Lounge", Outline(corners), (37.5,) * 6)


def can_be_cut(site: Site, chain: tuple[float, ...]) -> bool:
    """By the floor's own bands, and no seam too far from the last where the floor is parted."""
    left, _, right, _ = site.floor.bounds
    return all(site.breadth(low, high) is not None for low, high in pairwise((left, *chain, right)))


@settings(max_examples=share(60))
@given(
    wide=st.integers(42, 75), high=st.integers(20, 60), step=st.integers(10, 35), rise=st.integers(8, 15), fill=st.integers(3, 12)
)
def test_of_a_small_room_every_set_of_places_is_found(wide: int, high: int, step: int, rise: int, fill: int) -> None:
    """Against all sets of the same places, listed without any search."""
    site = a_site(an_l(wide * 100.0, high * 100.0, step * 100.0, rise * 100.0), rules=OrderRules(least_fill_mm=fill * 100.0))
    found = [chain for chain in chains(site) if chain]
    counts = sorted({len(chain) for chain in found})
    for count in counts:
        every = {chain for chain in combinations(places_of(site), count) if can_be_cut(site, chain)}
        mine = [chain for chain in found if len(chain) == count]
        assert len(mine) == len(set(mine)) and set(mine) <= every
        if len(every) <= 100:
            assert set(mine) == every
        best = min(area_and_seams(site, chain) for chain in every)
        assert min(area_and_seams(site, chain) for chain in mine) == pytest.approx(best)


def area_and_seams(site: Site, chain: tuple[float, ...]) -> float:
    left, _, right, _ = site.floor.bounds
    boxes = [site.box_of(part) for low, high in pairwise((left, *chain, right)) for part in site.breadth(low, high) or ()]
    area = sum((box[2] - box[0]) * (box[3] - box[1]) for box in boxes)
    return area / site.roll.width_mm + sum(weight for place in chain for _, weight in site.side_seams(place))


@settings(max_examples=share(100))
@given(low=st.integers(0, 59), wide=st.integers(1, 39), step=st.integers(10, 50), rise=st.integers(5, 20))
def test_a_breadth_looked_up_is_as_wide_and_long_as_the_floor_says(low: int, wide: int, step: int, rise: int) -> None:
    """Whatever was looked up before between the same corners."""
    site = a_site(an_l(6000.0, 3000.0, step * 100.0, rise * 100.0))
    lengths = BreadthLengths(site)
    high = min(60, low + wide)
    for left, right in ((low * 100.0, high * 100.0), (low * 100.0 + 7, min(6000.0, high * 100.0 + 3))):
        parts = site.breadth(left, right)
        boxes = [site.box_of(part) for part in parts or ()]
        due = None if parts is None else [pytest.approx((box[2] - box[0], box[3] - box[1])) for box in boxes]
        told = lengths.of(left, right)
        assert (None if told is None else list(told)) == due


@pytest.mark.parametrize("metres", [7.5, 30, 40, 60])
def test_a_long_room_is_answered_and_with_as_few_seams_as_it_needs(metres: float) -> None:
    """Places across 40 m once made a search without an end: most ways to begin it led nowhere."""
    site = a_site(a_room(f"{metres} m", "2.1 m", trim=37.5))
    fewest = math.ceil((metres * 1000 + 75 - 50) / 3950) - 1
    assert len(next(iter(chains(site)))) == fewest


def test_doorways_and_corners_without_number_bound_the_work() -> None:
    doors = tuple(a_door(f"{1000 + 2700 * i} mm", "0", f"{1900 + 2700 * i} mm", "0") for i in range(14))
    assert pairs(a_site(a_room("40 m", "2.1 m", doorways=doors))) <= MOST_BREADTHS
    turns = [2 * math.pi * i / 48 for i in range(48)]
    ring = tuple((4000 + 4000 * math.cos(turn), 4000 + 4000 * math.sin(turn)) for turn in turns)
    site = a_site(Room("Round", Outline(ring), (37.5,) * 48))
    assert pairs(site) <= MOST_BREADTHS_SLANTED
    assert all(can_be_cut(site, chain) for chain in islice(chains(site), 5))


def pairs(site: Site) -> int:
    places = places_of(site)
    return sum(bisect_left(places, place + site.roll.width_mm) - index - 1 for index, place in enumerate(places))


def test_a_narrow_roll_takes_as_many_seams_as_its_trims_make_it() -> None:
    """Trims at 60 seams take the width of three breadths more than the room's own width asks for."""
    site = a_site(a_room("60 m", "3 m", trim=37.5), roll="1 m")
    assert len(next(iter(chains(site)))) == math.ceil((60075 - 50) / 950) - 1


def test_a_corridor_of_40_m_is_laid() -> None:
    plan = order(a_room("2.1 m", "40 m", trim=37.5), roll=a_roll("4 m"), rules=OrderRules(weights=Weights()), tries=20)
    assert plan.length_mm <= 40_075 + TOLERANCE_MM


def test_an_order_may_be_longer_than_any_floor() -> None:
    """A hotel of 300 rooms takes more than a kilometre of roll; a floor as long as that would be a slip of the unit."""
    rooms = [Room(f"Room {number}", rectangle(2900.0, 95_000.0), (0.0,) * 4, pile_deg=0.0) for number in range(12)]
    plan = order(*rooms, roll=a_roll("3 m"), tries=1)
    assert plan.length_mm == 12 * 95_000.0
