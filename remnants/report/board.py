"""The drawing board: carpet laid out to scale on paper, with the room that is already written on."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from remnants.geometry.outline import Point, Ring
from remnants.geometry.tolerances import WHOLE
from remnants.report.drawing import Anchor, Box, Drawing, Lines, Mark, Pen, Words, extent, shifted
from remnants.report.lettering import width_mm, wrapped
from remnants.report.scan import box_in_ring

__all__ = ["SMALL_MM", "TITLE_MM", "Board", "Frame", "Heading", "Paper", "frame_of"]

SMALL_MM = 3.0
TINY_MM = 2.2
TITLE_MM = 4.6
LEADING = 1.5
KEY_GAP_MM = 4.0
HEADING_GAP_MM = 4.0

_METRIC_SCALES = (1.0, 2.0, 2.5, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0, 150.0, 200.0, 500.0, 1000.0)
_FEET_SCALES = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0, 96.0, 128.0, 192.0, 384.0, 1152.0)


@dataclass(frozen=True, slots=True)
class Paper:
    """The room that a drawing may take: its whole width, and the tallest that the carpet itself may be drawn (mm).

    `margin_mm` is kept clear all round. With `keyed` the key stands under the drawing, with `headed` the heading above it;
    else they are only told beside it. `slim` is for a phone's screen and a bench card: the carpet takes the width, drawn at
    whatever scale fills it, and the pile arrow stands in the corner under its figures.
    """

    width_mm: float = 240.0
    tallest_mm: float = 170.0
    margin_mm: float = 6.0
    keyed: bool = True
    headed: bool = True
    slim: bool = False


@dataclass(frozen=True, slots=True)
class Frame:
    """Carpet to paper: `origin` (carpet mm) is drawn at (0, 0), one paper mm stands for `scale` carpet mm.

    With `mirrored` the carpet is seen from its back: what lay at the left is drawn at the right.
    """

    origin: Point
    scale: float
    width_mm: float
    height_mm: float
    mirrored: bool = False

    def at(self, point: Point) -> Point:
        """Where a carpet point (mm) is drawn (paper mm)."""
        x, y = (point[0] - self.origin[0]) / self.scale, (point[1] - self.origin[1]) / self.scale
        return self.width_mm - x if self.mirrored else x, y

    def bearing(self, bearing_deg: float) -> float:
        """Where a bearing of the carpet points on the paper (degrees clockwise from up)."""
        return -bearing_deg % 360.0 if self.mirrored else bearing_deg

    def ring(self, ring: Sequence[Point]) -> Ring:
        """A carpet ring (mm) as drawn (paper mm)."""
        return tuple(self.at(point) for point in ring)


def frame_of(box: Box, room: Point, *, feet: bool, slim: bool = False) -> Frame:
    """The largest usual drawing scale at which the carpet `box` (mm) goes into `room` (width and height, paper mm).

    Scales are those of a scale rule: 1 in to 1 ft (1:12) and its kin in feet, 1:10 and its kin in metric. With `slim`, where
    nobody lays a rule to the drawing, the largest of all.
    """
    width, height = box[2] - box[0], box[3] - box[1]
    needed = max(width / room[0], height / room[1])
    scales = () if slim else _FEET_SCALES if feet else _METRIC_SCALES
    scale = next((scale for scale in scales if scale >= needed * (1 - WHOLE)), math.ceil(needed))
    return Frame((box[0], box[1]), scale, width / scale, height / scale)


@dataclass
class Board:
    """Working state of one drawing: marks made so far, and the boxes that words already fill. Paper mm, carpet at (0, 0)."""

    frame: Frame
    marks: list[Mark] = field(default_factory=list)
    written: list[Box] = field(default_factory=list)
    slim: bool = False

    def add(self, *marks: Mark) -> None:
        """Draw marks as they are."""
        self.marks.extend(marks)

    def lines(self, runs: Iterable[Sequence[Point]], pen: Pen = Pen.THIN) -> None:
        """Draw runs of points (paper mm) in one pen."""
        kept = tuple(tuple(run) for run in runs)
        if kept:
            self.marks.append(Lines(kept, pen))

    def write(self, words: Words) -> None:
        """Write words and keep their room."""
        self.marks.append(words)
        self.written.append(words.box)

    def keep(self, box: Box) -> None:
        """Keep a box (paper mm) clear of words."""
        self.written.append(box)

    def free(self, box: Box) -> bool:
        """True when no words stand in the box (paper mm)."""
        return not any(_overlap(box, other) for other in self.written)

    def write_first(self, choices: Iterable[Words]) -> bool:
        """Write the first choice whose room is free; False when none is."""
        for words in choices:
            if self.free(words.box):
                self.write(words)
                return True
        return False

    def write_inside(self, text: str, at: Point, ring: Sequence[Point]) -> bool:
        """Write a small bold text about `at` where it stays inside `ring` and stands free (paper mm)."""
        words = Words(text, at, TINY_MM, Anchor.MIDDLE, bold=True, halo=True)
        if not (self.free(words.box) and box_in_ring(words.box, ring)):
            return False
        self.write(words)
        return True

    def write_block(self, lines: Sequence[str], near: Box, ring: Sequence[Point]) -> bool:
        """Write lines of text below, above or beside the box `near`, where they stay inside `ring` and stand free (paper mm)."""
        width, height = max(width_mm(line, SMALL_MM) for line in lines), len(lines) * SMALL_MM * LEADING
        for x, y in _beside(near, width + 1.5, height):
            box = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if self.free(box) and box_in_ring(box, ring):
                for index, line in enumerate(lines):
                    at = (x, y + height / 2 - (index + 0.5) * SMALL_MM * LEADING)
                    self.marks.append(Words(line, at, SMALL_MM, Anchor.MIDDLE, halo=True))
                self.keep(box)
                return True
        return False

    def finish(self, name: str, heading: "Heading", *, key: Sequence[str], paper: Paper) -> Drawing:
        """The drawing: the heading above, the key below, all moved inside the paper's margins."""
        room = paper.width_mm - 2 * paper.margin_mm
        left, bottom, right, top = extent(self.marks)
        above = tuple(_heading_rows(heading, room)) if paper.headed else ()
        below = tuple(_key_rows(key if paper.keyed else (), room))
        below_mm = sum(height for _, height in below) + (KEY_GAP_MM if below else 0.0)
        above_mm = sum(height for _, height in above) + (HEADING_GAP_MM if above else 0.0)
        # Narrow carpet stays near its heading at the left; a lone sliver in the middle of a wide sheet looks lost.
        dx = paper.margin_mm - left + max(0.0, min((room - (right - left)) / 2, 24.0))
        dy = paper.margin_mm + below_mm - bottom
        height_mm = top + dy + above_mm + paper.margin_mm
        marks = [shifted(mark, dx, dy) for mark in self.marks]
        marks += _set(above, paper.margin_mm, height_mm - paper.margin_mm)
        marks += _set(below, paper.margin_mm, paper.margin_mm + below_mm - KEY_GAP_MM)
        wide_mm = max(paper.width_mm, right - left + 2 * paper.margin_mm) if paper.slim else paper.width_mm
        return Drawing(name, heading.title, heading.told, wide_mm, height_mm, self.frame.scale, tuple(marks), tuple(key))


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands above a drawing: its title, lines under it, and the telling for readers who can't see it."""

    title: str
    under: tuple[str, ...]
    told: str


