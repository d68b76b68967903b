"""Corners that were set in a flattened photograph, as its page shows them and as forms go on with them.

A form's corners are lengths from the picture's lower left corner; those of `remnants.photo` are mm in the axes of the page.
"""

import math
from dataclasses import dataclass, replace

from remnants.actions import Catalogue
from remnants.actions.flat_photos import Flattened, Length, MeasuredOutline, Point, RowsSeen
from remnants.actions.photo_outlines import page_beside, piece_entry, piece_ring, turned_ring
from remnants.actions.repair_preview import overhead_of, with_scale
from remnants.actions.shop_rules import own_rules
from remnants.errors import BadInput, Fault
from remnants.report.measured_text import length_text, outline_lines, rows_words, sides_told
from remnants.units import to_unit, write_length
from remnants_web.damage_form import MOST_DAMAGES
from remnants_web.pattern_taken import taken_from
from remnants_web.shapes import Form, ShapeKind, collected, entry_unit, length_at, outline_of
from remnants_web.words import reader_unit

__all__ = [
    "RowsShown",
    "Traced",
    "as_damage",
    "as_piece",
    "corners_text",
    "points_in",
    "rows_shown",
    "scaled_as_logged",
    "traced_in",
]

MOST_EDGE_MM = 100.0
_ROWS_SHOWN_MM = 90.0
"""How far lines of rows reach from the tap, each way."""

_FURTHEST_MM = 10_000.0
"""No corner in a photograph lies so far."""

_PLACES = 3
"""Of a corner's figures: a thousandth of the unit."""


@dataclass(frozen=True)
class Traced:
    """Corners in pixels of the flat picture, what was measured through them, each side in words, and what more is said."""

    corners: tuple[tuple[float, float], ...]
    outline: MeasuredOutline | None = None
    length: Length | None = None
    sides: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()

    @property
    def middles(self) -> tuple[tuple[float, float, str], ...]:
        """Where each side's words stand, with them."""
        following = (*self.corners[1:], *self.corners[:1])
        ends = zip(self.corners, following, self.sides, strict=False)
        return tuple(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, told) for a, b, told in ends)


def traced_in(form: Form, flat: Flattened) -> Traced | None:
    """What the form's corners measure in the picture; None where none is told. Raises BadInput there."""
    ring = points_in(form, flat)
    if not ring:
        return None
    scale, (left, bottom), high = flat.flat.px_per_mm, flat.flat.corner_mm, flat.flat.size[1]
    pixels = tuple(((x - left) * scale, high - (y - bottom) * scale) for x, y in ring)
    if len(ring) == 1:
        return Traced(pixels)
    try:
        found = flat.length(*ring) if len(ring) == 2 else flat.outline(ring, edge_mm=_edge_mm(form))
    except BadInput as error:
        raise BadInput(Fault("corners", fault.what) for fault in error.faults) from None
    if isinstance(found, Length):
        return Traced(pixels, length=found, sides=(length_text(found, reader_unit()),))
    sides = sides_told(found, reader_unit())
    listed = (f"sides in order: {', '.join(sides)}",) if sides else ()
    return Traced(pixels, found, sides=sides, lines=(*listed, *outline_lines(found, reader_unit())))


def points_in(form: Form, flat: Flattened) -> tuple[Point, ...]:
    """The form's corners as points of the carpet (mm, axes of the page); none where none is told. Raises BadInput there."""
    text = form.get("corners", "").strip()
    if not text:
        return ()
    left, bottom = flat.flat.corner_mm
    told = outline_of({"shape": ShapeKind.CORNERS, "corners": text})["outline"]
    return tuple((left + x.mm, bottom + y.mm) for x, y in told)


@dataclass(frozen=True)
class RowsShown:
    """A candidate for the rows: in words, as lines of the flat picture (x1, y1, x2, y2), and the fields that it fills."""

    words: str
    lines: tuple[tuple[float, float, float, float], ...]
    taken: dict[str, str]


def rows_shown(seen: tuple[RowsSeen, ...], at: Point, flat: Flattened) -> tuple[RowsShown, ...]:
    """Candidates round a point of the carpet (mm), drawn every tenth row, or every 40 mm where rows are not told apart."""
    scale, (left, bottom), high = flat.flat.px_per_mm, flat.flat.corner_mm, flat.flat.size[1]
    middle = (at[0] - left) * scale, high - (at[1] - bottom) * scale
    found = []
    for each in seen:
        way = math.radians(each.rows.bearing_deg)
        along, aside = (math.sin(way), -math.cos(way)), (math.cos(way), math.sin(way))
        step, half = (10 * each.rows.apart.mm if each.rows.apart else 40.0) * scale, _ROWS_SHOWN_MM * scale
        lines = []
        for number in range(-2, 3):
            x, y = (middle[axis] + number * step * aside[axis] for axis in (0, 1))
            lines.append((x - half * along[0], y - half * along[1], x + half * along[0], y + half * along[1]))
        found.append(RowsShown(rows_words(each), tuple(lines), taken_from(each)))
    return tuple(found)


