"""Measures on the carpet out of a photograph that shows a marker page whose check bar was told."""

from collections.abc import Callable, Mapping

from remnants.actions.photo_pages import PhotoPage, measured_pages, untold
from remnants.photo.flat import Flat, flat_picture
from remnants.photo.measures import Length, MeasuredOutline, Point
from remnants.photo.stain import Stain, stain_at
from remnants.photo.there import refuse_where_none_are_measured
from remnants.photo.view import View, view_of
from remnants.store import Catalogue

__all__ = ["Flat", "Length", "MeasuredOutline", "Point", "Stain", "View", "flat_picture", "measured_view", "stain_at"]


def measured_view(catalogue: Catalogue | None, photo: bytes, *, name: str, lens_35: float | None = None) -> View:
    """The photograph in the bytes of a file as something to measure in; `catalogue` knows the pages, None none of them.

    Raises BadFile, at `name` where what reads marks is not installed; NotMeasured, each with what to do.
    """
    refuse_where_none_are_measured(name)
    return view_of(photo, _bar_of(measured_pages(catalogue) if catalogue else {}), lens_35=lens_35)


def _bar_of(known: Mapping[int, PhotoPage]) -> Callable[[int], float]:
    def bar_of(page: int) -> float:
        if page not in known:
            raise untold(page)
        return known[page].bar_mm

    return bar_of
