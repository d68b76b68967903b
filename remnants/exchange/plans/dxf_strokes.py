"""Entities of a DXF drawing as strokes: lines, polylines, arcs, ellipses, splines, the edges of hatches. Lengths are millimetres.

Curves are flattened by the reader of drawings to a sixteenth of a millimetre.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from remnants.errors import BadOutline, Fault
from remnants.exchange.plans.drawn import Spot, Stroke
from remnants.geometry import TOLERANCE_MM, Point
from remnants.geometry.outline import SAGITTA_MM
from remnants.late import Late

if TYPE_CHECKING:
    import numpy
    from ezdxf import path as dxf_path
else:
    numpy, dxf_path = Late("numpy"), Late("ezdxf.path")

__all__ = ["CURVE_MM", "FURTHEST_MM", "strokes_of"]

CURVE_MM = SAGITTA_MM / 4
"""How far a flattened curve may stray from it: what makes a room no smaller moves its corners out by four times that at most."""

FURTHEST_MM = 10_000_000.0
"""Where a corner may lie: drawings may be in the coordinates of a map's sheet, but an arc that leaves it is no wall."""

LONGEST_MM = 1_000_000.0
"""As no outline is longer, no arc has more than some thousand corners."""

CURVES = ("CIRCLE", "ARC", "ELLIPSE", "SPLINE")
TOO_FAR = "reaches further than a kilometre: it is no room, or the drawing is in another unit"


def strokes_of(entity: Any, spot: Spot, unit_mm: float) -> tuple[Stroke, ...] | None:
    """The strokes of an entity; none of what has no line of its own, None of a kind that isn't read.

    Raises BadOutline for corners that are no places, and for what is larger than a floor.
    """
    try:
        with numpy.errstate(all="ignore"):  # an arc beyond all figures comes out as no place
            made = _made(entity, spot, unit_mm)
            return None if made is None else tuple(stroke for stroke in made if len(stroke.points) > 1)
    except BadOutline:
        raise
    except (ArithmeticError, ValueError, TypeError, LookupError, AttributeError):
        raise BadOutline([Fault("", "has corners that are no places")]) from None


def _made(entity: Any, spot: Spot, unit_mm: float) -> Iterable[Stroke] | None:
    kind = entity.dxftype()
    if kind in ("HATCH", "MPOLYGON"):
        return _of_hatch(entity, spot, unit_mm)
    if kind == "LWPOLYLINE":
        return _of_parts(entity, spot, unit_mm, closed=entity.closed)
    if kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline):
        return _of_parts(entity, spot, unit_mm, closed=entity.is_closed)
    if kind == "MLINE":
        parts = (strokes_of(part, spot, unit_mm) for part in entity.virtual_entities())
        return [stroke for part in parts for stroke in part or ()]
    if kind == "LINE":
        return [Stroke(_placed((entity.dxf.start, entity.dxf.end), unit_mm), False, spot)]
    return [_of_curve(entity, spot, unit_mm)] if kind in CURVES else None


def _of_parts(polyline: Any, spot: Spot, unit_mm: float, *, closed: bool) -> list[Stroke]:
    """A polyline as one stroke, over its lines and arcs."""
    points: list[Point] = []
    curved: set[Point] = set()
    if polyline.dxftype() == "POLYLINE" and polyline.is_3d_polyline:
        points = list(_placed((vertex.dxf.location for vertex in polyline.vertices), unit_mm))
    else:
        for part in polyline.virtual_entities():
            run = _of_curve(part, spot, unit_mm) if part.dxftype() == "ARC" else None
            found = run.points if run else _placed((part.dxf.start, part.dxf.end), unit_mm)
            if points and math.dist(points[-1], found[-1]) < math.dist(points[-1], found[0]):
                found = found[::-1]  # arcs run counter-clockwise, whichever way the polyline does
            elif not points and run and _clockwise(polyline):
                found = found[::-1]
            curved |= run.curved if run else set()
            points += found if not points else found[1:]
    back = len(points) > 2 and math.dist(points[0], points[-1]) <= TOLERANCE_MM
    return [Stroke(tuple(points[:-1] if back else points), closed or back, spot, frozenset(curved))]


def _clockwise(polyline: Any) -> bool:
    """Whether the first stretch of it is an arc that runs clockwise."""
    if polyline.dxftype() == "LWPOLYLINE":
        return float(polyline[0][4]) < 0
    return float(polyline.vertices[0].dxf.bulge) < 0


def _of_curve(curve: Any, spot: Spot, unit_mm: float) -> Stroke:
    """A circle, arc, ellipse or spline, flattened; an arc with its centre."""
    centre = None
    fine = CURVE_MM / unit_mm
    kind = curve.dxftype()
    if kind == "SPLINE":
        _placed((*curve.control_points, *curve.fit_points), unit_mm)
        points = _placed(curve.flattening(fine), unit_mm)
    elif kind == "ELLIPSE":
        (centre,) = _placed((curve.dxf.center,), unit_mm)
        _placed((curve.dxf.center + curve.dxf.major_axis, curve.dxf.center - curve.dxf.major_axis), unit_mm)
        points = _placed(curve.flattening(fine), unit_mm)
    else:
        radius = abs(curve.dxf.radius)
        if not radius * unit_mm <= LONGEST_MM:
            raise BadOutline([Fault("", TOO_FAR)])
        (centre,) = _placed((curve.ocs().to_wcs(curve.dxf.center),), unit_mm)
        points = _placed(curve.flattening(min(fine, radius / 4)), unit_mm)
    closed = len(points) > 2 and math.dist(points[0], points[-1]) <= CURVE_MM
    points = points[:-1] if closed else points
    on_curve = points if closed else points[1:-1]
    return Stroke(points, closed, spot, frozenset(on_curve), None if closed else centre)


def _of_hatch(hatch: Any, spot: Spot, unit_mm: float) -> Iterator[Stroke]:
    """The edges of a hatch."""
    for path in dxf_path.from_hatch(hatch):
        _placed(path.control_vertices(), unit_mm)
        points = _placed(path.flattening(CURVE_MM / unit_mm), unit_mm)
        points = points[:-1] if points[0] == points[-1] else points
        yield Stroke(points, True, spot, frozenset(points) if path.has_curves else frozenset(), filled=True)


def _placed(points: Iterable[Any], unit_mm: float) -> tuple[Point, ...]:
    """The points in mm. Raises BadOutline where they are no places on a floor."""
    placed = tuple((float(point[0]) * unit_mm, float(point[1]) * unit_mm) for point in points)
    if not all(math.isfinite(value) for point in placed for value in point):
        raise BadOutline([Fault("", "has corners that are no places")])
    spans = [max(values) - min(values) for values in zip(*placed, strict=True)]
    if any(abs(value) > FURTHEST_MM for point in placed for value in point) or any(span > LONGEST_MM for span in spans):
        raise BadOutline([Fault("", TOO_FAR)])
    return placed
