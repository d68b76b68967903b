"""How deep convex shapes overlap, against shapely."""

import random

import numpy as np
import pytest
from shapely.geometry import MultiPoint, Polygon

from remnants.geometry.nofit import hull_planes, stacked, standing
from remnants.geometry.turn import moved_ring
from tests.shapes import SHAPES


def convex(rng: random.Random) -> np.ndarray:
    hull = MultiPoint([(rng.uniform(0, 300), rng.uniform(0, 300)) for _ in range(rng.randint(3, 9))]).convex_hull
    return np.array(Polygon(hull).exterior.coords[:-1] if hull.exterior.is_ccw else hull.exterior.coords[:0:-1])


@pytest.mark.parametrize("seed", range(30))
def test_a_depth_is_how_far_a_shape_must_move_to_be_clear(seed: int) -> None:
    rng = random.Random(seed)
    stands, moves = convex(rng), convex(rng)
    planes = stacked([(stands, moves)])
    for _ in range(20):
        move = np.array([rng.uniform(-300, 300), rng.uniform(-300, 300)])
        anchor = np.array([rng.uniform(-9, 9), rng.uniform(-9, 9)])
        depth = float(planes.depths((move + anchor)[None], planes.standing_at(anchor[None]))[0, 0])
        fixed, moved = Polygon(stands), Polygon(moves + move)
        assert (depth > 1e-9) is (fixed.intersection(moved).area > 1e-9)
        for turn in np.linspace(0, 2 * np.pi, 24):  # any shorter way leaves an overlap; the depth itself, some way, none
            step = np.array([np.cos(turn), np.sin(turn)])
            short = Polygon(moves + move + 0.99 * depth * step)
            assert depth < 1e-9 or fixed.intersection(short).area > 0


@pytest.mark.parametrize("name", SHAPES)
def test_a_piece_is_its_hull_less_what_is_no_part_of_it(name: str) -> None:
    hull, pockets = standing(SHAPES[name])
    area = Polygon(hull).area - sum(Polygon(pocket).area for pocket in pockets)
    assert area == pytest.approx(SHAPES[name].usable_area_mm2, rel=1e-6)
    ring = SHAPES[name].ring
    normals, limits = hull_planes(hull, ring)
    for move in ((0.0, 0.0), (5.0, 0.0), (-3.0, 4.0)):
        inside = bool((normals @ np.array(move) <= limits + 1e-6).all())
        assert inside is bool(Polygon(hull).buffer(1e-6).covers(Polygon(moved_ring(ring, move)))), move
