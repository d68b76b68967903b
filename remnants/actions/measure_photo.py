"""Measures on the carpet out of a photograph that shows a marker page whose check bar was told."""

from remnants.actions.phone_calibrations import known_phones
from remnants.actions.photo_pages import bar_of, measured_pages
from remnants.model import Lab
from remnants.photo.flat import Flat, flat_picture
from remnants.photo.flattened import flattened
from remnants.photo.measures import Length, MeasuredOutline, Point
from remnants.photo.rows import RowsSeen, rows_seen
from remnants.photo.shade_step import ShadeStep, shade_step
from remnants.photo.stain import Stain, stain_at
from remnants.photo.there import refuse_where_none_are_measured
from remnants.photo.view import View, view_of
from remnants.store import Catalogue

__all__ = [
    "Flat",
    "Length",
    "MeasuredOutline",
    "Point",
    "RowsSeen",
    "ShadeStep",
    "Stain",
    "View",
    "flat_picture",
    "measured_view",
    "rows_round",
    "stain_at",
    "step_round",
]


def measured_view(catalogue: Catalogue | None, photo: bytes, *, name: str, lens_35: float | None = None) -> View:
    """The photograph in the bytes of a file as something to measure in; `catalogue` knows the pages, and the phones
    that were calibrated; None none of them.

    Raises BadFile, at `name` where what reads marks is not installed; NotMeasured, each with what to do.
    """
    refuse_where_none_are_measured(name)
    known = measured_pages(catalogue) if catalogue else {}
    bars = bar_of({page: each.bar_mm for page, each in known.items()})
    return view_of(photo, bars, lens_35=lens_35, calibrations=known_phones(catalogue) if catalogue else ())


def rows_round(view: View, pixel: Point, *, above_mm: float = 0.0) -> tuple[RowsSeen, RowsSeen]:
    """Both candidates for the rows round a pixel of the file, the stronger first. Raises NotMeasured, BadInput."""
    view.refuse_outside([pixel])
    return rows_seen(flattened(view, above_mm=above_mm), view.carpet_at(pixel, above_mm=above_mm))


def step_round(view: View, floor_at: Point, other_at: Point, *, floor: Lab | None = None, above_mm: float = 0.0) -> ShadeStep:
    """The step in shade between the carpets round two pixels of the file. Raises NotMeasured, BadInput."""
    view.refuse_outside([floor_at, other_at])
    one, other = (view.carpet_at(pixel, above_mm=above_mm) for pixel in (floor_at, other_at))
    return shade_step(flattened(view, above_mm=above_mm), one, other, floor=floor)
