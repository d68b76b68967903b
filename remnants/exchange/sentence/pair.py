"""Two lengths that tell a size, and in which unit each is where only one of them tells it."""

from dataclasses import dataclass

from remnants.exchange.sentence.scan import Measure
from remnants.units import MM_PER_FT, Unit, is_imperial, write_length

__all__ = ["LEAST_SIDE_MM", "Sides", "sides_of", "small"]

LEAST_SIDE_MM = 50.8
"""A patch narrower than 2 in, told without a unit, was likely meant in a larger one: common practice, no source."""
LARGEST_SIDE_MM = 6096.0
"""A patch longer than 20 ft, told without a unit, was likely meant in a smaller one: common practice, no source."""

_FEET = ("ft", "foot", "feet", "'")
_METRES = ("m", "metre", "metres", "meter", "meters")
_YARDS = ("yd", "yds", "yard", "yards")
_NEXT = {**dict.fromkeys(_FEET, "in"), **dict.fromkeys(_METRES, "cm"), **dict.fromkeys(_YARDS, "ft")}
_AFTER, _BEFORE = (12, 5), (20, 10)
"""Bare figures from which `8 ft x 18` or `30 x 9 ft` may mean inches, and with metres centimetres: common practice, no source."""
_SURELY = (24, 10)
"""Bare figures from which `7 ft x 31 1/2` means inches, and with metres centimetres: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Sides:
    """Two lengths, mm, in the order in which they were said; `instead` are the sizes between which the words don't decide."""

    first_mm: float
    second_mm: float
    instead: tuple[str, ...] = ()


def sides_of(first: Measure, second: Measure, unit: Unit) -> Sides | None:
    """What two measures say, bare figures in `unit`; None where one of them can't be read.

    Where one alone tells a unit it is that of both, as in `120 x 90 cm`; where that may as well be meant otherwise, as in
    `8 ft x 18`, both readings are kept.
    """
    if first.units and not second.units:
        taken = _with_other(second, first, _AFTER)
        return taken and Sides(taken[0].first_mm, taken[0].second_mm, tuple(f"{first.text} x {each}" for each in taken[1]))
    if second.units and not first.units:
        taken = _with_other(first, second, _BEFORE)
        return taken and Sides(taken[0].second_mm, taken[0].first_mm, tuple(f"{each} x {second.text}" for each in taken[1]))
    if first.mm is None or second.mm is None:
        return None
    if not first.units and min(first.mm, second.mm) < LEAST_SIDE_MM:
        return Sides(first.mm, second.mm, tuple(f"{first.text} {each} x {second.text} {each}" for each in _larger(unit)))
    if not first.units and max(first.mm, second.mm) > LARGEST_SIDE_MM:
        return Sides(first.mm, second.mm, tuple(f"{first.text} {each} x {second.text} {each}" for each in _smaller(unit)))
    return Sides(first.mm, second.mm)


def small(measure: Measure, unit: Unit) -> tuple[str, ...]:
    """What else a bare figure may mean that is very small in the entry's unit; nothing where it is large enough or has a unit."""
    if measure.units or (measure.mm or 0) >= LEAST_SIDE_MM:
        return ()
    return tuple(f"{measure.text} {each}" for each in _larger(unit))


def told(width_mm: float, length_mm: float, unit: Unit) -> str:
    """A size in words."""
    return f"{write_length(width_mm, unit)} across, {write_length(length_mm, unit)} up the drawing"


def _larger(unit: Unit) -> tuple[str, ...]:
    return ("in", "ft") if is_imperial(unit) else ("cm", "m") if unit is not Unit.M else ("m", "cm")


def _smaller(unit: Unit) -> tuple[str, ...]:
    return ("mm", "in") if is_imperial(unit) else ("cm", "m") if unit is Unit.M else ("mm", "cm")


def _with_other(bare: Measure, named: Measure, most: tuple[int, int]) -> tuple[Sides, tuple[str, ...]] | None:
    """The named length first, then the bare one in its unit, and the readings of the bare one where there are two."""
    named_in = named.units[-1]
    compound = len(named.units) > 1 or _ends_bare(named)
    if compound and named.units[0] in _NEXT:
        named_in = _NEXT[named.units[0]]
    elif most is _AFTER and named_in in _NEXT and bare.figure >= _SURELY[named_in in _METRES]:
        named_in = _NEXT[named_in]
    bare_mm = bare.of(named_in)
    if bare_mm is None or named.mm is None:
        return None
    doubted: tuple[str, ...] = ()
    if compound and named.units[0] in _FEET:
        doubted = ("in", "ft") if bare_mm < MM_PER_FT else ()
    elif named_in in (*_FEET, *_METRES, *_YARDS):
        limit = most[named_in in _METRES]
        doubted = (named_in, _NEXT[named_in]) if bare.figure >= limit else ()
    return Sides(named.mm, bare_mm), tuple(f"{bare.text} {each}" for each in doubted)


def _ends_bare(measure: Measure) -> bool:
    """Whether inches stand bare after feet: `3 ft 2`."""
    return measure.text.rstrip(" .")[-1].isdigit()