def corners_text(ring: tuple[Point, ...], flat: Flattened) -> str:
    """Corners (mm, axes of the page) as the form has them."""
    left, bottom = flat.flat.corner_mm
    return _lines([(x - left, y - bottom) for x, y in ring])


def as_damage(typed: Form, found: MeasuredOutline, flat: Flattened, *, top_deg: int, catalogue: Catalogue) -> dict[str, str]:
    """The fields of the damage form that hold this outline, the page's top pointing so many degrees clockwise from up.

    Raises BadInput where it may be further off than half the seam's allowance, or no further place can be told.
    """
    numbers = range(1, MOST_DAMAGES + 1)
    free = next((n for n in numbers if not (typed.get(f"damage_width_{n}") or typed.get(f"damage_length_{n}"))), None)
    if free is None:
        raise BadInput([Fault("corners", f"{MOST_DAMAGES} damaged places are told already: clear one on the form first")])
    faults: list[Fault] = []
    seam = collected(faults, length_at, "seam", typed["seam"]) if typed.get("seam", "").strip() else None
    seam_mm = seam.mm if seam else own_rules(catalogue).seam_mm
    flat.refuse_wide(found, seam_mm / 2)
    ring = turned_ring(found, top_deg)
    width, length = (write_length(max(axis), reader_unit()) for axis in zip(*ring, strict=True))
    across, up = page_beside(found, top_deg)
    fields = {
        "page": f"{across:.1f},{up:.1f},{top_deg}",
        "ring": ";".join(f"{x:.1f},{y:.1f}" for x, y in ring),
        "bar": f"{math.ceil(found.bar_mm * 10) / 10:g}",
        "photo": flat.digest,
        "traced": "1",
        "width": width,
        "length": length,
    }
    return {f"damage_{name}_{free}": text for name, text in fields.items()}


def as_piece(found: MeasuredOutline, flat: Flattened, *, row_deg: float | None = None) -> dict[str, str]:
    """The fields of the log form that hold this outline, drawn in by its bar.

    Where its rows are known (degrees clockwise from the page's top), it is turned by at most 45 degrees, so that they run up or
    across it.

    Raises BadInput where nothing is left.
    """
    unit = entry_unit()
    off_deg = 0.0 if row_deg is None else (row_deg + 45.0) % 90.0 - 45.0
    straight = replace(found, ring=turned_ring(found, -off_deg)) if off_deg else found
    try:
        entry = piece_entry(straight, flat.digest, unit)
    except BadInput as error:
        raise BadInput(Fault("corners", fault.what) for fault in error.faults) from None
    corners = "\n".join(f"{round(x, _PLACES):g}, {round(y, _PLACES):g}" for x, y in entry["outline"])
    bar = f"{math.ceil(found.bar_mm * 10) / 10:g}"
    ring, (x, y) = piece_ring(found)
    wide, long = (max(axis) for axis in zip(*ring, strict=True))
    return {
        "shape": ShapeKind.CORNERS.value,
        "corners": corners,
        "traced": corners,
        "traced_bar": bar,
        "traced_at": f"{x:.2f},{y:.2f},{wide:.2f},{long:.2f}",
        "traced_photo": flat.digest,
    }


def scaled_as_logged(flat: Flattened, form: Form) -> bytes:
    """The picture with its scale told in it, in the axes of the piece that the form logs; empty where its corners are others."""
    traced, told = form.get("traced", "").split(), form.get("traced_at", "").split(",")
    if not traced or form.get("corners", "").split() != traced:
        return b""
    try:
        x, y, wide, long = (float(part) for part in told)
    except ValueError:
        return b""
    if not all(abs(each) < _FURTHEST_MM for each in (x, y, wide, long)):
        return b""
    return with_scale(overhead_of(flat, (-x, -y, 0.0), (wide, long)))


def _edge_mm(form: Form) -> float:
    """How far the edge of what a tap found may itself lie off."""
    try:
        edge_mm = float(form.get("edge", "").strip() or 0.0)
    except ValueError:
        edge_mm = math.nan
    if not 0.0 <= edge_mm <= MOST_EDGE_MM:
        raise BadInput([Fault("corners", "how far its edge may lie off can't be read: tap in the damage again")])
    return edge_mm


def _lines(points: list[tuple[float, float]]) -> str:
    unit = entry_unit()
    return "\n".join(", ".join(f"{round(to_unit(each, unit), _PLACES):g}" for each in point) for point in points)
