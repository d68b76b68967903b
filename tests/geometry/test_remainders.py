"""What cuts leave: areas balance, slivers go, holes become cutouts, and no outline touches itself."""

import math
import random
import time
from collections.abc import Sequence
from itertools import pairwise
from types import SimpleNamespace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, outline_of, rectangle, round_outline
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import turned_ring
from remnants.limits import CORNERS
from remnants.model.plan import Leftover
from remnants.proof import leaving
from remnants.proof.regions import can_be_left, region_of
from remnants.proof.remains import Remains, ground_of, rests_of
from tests.geometry.test_lie import star
from tests.shapes import SHAPES
from tests.thorough import share


def box(x: float, y: float, width: float, length: float) -> Ring:
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))


def assert_balanced(outline: Outline, cuts: list[Ring]) -> None:
    """Remains and cuts make up the usable region, but for slivers; each remain could have been measured."""
    remains = remainders(outline, cuts)
    taken = shapely.union_all([shapely.Polygon(cut) for cut in cuts]).intersection(outline.usable)
    reach = outline.usable.length + sum(shapely.Polygon(cut).length for cut in cuts)
    left = sum(remain.usable_area_mm2 for remain in remains)
    assert left + taken.area == pytest.approx(outline.usable_area_mm2, abs=TOLERANCE_MM * reach)
    room = outline.usable.difference(taken).buffer(TOLERANCE_MM)
    for remain in remains:
        assert room.covers(remain.usable)
        assert outline_of(remain.ring, remain.cutouts) == remain


def test_a_corner_cut_leaves_an_l() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(0, 0, 400, 600)])
    assert len(left.ring) == 6
    assert left.usable_area_mm2 == 1000 * 1600 - 400 * 600


def test_a_cut_across_leaves_two_largest_first() -> None:
    big, small = remainders(rectangle(1000, 1600), [box(0, 300, 1000, 500)])
    assert (big.bounds, small.bounds) == ((0, 800, 1000, 1600), (0, 0, 1000, 300))
    assert big.is_rectangle and small.is_rectangle


def test_a_cut_in_the_middle_leaves_a_cutout() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(300, 500, 150, 120)])
    assert len(left.ring) == 4
    assert len(left.cutouts) == 1


def test_a_cut_of_everything_leaves_nothing_whatever_the_dust() -> None:
    # 12 ft is 12 x 304.8 = 3657.6000000000004 in floats and 144 x 25.4 = 3657.6.
    assert remainders(rectangle(12 * 304.8, 1000), [box(0, 0, 144 * 25.4, 1000 - 1e-9)]) == ()


def test_a_cut_along_the_edge_leaves_clean_corners_whatever_the_dust() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(0.004, -0.003, 400.0, 1600.004), box(400.001, 1000, 200, 599.998)])
    assert left.is_rectangle is False
    assert sorted(left.ring) == sorted([(400.004, 0), (1000, 0), (1000, 1600), (600.001, 1600), (600.001, 1000), (400.004, 1000)])


def test_no_cut_leaves_the_usable_region() -> None:
    assert remainders(rectangle(1000, 1600), []) == (rectangle(1000, 1600),)
    assert len(remainders(SHAPES["touching pair"], [])) == 2


@pytest.mark.parametrize("name", SHAPES)
def test_areas_balance_for_every_shape(name: str) -> None:
    left, bottom, _, _ = SHAPES[name].bounds
    assert_balanced(SHAPES[name], [box(left, bottom, 333.3, 41.7), box(left + 500, bottom + 200, 210, 430)])
    assert_balanced(SHAPES[name], [((left, bottom), (left + 700, bottom + 50), (left + 640, bottom + 510))])


@settings(max_examples=share(60), deadline=None)
@given(
    st.sampled_from(sorted(SHAPES)),
    st.lists(st.tuples(st.floats(-200, 1500), st.floats(-200, 1500), st.floats(1, 900), st.floats(1, 900)), max_size=4),
)
def test_areas_balance_for_any_cuts(name: str, boxes: list[tuple[float, float, float, float]]) -> None:
    assert_balanced(SHAPES[name], [box(*figures) for figures in boxes])


TURNED = Outline(turned_ring(rectangle(900, 600).ring, 25.0))


def turned_cut(*points: Point) -> list[Ring]:
    """A cut told in the axes of the turned piece before it was turned."""
    return [turned_ring(points, 25.0)]


def test_a_leftover_pinched_to_a_point_at_a_slanted_edge_is_two() -> None:
    areas = [each.usable_area_mm2 for each in remainders(TURNED, turned_cut((300, 0), (500, 0), (400, 600)))]
    assert areas == pytest.approx([270_000, 210_000], abs=1)  # 400 to 500 of 900 on one side, 300 to 400 on the other


