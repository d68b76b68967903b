"""An L: a rectangle without one of its corners, whichever it is."""

import re
from dataclasses import dataclass

from remnants.exchange.sentence.heard import Run
from remnants.exchange.sentence.scan import Scan
from remnants.exchange.sentence.shapes import Shape, rectangle
from remnants.geometry import Point
from remnants.units import Unit, write_length

__all__ = ["ELL", "Notch", "ell", "notch_in"]

ELL = re.compile(r"(?:(?:l|ell)[\s-]*shaped?|(?:l|ell)(?=\s+(?:[a-z]+\s+){0,2}\d))\b(?:\s+of\b)?")
"""The word for an L: alone where its size follows, else `L-shaped`."""

_GONE = r"(?:notch(?:ed)?|cut[\s-]?out|cut\s+out|missing|taken out|corner\s+(?:gone|missing|out))\b"
_NOTCH = re.compile(rf"(?:(?:with|and|a|the|its|has|there|is)\s+)*{_GONE}(?:\s+(?:of|is|a|at)\b)*")
_BEGUN = re.compile(r"(?:(?:with|and|a|the|its|has|less|without)\s+)*(?=[\d.])")
_CORNER = re.compile(
    r"(?:(?:at|in|on|of|from|out|is|the)\s+)*(?:(top|bottom|upper|lower|far|near)[\s-]+(left|right)|(left|right)[\s-]+(top|bottom))\b"
    r"(?:\s+(?:hand|side|corner)\b)*"
)
_UPPER = {"top": True, "upper": True, "far": True, "bottom": False, "lower": False, "near": False}
_CORNERS = ("upper left", "upper right", "lower left", "lower right")


@dataclass(frozen=True, slots=True)
class Notch:
    """The corner that an L lacks: its size, mm, 0 where none was told, and where it is, None where that wasn't told."""

    words: Run
    width_mm: float = 0.0
    length_mm: float = 0.0
    upper: bool | None = None
    right: bool | None = None


def notch_in(scan: Scan) -> Notch | None:
    """The notch that is told here; one without size or corner where they can't be read."""
    before = scan.at
    size = corner = None
    if not scan.takes(_NOTCH):
        size = rectangle(scan) if scan.takes(_BEGUN) else None
        if not size or not scan.takes(_NOTCH):
            scan.at = before
            return None
    corner = scan.takes(_CORNER)
    size = size or rectangle(scan)
    corner = corner or scan.takes(_CORNER)
    width_mm, length_mm = (size.width_mm, size.length_mm) if size else (0.0, 0.0)
    if not corner:
        return Notch(scan.since(before), width_mm, length_mm)
    level, side = (corner[1], corner[2]) if corner[1] else (corner[4], corner[3])
    return Notch(scan.since(before), width_mm, length_mm, _UPPER[level], side == "right")


def ell(whole: Shape, notch: Notch | None, unit: Unit) -> Shape:
    """The L that a rectangle is without its notch; one that lacks something while the notch isn't told, or is too large."""
    if whole.lacking or whole.outline or whole.radius_mm:
        return whole
    if notch is None or not notch.width_mm:
        return Shape(f"an L, {whole.told}", lacking="the size of the notch and its corner, such as notch 20 x 15 upper left")
    size = f"{write_length(notch.width_mm, unit)} by {write_length(notch.length_mm, unit)}"
    sizes = f"{whole.told}, a notch of {size}"
    if notch.width_mm >= whole.width_mm or notch.length_mm >= whole.length_mm:
        larger = f"a smaller notch: {size} doesn't lie inside the L, which is {whole.told}"
        return Shape(f"an L, {sizes}", lacking=larger)
    if notch.upper is None or notch.right is None:
        instead = tuple(f"{notch.words.words} {corner}" for corner in _CORNERS)
        return Shape(f"an L, {sizes}", lacking="the corner of its notch", instead=instead)
    ring = _notched(whole, notch, upper=notch.upper, right=notch.right)
    where = f"{'upper' if notch.upper else 'lower'} {'right' if notch.right else 'left'}"
    return Shape(f"an L, {sizes} at the {where}", outline=ring, walls=whole.walls)


def _notched(whole: Shape, notch: Notch, *, upper: bool, right: bool) -> tuple[Point, ...]:
    """The corners of an L, counter-clockwise from the lower left, whichever corner its notch is at."""
    width, length, x, y = whole.width_mm, whole.length_mm, notch.width_mm, notch.length_mm
    inner_x = width - x if right else x
    inner_y = length - y if upper else y
    outer_x, outer_y = (width if right else 0.0), (length if upper else 0.0)
    inner = ((outer_x, inner_y), (inner_x, inner_y), (inner_x, outer_y))
    corners: list[Point] = []
    for point in ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length)):
        if point == (outer_x, outer_y):
            corners += inner if right == upper else reversed(inner)
        else:
            corners.append(point)
    return tuple(corners)
