"""Where a part can lie on a piece, against containment by shapely (an independent reference library) on random shapes."""

import math
import random

import pytest
from shapely import affinity
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from remnants.geometry.lie import Ground, Region, apart, fits, region
from remnants.geometry.outline import TOLERANCE_MM, Outline, Ring, area_mm2, outline_of, rectangle
from remnants.geometry.shares import convex_shares
from remnants.geometry.turn import turned


def star(rng: random.Random, corners: int, radius: float, centre: tuple[float, float] = (0.0, 0.0), rough: float = 0.6) -> Ring:
    """A simple star-shaped ring with `corners` corners."""
    angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(corners))
    if max(b - a for a, b in zip(angles, [*angles[1:], angles[0] + 2 * math.pi], strict=True)) > math.pi * 0.9:
        angles = [2 * math.pi * (index + rng.uniform(0, 0.8)) / corners for index in range(corners)]
    reach = [radius * rng.uniform(1 - rough, 1) for _ in angles]
    return outline_of(
        [(centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)) for a, r in zip(angles, reach, strict=True)]
    ).ring


def inside(part: Ring, move: tuple[float, float], donor: Outline, give: float) -> bool:
    """True if the moved part lies in the donor grown by `give` (mm; negative for shrunk)."""
    placed = affinity.translate(Polygon(part), *move)
    return bool(donor.usable.buffer(give, join_style="mitre", mitre_limit=2).covers(placed))


@pytest.mark.parametrize("seed", range(12))
def test_agrees_with_brute_force_containment(seed: int) -> None:
    rng = random.Random(seed)
    donor = outline_of(star(rng, rng.randint(4, 14), 900), [star(rng, 5, 120, (rng.uniform(-300, 300), rng.uniform(-300, 300)))])
    ground = Ground(donor)
    part = star(rng, rng.randint(3, 8), rng.uniform(100, 400))
    found = region(ground, part)
    for move in region(ground, part, slack=False).corners():
        assert inside(part, move, donor, TOLERANCE_MM), (seed, move)
    shape = Polygon()
    for path in found.paths:
        shape = shape.symmetric_difference(Polygon([(x / 1000, y / 1000) for x, y in path]))
    for _ in range(300):
        move = (rng.uniform(-1000, 1000), rng.uniform(-1000, 1000))
        in_region = shape.covers(ShapelyPoint(move))
        if inside(part, move, donor, -0.001):
            assert in_region, (seed, move)
        if in_region:
            assert inside(part, move, donor, TOLERANCE_MM), (seed, move)


@pytest.mark.parametrize("seed", range(20))
def test_a_patch_cut_out_of_a_donor_is_found_again(seed: int) -> None:
    """The part touches its donor all round or nearly: an exact fit has one place only."""
    rng = random.Random(100 + seed)
    part = star(rng, rng.randint(3, 9), 400)
    move = (rng.uniform(-500, 500), rng.uniform(-500, 500))
    hole = tuple((x + move[0], y + move[1]) for x, y in part)
    found = region(Ground(Outline(hole)), part)
    assert found
    assert any(math.dist(middle, move) < 2 * TOLERANCE_MM for middle in found.middles())
    assert inside(part, move, Outline(hole), TOLERANCE_MM)


def test_touching_counts_as_inside_and_a_hair_more_does_not() -> None:
    donor = Ground(rectangle(1000, 2000))
    assert fits(donor, rectangle(1000, 2000).ring)
    assert fits(donor, rectangle(1000.01, 2000).ring)
    assert not fits(donor, rectangle(1000.02, 2000).ring)


def test_twelve_feet_fit_twelve_feet_whatever_the_unit() -> None:
    """12 x 304.8 and 144 x 25.4 differ in the last bit."""
    assert fits(Ground(rectangle(144 * 25.4, 1000)), rectangle(12 * 304.8, 1000).ring)
    assert fits(Ground(rectangle(12 * 304.8, 1000)), rectangle(144 * 25.4, 1000).ring)


def test_a_cutout_in_the_middle_stops_what_its_bounds_would_allow() -> None:
    holed = outline_of(rectangle(100, 100).ring, [((45, 45), (55, 45), (55, 55), (45, 55))])
    assert fits(Ground(holed), rectangle(45, 100).ring)
    assert not fits(Ground(holed), rectangle(46, 100).ring)


def test_two_parts_share_a_donor_only_where_they_do_not_overlap() -> None:
    ground = Ground(rectangle(100, 50))
    half, more = rectangle(50, 50).ring, rectangle(51, 50).ring
    placed = apart(half, half, region(ground, half), region(ground, half))
    assert placed is not None
    assert abs(placed[0][0] - placed[1][0]) == pytest.approx(50, abs=2 * TOLERANCE_MM)
    assert apart(half, more, region(ground, half), region(ground, more)) is None


