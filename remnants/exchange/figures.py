"""Figures as our files write them: in the file's unit, whole where they are whole, without float dust."""

from collections.abc import Iterable
from typing import Any

from remnants.geometry import Point
from remnants.units import Unit, to_unit

__all__ = ["corners", "degrees", "figure", "given_only"]


def figure(length_mm: float | None, unit: Unit) -> float | None:
    """A length (mm) as a number of `unit`; None stays None."""
    return None if length_mm is None else _tidy(to_unit(length_mm, unit))


def degrees(value_deg: float) -> float:
    """A turn or bearing as written, to a billionth of a degree."""
    return _tidy(round(value_deg, 9))


def corners(points: Iterable[Point], unit: Unit) -> list[list[float]]:
    """Points (mm) as `[[x, y], ...]` in `unit`."""
    return [[_tidy(to_unit(x, unit)), _tidy(to_unit(y, unit))] for x, y in points]


def given_only(**entries: Any) -> dict[str, Any]:
    """The entries that are not None."""
    return {key: value for key, value in entries.items() if value is not None}


def _tidy(value: float) -> float:
    return int(value) if value == int(value) else value
