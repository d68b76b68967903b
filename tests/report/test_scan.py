"""Level lines across rings, against a general polygon library."""

import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from remnants.report.scan import MOST_LINES, box_in_ring, hatching, inner_point, spans
from tests.shapes import SHAPES


@pytest.mark.parametrize("name", SHAPES)
def test_an_inner_point_lies_inside(name: str) -> None:
    ring = SHAPES[name].ring
    assert Polygon(ring).contains(Point(inner_point(ring)))


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("angle", [0.0, 45.0, -30.0])
def test_hatching_stays_inside_and_covers_the_shape(name: str, angle: float) -> None:
    ring = SHAPES[name].ring
    polygon = Polygon(ring)
    spacing = 5.0
    lines = [LineString(line) for line in hatching([ring], spacing, angle)]
    assert all(polygon.buffer(1e-6).covers(line) for line in lines)
    # Lines a spacing apart make up the area, but for what they miss at the slanted ends.
    assert sum(line.length for line in lines) * spacing == pytest.approx(polygon.area, rel=0.03, abs=spacing * polygon.length)


def test_a_ring_inside_another_is_a_hole() -> None:
    outer, inner = [(0, 0), (10, 0), (10, 10), (0, 10)], [(3, 3), (7, 3), (7, 7), (3, 7)]
    assert spans([outer, inner], 5) == ((0, 3), (7, 10))
    assert spans([outer, inner], 2) == ((0, 10),)


@pytest.mark.parametrize("name", SHAPES)
def test_a_box_counts_as_inside_only_when_all_of_it_is(name: str) -> None:
    ring = SHAPES[name].ring
    polygon = Polygon(ring)
    left, bottom, right, top = polygon.bounds
    for i in range(12):
        for j in range(12):
            x, y = left + (right - left) * i / 12 + 0.37, bottom + (top - bottom) * j / 12 + 0.41
            box = (x, y, x + (right - left) / 7, y + (top - bottom) / 9)
            assert box_in_ring(box, ring) == polygon.covers(shapely.box(*box)), box


@pytest.mark.parametrize("size_mm", [10.0, 1e4, 1e9])
def test_a_hatching_has_no_more_lines_than_paper_takes_whatever_the_size(size_mm: float) -> None:
    ring = ((0.0, 0.0), (size_mm, 0.0), (size_mm, size_mm), (0.0, size_mm))
    assert len(hatching([ring], 2.0, 0.0)) == min(size_mm / 2, MOST_LINES) - 1
