"""The order of the knife: every stroke could be made with a blade, every shape comes free, and it guillotines where it can."""

from collections.abc import Sequence

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.ops import substring

from remnants.geometry.knife import KNIFE_MM, Stroke, strokes
from remnants.geometry.outline import Point, Ring, rectangle
from remnants.geometry.remainders import remainders
from tests.thorough import share

SHEET = rectangle(1000.0, 600.0)


def box(left: float, bottom: float, right: float, top: float) -> Ring:
    return rectangle(right - left, top - bottom, (left, bottom)).ring


def lines(made: Sequence[Stroke]) -> list[tuple[Point, Point]]:
    return [tuple((round(x, 3), round(y, 3)) for x, y in stroke.line) for stroke in made]  # type: ignore[misc]


def left_over(cut: Sequence[Ring]) -> tuple[tuple[Ring, ...], ...]:
    """What the cuts leave of the sheet, kept whole."""
    return tuple((rest.ring, *rest.cutouts) for rest in remainders(SHEET, cut))


def proved(sheet: Ring, shapes: Sequence[Ring], kept: Sequence[Sequence[Ring]]) -> tuple[Stroke, ...]:
    """The strokes, after a knife made of other geometry has cut along them one by one."""
    made = strokes(sheet, tuple(shapes), tuple(tuple(rings) for rings in kept))
    whole = [shapely.Polygon(ring).buffer(-2 * KNIFE_MM) for ring in shapes]
    whole += [shapely.Polygon(rings[0], rings[1:]).buffer(-2 * KNIFE_MM) for rings in kept]
    bench = shapely.Polygon(sheet)
    edges = bench.exterior
    done: list[shapely.LineString] = []
    for stroke in made:
        line = shapely.LineString(stroke.line)
        assert not any(line.intersects(region) for region in whole), "through what stays whole"
        assert bench.buffer(KNIFE_MM).covers(line), "through the air"
        for earlier in done:
            assert not line.crosses(substring(earlier, KNIFE_MM, earlier.length - KNIFE_MM)), "over what is cut already"
            assert line.intersection(earlier).length <= 2 * KNIFE_MM, "along what is cut already"
        for at, free in zip(stroke.line, (stroke.starts, stroke.ends), strict=True):
            assert free == (edges.distance(shapely.Point(at)) <= 2 * KNIFE_MM), "the edge that it tells of"
        edges = edges.union(line)
        done.append(line)
    apart = bench.difference(shapely.union_all([shapely.LineString(stroke.line).buffer(2 * KNIFE_MM) for stroke in made]))
    pieces = [piece for piece in shapely.get_parts(apart) if not piece.buffer(-KNIFE_MM).is_empty]
    for ring in shapes:
        own = shapely.Polygon(ring)
        (mine,) = [piece for piece in pieces if piece.representative_point().within(own)]
        assert own.buffer(2 * KNIFE_MM).covers(mine), "it still hangs on to something"
    assert sorted(place for stroke in made for place in stroke.frees) == sorted(
        place for place, ring in enumerate(shapes) if not _at_the_edge(sheet, ring)
    )
    return made


def _at_the_edge(sheet: Ring, ring: Ring) -> bool:
    return bool(shapely.Polygon(sheet).exterior.buffer(KNIFE_MM).covers(shapely.LinearRing(ring)))


def test_a_shape_at_a_corner_of_waste_is_cut_from_edge_to_edge() -> None:
    made = proved(SHEET.ring, [box(0, 0, 400, 300)], [])
    assert lines(made) == [((0, 300), (1000, 300)), ((400, 0), (400, 300))]
    assert all(stroke.through for stroke in made)


def test_what_is_worth_keeping_is_not_cut_into_and_the_knife_stops_at_the_corner() -> None:
    cut = [box(0, 0, 400, 300)]
    made = proved(SHEET.ring, cut, left_over(cut))
    assert lines(made) == [((0, 300), (400, 300)), ((400, 0), (400, 300))]
    assert [(stroke.starts, stroke.ends) for stroke in made] == [(True, False), (True, True)]
    assert [stroke.frees for stroke in made] == [(), (0,)]


def test_three_in_a_row_share_one_long_stroke_and_then_fall_apart_one_by_one() -> None:
    cut = [box(0, 0, 300, 200), box(300, 0, 500, 200), box(500, 0, 900, 200)]
    made = proved(SHEET.ring, cut, left_over(cut))
    assert lines(made)[0] == ((0, 200), (900, 200))
    assert len(made) == 4


def test_a_shape_in_the_middle_of_what_is_kept_is_cut_out_all_round() -> None:
    cut = [box(300, 200, 500, 400)]
    made = proved(SHEET.ring, cut, left_over(cut))
    assert len(made) == 4
    assert not made[0].starts and not made[0].ends


def test_a_pinwheel_can_not_be_cut_from_edge_to_edge_and_still_comes_apart() -> None:
    sheet = rectangle(300.0, 300.0).ring
    arms = [box(0, 0, 200, 100), box(200, 0, 300, 200), box(100, 200, 300, 300), box(0, 100, 100, 300), box(100, 100, 200, 200)]
    made = proved(sheet, arms, [])
    assert len(made) == 4
    assert not made[0].through


def test_the_notch_of_an_l_stops_at_its_inner_corner() -> None:
    shape = ((0.0, 0.0), (500.0, 0.0), (500.0, 200.0), (200.0, 200.0), (200.0, 400.0), (0.0, 400.0))
    made = proved(SHEET.ring, [shape], [])
    inner = [stroke for stroke in made if (200, 200) in lines([stroke])[0]]
    assert len(inner) == 2
    assert all(stroke.starts for stroke in made)


