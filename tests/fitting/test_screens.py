"""Quick questions before the exact one pass nothing over that exact work would find."""

import math
import random

import pytest

from remnants.fitting.patch.question import AXES
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.shape import Split, splits
from remnants.fitting.patch.side_by_side import may_lie_side_by_side, widths_round
from remnants.geometry.core import MOST_CORNERS, common_core
from remnants.geometry.lie import fits
from remnants.geometry.outline import Outline, Ring, area_mm2, bounds, rectangle
from remnants.geometry.tolerances import NUDGE_MM
from remnants.geometry.turn import moved_ring, turned_ring
from tests.fitting.test_least_needs import an_ask, an_oval, some_donors
from tests.thorough import share


@pytest.mark.parametrize("seed", range(share(18)))
def test_what_holds_a_part_holds_the_core_that_is_asked_of_first(seed: int) -> None:
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 8), uneven=seed % 3 == 0)
    held = 0
    for split in (each for axis in AXES for each in splits(ask.shape, axis)):
        at = rng.uniform(split.low, split.high)
        for side in (0, 1):
            core = split.core(at, at + NUDGE_MM, side=side)
            for donor in field.donors if core is not None else ():
                if ask.lies(split.halves(at)[side], donor) or ask.lies(split.halves(at + NUDGE_MM)[side], donor):
                    held += 1
                    assert core is not None and fits(donor.ground, core), (donor.tag, split.low, side)
    assert held


def test_a_core_has_few_corners_and_most_of_the_carpet() -> None:
    """Of an oval of 24 corners six are left, four fifths of it within them."""
    oval = tuple(an_oval(2000, 1000))
    core = common_core(oval, oval)
    assert core is not None and len(core) == MOST_CORNERS
    assert 0.8 * area_mm2(oval) < area_mm2(core) < area_mm2(oval)
    assert common_core(oval, moved_ring(oval, (3000, 0))) is None


@pytest.mark.parametrize("seed", range(share(18)))
def test_no_piece_that_two_parts_were_drawn_on_is_too_narrow_for_them(seed: int) -> None:
    """Both parts laid touching at a random bearing, the high one turned; the piece is the rectangle round them."""
    rng = random.Random(seed)
    ask, _ = an_ask(rng, [], uneven=seed % 3 == 0)
    for split in (each for axis in AXES for each in splits(ask.shape, axis)):
        at, swing, bearing = rng.uniform(split.low, split.high), rng.choice((0.0, 90.0, 180.0)), rng.uniform(0, 360)
        low, high = (turned_ring(ring, bearing) for ring in _cuts(split, at, swing))
        beside = moved_ring(high, (bounds(low)[2] - bounds(high)[0], rng.uniform(-300, 300)))
        left, bottom, right, top = bounds((*low, *beside))
        piece = turned_ring(moved_ring(rectangle(right - left, top - bottom).ring, (left, bottom)), -bearing)
        assert may_lie_side_by_side(widths_round(piece), split, swing, at, at)
        assert may_lie_side_by_side(widths_round(piece), split, swing, split.low, split.high)


def _cuts(split: Split, at: float, swing: float) -> tuple[Ring, Ring]:
    low, high = split.halves(at)
    return low.cut, turned_ring(high.cut, swing)


def test_a_piece_narrower_than_two_halves_of_an_oval_is_not_asked_for_them() -> None:
    """Halves of an oval 2000 x 1000: a square of 1300 has room for either but not for both, 2300 x 1300 has."""
    rng = random.Random(3)
    ask, _ = an_ask(rng, [], uneven=False)
    ring = tuple(an_oval(2000, 1000, 8))
    shape = type(ask.shape)(ring, (ask.shape.finishes[0],) * 8, ask.shape.allowance)
    split = next(each for each in splits(shape, AXES[0]) if each.low < 0 < each.high)
    assert not may_lie_side_by_side(widths_round(rectangle(1300, 1300).ring), split, 0.0, split.low, split.high)
    assert may_lie_side_by_side(widths_round(rectangle(2300, 1300).ring), split, 0.0, split.low, split.high)


@pytest.mark.parametrize("seed", range(share(12)))
def test_a_figure_closed_in_on_step_by_step_is_the_one_found_at_once(seed: int) -> None:
    """What is sure and what is hoped for hold the true figure between them all the way."""
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 6), uneven=False)
    for split in (each for axis in AXES for each in splits(ask.shape, axis)):
        for low in (True, False):
            reaches = Reaches.of(ask, field, split, low=low)
            for place, donor in enumerate(field.donors):
                true, sign = ask.threshold(split, low, donor), 1.0 if low else -1.0
                ask.known.clear()
                while not reaches.exact[place]:
                    reaches.look_closer(place)
                    assert true is None or sign * reaches.sure[place] <= sign * true <= sign * reaches.at[place]
                assert math.isnan(reaches.at[place]) if true is None else reaches.at[place] == true
                assert reaches.unknown_mm(place) == 0


def test_a_rectangle_with_cutouts_apart_has_the_area_that_is_left_of_it() -> None:
    """1000 x 600 less 200 x 100 and 100 x 100; where they overlap, or reach over the edge, the overlap counts once."""
    ring = rectangle(1000, 600).ring
    one, two = moved_ring(rectangle(200, 100).ring, (100, 100)), moved_ring(rectangle(100, 100).ring, (500, 300))
    assert Outline(ring, (one, two)).usable_area_mm2 == 600_000 - 20_000 - 10_000
    assert Outline(ring, (one, moved_ring(one, (100, 0)))).usable_area_mm2 == pytest.approx(600_000 - 30_000)
    assert Outline(ring, (moved_ring(one, (800, 0)),)).usable_area_mm2 == pytest.approx(600_000 - 10_000)