@pytest.mark.parametrize("seed", range(10))
def test_convex_shares_tile_the_ring(seed: int) -> None:
    ring = star(random.Random(seed), 12, 500)
    shares = convex_shares(ring)
    assert sum(area_mm2(share) for share in shares) == pytest.approx(area_mm2(ring))
    assert all(Polygon(share).convex_hull.area == pytest.approx(area_mm2(share)) for share in shares)


def test_a_part_that_touches_from_outside_does_not_lie_on_the_piece() -> None:
    """A slanted part against a slanted edge: rounding must leave no sliver of moves there."""
    donor = turned(rectangle(589, 808), 335.0)
    part = ((0.0, 0.0), (511.587, 0.0), (511.587, 531.0), (247.609, 531.0))
    assert all(inside(part, move, donor, TOLERANCE_MM) for move in region(Ground(donor), part, slack=False).corners())


def test_a_just_fitting_part_has_its_places_along_a_bent_line() -> None:
    """100 x 100 on what a 200 x 100 cut leaves of 300 x 200: along the top, then down the side, nowhere between."""
    left = outline_of(rectangle(300, 200).ring, [rectangle(200, 100).ring])
    part = rectangle(100, 100).ring
    found = region(Ground(left), part)
    assert not region(Ground(left), part, slack=False)
    assert set(found.middles()) == {(0.0, 100.0), (200.0, 100.0), (200.0, 0.0)}
    assert all(inside(part, move, left, TOLERANCE_MM) for move in found.middles())


FRAME = Ground(outline_of(rectangle(500, 400).ring, [((100, 100), (400, 100), (400, 300), (100, 300))]))
"""100 wide all round."""


def test_a_region_with_a_hole_holds_what_lies_round_it() -> None:
    """50 x 50 on the frame: its lower left corner anywhere up to (450, 350), but not within (50, 50) to (400, 300)."""
    found = region(FRAME, rectangle(50, 50).ring)
    assert len(found.paths) == 2
    assert all(
        found.holds(move) for move in ((0, 0), (450, 350), (50, 50), (400, 300), (25, 200), (425, 100), (200, 0), (200, 350))
    )
    assert not any(found.holds(move) for move in ((225, 175), (51, 51), (399, 299), (300, 52), (451, 0), (0, 351), (-1, 0)))


def test_the_box_of_a_region_is_that_of_its_moves() -> None:
    assert region(FRAME, rectangle(100, 30).ring).box == pytest.approx((0, 0, 400, 370), abs=2 * TOLERANCE_MM)


def lies_apart(ground: Ground, first: Ring, second: Ring) -> bool:
    """True if both parts are found a place, which is then looked at by shapely."""
    placed = apart(first, second, region(ground, first), region(ground, second))
    if placed is None:
        return False
    one, two = (affinity.translate(Polygon(ring), *move) for ring, move in zip((first, second), placed, strict=True))
    assert all(ground.outline.usable.buffer(2 * TOLERANCE_MM, join_style="mitre").covers(each) for each in (one, two))
    assert one.intersection(two).area <= 2 * TOLERANCE_MM * 1000
    return True


def test_two_parts_lie_on_a_frame_side_by_side_but_not_across() -> None:
    along, across = rectangle(500, 100).ring, rectangle(100, 400).ring
    assert lies_apart(FRAME, along, along)
    assert lies_apart(FRAME, across, across)
    assert lies_apart(FRAME, across, rectangle(400, 100).ring)
    assert not lies_apart(FRAME, along, across)


def test_two_rectangles_share_a_rectangle_just_when_one_way_of_cutting_it_serves() -> None:
    rng = random.Random(1)
    found = []
    for _ in range(60):
        (a, b), (c, d) = ((rng.randint(1, 9), rng.randint(1, 9)) for _ in range(2))
        side_by_side, end_to_end = a + c <= 10 and max(b, d) <= 8, max(a, c) <= 10 and b + d <= 8
        shape = Ground(rectangle(1000, 800))
        found.append(lies_apart(shape, rectangle(100 * a, 100 * b).ring, rectangle(100 * c, 100 * d).ring))
        assert found[-1] is (side_by_side or end_to_end), (a, b, c, d)
    assert 10 < sum(found) < 50


def test_places_that_are_a_wedge_of_micrometres_are_read_though_the_grid_has_crossed_them() -> None:
    """What is left to a part that just fits: a band and a wedge some micrometres wide, which cross where they meet."""
    wedge = Region([[[73243, 2207891], [-16208, 2210858], [-16208, 2210853], [73243, 2207885], [0, 0]]])
    part = rectangle(300, 100).ring
    placed = apart(part, part, wedge, wedge)
    assert placed is not None
    (_, low), (_, high) = placed
    assert abs(high - low) >= 100 - 2 * TOLERANCE_MM
