"""Sizes said in words: width by length, a square, a circle, a strip along a wall, the step of a stair."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from remnants.exchange.sentence.heard import Run
from remnants.exchange.sentence.pair import Sides, sides_of, small, told
from remnants.exchange.sentence.scan import Measure, Scan
from remnants.exchange.sentence.sides import Side
from remnants.geometry import Point
from remnants.units import write_length

__all__ = ["Shape", "rectangle", "shape_in"]

_BY = re.compile(r"(?:x|by|×|\*)(?![a-z])")
_BETWEEN = re.compile(r"(?:(?:x|×|\*)(?![a-z])|(?:by|and|a|the)\b)*")
_ACROSS = r"wide|across|width|in width|breadth"
_ALONG = r"long|deep|high|length|in length|depth|tall"
_LABEL = re.compile(rf"(?:(?P<across>{_ACROSS})|(?P<along>{_ALONG}))\b(?!\s+(?:wall|side|edge))(?:\s+(?:of|is)\b)*")
_SQUARE = re.compile(r"square\b(?!\s+(?:feet|foot|ft|met|m\b|in))(?:\s+of\b)?")
_CIRCLE = re.compile(
    r"(?:circle|circular|round|disc)\b(?:\s+(?:patch|burn|hole|of|with|a|is|about)\b)*(?:\s+(radius|diameter)\b(?:\s+(?:of|is)\b)*)?"
)
_CIRCLE_AFTER = re.compile(r"(?:(radius|diameter)\s+)?(?:circle|circular|round|disc)\b(?!\s+(?:the|all)\b)")
_HALF = re.compile(r"(?:in\s+)?radius\b")
_WHOLE = re.compile(r"(?:across|wide|(?:in\s+)?diameter)\b")
_STRIP = re.compile(
    r"strip\b(?:\s+(?:along|by|at|against)\s+(?:the\s+)?(?:(left|right|top|bottom|far|near)\s+)?(wall)\b)?(?:\s+(?:of|is)\b)*"
)
_STEP = re.compile(r"(?:stair\s*steps?|stairs?|steps?|treads?)\b(?=.*\b(?:tread|riser)\b)(?:\s+(?:with|of|each|is|are|a)\b)*")
_STEP_PART = re.compile(r"(?:(?:with|and|a|the)\s+)*(tread|riser|nosing|width|wide)\b(?:\s+(?:of|is)\b)*")
_WALL_SIDES = {
    "left": Side.LEFT,
    "right": Side.RIGHT,
    "top": Side.TOP,
    "far": Side.TOP,
    "bottom": Side.BOTTOM,
    "near": Side.BOTTOM,
}


@dataclass(frozen=True)
class Shape:
    """A size as it was told, mm: `width` and `length`, `radius`, or an `outline`.

    `walls` are the sides that the shape's own words put to a wall; `told` says the shape in plain words. What is `lacking` is
    still to be told, in plain words, and `instead` are sizes between which the words don't decide.
    """

    told: str
    width_mm: float = 0.0
    length_mm: float = 0.0
    radius_mm: float = 0.0
    outline: tuple[Point, ...] = ()
    walls: tuple[Side, ...] = ()
    lacking: str = ""
    instead: tuple[str, ...] = field(default=())


def shape_in(scan: Scan) -> tuple[Run, Shape] | None:
    """The shape that is told here and its words, or None where none is."""
    makers: tuple[Callable[[Scan], Shape | None], ...] = (_circle, _strip, _step, _square, rectangle)
    for maker in makers:
        before = scan.at
        shape = maker(scan)
        if shape:
            return scan.since(before), shape
        scan.at = before
    return None


def rectangle(scan: Scan) -> Shape | None:
    """Width by length; told by their words, as in `30 long 24 wide`, in any order."""
    before = scan.at
    first = _labelled(scan)
    by = bool(scan.takes(_BY)) if first else False
    scan.takes(_BETWEEN)
    second = _labelled(scan) if first else None
    if not first or not second or not (by or first[1] or second[1]) or (first[1] and first[1] == second[1]):
        scan.at = before
        return None
    sides = sides_of(first[0], second[0], scan.unit)
    if sides is None:
        return None
    if first[1] == "along" or second[1] == "across":
        sides = Sides(sides.second_mm, sides.first_mm, tuple(map(_turned, sides.instead)))
    scan.takes(_SQUARE)
    shape = Shape(told(sides.first_mm, sides.second_mm, scan.unit), sides.first_mm, sides.second_mm)
    return _doubted(shape, sides.instead)


def _labelled(scan: Scan) -> tuple[Measure, str] | None:
    """A length, and `across` or `along` where a word before or after it says which."""
    before = scan.takes(_LABEL)
    measure = scan.takes_measure()
    after = scan.takes(_LABEL) if measure and not before else None
    label = before or after
    return (measure, label.lastgroup or "") if measure and label else (measure, "") if measure else None


def _turned(size: str) -> str:
    width, _, length = size.partition(" x ")
    return f"{length} x {width}"


def _doubted(shape: Shape, instead: tuple[str, ...], before: str = "") -> Shape:
    """The shape, not yet told where its words may mean one of several sizes."""
    if not instead:
        return shape
    sizes = tuple(f"{before}{size}" for size in instead)
    return Shape(shape.told, lacking=f"which size is meant: {' or '.join(sizes)}", instead=sizes)


def _square(scan: Scan) -> Shape | None:
    begun = scan.takes(_SQUARE)
    side = scan.takes_measure()
    if not side or side.mm is None or (not begun and not scan.takes(_SQUARE)) or scan.sees(_BY):
        return None
    instead = tuple(f"{each} square" for each in small(side, scan.unit))
    return _doubted(Shape(told(side.mm, side.mm, scan.unit), side.mm, side.mm), instead)


def _circle(scan: Scan) -> Shape | None:
    begun = scan.takes(_CIRCLE)
    across = scan.takes_measure()
    if not across or across.mm is None:
        return None
    if begun and scan.takes(_BY) and scan.takes_measure():
        return Shape("a circle of two sizes", lacking="how far the circle is across: one size, or width x length for a rectangle")
    after = None if begun else scan.takes(_CIRCLE_AFTER) or _rounded(scan)
    if not begun and not after:
        return None
    by_radius = "radius" in ((begun and begun[1]) or (after and after[1]) or "", "radius" if scan.takes(_HALF) else "")
    scan.takes(_WHOLE)
    radius_mm = across.mm if by_radius else across.mm / 2
    shape = Shape(f"a circle, {write_length(2 * radius_mm, scan.unit)} across", radius_mm=radius_mm)
    return _doubted(shape, small(across, scan.unit), f"circle {'radius ' if by_radius else 'of '}")


def _rounded(scan: Scan) -> re.Match[str] | None:
    """`14 in across circle`."""
    before = scan.at
    found = scan.takes(_CIRCLE_AFTER) if scan.takes(_WHOLE) or scan.takes(_HALF) else None
    if not found:
        scan.at = before
    return found


def _strip(scan: Scan) -> Shape | None:
    begun = scan.takes(_STRIP)
    sizes = rectangle(scan) if begun else None
    if not begun or not sizes:
        return None
    if sizes.lacking:
        return _doubted(sizes, sizes.instead, f"{begun[0].removesuffix(' of').strip()} ")
    long_mm, short_mm = max(sizes.width_mm, sizes.length_mm), min(sizes.width_mm, sizes.length_mm)
    side = _WALL_SIDES.get(begun[1] or "", Side.LEFT)
    across = side in (Side.TOP, Side.BOTTOM)
    width_mm, length_mm = (long_mm, short_mm) if across else (short_mm, long_mm)
    where = f", its wall drawn at the {side.word}" if begun[2] else ", drawn up and down"
    said = f"a strip, {write_length(long_mm, scan.unit)} long and {write_length(short_mm, scan.unit)} wide{where}"
    return Shape(said, width_mm, length_mm, walls=(side,) if begun[2] else ())


def _step(scan: Scan) -> Shape | None:
    """A step takes tread, riser and what goes round the nosing, along; its width across."""
    begun = scan.takes(_STEP)
    parts: dict[str, float] = {}
    while found := _step_part(scan):
        if found[0] in parts:
            return None
        parts[found[0]] = found[1]
    if not begun or not parts:
        return None
    along_mm = sum(length_mm for name, length_mm in parts.items() if name != "width")
    sizes = ", ".join(f"{name} {write_length(length_mm, scan.unit)}" for name, length_mm in parts.items())
    lacking = [name for name in ("tread", "riser", "width") if name not in parts]
    if lacking:
        return Shape(
            f"a stair's step: {sizes}", lacking=f"the {' and the '.join(lacking)} of the step, such as tread 10, riser 7, 36 wide"
        )
    return Shape(f"a stair's step, {write_length(along_mm, scan.unit)} along: {sizes}", parts["width"], along_mm)


def _step_part(scan: Scan) -> tuple[str, float] | None:
    """A part of a step and its length, mm, whichever is said first."""
    before = scan.at
    begun = scan.takes(_STEP_PART)
    length_mm = scan.takes_length()
    named = begun or (scan.takes(_STEP_PART) if length_mm else None)
    if not named or length_mm is None:
        scan.at = before
        return None
    return ("width" if named[1] == "wide" else named[1]), length_mm
