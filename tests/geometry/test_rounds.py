"""A circle is known by its ring, wherever it lies and however it is turned; nothing else is taken for one."""

import math

import pytest

from remnants.geometry.grow import grown
from remnants.geometry.outline import outline_of, rectangle, round_outline
from remnants.geometry.rounds import circle_of
from remnants.geometry.turn import moved_ring, turned_ring


@pytest.mark.parametrize("radius", [20.0, 177.8, 1500.0])
@pytest.mark.parametrize("turn", [0.0, 37.0, 90.0])
def test_the_string_reaches_as_far_as_was_asked(radius: float, turn: float) -> None:
    ring = moved_ring(turned_ring(round_outline((3.0, 4.0), radius, outside=True).ring, turn), (100.0, 50.0))
    circle = circle_of(ring)
    assert circle is not None
    assert circle.radius_mm == pytest.approx(radius, abs=1e-6)
    assert math.dist(circle.centre, moved_ring(turned_ring(((3.0, 4.0),), turn), (100.0, 50.0))[0]) < 1e-6


def test_an_allowance_makes_the_string_longer_by_itself() -> None:
    ring = round_outline((0.0, 0.0), 177.8, outside=True).ring
    circle = circle_of(grown(ring, [25.4] * len(ring)))
    assert circle is not None
    assert circle.radius_mm == pytest.approx(203.2, abs=1e-3)  # 7 in and 1 in of allowance: 8 in


def test_what_is_not_round_is_no_circle() -> None:
    circle = round_outline((0.0, 0.0), 200.0, outside=True).ring
    assert circle_of(rectangle(100.0, 100.0).ring) is None
    assert circle_of(tuple((x * 1.01, y) for x, y in circle)) is None
    assert circle_of(tuple(point for point in circle if point[1] < 100)) is None
    assert circle_of(grown(circle, [25.4] * (len(circle) - 4) + [76.2] * 4)) is None
    steps = [(300 + 9 * (index % 2), index * math.tau / 40) for index in range(40)]
    waves = [(reach * math.cos(step), reach * math.sin(step)) for reach, step in steps]
    assert circle_of(outline_of(waves).ring) is None
