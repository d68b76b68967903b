"""What lies at a place: a small drawing a piece, all to one scale, for a page to set side by side as they stand in the rack."""

from collections.abc import Sequence

from remnants.geometry.outline import Point, Ring
from remnants.geometry.turn import turned_point
from remnants.model import Piece
from remnants.report.attribute_words import bearing_words
from remnants.report.drawing import Anchor, Area, Drawing, Fill, Lines, Mark, Pen, Words
from remnants.report.marks import pointed
from remnants.report.scan import inner_point
from remnants.report.swatch import tint_of
from remnants.units import Unit, write_length

__all__ = ["LARGEST_MM", "rack_bar", "rack_drawings"]

LARGEST_MM = 68.0
"""The longest side of the largest piece on paper: as wide as the narrowest phone shows it."""

LEAST_SCALE = 10.0
"""Small pieces alone are not drawn larger than 1:10."""

_EDGE_MM = 0.6
_BAR_MM = 7.0
_LEAST_ARROW_MM = 1.2


def rack_drawings(pieces: Sequence[Piece]) -> tuple[Drawing, ...]:
    """A drawing of each piece in its own axes, in the order given, all to one scale, with the way its pile lays."""
    scale = _scale(pieces)
    return tuple(_drawn(piece, scale) for piece in pieces)


def rack_bar(pieces: Sequence[Piece], unit: Unit) -> Drawing:
    """A bar to the scale of `rack_drawings`: 3 ft, or 1 m, as the reader measures; a tenth of it where that is too long."""
    scale = _scale(pieces)
    length_mm = 914.4 if unit in (Unit.FT, Unit.IN) else 1000.0
    if length_mm / scale > LARGEST_MM:
        length_mm = 304.8 if unit in (Unit.FT, Unit.IN) else 100.0
    wide, word = length_mm / scale, write_length(length_mm, unit)
    x, y = _EDGE_MM, 1.6
    ends = tuple(((at, y - 1.0), (at, y + 1.0)) for at in (x, x + wide))
    marks = (Lines((((x, y), (x + wide, y)), *ends), Pen.PLAIN), Words(word, (x + wide / 2, 4.8), 3.4, Anchor.MIDDLE))
    return Drawing(
        "scale", "Scale", f"A bar {word} long, to the scale of the pieces.", max(wide, 14.0) + 2 * x, _BAR_MM, scale, marks
    )


def _scale(pieces: Sequence[Piece]) -> float:
    """Carpet mm for one paper mm."""
    longest = max((side for piece in pieces for side in _size(piece)), default=1.0)
    return max(longest / LARGEST_MM, LEAST_SCALE)


def _size(piece: Piece) -> tuple[float, float]:
    left, bottom, right, top = piece.outline.bounds
    return right - left, top - bottom


def _drawn(piece: Piece, scale: float) -> Drawing:
    left, bottom, _, _ = piece.outline.bounds
    wide, high = (side / scale for side in _size(piece))

    def on_paper(ring: Ring) -> Ring:
        return tuple(((x - left) / scale + _EDGE_MM, (y - bottom) / scale + _EDGE_MM) for x, y in ring)

    ring = on_paper(piece.outline.ring)
    marks: list[Mark] = [Area((ring,), Fill.CARPET, Pen.PLAIN, tint=tint_of(piece))]
    marks += [Area((on_paper(cutout),), Fill.PAPER, Pen.THIN) for cutout in piece.outline.cutouts]
    reach = min(wide, high, 16.0) * (0.36 if piece.outline.is_rectangle else 0.18)
    if reach >= _LEAST_ARROW_MM:
        marks += _arrow(inner_point(ring), reach, piece.pile_deg)
    what = ", ".join(text for text in (piece.style, piece.colour, piece.lot and f"lot {piece.lot}") if text)
    shape = "" if piece.outline.is_rectangle else ", odd shape"
    told = f"{what}{shape}, pile {bearing_words(piece.pile_deg)}"
    return Drawing(f"piece {piece.tag}", "Outline", told, wide + 2 * _EDGE_MM, high + 2 * _EDGE_MM, scale, tuple(marks))


def _arrow(middle: Point, reach: float, pile_deg: float) -> Sequence[Mark]:
    (x, y), (dx, dy) = middle, turned_point((0.0, reach), pile_deg)
    return pointed((x + dx, y + dy), (x - dx, y - dy), head_mm=min(2.2, 0.8 * reach))