@pytest.mark.parametrize("off", [1e-13, 1e-7, 0.001, 0.009])
def test_what_hangs_together_by_less_than_the_tolerance_is_two(off: float) -> None:
    cut = turned_cut((300, 0), (500, 0), (500, 600 - off), (300, 600 - off))
    assert len(remainders(TURNED, cut)) == 2


def test_a_cut_whose_corner_touches_a_slanted_edge_leaves_one_that_does_not_touch_itself() -> None:
    """The corners of the diamond lie on two edges, within what floats lose."""
    for left in remainders(TURNED, turned_cut((450, 0), (600, 300), (450, 600), (300, 300))):
        assert can_be_left(left.ring, left.cutouts)
    (left,) = remainders(TURNED, turned_cut((450, 0), (600, 300), (450, 500), (300, 300)))
    assert can_be_left(left.ring, left.cutouts)
    assert left.usable_area_mm2 == pytest.approx(900 * 600 - 300 * 500 / 2, abs=20)


NEARLY_ALIKE = (
    (
        (112.83040069302527, 366.3479056635327),
        (-330.6260153946147, 249.72168751089248),
        (-429.44126784426817, -41.00175293851382),
        (-113.14223296061282, -365.81498636255895),
        (410.12043873373204, -409.8825015470108),
    ),
    (
        (-17.627752736651384, 332.03824070048665),
        (-330.6260153946146, 249.7216875108924),
        (-260.17386916686456, -18.163671087894773),
        (52.82439349109889, 64.15288210169929),
    ),
)


def test_a_cut_whose_edge_almost_lies_on_the_edge_of_the_piece_is_taken_out() -> None:
    """Clipped as floats come, the whole piece was left."""
    ring, cut = NEARLY_ALIKE
    left = remainders(Outline(ring), [cut])
    assert sum(each.usable_area_mm2 for each in left) == pytest.approx(abs(area_mm2(ring)) - abs(area_mm2(cut)), abs=5)


def test_cuts_that_would_cross_themselves_once_they_are_set_on_lines_are_taken_out() -> None:
    """The notch of 7 micrometres in the first is turned over; clipping broke off."""
    first = ((100.0, 570.0), (390.0, 140.0), (389.999, 140.007), (770.0, 170.0))
    second = ((420.0, 620.0), (570.0, 380.0), (569.995, 379.994), (310.0, 110.0), (770.0, 60.0), (770.004, 59.998))
    (left,) = remainders(rectangle(800, 700), [first, second])
    both = shapely.union_all([shapely.Polygon(first), shapely.Polygon(second)])
    assert left.usable_area_mm2 == pytest.approx(800 * 700 - both.area, abs=20)


def with_corners_more(dice: random.Random, ring: Ring) -> Ring:
    """The ring with corners a few micrometres beside some of its own, as mitres leave them; as it was if they cross."""
    more: list[Point] = []
    for x, y in ring:
        more.append((x, y))
        if dice.random() < 0.5:
            more += [(x + dice.uniform(-0.009, 0.009), y + dice.uniform(-0.009, 0.009)) for _ in range(dice.randint(1, 2))]
    return tuple(more) if shapely.Polygon(more).is_valid else ring


def a_slanted_case(dice: random.Random) -> tuple[Outline, list[Ring]]:
    """A piece that lies askew, and cuts along its edges, with a corner on one, or through it; all but for a hair."""
    across, turn = float(dice.randrange(300, 900)), dice.choice((25.0, 45.0, 10.0, dice.uniform(0, 360)))
    ring = dice.choice(
        (
            turned_ring(rectangle(across, dice.randrange(300, 900)).ring, turn),
            star(dice, dice.randint(4, 9), 600, rough=0.5),
            round_outline((0, 0), across / 2, outside=False).ring,
        )
    )
    cuts: list[Ring] = []
    for _ in range(dice.randint(1, 3)):
        edges = dice.choice((ring, *cuts))
        at = dice.randrange(len(edges))
        (ax, ay), (bx, by) = edges[at - 1], edges[at]
        low, high = dice.choice((0.0, 0.3)), dice.choice((0.8, 1.0))
        start, end = (ax + (bx - ax) * low, ay + (by - ay) * low), (ax + (bx - ax) * high, ay + (by - ay) * high)
        inward = dice.uniform(20, 300) / math.dist(start, end) * dice.choice((1, 1, 1, -1))
        x, y = (ay - by) * inward, (bx - ax) * inward
        along = (start, end, (end[0] + x, end[1] + y), (start[0] + x, start[1] + y))
        turned = turned_ring(rectangle(dice.randrange(30, 300), dice.randrange(30, 300)).ring, turn)
        corner: Ring = tuple((start[0] + px, start[1] + py) for px, py in turned)
        rounded = round_outline(start, dice.randrange(20, 200), outside=True).ring
        hair = dice.choice((0.0, 1e-13, 1e-9, 1e-6, 0.003))
        cut = dice.choice((along, along, corner, star(dice, 5, dice.uniform(40, 300), start), rounded))
        cut = tuple((px + dice.uniform(-hair, hair), py + dice.uniform(-hair, hair)) for px, py in cut)
        if shapely.Polygon(cut).is_valid:
            cuts.append(with_corners_more(dice, cut) if dice.random() < 0.3 else cut)
    return Outline(ring), cuts