def test_a_slanted_side_is_cut_along_itself() -> None:
    made = proved(SHEET.ring, [((0.0, 0.0), (600.0, 0.0), (300.0, 500.0), (0.0, 500.0))], [])
    assert any(abs(a[0] - b[0]) > 1 and abs(a[1] - b[1]) > 1 for a, b in lines(made))


def test_a_shape_that_is_the_whole_sheet_needs_no_knife() -> None:
    assert strokes(SHEET.ring, (SHEET.ring,)) == ()


def test_tape_dust_makes_no_strokes() -> None:
    dust = 1e-7
    cut = [box(dust, 0, 400, 300 - dust), box(400 + dust, 0, 800, 300)]
    made = proved(SHEET.ring, cut, [])
    assert len(made) == 3


def halved(data: st.DataObject, ring: tuple[float, float, float, float], depth: int) -> list[tuple[float, float, float, float]]:
    """A box cut from edge to edge again and again."""
    left, bottom, right, top = ring
    across = data.draw(st.booleans())
    room = (right - left) if across else (top - bottom)
    if depth == 0 or room < 40:
        return [ring]
    at = data.draw(st.integers(10, int(room) - 10))
    one, two = (
        ((left, bottom, left + at, top), (left + at, bottom, right, top))
        if across
        else ((left, bottom, right, bottom + at), (left, bottom + at, right, top))
    )
    return [*halved(data, one, depth - 1), *halved(data, two, depth - 1)]


@settings(max_examples=share(180), deadline=None)
@given(data=st.data())
def test_what_was_made_from_edge_to_edge_is_cut_from_edge_to_edge(data: st.DataObject) -> None:
    found = halved(data, (0.0, 0.0, 1000.0, 600.0), data.draw(st.integers(1, 4)))
    made = proved(SHEET.ring, [box(*each) for each in found], [])
    assert all(stroke.through for stroke in made)


@settings(max_examples=share(120), deadline=None)
@given(data=st.data())
def test_any_plan_comes_apart_and_a_stroke_stops_only_where_none_goes_through(data: st.DataObject) -> None:
    wanted: list[Ring] = []
    for _ in range(data.draw(st.integers(1, 7))):
        left, bottom = data.draw(st.integers(0, 90)) * 10.0, data.draw(st.integers(0, 50)) * 10.0
        ring = box(
            left,
            bottom,
            min(1000.0, left + data.draw(st.integers(4, 50)) * 10),
            min(600.0, bottom + data.draw(st.integers(4, 30)) * 10),
        )
        if all(shapely.Polygon(ring).intersection(shapely.Polygon(other)).area < 1 for other in wanted):
            wanted.append(ring)
    rests = left_over(wanted)
    kept = [rest for rest in rests if data.draw(st.booleans())]
    made = proved(SHEET.ring, wanted, kept)
    done: list[Stroke] = []
    for stroke in made:
        if not stroke.through:
            assert not _goes_through(wanted, kept, done), stroke
        done.append(stroke)


def _goes_through(shapes: Sequence[Ring], kept: Sequence[Sequence[Ring]], done: Sequence[Stroke]) -> bool:
    """By trying each side that is still uncut: does its line run through the sheet in hand from edge to edge?

    Not where it would end at a stroke that comes up to it from one side, and going on past that cuts more in the same stroke.
    """
    sheet = shapely.Polygon(SHEET.ring)
    whole = shapely.union_all(
        [*(shapely.Polygon(ring).buffer(-0.1) for ring in shapes), *(shapely.Polygon(r[0], r[1:]).buffer(-0.1) for r in kept)]
    )
    cuts = [shapely.LineString(stroke.line) for stroke in done]
    edges = shapely.union_all([sheet.exterior, *cuts])
    sides = [shapely.LineString(side) for ring in shapes for side in zip(ring, (*ring[1:], ring[0]), strict=True)]
    uncut = shapely.union_all([side.difference(edges.buffer(2 * KNIFE_MM)) for side in sides])
    for side in sides:
        if side.intersection(uncut).is_empty:
            continue
        (ax, ay), (bx, by) = side.coords
        far = 2000 / side.length
        track = shapely.LineString([(ax - far * (bx - ax), ay - far * (by - ay)), (bx + far * (bx - ax), by + far * (by - ay))])
        stopping = shapely.union_all([sheet.exterior, *(cut for cut in cuts if not _comes_up_to(track, cut))])
        open_track = track.difference(shapely.union_all([stopping.buffer(0.01), whole]))
        for run in shapely.get_parts(track.intersection(sheet).difference(edges.buffer(0.01))):
            if run.intersection(side).length > 2 * KNIFE_MM and not run.intersects(whole):
                (on,) = [part for part in shapely.get_parts(open_track) if part.distance(run.centroid) < KNIFE_MM]
                if on.intersection(uncut).length <= run.intersection(uncut).length + 2 * KNIFE_MM:
                    return True
    return False


def _comes_up_to(track: shapely.LineString, cut: shapely.LineString) -> bool:
    near, far = sorted(track.distance(shapely.Point(end)) for end in cut.coords)
    return bool(near <= KNIFE_MM < far)


def test_a_stroke_goes_on_past_one_that_comes_up_to_it_where_it_cuts_the_next_side_too() -> None:
    """Tops of two cuts in one line, between them a stroke from below: one stroke along both, though it stops at the corner."""
    cuts = [box(560, 0, 600, 50), box(60, 0, 560, 50)]
    made = proved(SHEET.ring, cuts, left_over(cuts))
    assert ((60, 50), (600, 50)) in lines(made)
    assert len(made) == 4
    assert all(stroke.through or not _goes_through(cuts, left_over(cuts), made[:at]) for at, stroke in enumerate(made))
