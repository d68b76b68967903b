"""Every kind of outline that we claim to handle, by name (mm): every geometry function is run over all of them.

Beside them odd outlines by chance.
"""

import math
import random

from remnants.geometry.outline import Outline, Point, outline_of, rectangle

__all__ = ["SHAPES", "SLANTED", "SQUARE_CUT", "odd_outline"]

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


def odd_outline(dice: random.Random, width: float, length: float) -> Outline:
    """An L, a piece with cutouts, or one of 7 to 14 corners, within `width` by `length` (mm)."""
    form = dice.randrange(3)
    if form == 0:
        x, y = width * dice.uniform(0.3, 0.8), length * dice.uniform(0.3, 0.8)
        return Outline(((0, 0), (width, 0), (width, y), (x, y), (x, length), (0, length)))
    if form == 1:
        holes = []
        for number in range(dice.randint(1, 2)):
            left, bottom = width * (0.1 + 0.45 * number), length * dice.uniform(0.1, 0.7)
            right, top = left + width * 0.2, bottom + length * 0.15
            holes.append(((left, bottom), (right, bottom), (right, top), (left, top)))
        return Outline(rectangle(width, length).ring, tuple(holes))
    corners = dice.randint(7, 14)
    ring = [
        (
            width / 2 * (1 + dice.uniform(0.6, 1) * math.cos(2 * math.pi * corner / corners)),
            length / 2 * (1 + dice.uniform(0.6, 1) * math.sin(2 * math.pi * corner / corners)),
        )
        for corner in range(corners)
    ]
    return Outline(tuple(ring))
