"""The signs of the drawings: numbered dots, pile arrow, seam and edge lines, overall dimensions. All in paper millimetres."""

import math
from collections.abc import Iterable, Sequence

from remnants.geometry.tolerances import DUST_MM
from remnants.model import Finish
from remnants.report.board import SMALL_MM, Board
from remnants.report.drawing import Anchor, Area, Box, Dash, Fill, Lines, Mark, Pen, Words
from remnants.report.lettering import width_mm
from remnants.report.scan import box_in_ring

__all__ = [
    "DOT_MM",
    "across",
    "disc",
    "dot_box",
    "edge",
    "edge_words",
    "numbered",
    "overall",
    "part_arrow",
    "pile_arrow",
    "pointed",
    "seam",
    "side_sign",
    "upright_deg",
]

Point = tuple[float, float]

DOT_MM = 2.6
ARROW_MM = 2.4


def disc(centre: Point, radius: float) -> tuple[Point, ...]:
    """The corners of a round shape."""
    steps = (math.tau * index / 24 for index in range(24))
    return tuple((centre[0] + radius * math.cos(step), centre[1] + radius * math.sin(step)) for step in steps)


def numbered(board: Board, text: str, at: Point, *, square: bool = False) -> None:
    """A number (or, in a square, a letter) in a ring on clear paper; its room is kept."""
    half = max(DOT_MM, width_mm(text, SMALL_MM, bold=True) / 2 + 0.9)
    x, y = at
    ring = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)) if square else disc(at, half)
    board.add(Area((ring,), Fill.PAPER, Pen.PLAIN))
    board.add(Words(text, at, SMALL_MM, Anchor.MIDDLE, bold=True))
    board.keep(dot_box(text, at))


def dot_box(text: str, at: Point) -> Box:
    """The room that `numbered` takes."""
    half = max(DOT_MM, width_mm(text, SMALL_MM, bold=True) / 2 + 0.9) + 0.3
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half


def pointed(tip: Point, start: Point, pen: Pen = Pen.PLAIN, *, head_mm: float = ARROW_MM) -> tuple[Mark, Mark]:
    """An arrow from `start` to `tip` with a filled head."""
    bearing = math.atan2(tip[1] - start[1], tip[0] - start[0])
    back = (tip[0] - head_mm * math.cos(bearing), tip[1] - head_mm * math.sin(bearing))
    side = (head_mm * 0.3 * -math.sin(bearing), head_mm * 0.3 * math.cos(bearing))
    head = (tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1]))
    return Lines(((start, back),), pen), Area((head,), Fill.INK, None)


def pile_arrow(board: Board, centre: Point, bearing_deg: float, *, rows: bool) -> None:
    """The way the pile lays (degrees clockwise from up), and with `rows` two thin lines for the rows of tufts beside it."""
    reach = 8.0
    dx, dy = math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))
    tip, tail = _off(centre, (dx, dy), reach), _off(centre, (dx, dy), -reach)
    board.add(*pointed(tip, tail, Pen.THICK, head_mm=5.0))
    if rows:
        sides = ((-dy * 3.0, dx * 3.0), (dy * 3.0, -dx * 3.0))
        board.add(Lines(tuple((_off(tip, side, 1.0), _off(tail, side, 1.0)) for side in sides), Pen.THIN, Dash.DASHED))
    words = Words("pile" if not rows else "pile, rows", (centre[0], centre[1] - reach - 3.5), SMALL_MM, Anchor.MIDDLE)
    board.add(words)
    board.keep((centre[0] - reach - 1, centre[1] - reach - 6, centre[0] + reach + 1, centre[1] + reach + 1))


