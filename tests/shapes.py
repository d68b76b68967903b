"""Every kind of outline that we claim to handle, by name (mm): every geometry function is run over all of them."""

import math

from remnants.geometry.outline import Outline, Point, outline_of, rectangle

__all__ = ["SHAPES", "SLANTED", "SQUARE_CUT"]

RECTANGLE_CUTOUT = ((300.0, 500.0), (450.0, 500.0), (450.0, 620.0), (300.0, 620.0))


def _regular(corners: int, radius_mm: float, centre: Point) -> list[Point]:
    steps = [2 * math.pi * (index + 0.5) / corners for index in range(corners)]
    return [(centre[0] + radius_mm * math.cos(step), centre[1] + radius_mm * math.sin(step)) for step in steps]


SQUARE_CUT: dict[str, Outline] = {
    "rectangle": rectangle(1000, 1600),
    "L": outline_of([(0, 0), (1200, 0), (1200, 500), (400, 500), (400, 1500), (0, 1500)]),
    "U": outline_of([(0, 0), (1500, 0), (1500, 1200), (1100, 1200), (1100, 300), (450, 300), (450, 1000), (0, 1000)]),
    "notch": outline_of([(0, 0), (1000, 0), (1000, 800), (700, 800), (700, 650), (550, 650), (550, 800), (0, 800)]),
    "hole": outline_of([(0, 0), (1000, 0), (1000, 1600), (0, 1600)], [RECTANGLE_CUTOUT]),
    "two overlapping cutouts": outline_of(
        [(0, 0), (1000, 0), (1000, 1600), (0, 1600)], [RECTANGLE_CUTOUT, [(400, 560), (700, 560), (700, 900), (400, 900)]]
    ),
    "cutout over the edge": outline_of(
        [(0, 0), (900, 0), (900, 900), (0, 900)], [[(800, 300), (1000, 300), (1000, 500), (800, 500)]]
    ),
    "sliver": rectangle(2400, 12),
    "touching pair": outline_of(
        [(0, 0), (800, 0), (800, 800), (0, 800)],
        [[(0, 0), (400, 0), (400, 400), (0, 400)], [(400, 400), (800, 400), (800, 800), (400, 800)]],
    ),
    "cross": outline_of(
        [
            *[(400, 0), (800, 0), (800, 500), (1300, 500), (1300, 900), (800, 900)],
            *[(800, 1400), (400, 1400), (400, 900), (0, 900), (0, 500), (400, 500)],
        ]
    ),
}
"""Outlines whose every edge runs along an axis."""

SLANTED: dict[str, Outline] = {
    "triangle": outline_of([(0, 0), (1200, 0), (300, 900)]),
    "12-gon": outline_of(_regular(12, 600, (600, 600))),
    "slanted L": outline_of([(0, 0), (1000, 100), (950, 600), (430, 520), (400, 1300), (50, 1350)]),
    "round hole": outline_of([(0, 0), (1100, 0), (1100, 1300), (0, 1300)], [_regular(16, 160, (520, 700))]),
    "turned rectangle": outline_of([(0, 0), (800, 600), (500, 1000), (-300, 400)]),
}
"""Outlines with edges in other directions."""

SHAPES: dict[str, Outline] = {**SQUARE_CUT, **SLANTED}