def test_what_slanted_cuts_leave_can_be_drawn_and_is_nowhere_more_than_they_leave() -> None:
    """The proof takes each outline for a sound one, and what is more than is left is thinner than the tolerance.

    Of cuts set on lines that then crossed themselves clipping broke off.
    """
    for seed in range(120):
        outline, cuts = a_slanted_case(random.Random(seed))
        rest = outline.usable.difference(
            shapely.union_all([shapely.Polygon(cut) for cut in cuts], grid_size=1e-6), grid_size=1e-6
        )
        for left in remainders(outline, cuts):
            assert can_be_left(left.ring, left.cutouts), seed
            more = left.usable.difference(rest.buffer(2 * TOLERANCE_MM))
            assert more.buffer(-TOLERANCE_MM / 2).is_empty, seed


def faults_of_what_is_left(outline: Outline, cuts: list[Ring]) -> list[str]:
    """What the proof says of the remains of a piece, told as leftovers."""
    return faults_of_what_is_told(outline, cuts, remainders(outline, cuts))


def faults_of_what_is_told(outline: Outline, cuts: list[Ring], remains: Sequence[Outline]) -> list[str]:
    """What the proof says where so much is told as left of a piece."""
    told = [Leftover("R-1", left, (1.0, 1.0), (0.0, 0.0), usable=True) for left in remains]
    rests = rests_of(told, "R-1")
    assert len(rests) == len(told)
    ground = ground_of(outline.ring, outline.cutouts)
    case = SimpleNamespace(remains=[Remains("R-1", ground, tuple(map(region_of, cuts)), rests)], uncut=())
    questions = (leaving.left_inside, leaving.left_apart, leaving.left_complete, leaving.left_whole)
    return [str(fault) for question in questions for fault in question(case)]


def test_a_tip_keeps_its_sharp_end_where_the_remains_had_to_be_parted() -> None:
    """Both ends of a piece are cut along its lower edge; beside the cut a tip of 5 degrees is left, which was told 0.1 mm too
    short: that was a plan withheld. The other one ends where the cut comes out of the piece."""
    ring = ((0.0, 0.0), (416.05755, -129.5875), (556.29687, 320.6691), (140.23931, 450.2566))
    cut = ((176.08749, 439.09048), (-0.0067, -0.00305), (416.04986, -129.59024), (515.64724, 333.32939))
    tip, other = remainders(Outline(ring), [cut])
    assert (416.05755, -129.5875) in tip.ring
    assert min(math.dist((0, 0), corner) for corner in other.ring) < 0.1
    assert faults_of_what_is_left(Outline(ring), [cut]) == []


def test_a_tip_of_a_quarter_of_a_degree_keeps_its_end_too() -> None:
    """Two and a half millimetres of it are thinner than the tolerance."""
    ring = ((0.0, 0.0), (417.99428, -130.19072), (558.23627, 320.07447), (140.24199, 450.26519))
    cut = ((140.24859, 450.26818), (1.81037, -0.56214), (418.00092, -130.18753), (558.23559, 320.08075), (140.24031, 450.27147))
    (tip,) = remainders(Outline(ring), [cut])
    assert (140.24199, 450.26519) in tip.ring
    assert faults_of_what_is_left(Outline(ring), [cut]) == []


def test_a_speck_that_a_cut_leaves_in_a_corner_is_told_to_nobody() -> None:
    """0.2 x 0.04 mm, beside the acute corner of the piece: it was told as a leftover of 0.005 square millimetres."""
    ring = ((575.7902475, 168.7174883), (576.4194926, -166.5550015), (595.6853551, -71.8258849))
    cut = (
        (595.6858263, -71.8258832),
        (575.7907807, 168.7177466),
        (576.4196512, -166.3152458),
        (576.4196584, -166.3160061),
        (576.4618559, -166.3424627),
    )
    assert remainders(Outline(ring), [cut]) == ()
    assert faults_of_what_is_left(Outline(ring), [cut]) == []


