"""Outlines out of photographs as a job and a stock file tell them: on the safe side by their bar, and marked as measured so."""

import math
from collections.abc import Mapping
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.geometry.grow import drawn_in
from remnants.geometry.outline import Outline, bounds, ring_of
from remnants.model.damage import USUAL_MARGIN_MM
from remnants.photo.measures import MeasuredOutline, Point
from remnants.units import Unit, parse_length, to_unit

__all__ = ["damaged_entry", "page_beside", "piece_entry", "piece_ring", "turned_ring"]

_PLACES = 6
"""Of a coordinate in a file: no unit is so large that less than a micrometre is lost."""

_HAS_A_SIZE = ("damage", "outline", "width", "length", "centre", "radius", "diameter")
"""Keys of a patch that tell where it is already."""


def damaged_entry(
    job: Mapping[str, Any], found: MeasuredOutline, digest: str, page_at: tuple[float, ...] | None
) -> dict[str, Any]:
    """The job with its one patch without a size told by this damage; its margin grows by the bar.

    `page_at` is where the middle of the first page lies in the room, in the job's unit, and how many degrees clockwise its top
    is turned from +y; without it the damage lies at (0, 0). Raises BadInput where no patch, or more than one, waits for damage.
    """
    patches = job.get("patches")
    items = patches if isinstance(patches, list) else []
    open_ones = [
        at
        for at, item in enumerate(items)
        if isinstance(item, Mapping) and not any(item.get(key) is not None for key in _HAS_A_SIZE)
    ]
    if len(open_ones) != 1:
        what = f"{len(open_ones)} patches of the job wait for damage from a photograph: leave size and damage out of one alone"
        raise BadInput([Fault("patches", what)])
    (at,) = open_ones
    unit = Unit(str(job.get("unit", "")))
    if page_at is None and (job.get("rooms") or items[at].get("room")):
        what = "say where in the room the page lies: --page-at X,Y of its middle, and the degrees that its top is turned"
        raise BadInput([Fault("--page-at", what)])
    own = items[at].get("margin")
    margin_mm = (USUAL_MARGIN_MM if own is None else parse_length(own, unit)) + found.bar_mm
    ring = ring_of(_placed(found.ring, page_at, unit))
    told = _marks(found, digest, unit) | {"damage": _points(ring, unit), "margin": to_unit(margin_mm, unit)}
    told |= _page_told(found, page_at, unit)
    return {**job, "patches": [*items[:at], {**items[at], **told}, *items[at + 1 :]]}


def piece_entry(found: MeasuredOutline, digest: str, unit: Unit) -> dict[str, Any]:
    """The keys of a piece with this outline, drawn in by its bar; it begins at (0, 0), the page's top up its length.

    Raises BadInput where nothing would be left of it.
    """
    ring, _ = piece_ring(found)
    return _marks(found, digest, unit) | {"outline": _points(ring, unit)}


def piece_ring(found: MeasuredOutline) -> tuple[tuple[Point, ...], Point]:
    """The outline of a piece, drawn in by its bar and from (0, 0), and where that lies (mm, axes of the page).

    Raises BadInput where nothing would be left of it.
    """
    left = drawn_in(Outline(ring_of(found.ring)), found.bar_mm)
    if len(left) != 1:
        what = f"of this outline too little is left once it is drawn in by its bar of {found.bar_mm:.0f} mm: measure with a tape"
        raise BadInput([Fault("--corners", what)])
    x, y, _, _ = bounds(left[0].ring)
    return tuple((corner[0] - x, corner[1] - y) for corner in left[0].ring), (x, y)


def turned_ring(found: MeasuredOutline, top_deg: float) -> tuple[Point, ...]:
    """The outline (mm) where the page's top points so many degrees clockwise from +y; its lower left corner is (0, 0)."""
    ring = _turned(found.ring, top_deg)
    x, y = (min(axis) for axis in zip(*ring, strict=True))
    return tuple((corner[0] - x, corner[1] - y) for corner in ring)


def page_beside(found: MeasuredOutline, top_deg: float) -> Point:
    """Where the page's middle lies from the lower left corner (0, 0) of `turned_ring` (mm)."""
    x, y = (min(axis) for axis in zip(*_turned(found.ring, top_deg), strict=True))
    return -x, -y


def _marks(found: MeasuredOutline, digest: str, unit: Unit) -> dict[str, Any]:
    return {"photo_bar": to_unit(found.bar_mm, unit), "photo_digest": digest}


def _page_told(found: MeasuredOutline, page_at: tuple[float, ...] | None, unit: Unit) -> dict[str, Any]:
    """Where the page lies, as the keys of a patch; without a room the damage lies at (0, 0)."""
    if page_at is None:
        x, y, _, _ = bounds(found.ring)
        return {"photo_at": [round(to_unit(-part, unit), _PLACES) for part in (x, y)]}
    across, up, *turn = page_at
    return {"photo_at": [across, up], **({"photo_turn": turn[0]} if turn else {})}


def _placed(ring: tuple[Point, ...], page_at: tuple[float, ...] | None, unit: Unit) -> list[Point]:
    """The outline in the axes of the room, mm."""
    if page_at is None:
        x, y, _, _ = bounds(ring)
        return [(corner[0] - x, corner[1] - y) for corner in ring]
    across, up, *turn = page_at
    x_mm, y_mm = parse_length(across, unit), parse_length(up, unit)
    return [(x_mm + x, y_mm + y) for x, y in _turned(ring, turn[0] if turn else 0.0)]


def _turned(ring: tuple[Point, ...], clockwise_deg: float) -> list[Point]:
    cos, sin = math.cos(-math.radians(clockwise_deg)), math.sin(-math.radians(clockwise_deg))
    return [(x * cos - y * sin, x * sin + y * cos) for x, y in ring]


def _points(ring: tuple[Point, ...], unit: Unit) -> list[list[float]]:
    return [[round(to_unit(x, unit), _PLACES), round(to_unit(y, unit), _PLACES)] for x, y in ring]
