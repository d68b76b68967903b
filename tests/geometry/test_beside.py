"""Where a part can lie beside others: what is taken away one after the other agrees with what is looked at anew."""

import random

import pytest
from shapely.geometry import Polygon

from remnants.geometry.beside import barred, lowest, places, quarter_turned, still_open
from remnants.geometry.lie import MICRONS, Ground, Region, overlap, region
from remnants.geometry.outline import TOLERANCE_MM, Ring, outline_of, rectangle
from remnants.geometry.turn import moved_ring, turned_ring
from tests.geometry.test_lie import star


def test_a_part_that_just_fills_a_gap_has_a_place_there_and_one_a_hair_wider_has_none() -> None:
    """500 mm between two that stand at the sides of 1000."""
    ground, left, right = Ground(outline_of(rectangle(1000, 400).ring)), rectangle(300, 400).ring, rectangle(200, 400).ring
    for width, fits in ((500.0, True), (500.02, False)):
        part = rectangle(width, 400).ring
        here = still_open(places(ground, part), barred(left, part), (0, 0))
        here = still_open(here, barred(right, part), (800_000, 0))
        assert bool(here) is fits
    assert lowest(places(ground, left), lean=1e-4) == pytest.approx((0, 0), abs=2)
    assert lowest(places(ground, left), lean=-1e-4) == pytest.approx((700_000, 0), abs=2)
    assert places(ground, rectangle(1001, 10).ring) == []


@pytest.mark.parametrize("seed", range(12))
def test_places_left_are_those_on_what_is_left_of_the_ground(seed: int) -> None:
    """A hole cut where the other part lies leaves the same, but for a hair."""
    rng = random.Random(seed)
    sheet = outline_of(rectangle(1500, 1500).ring)
    laid, part = (star(rng, rng.randint(4, 9), 300) for _ in range(2))
    move = (rng.uniform(400, 1100), rng.uniform(400, 1100))
    lies = moved_ring(laid, move)
    here = Region(still_open(places(Ground(sheet), part), barred(laid, part), (round(move[0] * 1000), round(move[1] * 1000))))
    anew = region(Ground(outline_of(sheet.ring, [lies])), part)
    tried = [(rng.uniform(200, 1300), rng.uniform(200, 1300)) for _ in range(300)]
    assert sum(here.holds(at) != anew.holds(at) for at in tried) == 0
    for x, y in (corner for path in here.paths for corner in path):
        put = moved_ring(part, (x / MICRONS, y / MICRONS))
        assert not overlap(put, lies) and Polygon(sheet.ring).buffer(TOLERANCE_MM).covers(Polygon(put))


@pytest.mark.parametrize("quarters", range(4))
def test_what_a_part_bars_turns_with_it(quarters: int) -> None:
    rng = random.Random(quarters)
    rings: list[Ring] = [star(rng, 7, 300), star(rng, 5, 200)]
    seen = Region(quarter_turned(barred(*rings), quarters))
    one, two = (turned_ring(ring, 90.0 * quarters) for ring in rings)
    again = Region(barred(one, two))
    assert seen.box == pytest.approx(again.box, abs=0.01)
    assert all(seen.holds(at) == again.holds(at) for at in [(rng.uniform(-500, 500), rng.uniform(-500, 500)) for _ in range(200)])