Row = tuple[tuple[Words, ...], float]
"""Words of one line, placed about its middle, and the line's height (paper mm)."""


def _heading_rows(heading: Heading, room_mm: float) -> Iterable[Row]:
    for line in wrapped(heading.title, TITLE_MM, room_mm, bold=True):
        yield (Words(line, (0.0, 0.0), TITLE_MM, bold=True),), TITLE_MM * LEADING
    for text in heading.under:
        for line in wrapped(text, SMALL_MM, room_mm):
            yield (Words(line, (0.0, 0.0), SMALL_MM),), SMALL_MM * LEADING


def _key_rows(key: Sequence[str], room_mm: float) -> Iterable[Row]:
    """What stands before a tab is set off in bold, and wrapped lines hang under what comes after it."""
    heads = [text.partition("\t")[0] for text in key if "\t" in text]
    hang = max((width_mm(head, SMALL_MM, bold=True) for head in heads), default=0.0) + (2.5 if heads else 0.0)
    for text in key:
        head, tab, rest = text.partition("\t")
        for index, line in enumerate(wrapped(rest if tab else head, SMALL_MM, room_mm - hang)):
            words = [Words(line, (hang if tab else 0.0, 0.0), SMALL_MM)]
            if tab and index == 0:
                words.insert(0, Words(head, (0.0, 0.0), SMALL_MM, bold=True))
            yield tuple(words), SMALL_MM * LEADING


def _set(rows: Iterable[Row], left_mm: float, top_mm: float) -> Iterable[Mark]:
    y = top_mm
    for words, height in rows:
        for line in words:
            yield shifted(line, left_mm, y - height / 2)
        y -= height


def _beside(near: Box, width: float, height: float) -> Iterable[Point]:
    x, y = (near[0] + near[2]) / 2, (near[1] + near[3]) / 2
    yield x, near[1] - height / 2
    yield x, near[3] + height / 2
    yield near[2] + width / 2, y
    yield near[0] - width / 2, y


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