def notched(notches: int) -> Ring:
    """A cut of all of a piece of 800 x 200 but for notches of 0.2 x 0.2 mm in its upper edge, each with 0.8 mm of edge."""
    corners = ((0, 200.0), (0, 199.8), (0.2, 199.8), (0.2, 200.0))
    steps = [(100.0 * number + x, y) for number in range(notches, 0, -1) for x, y in reversed(corners)]
    return ((0.0, 0.0), (800.0, 0.0), (800.0, 200.0), *steps, (0.0, 200.0))


def test_specks_are_told_once_they_have_more_than_two_millimetres_of_edge_together() -> None:
    """Of three two are left out. The proof misses none but so few."""
    piece = rectangle(800, 200)
    assert [left.usable_area_mm2 for left in remainders(piece, [notched(3)])] == [pytest.approx(0.04)]
    assert faults_of_what_is_left(piece, [notched(3)]) == []
    assert faults_of_what_is_left(piece, [notched(7)]) == []
    assert len(faults_of_what_is_told(piece, [notched(7)], [])) == 1


def a_cut_to_its_edges(dice: random.Random) -> tuple[Outline, Ring]:
    """A piece of a few corners, and a cut along its own edges, from corner to corner or not; all but for some micrometres."""
    if dice.random() < 0.5:
        steps = sorted(dice.uniform(0, math.tau) for _ in range(dice.choice((3, 4, 5))))
        ring: Ring = tuple((600 * math.cos(step), 600 * math.sin(step)) for step in steps)
    else:
        ring = star(dice, dice.randint(5, 9), 600)
    cut = shapely.Polygon(ring)
    for _ in range(dice.randint(1, 3)):
        corners = cut.exterior.coords[:-1]
        x, y = dice.choice(corners)
        to_x, to_y = dice.choice((dice.choice(corners), (dice.uniform(-600, 600), dice.uniform(-600, 600))))
        turn = math.degrees(math.atan2(to_x - x, to_y - y))
        half = [(px + x, py + y) for px, py in turned_ring(box(0, -3000, 3000, 6000), turn)]
        parts = [part for part in shapely.get_parts(cut.intersection(shapely.Polygon(half))) if part.area > 2000]
        cut = max((part for part in parts if isinstance(part, shapely.Polygon)), key=lambda part: part.area, default=cut)
    off = dice.choice((0.001, 0.003, 0.005, 0.0069))
    points = shapely.orient_polygons(cut).exterior.coords[:-1]
    return Outline(ring), tuple((px + dice.uniform(-off, off), py + dice.uniform(-off, off)) for px, py in points)


def test_what_a_cut_along_the_edges_leaves_stands_the_proof() -> None:
    for seed in range(share(3000)):
        outline, cut = a_cut_to_its_edges(random.Random(seed))
        if outline.usable.is_valid and shapely.Polygon(cut).is_valid and area_mm2(outline.ring) > 0:
            assert faults_of_what_is_left(outline, [cut]) == [], seed


def a_rectangle_cut_along_its_sides(dice: random.Random) -> tuple[Outline, Ring]:
    """A rectangle that lies askew, and a smaller one cut from its corner, a few hundredths or less off its sides."""
    width, length, turn = dice.uniform(200, 900), dice.uniform(200, 900), dice.choice((45.0, 17.3, dice.uniform(0, 360)))
    left, low, right, top = (dice.choice((0.0, 0.0025, -0.0025, dice.uniform(-0.005, 0.02))) for _ in range(4))
    across = dice.choice((dice.uniform(0.2, 0.8) * width, width + right))
    along = dice.choice((dice.uniform(0.3, 1) * length, length + top))
    cut = turned_ring(((left, low), (across, low), (across, along), (left, along)), turn)
    return Outline(turned_ring(rectangle(width, length).ring, turn)), cut


def test_strips_of_a_few_hundredths_beside_a_slanted_cut_are_told_whole() -> None:
    """Of one in forty half was not told: a corner was moved, and then another left out. Plans were withheld for it."""
    for seed in range(share(3000)):
        outline, cut = a_rectangle_cut_along_its_sides(random.Random(seed))
        assert faults_of_what_is_left(outline, [cut]) == [], seed


