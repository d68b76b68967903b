"""Measures read and written: feet and inches with fractions, metres, centimetres, millimetres.

Inside the program a length is a float in millimetres. Text becomes one here and nowhere else. Factors are exact
(NIST SP 811, appendix B.8: 1 in = 25.4 mm; the foot is the international one).
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from remnants.errors import BadMeasure
from remnants.limits import LENGTH_CHARACTERS
from remnants.number_words import in_figures

__all__ = [
    "MM2_PER_FT2",
    "MM2_PER_M2",
    "MM2_PER_YD2",
    "MM_PER_FT",
    "MM_PER_IN",
    "MM_PER_YD",
    "TypedLength",
    "Unit",
    "in_plain_marks",
    "is_imperial",
    "parse_length",
    "to_unit",
    "typed_length",
    "typed_size",
    "write_area",
    "write_length",
]

MM_PER_IN = 25.4
MM_PER_FT = 304.8
MM_PER_YD = 914.4
MM2_PER_FT2 = 92_903.04
MM2_PER_YD2 = 836_127.36
MM2_PER_M2 = 1_000_000.0

DUST_DIGITS = 9
"""Millimetres are kept to a picometre, so that 12 ft and 144 in are one and the same float."""


class Unit(StrEnum):
    """The unit that a file or a form speaks in."""

    MM = "mm"
    CM = "cm"
    M = "m"
    IN = "in"
    FT = "ft"


FACTORS = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)} | {
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
    "yd": Fraction("914.4"),
}
PER_UNIT_MM = {unit: float(FACTORS[unit]) for unit in Unit}
METRIC = frozenset({"mm", "cm", "m"})

SPELLINGS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "ft"),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), "yd"),
}

PLAIN_MARKS = str.maketrans(dict.fromkeys("′’‘ʹ`´", "'") | dict.fromkeys("″“”ʺ‶", '"') | dict.fromkeys("−–‐‑", "-") | {"⁄": "/"})
"""The many marks for feet, inches, minus and the fraction bar that phones and word processors put in, to the plain ones."""

TERM = re.compile(
    r"""\s*(?: (?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)                                     # 3/4
             | (?P<figure>[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)                                 # 12 or 6.5 or 96,5
               (?:(?:\s+|(?<=[0-9])-)(?P<and_top>[0-9]+)\s*/\s*(?P<and_bottom>[0-9]+))? )   # and 1/2, or -1/2
        \s*(?P<unit>[a-z]+|['"])?\.?\s*""",
    re.VERBOSE,
)
GROUPED = re.compile(r"[0-9]{1,3}(?P<mark>[.,])[0-9]{3}(?:(?P=mark)[0-9]{3})*(?P<decimals>(?:[.,][0-9]+)?)")
"""1.234.567,8 and 1,200,000: thousands under one mark, decimals after the other."""
BETWEEN = re.compile(r"[-,]?\s*")
SPACED = re.compile(r"(?<![0-9.,/])[0-9]{1,3}(?: [0-9]{3})+(?=(?:[.,][0-9]+)? ?(?:mm|cm|m)\b)")
"""1 200 mm: thousands apart by a blank, as metric lengths are written (SI Brochure, 9th edition, 5.4.4)."""


@dataclass(frozen=True, slots=True)
class TypedLength:
    """A length that a person typed: `mm`, and the `text`, by which a refusal names it."""

    text: str
    mm: float

    def __repr__(self) -> str:
        return repr(self.text)

    def __str__(self) -> str:
        """As a file has it: the millimetres with their unit."""
        return f"{self.mm:.9f} mm" if "e" in repr(self.mm) else f"{self.mm!r} mm"


def typed_length(text: str, unit: Unit) -> TypedLength:
    """The length that a person typed, bare figures in `unit`. Raises BadMeasure."""
    return TypedLength(text.strip(), parse_length(text, unit))


def typed_size(text: str, unit: Unit) -> TypedLength:
    """The length above zero that a person typed, bare figures in `unit`. Raises BadMeasure."""
    typed = typed_length(text, unit)
    if typed.mm <= 0:
        raise BadMeasure(f"{typed!r} is no size: give a length above zero")
    return typed


def parse_length(value: str | float | TypedLength, unit: Unit) -> float:
    """The length in mm that a text or number gives; figures without a unit of their own are in `unit`.

    Takes `12' 6 1/2"`, `12ft 6.5in`, `12'-6½"`, `6-1/2 in`, `3/4"`, `96.5 cm`, `0,97 m`, `2 m 40 cm`, `1 yd 2 ft`; inches may
    stand bare after feet. Dictation's `ten foot six` and thousands
    set apart, `1 200 mm`, are read too. A leading minus is allowed, since a point may lie below zero.
    Raises BadMeasure with the text, what is wrong and three examples; NaN and infinity are refused.
    """
    if isinstance(value, str):
        return _kept(_parsed(value, unit))
    if isinstance(value, TypedLength):
        return value.mm
    if isinstance(value, bool):
        raise _refusal(value, "it is a yes or no")
    try:
        length_mm = float(value) * PER_UNIT_MM[unit]
    except (OverflowError, TypeError, ValueError):
        raise _refusal(value, "it is not a number that can be measured") from None
    if not math.isfinite(length_mm):
        raise _refusal(value, "it is not finite")
    return _kept(length_mm)


def to_unit(length_mm: float, unit: Unit) -> float:
    """The length as a figure in `unit`, to a millionth of it: at most 0.0005 mm off, and free of float dust."""
    return round(length_mm / PER_UNIT_MM[unit], 6) + 0.0


def is_imperial(unit: Unit) -> bool:
    """True for inches and feet."""
    return unit not in METRIC


def write_length(length_mm: float, unit: Unit, *, fraction: int = 16) -> str:
    """The length (mm) as a carpet layer writes it: `31 1/2 in`, `12' 6 1/2"`, `970 mm`, `97.0 cm`, `0.970 m`.

    Inches go to the nearest 1/`fraction`, metric to the nearest millimetre. What is not nothing but would round to it reads
    `under 1/16 in` or `under 1 mm` (`over -1 mm` below zero). Raises BadMeasure when the length isn't finite.
    """
    if not math.isfinite(length_mm):
        raise _refusal(length_mm, "it is not finite")
    if fraction < 1:
        raise BadMeasure(f"inches can't be written to 1/{fraction}: give a whole number such as 16, 8 or 32")
    per_step_mm, step = (MM_PER_IN / fraction, f"1/{fraction} in") if is_imperial(unit) else (1.0, "1 mm")
    steps = math.floor(round(abs(length_mm) / per_step_mm, 6) + 0.5)
    if steps == 0 and round(length_mm, 6) != 0:
        return f"under {step}" if length_mm > 0 else f"over -{step}"
    sign = "-" if steps and length_mm < 0 else ""
    return sign + _steps_written(steps, unit, fraction)


def write_area(area_mm2: float, unit: Unit, *, yards: bool = False) -> str:
    """The area (mm²) for people who measure in `unit`: `27.5 ft²`, `2.56 m²`; with `yards`, `3.06 yd²` instead of ft².

    Raises BadMeasure when the area isn't finite.
    """
    if not math.isfinite(area_mm2):
        raise _refusal(area_mm2, "it is not finite")
    if not is_imperial(unit):
        per_mm2, digits, name = MM2_PER_M2, 2, "m²"
    elif yards:
        per_mm2, digits, name = MM2_PER_YD2, 2, "yd²"
    else:
        per_mm2, digits, name = MM2_PER_FT2, 1, "ft²"
    figure = round(area_mm2 / per_mm2, digits) + 0.0
    if figure == 0 and round(area_mm2) > 0:
        return f"under {10**-digits:.{digits}f} {name}"
    return f"{figure:.{digits}f} {name}"


def _kept(length_mm: float) -> float:
    return round(length_mm, DUST_DIGITS) + 0.0


def _parsed(text: str, unit: Unit) -> float:
    """The sum of the text's terms, mm."""
    if len(text) > LENGTH_CHARACTERS:
        raise _refusal(text, f"it runs to {len(text)} characters")
    rest = in_plain_marks(text)
    sign, rest = (-1, rest[1:].lstrip()) if rest.startswith("-") else (1, rest)
    if not rest:
        raise _refusal(text, "there is no figure in it")
    total, previous, position = Fraction(0), "", 0
    while position < len(rest):
        term = TERM.match(rest, position)
        if term is None:
            raise _refusal(text, f"{rest[position:]!r} can't be read")
        named = _named_unit(term, previous, text, unit)
        figure = _figure(term, named, text)
        _check_order(figure, named, previous, total, text)
        total += figure * FACTORS[named]
        position = term.end()
        if position < len(rest):
            if not term["unit"]:
                raise _refusal(text, f"{rest[position:]!r} after a figure without a unit can't be read")
            position = _past_separator(rest, position)
            if position == len(rest):
                raise _refusal(text, "nothing follows its last mark")
        previous = named
    return sign * float(total)


def in_plain_marks(text: str) -> str:
    """The text in lower case with plain marks: vulgar fractions spelled out, two primes as an inch mark, numbers as figures."""
    spelled = "".join(
        f" {unicodedata.normalize('NFKC', mark)}" if unicodedata.decomposition(mark).startswith("<fraction>") else mark
        for mark in text.translate(PLAIN_MARKS)
    )
    plain = unicodedata.normalize("NFKC", spelled).translate(PLAIN_MARKS)
    said = in_figures(plain.replace("''", '"').casefold().strip())
    return SPACED.sub(lambda grouped: grouped[0].replace(" ", ""), said)


def _past_separator(rest: str, position: int) -> int:
    between = BETWEEN.match(rest, position)
    return between.end() if between else position


def _named_unit(term: re.Match[str], previous: str, text: str, unit: Unit) -> str:
    """The short name of the unit that the term is in. Bare figures: inches after feet, else `unit` when they stand alone."""
    word = term["unit"]
    if word:
        if word not in SPELLINGS:
            raise _refusal(text, f"{word!r} is no unit of length")
        return SPELLINGS[word]
    if not previous:
        return str(unit)
    if previous == "ft":
        return "in"
    raise _refusal(text, "its last figure has no unit")


def _figure(term: re.Match[str], named: str, text: str) -> Fraction:
    if term["top"]:
        return _fraction(term["top"], term["bottom"], text)
    figure = Fraction(_decimal(term["figure"], named, text))
    if term["and_top"]:
        if figure.denominator != 1 or not term["figure"].isdigit():
            raise _refusal(text, "it has both a decimal and a fraction")
        figure += _fraction(term["and_top"], term["and_bottom"], text)
    return figure


def _fraction(top: str, bottom: str, text: str) -> Fraction:
    if int(top) >= int(bottom):
        raise _refusal(text, f"{top}/{bottom} is no fraction of a unit (for one and a quarter write 1 1/4)")
    return Fraction(int(top), int(bottom))


def _decimal(figure: str, named: str, text: str) -> str:
    """The figure with a point for its decimals. A comma may stand for it in metric, where it can't be a thousands mark."""
    if "," not in figure:
        if figure.count(".") > 1:
            raise _refusal(text, f"{figure} has more than one point")
        return figure
    whole, _, rest = figure.partition(",")
    if named not in METRIC:
        raise _refusal(text, f"write {figure} with a point for its decimals and without a mark for thousands")
    if "," in rest or "." in figure or (len(rest) == 3 and whole.strip("0")):
        raise _refusal(text, _marks_advice(figure))
    return f"{whole or '0'}.{rest}"


def _marks_advice(figure: str) -> str:
    """How to write a figure whose commas may divide thousands, with the value that its marks give it and no other."""
    if figure.count(",") == 1 and "." not in figure:
        plain = figure.replace(",", "")
        return f"{figure} may mean {plain} or a decimal: write {plain}, or use a point for decimals"
    grouped = GROUPED.fullmatch(figure)
    if grouped is None or grouped["decimals"][:1] == grouped["mark"]:
        return f"the points and commas of {figure} can't be told apart: write it with one point, for decimals"
    whole = figure[: grouped.start("decimals")].replace(grouped["mark"], "")
    return f"{figure} has a mark for thousands: write {whole}{grouped['decimals'].replace(',', '.')}"


def _check_order(figure: Fraction, named: str, previous: str, total: Fraction, text: str) -> None:
    """Terms run from large unit to small, in one system, each smaller than one of the unit before it."""
    if not previous:
        return
    if (named in METRIC) != (previous in METRIC):
        raise _refusal(text, "it mixes metric with feet and inches")
    if FACTORS[named] >= FACTORS[previous]:
        raise _refusal(text, f"{named} can't follow {previous}")
    if figure * FACTORS[named] >= FACTORS[previous]:
        raise _refusal(text, f"{float(figure):g} {named} is 1 {previous} or more, after {previous}")
    if total % FACTORS[previous]:
        raise _refusal(text, f"a part of 1 {previous} is followed by {named}")


def _steps_written(steps: int, unit: Unit, fraction: int) -> str:
    """A count of steps: `fraction` to the inch, or millimetres."""
    match unit:
        case Unit.MM:
            return f"{steps} mm"
        case Unit.CM:
            return f"{steps // 10}.{steps % 10} cm"
        case Unit.M:
            return f"{steps // 1000}.{steps % 1000:03d} m"
        case Unit.IN:
            return f"{_mixed(steps, fraction) or '0'} in"
        case Unit.FT:
            feet, over = divmod(steps, 12 * fraction)
            inches = _mixed(over, fraction)
            if feet and 0 < over < fraction:
                inches = f"0 {inches}"  # 5' 1/2" would read as five and a half
            return " ".join(part for part in (f"{feet}'" if feet else "", f'{inches}"' if inches else "") if part) or '0"'


def _mixed(steps: int, fraction: int) -> str:
    """`6 1/2`, `3/4`, `6`; empty for nothing."""
    whole, over = divmod(steps, fraction)
    part = Fraction(over, fraction)
    return " ".join(str(term) for term in (whole, part) if term)


def _refusal(value: object, why: str) -> BadMeasure:
    try:
        shown = repr(value[:40] + "…" if isinstance(value, str) and len(value) > 41 else value)
    except ValueError:
        shown = "an endless number"
    shown = shown if len(shown) <= 60 else shown[:59] + "…"
    return BadMeasure(f"{shown} is no length: {why}. Write it like 12' 6 1/2\", 31 1/2 in or 96.5 cm")
