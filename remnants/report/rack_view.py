"""What lies at a place, every piece drawn to one scale, in rows."""

from collections.abc import Sequence

from remnants.geometry.outline import Ring
from remnants.geometry.turn import moved_ring, turned_point
from remnants.model import Piece
from remnants.report.drawing import Anchor, Area, Drawing, Fill, Mark, Words, shifted
from remnants.report.marks import pointed
from remnants.report.pieces import size_words
from remnants.units import Unit

__all__ = ["rack_drawing"]

GAP_MM = 6.0
LABEL_MM = 4.2
LEAST_WIDE_MM = 22.0
MOST_SCALE = 60.0


def rack_drawing(place: str, pieces: Sequence[Piece], *, unit: Unit, width_mm: float = 180.0) -> Drawing:
    """The pieces at a place in the order given, side by side and row by row on paper `width_mm` wide, all to one scale.

    Each is drawn in its own axes under its tag, with the way its pile lays. Sizes are told in `unit`.
    """
    across = max((_size(piece)[0] for piece in pieces), default=1.0)
    along = max((_size(piece)[1] for piece in pieces), default=1.0)
    scale = max(across / (width_mm - 2 * GAP_MM), along / 90.0, 10.0)
    scale = min(scale, MOST_SCALE) if across / MOST_SCALE <= width_mm - 2 * GAP_MM else scale
    marks: list[Mark] = []
    x, row_top, row_height = GAP_MM, 0.0, 0.0
    for piece in pieces:
        wide, high = (side / scale for side in _size(piece))
        room = max(wide, LEAST_WIDE_MM)
        if x > GAP_MM and x + room > width_mm - GAP_MM:
            x, row_top, row_height = GAP_MM, row_top - row_height - 2 * GAP_MM - LABEL_MM, 0.0
        marks += _piece(piece, (x, row_top - LABEL_MM - GAP_MM / 2 - high), scale)
        marks.append(Words(piece.tag, (x, row_top - LABEL_MM / 2), LABEL_MM, Anchor.START, bold=True))
        x, row_height = x + room + GAP_MM, max(row_height, high)
    height = -row_top + row_height + 2 * GAP_MM + LABEL_MM
    lifted = tuple(_lifted(mark, height - GAP_MM / 2) for mark in marks)
    told = "; ".join(f"{piece.tag}, {piece.style}, {size_words(piece, unit)}" for piece in pieces) or "nothing"
    return Drawing(f"place {place}", f"At {place}", f"{told}.", width_mm, height, scale, lifted)


def _size(piece: Piece) -> tuple[float, float]:
    left, bottom, right, top = piece.outline.bounds
    return right - left, top - bottom


def _piece(piece: Piece, corner: tuple[float, float], scale: float) -> list[Mark]:
    left, bottom, _, _ = piece.outline.bounds

    def drawn(ring: Ring) -> Ring:
        return moved_ring(tuple(((x - left) / scale, (y - bottom) / scale) for x, y in ring), corner)

    rings = (drawn(piece.outline.ring), *(drawn(ring) for ring in piece.outline.cutouts))
    wide, high = (side / scale for side in _size(piece))
    middle = (corner[0] + wide / 2, corner[1] + high / 2)
    reach = min(wide, high, 14.0) * 0.35
    tip, tail = _arrow(middle, reach, piece.pile_deg)
    return [Area(rings, Fill.NONE), *pointed(tip, tail, head_mm=min(2.0, reach))]


def _arrow(middle: tuple[float, float], reach: float, pile_deg: float) -> tuple[tuple[float, float], tuple[float, float]]:
    (x, y), (dx, dy) = middle, turned_point((0.0, reach), pile_deg)
    return (x + dx, y + dy), (x - dx, y - dy)


def _lifted(mark: Mark, up: float) -> Mark:
    return shifted(mark, 0.0, up)