def part_arrow(board: Board, ring: Sequence[Point], bearing_deg: float) -> bool:
    """A small arrow with the pile inside a part drawn with `ring` (paper mm), where it stands free; False without room."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    left, bottom, wide, tall = min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)
    dx, dy = math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))
    for reach in PART_ARROW_MM:
        half = (abs(dx) * reach + 1.2, abs(dy) * reach + 1.2)
        for across_share, along_share in PART_PLACES:
            x, y = left + wide * across_share, bottom + tall * along_share
            box = (x - half[0], y - half[1], x + half[0], y + half[1])
            if board.free(box) and box_in_ring(box, ring):
                board.add(*pointed(_off((x, y), (dx, dy), reach), _off((x, y), (dx, dy), -reach), head_mm=reach * 0.7))
                board.keep(box)
                return True
    return False


PART_ARROW_MM = (5.0, 3.5, 2.2)
"""Half the length of an arrow in a part: the longest that has room."""

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
PART_PLACES = sorted(((x, y) for x in _SHARES for y in _SHARES), key=lambda at: math.dist(at, (0.5, 0.5)))
"""Where in a part its arrow is tried: from the middle outward."""


def edge_words(board: Board, ring: Sequence[Point], finishes: Sequence[str]) -> None:
    """What each edge of a part meets (*seam*, *wall*, …), written inside along it where there is room (paper mm)."""
    size = SMALL_MM if board.slim else EDGE_WORD_MM
    turned = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True)) < 0
    for a, b, finish in zip(ring, (*ring[1:], ring[0]), finishes, strict=True):
        length, side = math.dist(a, b), across(a, b)
        inward = side if turned else (-side[0], -side[1])
        if length < width_mm(finish, size) + 1.5:
            continue
        middles = ((a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for share in (0.5, 0.3, 0.7, 0.2, 0.8))
        words = (Words(finish, _off(at, inward, size * 0.75), size, Anchor.MIDDLE, lean_deg=upright_deg(a, b)) for at in middles)
        board.write_first(each for each in words if box_in_ring(each.box, ring))


EDGE_WORD_MM = 2.4


def edge(start: Point, end: Point, finish: Finish, outward: Point) -> Iterable[Mark]:
    """An edge of a patch by its finish: seam with stitches, wall doubled, transition a heavy broken line, free a thin line."""
    match finish:
        case Finish.SEAM:
            yield from seam(start, end, Pen.PLAIN)
        case Finish.WALL:
            yield Lines(((start, end),), Pen.PLAIN)
            yield Lines(((_off(start, outward, 1.2), _off(end, outward, 1.2)),), Pen.THICK)
        case Finish.TRANSITION:
            yield Lines(((start, end),), Pen.THIN)
            yield Lines(((_off(start, outward, 1.0), _off(end, outward, 1.0)),), Pen.THICK, Dash.DASHED)
        case Finish.FREE:
            yield Lines(((start, end),), Pen.THIN)


def seam(start: Point, end: Point, pen: Pen = Pen.THICK) -> Iterable[Mark]:
    """A seam: a line with short stitches across it."""
    length = math.dist(start, end)
    if length < DUST_MM:
        return
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    side = (-along[1], along[0])
    reach = 1.4 if pen is Pen.THICK else 0.9
    count = max(1, int(length / 3.0))
    places = [_off(start, along, length * (index + 0.5) / count) for index in range(count)]
    yield Lines(((start, end),), pen)
    yield Lines(tuple((_off(at, side, reach), _off(at, side, -reach)) for at in places), Pen.PLAIN)


def side_sign(board: Board, *, back: bool) -> None:
    """Which side lies up, above the drawing at its left: a backing with its tufts above it, or under it, and the words."""
    y = board.frame.height_mm + SIGN_OFF_MM
    tufts = [((x, y), (x + 0.5, y - SIGN_MM if back else y + SIGN_MM)) for x in (0.6, 2.2, 3.8, 5.4, 7.0)]
    board.lines([((0.0, y), (8.0, y))], Pen.THICK)
    board.lines(tufts, Pen.PLAIN)
    words = "BACK UP: mirrored" if back else "PILE UP"
    board.write(Words(words, (10.0, y + (-SIGN_MM if back else SIGN_MM) / 2), SMALL_MM, bold=True))


SIGN_OFF_MM = 12.0
SIGN_MM = 2.4


def overall(board: Board, start: Point, end: Point, text: str) -> None:
    """A dimension line from `start` to `end` with its figure on it, or beside its end where it is too short for it."""
    level = abs(end[0] - start[0]) >= abs(end[1] - start[1])
    length, room = math.dist(start, end), width_mm(text, SMALL_MM)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    board.lines([(start, end)])
    board.lines([_tick(start), _tick(end)], Pen.PLAIN)
    lean = 0.0 if level else 90.0
    if length > room + 6:
        board.write(Words(text, middle, SMALL_MM, Anchor.MIDDLE, lean_deg=lean, halo=True))
    elif level:
        board.write(Words(text, (max(start[0], end[0]) + 2.0, start[1]), SMALL_MM))
    else:
        board.write(Words(text, (start[0] + 2.0, middle[1]), SMALL_MM))


def upright_deg(start: Point, end: Point) -> float:
    """The lean of words along a line so that they read from below or from the right, degrees counter-clockwise."""
    lean = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    return lean - 180 if lean > 90.01 else lean + 180 if lean <= -89.99 else lean


def across(start: Point, end: Point) -> Point:
    """The unit step to the right of the way from `start` to `end`: outward on a counter-clockwise ring."""
    length = math.dist(start, end) or 1.0
    return (end[1] - start[1]) / length, (start[0] - end[0]) / length


def _tick(at: Point) -> tuple[Point, Point]:
    return (at[0] - 1.0, at[1] - 1.0), (at[0] + 1.0, at[1] + 1.0)


def _off(at: Point, step: Sequence[float], reach: float) -> Point:
    return at[0] + step[0] * reach, at[1] + step[1] * reach