def test_two_parts_of_one_slanted_piece_leave_a_strip_at_its_end() -> None:
    """The lower corner's cut lies 0.015 mm inside the end of the piece: such a plan was withheld."""
    ring = ((0.0, 0.0), (701.449926937, -701.449926937), (1011.728382522, -391.171471352), (310.278455585, 310.278455585))
    low = (
        (518.296896241, -183.138888560),
        (350.716124634, -350.719660168),
        (701.437552568, -701.441088102),
        (869.018324176, -533.860316495),
    )
    high = (
        (350.717892401, -350.721427935),
        (660.999883519, -40.439436816),
        (310.278455585, 310.281991119),
        (-0.003535534, 0.0),
    )
    assert faults_of_what_is_left(Outline(ring), [low, high]) == []


def a_cut_shifted_along_its_edges(dice: random.Random) -> tuple[Outline, Ring] | None:
    """A convex piece, some of whose sides are upright or level, and the same or a part of it cut a few hundredths aside.

    None where a side of the cut lies between one and one and a half tolerances off: there the remains may be told or not.
    """
    points: list[Point] = []
    for _ in range(dice.randint(3, 9)):
        x, y = dice.uniform(0, 900), dice.uniform(0, 900)
        kind = dice.random() if points else 1.0
        points.append((x, points[-1][1]) if kind < 0.25 else (points[-1][0], y) if kind < 0.5 else (x, y))
    hull = shapely.MultiPoint(points).convex_hull
    if not isinstance(hull, shapely.Polygon) or hull.area < 20_000:
        return None
    ring = tuple((round(x, 3), round(y, 3)) for x, y in shapely.orient_polygons(hull).exterior.coords[:-1])
    piece = shapely.Polygon(ring)
    across, along = (dice.choice((0.0, 0.009, -0.009, dice.uniform(-0.05, 0.05))) for _ in range(2))
    room = piece.buffer(0.004, join_style="mitre")
    if dice.random() < 0.5:
        far = dice.uniform(180, 850)
        room = room.intersection(shapely.box(-1, -1, *dice.choice(((far, 1000), (1000, far)))))
    cut = shapely.intersection(shapely.Polygon([(x + across, y + along) for x, y in ring]), room)
    if not isinstance(cut, shapely.Polygon) or cut.area < 5000:
        return None
    told = tuple((float(x), float(y)) for x, y in shapely.orient_polygons(cut).exterior.coords[:-1])
    asked = [*told, *(((x + u) / 2, (y + v) / 2) for (x, y), (u, v) in pairwise((told[-1], *told)))]
    off = [piece.exterior.distance(shapely.Point(point)) for point in asked]
    return None if any(0.0095 < each < 0.0155 for each in off) else (Outline(ring), told)


def test_strips_beside_a_cut_shifted_by_hundredths_are_told_whole() -> None:
    """Where a level side was set on a line, the slanted side beside it lay askew: of 600 such cuts one wasn't told whole."""
    asked = 0
    for seed in range(share(1800)):
        found = a_cut_shifted_along_its_edges(random.Random(seed))
        if found is not None:
            asked += 1
            assert faults_of_what_is_left(found[0], [found[1]]) == [], seed
    assert asked > share(1800) / 4


def test_a_strip_is_told_beside_a_slanted_side_that_ends_at_a_level_one() -> None:
    """The cut lies 0.046 mm aside of the piece, its level side 0.009 mm off: such a plan of four parts was withheld."""
    ring = (
        (0.0, 0.0),
        (0.0, -32.25),
        (60.141, -196.939),
        (541.874, -550.406),
        (766.326, -594.534),
        (998.696, -594.534),
        (1014.511, 0.0),
    )
    cut = tuple((x + 0.046, y + 0.009) for x, y in ring[1:-1])
    assert faults_of_what_is_left(Outline(ring), [(*cut, (1011.971, -0.0004), (0.046, -0.0004))]) == []


def test_of_very_many_corners_each_side_is_held_against_the_edges_near_it() -> None:
    """Each side of a cut was held against every edge of the piece: with as many corners as may be it took 4 s."""

    def jagged(count: int, size: float) -> Ring:
        turns = [0.1 + math.tau * at / count for at in range(count)]
        offs = [size * (1 - at % 2 / 20) for at in range(count)]
        return tuple((off * math.cos(turn), off * math.sin(turn)) for off, turn in zip(offs, turns, strict=True))

    start = time.process_time()
    (left,) = remainders(Outline(jagged(CORNERS, 2000.0)), [jagged(CORNERS, 400.0)])
    assert time.process_time() - start < 2
    assert len(left.cutouts) == 1
