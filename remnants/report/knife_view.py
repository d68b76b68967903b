"""The strokes of the knife on a donor: drawn and numbered in their order, and told in words with where each starts and stops."""

from collections.abc import Iterable, Iterator, Sequence

from remnants.geometry.knife import KNIFE_MM, Stroke, strokes
from remnants.geometry.outline import Point, Ring
from remnants.geometry.rounds import circle_of
from remnants.materials.cuts import Cut
from remnants.model import Leftover, Piece
from remnants.report.board import SMALL_MM, Board
from remnants.report.drawing import Anchor, Lines, Pen, Words
from remnants.report.marks import across, upright_deg
from remnants.report.wording import listed
from remnants.units import Unit, write_length

__all__ = ["MANY_CORNERS", "draw_strokes", "freed_first", "is_traced", "stroke_keys", "strokes_on"]

MANY_CORNERS = 10
"""A shape with more corners is given by its extent: its outline is traced, not cut from a list of figures."""

NAME_MM = 2.6
BAR_MM = 1.7
NAMED_AT = (0.5, 0.4, 0.6, 0.28, 0.72, 0.16, 0.84)
"""Where along its stroke a number is tried, as shares of its length."""


def strokes_on(piece: Piece, cuts: Sequence[Cut], leftovers: Sequence[Leftover]) -> tuple[Stroke, ...]:
    """The strokes that free the cuts with straight sides, none through a leftover worth keeping; mm, the piece's axes."""
    straight = tuple(cut.part.cut for cut in cuts if not is_traced(cut))
    whole: list[tuple[Ring, ...]] = [(cut.part.cut,) for cut in cuts if is_traced(cut)]
    whole += [(left.outline.ring, *left.outline.cutouts) for left in leftovers if left.usable]
    return strokes(piece.outline.ring, straight, tuple(whole))


def is_traced(cut: Cut) -> bool:
    """True for a shape that is traced, after the straight strokes."""
    return len(cut.part.cut) > MANY_CORNERS


def draw_strokes(board: Board, made: Sequence[Stroke], cuts: Sequence[Cut]) -> tuple[str, ...]:
    """Draws each stroke with its number on it and a bar where it stops inside, and the numbers of the shapes that are traced.

    Gives the numbers that had no room.
    """
    left_out = []
    for number, stroke in enumerate(made, start=1):
        a, b = (board.frame.at(point) for point in stroke.line)
        bars = [_bar(at, a, b) for at, free in zip((a, b), (stroke.starts, stroke.ends), strict=True) if not free]
        board.add(Lines(((a, b),), Pen.PLAIN))
        if bars:
            board.add(Lines(tuple(bars), Pen.THICK))
        places = ((a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share) for share in NAMED_AT)
        if not board.write_first(_name(number, at, a, b, SMALL_MM if board.slim else NAME_MM) for at in places):
            left_out.append(f"K{number}")
    for number, cut in enumerate((cut for cut in cuts if is_traced(cut)), start=len(made) + 1):
        ring = board.frame.ring(cut.part.cut)
        level = ((0.0, 0.0), (1.0, 0.0))
        if not board.write_first(_name(number, at, *level, SMALL_MM if board.slim else NAME_MM) for at in ring):
            left_out.append(f"K{number}")
    return tuple(left_out)


def stroke_keys(made: Sequence[Stroke], piece: Piece, cuts: Sequence[Cut], unit: Unit) -> Iterator[str]:
    """A line for each stroke, in order, and after them for each shape that is traced; a tab stands after its number."""
    straight = [cut for cut in cuts if not is_traced(cut)]
    left, bottom, _, _ = piece.outline.bounds
    for number, stroke in enumerate(made, start=1):
        (ax, ay), (bx, by) = ((x - left, y - bottom) for x, y in stroke.line)
        if abs(ay - by) < KNIFE_MM:
            told = f"across, {_from(ay, 'B', unit)}, {_reach(ax, bx, 'A', unit)}{_stops(stroke, (ax, bx), unit)}"
        elif abs(ax - bx) < KNIFE_MM:
            told = f"along, {_from(ax, 'A', unit)}, {_reach(ay, by, 'B', unit)}{_stops(stroke, (ay, by), unit)}"
        else:
            ends = ((ax, ay), (bx, by))
            told = "slanted, from " + " to ".join(f"{_from(x, 'A', unit)} and {_from(y, 'B', unit)}" for x, y in ends)
            told += ": edge to edge" if stroke.through else ": stop at the corner"
        frees = listed(str(straight[place].number) for place in stroke.frees)
        yield f"K{number}\t{told}{f'; frees {frees}' if frees else ''}"
    for number, cut in enumerate((cut for cut in cuts if is_traced(cut)), start=len(made) + 1):
        how = "along its paper template" if circle_of(cut.part.cut) is None else "by string from its centre"
        yield f"K{number}\tround cut {cut.number}, {how}; frees {cut.number}"


def freed_first(made: Sequence[Stroke], cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    """The cuts in the order in which they come free; those that need no stroke first, those that are traced last."""
    straight = [cut for cut in cuts if not is_traced(cut)]
    freed = [place for stroke in made for place in stroke.frees]
    at_once = [place for place in range(len(straight)) if place not in freed]
    return (*(straight[place] for place in (*at_once, *freed)), *(cut for cut in cuts if is_traced(cut)))


def _name(number: int, at: Point, start: Point, end: Point, size_mm: float = NAME_MM) -> Words:
    return Words(f"K{number}", at, size_mm, Anchor.MIDDLE, bold=True, lean_deg=upright_deg(start, end), halo=True)


def _bar(at: Point, start: Point, end: Point) -> tuple[Point, Point]:
    x, y = across(start, end)
    return (at[0] - x * BAR_MM, at[1] - y * BAR_MM), (at[0] + x * BAR_MM, at[1] + y * BAR_MM)


def _from(distance_mm: float, name: str, unit: Unit) -> str:
    return f"{write_length(distance_mm, unit)} from {name}" if distance_mm > KNIFE_MM else f"on {name}"


def _reach(start_mm: float, end_mm: float, name: str, unit: Unit) -> str:
    first, last = (write_length(max(0.0, at), unit) if at > KNIFE_MM else name for at in (start_mm, end_mm))
    return f"from {first} to {last}"


def _stops(stroke: Stroke, ends: Iterable[float], unit: Unit) -> str:
    if stroke.through:
        return ", edge to edge"
    first, last = (write_length(max(0.0, at), unit) for at in ends)
    return f": stop at {last}" if stroke.starts else f": start at {first} and stop at {last}, both inside"
