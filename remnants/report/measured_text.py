"""What was measured in a photograph, as text: no length without how far off it may be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from remnants.matching.shade import grey_grade
from remnants.model.shade_steps import MeasuredStep
from remnants.photo.measures import Length, MeasuredOutline
from remnants.units import MM_PER_IN, Unit, is_imperial, write_length

if TYPE_CHECKING:
    from remnants.photo.rows import RowsSeen  # brings what opens pictures
    from remnants.photo.shade_step import ShadeStep

__all__ = [
    "BY_TAPE",
    "bar_text",
    "fine_text",
    "known_text",
    "length_text",
    "measured_text",
    "outline_lines",
    "rows_words",
    "sides_told",
    "step_lines",
    "step_of",
]

BY_TAPE = (
    "Good enough to size a patch and to choose a donor, never to cut a seam by: check with a tape first. "
    "This was tried on photographs drawn by a program; no real phone was measured yet."
)

_WAYS = (("darker", "lighter"), ("greener", "redder"), ("bluer", "yellower"))
"""What less and more of L*, a*, b* is called."""

_FRACTION = 16
MOST_SIDES = 8
"""Sides that are told one by one; of a rounder outline nobody measures each."""


def bar_text(bar_mm: float, unit: Unit) -> str:
    """How far off something may be, rounded up to what lengths are written in."""
    step = MM_PER_IN / _FRACTION if is_imperial(unit) else 1.0
    return f"± {write_length(math.ceil(round(bar_mm / step, 6)) * step, unit, fraction=_FRACTION)}"


def length_text(length: Length, unit: Unit) -> str:
    """A length with its bar."""
    return f"{write_length(length.mm, unit, fraction=_FRACTION)} {bar_text(length.bar_mm, unit)}"


def known_text(found: Length, known_mm: float, unit: Unit) -> str:
    """What a tape says beside what was measured."""
    off = write_length(abs(found.mm - known_mm), unit, fraction=_FRACTION)
    within = "within the bar" if found.holds(known_mm) else "outside the bar: one of twenty may be, not more"
    return f"the tape says {write_length(known_mm, unit, fraction=_FRACTION)}: the photograph is {off} off, {within}"


def measured_text(name: str, pages: Sequence[int], found: MeasuredOutline | Length, unit: Unit) -> str:
    """What was measured in the picture of this name, with the marker pages that it was measured by."""
    by = f"{name}, by marker page{'' if len(pages) == 1 else 's'} {' and '.join(map(str, pages))}"
    if isinstance(found, Length):
        return f"{by}: {length_text(found, unit)}\n{BY_TAPE}\n"
    sides = [f"side {number}: {told}" for number, told in enumerate(sides_told(found, unit), 1)]
    return "\n".join([by, *sides, *outline_lines(found, unit), BY_TAPE]) + "\n"


def rows_words(seen: RowsSeen) -> str:
    """A candidate for the rows: which way they run, how far apart, the repeats along and across them.

    In mm, as no fraction of an inch is fine enough for rows.
    """
    rows = seen.rows
    told = [f"rows run {rows.bearing_deg:.1f} ± {max(rows.bar_deg, 0.1):.1f} degrees clockwise from the page's top"]
    told += [f"{fine_text(rows.apart)} apart" if rows.apart else "how far apart is not seen"]
    told += [] if seen.along or seen.across else ["no repeat of a pattern is seen"]
    repeats = ((seen.along, "along"), (seen.across, "across"))
    return "; ".join(
        [", ".join(told), *(f"the pattern repeats every {fine_text(each)} {way} them" for each, way in repeats if each)]
    )


def fine_text(length: Length) -> str:
    """A small length with its bar, to a hundredth of a mm."""
    return f"{length.mm:.2f} ± {math.ceil(length.bar_mm * 100) / 100:.2f} mm"


def sides_told(found: MeasuredOutline, unit: Unit) -> tuple[str, ...]:
    """Each side with its bar; none of an outline that is too round for it."""
    return () if len(found.sides) > MOST_SIDES else tuple(length_text(side, unit) for side in found.sides)


def outline_lines(found: MeasuredOutline, unit: Unit) -> tuple[str, ...]:
    """What is said of an outline beside its sides: how far it reaches where they aren't told, and how far off it may be."""
    told = f"no corner lies off the true shape by more than {bar_text(found.bar_mm, unit).removeprefix('± ')}, 95 times of 100"
    if len(found.sides) <= MOST_SIDES:
        return (told,)
    across, up = found.extent
    return f"{len(found.ring)} corners; across {length_text(across, unit)}, up {length_text(up, unit)}", told


def step_of(found: ShadeStep, tag: str) -> MeasuredStep:
    """The step as a job tells it of a piece."""
    return MeasuredStep(tag, found.delta_e, found.bar, found.graded, found.graded_bar)


def step_lines(found: ShadeStep) -> tuple[str, ...]:
    """A step in shade in words: how large, which way, as the grey scale has it, and how far it is to be believed."""
    bar = math.ceil(round(found.bar * 10, 6)) / 10
    best, worst = (grey_grade(each) for each in (max(0.0, found.graded - found.graded_bar), found.graded + found.graded_bar))
    grades = best.value if best is worst else f"{best.value} at best, {worst.value} at worst"
    way = [f"{abs(value):.1f} {more if value > 0 else less}" for value, (less, more) in zip(found.apart, _WAYS, strict=True)]
    return (
        f"the other carpet is ΔE00 {found.delta_e:.1f} ± {bar:.1f} from the floor: {', '.join(way)}; grey scale {grades}",
        "this was tried on photographs drawn by a program, no real phone was tried yet: hold both side by side in the room too",
    )
