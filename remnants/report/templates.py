"""Full-size paper templates of small cuts, tiled over pages that overlap and meet at registration marks. Lengths mm."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from remnants.geometry.outline import Point, Ring, bounds
from remnants.geometry.rounds import circle_of
from remnants.geometry.tolerances import WHOLE
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.materials.cuts import Cut
from remnants.report.board import SMALL_MM
from remnants.report.drawing import Anchor, Area, Dash, Fill, Lines, Mark, Pen, Words, shifted
from remnants.report.knife_view import is_traced
from remnants.report.marks import pointed
from remnants.report.scan import inner_point

__all__ = ["OVERLAP_MM", "Template", "Tile", "templates_of", "tiles"]

OVERLAP_MM = 12.0
MARK_MM = 4.0
AROUND_MM = 6.0


@dataclass(frozen=True)
class Template:
    """A shape at full size: net outline and the cut round it, moved so that the least corner lies at (AROUND, AROUND).

    It lies as the part lies in its patch; `pile_deg` is the way its pile lays there. `numbers` are the cuts that it serves.
    """

    numbers: tuple[int, ...]
    patch: str
    net: Ring
    cut: Ring
    pile_deg: float

    @property
    def size_mm(self) -> Point:
        """Paper that it takes, with clear paper around."""
        _, _, right, top = bounds(self.cut)
        return right + AROUND_MM, top + AROUND_MM


@dataclass(frozen=True)
class Tile:
    """One page of a template: its row (from the bottom) and column, counted from 1, of so many, and its marks (page mm)."""

    template: Template
    row: int
    column: int
    rows: int
    columns: int
    marks: tuple[Mark, ...]


def templates_of(cuts: Sequence[Cut], piles_deg: Sequence[float], limit_mm: float) -> tuple[Template, ...]:
    """A template for each different shape whose net fits in a square of `limit_mm`, and for each that is traced, however large.

    A circle is traced by string. `piles_deg` by patch, in the job's order.
    """
    made: dict[tuple[object, ...], Template] = {}
    for cut in cuts:
        left, bottom, right, top = bounds(cut.part.net)
        by_template = is_traced(cut) and circle_of(cut.part.cut) is None
        if max(right - left, top - bottom) > limit_mm and not by_template:
            continue
        laid = moved_ring(turned_ring(cut.part.cut, cut.part.turn_deg), cut.part.shift)
        x, y, _, _ = bounds(laid)
        move = (AROUND_MM - x, AROUND_MM - y)
        net, outer = moved_ring(cut.part.net, move), moved_ring(laid, move)
        pile = piles_deg[cut.patch_index]
        key = (_rounded(net), _rounded(outer), round(pile, 3))
        known = made.get(key)
        numbers = (*known.numbers, cut.number) if known else (cut.number,)
        made[key] = Template(numbers, known.patch if known else cut.patch, net, outer, pile)
    return tuple(made.values())


def tiles(template: Template, page_mm: Point) -> Iterator[Tile]:
    """The pages of a template on paper with `page_mm` of room, row by row from the bottom left.

    A page on which nothing of its outlines lies is left out: it would be blank.
    """
    step = (page_mm[0] - OVERLAP_MM, page_mm[1] - OVERLAP_MM)
    columns = max(1, math.ceil((template.size_mm[0] - OVERLAP_MM) / step[0] - WHOLE))
    rows = max(1, math.ceil((template.size_mm[1] - OVERLAP_MM) / step[1] - WHOLE))
    marks = tuple(_marks(template))
    for row in range(rows):
        for column in range(columns):
            corner = (column * step[0], row * step[1])
            if not any(_touches(ring, corner, page_mm) for ring in (template.net, template.cut)):
                continue
            crosses = [mark for i in (column, column + 1) for j in (row, row + 1) for mark in _cross(i, j, step)]
            own = (shifted(mark, -column * step[0], -row * step[1]) for mark in (*marks, *crosses))
            seen = tuple(mark for mark in own if not isinstance(mark, Words) or _on_page(mark, page_mm))
            yield Tile(template, row + 1, column + 1, rows, columns, seen)


def _touches(ring: Ring, corner: Point, page_mm: Point) -> bool:
    """True when some of the ring's outline, or a finger's breadth beside it, lies on the page with this lower left corner."""
    left, bottom = corner[0] - AROUND_MM, corner[1] - AROUND_MM
    right, top = corner[0] + page_mm[0] + AROUND_MM, corner[1] + page_mm[1] + AROUND_MM
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        count = max(1, math.ceil(math.dist((ax, ay), (bx, by)) / AROUND_MM))
        points = ((ax + (bx - ax) * at / count, ay + (by - ay) * at / count) for at in range(count + 1))
        if any(left <= x <= right and bottom <= y <= top for x, y in points):
            return True
    return False


def _on_page(words: Words, page_mm: Point) -> bool:
    left, bottom, right, top = words.box
    return left >= 0 and bottom >= 0 and right <= page_mm[0] and top <= page_mm[1]


def _marks(template: Template) -> Iterator[Mark]:
    yield Area((template.cut,), Fill.NONE, Pen.PLAIN, Dash.DASHED)
    yield Area((template.net,), Fill.NONE, Pen.THICK)
    x, y = inner_point(template.net)
    reach = min(15.0, min(template.size_mm) / 6)
    dx, dy = math.sin(math.radians(template.pile_deg)) * reach, math.cos(math.radians(template.pile_deg)) * reach
    yield from pointed((x + dx, y + dy), (x - dx, y - dy), Pen.THICK, head_mm=5.0)
    numbers = ", ".join(str(number) for number in template.numbers)
    words = Words(f"pile; cut {numbers}", (x, y - reach - 4.0), SMALL_MM, Anchor.MIDDLE, halo=True)
    left, _, right, _ = words.box
    net_left, _, net_right, _ = bounds(template.net)
    if right - left < net_right - net_left:
        yield words


def _cross(column: int, row: int, step: Point) -> Iterator[Mark]:
    """The registration mark where tiles meet: a cross in a ring, named by its column and row."""
    x, y = column * step[0] + OVERLAP_MM / 2, row * step[1] + OVERLAP_MM / 2
    yield Lines((((x - MARK_MM, y), (x + MARK_MM, y)), ((x, y - MARK_MM), (x, y + MARK_MM))), Pen.THIN)
    yield Words(f"{chr(ord('A') + column)}{row + 1}", (x + 1.0, y + 2.2), 2.4)


def _rounded(ring: Ring) -> tuple[Point, ...]:
    return tuple((round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y in ring)
