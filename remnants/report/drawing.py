"""A drawing as a frozen list of marks on paper, in millimetres of that paper: x to the right, y up, (0, 0) at the lower left.

Screen and print write the same drawing. Nothing in it speaks by colour: pens differ in weight and dash, areas in hatching.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum, StrEnum

from remnants.report.lettering import width_mm

__all__ = ["Anchor", "Area", "Box", "Dash", "Drawing", "Fill", "Lines", "Mark", "Pen", "Words", "extent", "shifted"]

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""(left, bottom, right, top), paper mm."""


class Pen(Enum):
    """Weight of a line, paper mm."""

    HAIR = 0.13
    THIN = 0.2
    PLAIN = 0.35
    THICK = 0.8


class Dash(Enum):
    """How a line is broken."""

    SOLID = None
    DASHED = (2.4, 1.2)
    DOTTED = (0.35, 1.1)
    CHAIN = (5.0, 1.0, 1.0, 1.0)

    @property
    def lengths_mm(self) -> tuple[float, ...]:
        """Lengths drawn and skipped along the line in turn, paper mm; none where it is not broken."""
        return self.value or ()


class Fill(StrEnum):
    """What covers an area."""

    NONE = "none"
    PAPER = "paper"
    INK = "ink"
    CARPET = "carpet"


class Anchor(StrEnum):
    """Which end of the words stands at their point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Lines:
    """Strokes of one pen: each a run of points (paper mm)."""

    runs: tuple[tuple[Point, ...], ...]
    pen: Pen = Pen.PLAIN
    dash: Dash = Dash.SOLID


@dataclass(frozen=True, slots=True)
class Area:
    """A closed shape of one or more rings (paper mm; a ring inside another is a hole), filled, outlined, or both.

    Of carpet, `tint` is its colour, pale, as web pages write colours; "" where it isn't known. On paper it stays white.
    """

    rings: tuple[tuple[Point, ...], ...]
    fill: Fill = Fill.NONE
    pen: Pen | None = Pen.PLAIN
    dash: Dash = Dash.SOLID
    tint: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text. `size_mm` is the height of its letters' body; `lean_deg` turns it counter-clockwise about `at`.

    `at` lies on the middle of the letters' height. `halo` clears the paper behind them.
    """

    text: str
    at: Point
    size_mm: float
    anchor: Anchor = Anchor.START
    bold: bool = False
    lean_deg: float = 0.0
    halo: bool = False

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The four corners of the room that the words take (paper mm)."""
        width, half = width_mm(self.text, self.size_mm, bold=self.bold), self.size_mm * 0.6
        start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[self.anchor]
        cos, sin = math.cos(math.radians(self.lean_deg)), math.sin(math.radians(self.lean_deg))
        flat = ((start, -half), (start + width, -half), (start + width, half), (start, half))
        a, b, c, d = ((self.at[0] + x * cos - y * sin, self.at[1] + x * sin + y * cos) for x, y in flat)
        return a, b, c, d

    @property
    def box(self) -> Box:
        """The upright box round the words (paper mm)."""
        return box_of(self.corners)


Mark = Lines | Area | Words


@dataclass(frozen=True)
class Drawing:
    """A finished picture `width_mm` by `height_mm` on paper. One paper mm stands for `scale` mm of carpet.

    `key` explains its numbers and signs, a line each; a tab stands after what is explained. `title` and `told` (what it shows,
    in sentences) serve readers who can't see it.
    """

    name: str
    title: str
    told: str
    width_mm: float
    height_mm: float
    scale: float
    marks: tuple[Mark, ...]
    key: tuple[str, ...] = ()


def box_of(points: Iterable[Point]) -> Box:
    """The upright box round the points (paper mm)."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def points_of(mark: Mark) -> tuple[Point, ...]:
    """Every point that bounds a mark (paper mm)."""
    match mark:
        case Lines():
            return tuple(point for run in mark.runs for point in run)
        case Area():
            return tuple(point for ring in mark.rings for point in ring)
        case Words():
            return mark.corners


def extent(marks: Iterable[Mark]) -> Box:
    """The upright box round all the marks (paper mm)."""
    return box_of(point for mark in marks for point in points_of(mark))


def shifted(mark: Mark, dx: float, dy: float) -> Mark:
    """The mark moved by (dx, dy) paper mm."""
    match mark:
        case Lines():
            return replace(mark, runs=tuple(_moved(run, dx, dy) for run in mark.runs))
        case Area():
            return replace(mark, rings=tuple(_moved(ring, dx, dy) for ring in mark.rings))
        case Words():
            return replace(mark, at=(mark.at[0] + dx, mark.at[1] + dy))


def _moved(points: tuple[Point, ...], dx: float, dy: float) -> tuple[Point, ...]:
    return tuple((x + dx, y + dy) for x, y in points)
