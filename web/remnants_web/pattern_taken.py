"""The rows and the repeat taken over from a flattened photograph, as forms carry them on. Pile is never among them."""

import math

from remnants.actions.flat_photos import Length, RowsSeen
from remnants.actions.measured_style import PatternSeen, seen_in
from remnants.errors import BadInput, Fault
from remnants.report.measured_text import length_text
from remnants_web.shapes import Form
from remnants_web.words import reader_unit

__all__ = ["TAKEN", "pattern_in", "row_bearing_in", "taken_from", "taken_words"]

TAKEN = ("bearing", "repeat_across", "repeat_along", "repeat_bar")
"""Fields beside `row`: which way rows run, degrees clockwise from the page's top, and the repeat with its bar, mm."""

_MOST_MM = 2000.0
"""A photograph holds no longer repeat."""


def taken_from(candidate: RowsSeen) -> dict[str, str]:
    """The fields that a candidate fills; those that it doesn't tell are emptied."""
    seen = seen_in(candidate)
    lengths = (seen.across, seen.along) if seen.repeats else (None, None)
    across, along = (f"{each.mm:.2f}" if each else "" for each in lengths)
    return {
        "bearing": f"{candidate.rows.bearing_deg:.2f}",
        "row": f"{seen.row_mm:.2f} mm" if seen.row_mm is not None else "",
        "repeat_across": across,
        "repeat_along": along,
        "repeat_bar": f"{math.ceil(seen.bar_mm * 100) / 100:.2f}" if seen.repeats else "",
    }


def taken_words(form: Form) -> tuple[str, ...]:
    """What was taken, in words; a figure that can't be read says nothing."""
    try:
        bearing, seen = row_bearing_in(form), pattern_in(form)
    except BadInput:
        return ()
    told = () if bearing is None else (f"rows run {bearing:.1f} degrees clockwise from the page's top",)
    rows = () if seen.row_mm is None else (f"they are {seen.row_mm:.2f} mm apart",)
    if not (seen.across and seen.along):
        return *told, *rows
    across, along = (length_text(each, reader_unit()) for each in (seen.across, seen.along))
    return *told, *rows, f"the pattern repeats every {across} across them and every {along} along them"


def row_bearing_in(form: Form) -> float | None:
    """Which way the rows run (degrees clockwise from the page's top, 0 to 180); None where none were taken. Raises BadInput."""
    bearing = _figure(form, "bearing", 360.0)
    return None if bearing is None else bearing % 180.0


def pattern_in(form: Form) -> PatternSeen:
    """What describes the style. Raises BadInput at the form's fields."""
    across, along, bar = (_figure(form, field, _MOST_MM) for field in TAKEN[1:])
    text = form.get("row", "").strip().removesuffix("mm")
    row_mm = _figure({"row": text}, "row", _MOST_MM)
    if not (across and along and bar):
        return PatternSeen(row_mm=row_mm or None)
    return PatternSeen(Length(across, bar), Length(along, bar), row_mm or None)


def _figure(form: Form, field: str, most: float) -> float | None:
    text = form.get(field, "").strip()
    if not text:
        return None
    try:
        figure = float(text)
    except ValueError:
        figure = math.nan
    if not 0.0 <= figure <= most:
        raise BadInput([Fault(field, f"{text[:40]!r} is not what the photograph told: go back, and take the rows again")])
    return figure
