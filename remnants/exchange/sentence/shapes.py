"""Shapes said in words: width by length, a circle, an L and where its notch is, a strip along a wall, the step of a stair."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from remnants.exchange.sentence.scan import Scan
from remnants.exchange.sentence.sides import Side
from remnants.geometry import Point
from remnants.units import write_length

__all__ = ["Shape", "shape_in"]

_BY = re.compile(r"(?:wide|across|width)\b[\s,]*(?:(?:and|by)\b|x(?![a-z]))?|(?:x|by|×|\*)(?![a-z])")
_LONG = re.compile(r"(?:long|deep|high|length|up)\b")
_SQUARE = re.compile(r"square\b")
_CIRCLE = re.compile(r"(?:circle|round|disc)\b(?:\s+(?:patch|of|with|a))*(?:\s+(radius|diameter)\b(?:\s+of)?)?")
_HALF = re.compile(r"(?:in\s+)?radius\b")
_WHOLE = re.compile(r"(?:across|wide|(?:in\s+)?diameter)\b")
_ELL = re.compile(r"l(?:[\s-]shaped?)?(?=\s+(?:of\s+)?\d)\s+(?:of\s+)?")
_NOTCH = re.compile(r"(?:(?:with|and|a|the|its)\s+)*notch\b(?:\s+(?:of|is))*")
_CORNER = re.compile(r"(?:(?:at|in|on|the)\s+)*(top|bottom|upper|lower|far|near)[\s-]+(left|right)\b(?:\s+corner)?")
_STRIP = re.compile(r"strip\b(?:\s+(?:along|by|at)\s+(?:the\s+)?(?:(left|right|top|bottom|far|near)\s+)?(wall)\b)?(?:\s+of)?")
_STEP = re.compile(r"(?:stair\s*steps?|stairs?|steps?)\b(?=.*\btread\b)(?:\s+(?:with|of))*")
_STEP_PART = re.compile(r"(?:(?:with|and|a)\s+)*(tread|riser|nosing|width)\b(?:\s+(?:of|is))*")
_WIDE = re.compile(r"(?:wide|in width|width)\b")
_CORNERS = {"top": 1, "upper": 1, "far": 1, "bottom": 0, "lower": 0, "near": 0}


@dataclass(frozen=True)
class Shape:
    """A size as it was told, mm: `width` and `length`, `radius`, or an `outline`; what is `lacking` is still to be told.

    `walls` are the sides that the shape's own words put to a wall; `told` says the shape in plain words.
    """

    told: str
    width_mm: float = 0.0
    length_mm: float = 0.0
    radius_mm: float = 0.0
    outline: tuple[Point, ...] = ()
    walls: tuple[Side, ...] = ()
    lacking: tuple[str, ...] = field(default=())


def shape_in(scan: Scan) -> tuple[str, Shape] | None:
    """The shape that is told here and its words, or None where none is."""
    makers: tuple[Callable[[Scan], Shape | None], ...] = (_circle, _ell, _strip, _step, _rectangle)
    for maker in makers:
        before = scan.at
        shape = maker(scan)
        if shape:
            return scan.text[before : scan.at].strip(" ,."), shape
        scan.at = before
    return None


def _rectangle(scan: Scan) -> Shape | None:
    sides = scan.takes_two_lengths(_BY)
    if sides:
        scan.takes(_LONG)
        return _sized(scan, *sides)
    side_mm = scan.takes_length()
    return _sized(scan, side_mm, side_mm) if side_mm is not None and scan.takes(_SQUARE) else None


def _sized(scan: Scan, width_mm: float, length_mm: float) -> Shape:
    told = f"{write_length(width_mm, scan.unit)} across, {write_length(length_mm, scan.unit)} up the drawing"
    return Shape(told, width_mm, length_mm)


def _circle(scan: Scan) -> Shape | None:
    begun = scan.takes(_CIRCLE)
    length_mm = scan.takes_length() if begun else None
    if not begun or length_mm is None:
        return None
    by_radius = begun[1] == "radius" or bool(scan.takes(_HALF))
    scan.takes(_WHOLE)
    radius_mm = length_mm if by_radius else length_mm / 2
    return Shape(f"a circle, {write_length(2 * radius_mm, scan.unit)} across", radius_mm=radius_mm)


def _ell(scan: Scan) -> Shape | None:
    if not scan.takes(_ELL):
        return None
    whole = _rectangle(scan)
    if not whole or not scan.takes(_NOTCH):
        return None
    corner = scan.takes(_CORNER)
    notch = _rectangle(scan)
    if not notch:
        return None
    corner = corner or scan.takes(_CORNER)
    if notch.width_mm >= whole.width_mm or notch.length_mm >= whole.length_mm:
        return None
    sizes = f"{whole.told}, a notch of {write_length(notch.width_mm, scan.unit)} by {write_length(notch.length_mm, scan.unit)}"
    if not corner:
        return Shape(f"an L, {sizes}", lacking=("notch",))
    ring = _notched(whole, notch, upper=bool(_CORNERS[corner[1]]), right=corner[2] == "right")
    return Shape(f"an L, {sizes} at the {'upper' if _CORNERS[corner[1]] else 'lower'} {corner[2]}", outline=ring)


def _notched(whole: Shape, notch: Shape, *, upper: bool, right: bool) -> tuple[Point, ...]:
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


def _strip(scan: Scan) -> Shape | None:
    begun = scan.takes(_STRIP)
    sizes = _rectangle(scan) if begun else None
    if not begun or not sizes:
        return None
    long_mm, short_mm = max(sizes.width_mm, sizes.length_mm), min(sizes.width_mm, sizes.length_mm)
    side = {
        "left": Side.LEFT,
        "right": Side.RIGHT,
        "top": Side.TOP,
        "far": Side.TOP,
        "bottom": Side.BOTTOM,
        "near": Side.BOTTOM,
    }.get(begun[1] or "", Side.LEFT)
    across = side in (Side.TOP, Side.BOTTOM)
    width_mm, length_mm = (long_mm, short_mm) if across else (short_mm, long_mm)
    where = f", its wall drawn at the {side.word}" if begun[2] else ""
    told = f"a strip, {write_length(long_mm, scan.unit)} long and {write_length(short_mm, scan.unit)} wide{where}"
    return Shape(told, width_mm, length_mm, walls=(side,) if begun[2] else ())


def _step(scan: Scan) -> Shape | None:
    """A step takes tread, riser and what goes round the nosing, along; its width across."""
    if not scan.takes(_STEP):
        return None
    parts: dict[str, float] = {}
    while begun := scan.takes(_STEP_PART):
        length_mm = scan.takes_length()
        if length_mm is None:
            return None
        parts[begun[1]] = length_mm
    if "width" not in parts:
        wide_mm = scan.takes_length()
        if wide_mm is not None and scan.takes(_WIDE):
            parts["width"] = wide_mm
    along_mm = sum(length_mm for name, length_mm in parts.items() if name != "width")
    sizes = ", ".join(f"{name} {write_length(length_mm, scan.unit)}" for name, length_mm in parts.items())
    lacking = tuple(name for name in ("tread", "riser", "width") if name not in parts)
    if lacking:
        return Shape(f"a stair's step: {sizes}", lacking=lacking)
    return Shape(f"a stair's step, {write_length(along_mm, scan.unit)} along: {sizes}", parts["width"], along_mm)
