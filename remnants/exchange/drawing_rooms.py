"""Rooms in a DXF drawing: closed polylines, layer by layer. Curved stretches become corners within a quarter of a millimetre.

What reads drawings comes with the extra `drawings`, and is loaded when there is one to read.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from remnants.errors import BadFile, BadInput, BadOutline, Fault
from remnants.exchange.source import read_bytes
from remnants.geometry import Outline, Ring
from remnants.geometry.bands import holds
from remnants.geometry.outline import SAGITTA_MM, area_mm2, ring_of
from remnants.late import Late
from remnants.limits import DRAWING_BYTES, DRAWING_CORNERS, ROOMS
from remnants.units import Unit, parse_length

if TYPE_CHECKING:
    import numpy
    from ezdxf import filemanagement as dxf_files
    from ezdxf import path as dxf_path
    from ezdxf.document import Drawing
    from ezdxf.entities import lwpolyline, polyline
else:
    numpy = Late("numpy")
    dxf_files, dxf_path = Late("ezdxf.filemanagement"), Late("ezdxf.path")
    lwpolyline, polyline = Late("ezdxf.entities.lwpolyline"), Late("ezdxf.entities.polyline")

__all__ = ["DWG", "Layers", "a_drawing_that_is_sound", "layers_of", "read_drawing", "refuse_dwg", "refuse_where_none_are_read"]

_UNITS = {1: Unit.IN, 2: Unit.FT, 4: Unit.MM, 5: Unit.CM, 6: Unit.M}
"""Codes of $INSUNITS in the DXF reference."""

logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what is wrong with a drawing is told in our own words
DWG = b"AC10"
"""How a DWG drawing begins."""

FURTHEST_MM = 10_000_000.0
"""Where a corner may lie: drawings may be in the coordinates of a map's sheet, but an arc that leaves it is no wall."""

LONGEST_MM = 1_000_000.0
"""As no outline is longer, no arc has more than some thousand corners."""

Layers: TypeAlias = dict[str, tuple[tuple[Ring, ...], ...]]
"""Per layer its rooms, each as (outline, island, ...) in mm; largest first."""


def refuse_where_none_are_read(name: str) -> None:
    """Raises BadFile at `name` where what reads drawings is not installed."""
    if find_spec("ezdxf") is None:
        what = "drawings can't be read: their reader is not installed; `pip install 'remnants[drawings]'` brings it"
        raise BadFile([Fault(name, what)])


def read_drawing(path: Path, unit: Unit) -> Layers:
    """The rooms of a drawing. `unit` holds where the drawing states none.

    Raises BadFile: missing, no DXF drawing, without any closed polyline, or with an outline that crosses itself (all are told);
    or where what reads drawings is not installed.
    """
    name = str(path)
    refuse_dwg(read_bytes(path, DRAWING_BYTES), name)
    refuse_where_none_are_read(name)
    with a_drawing_that_is_sound(name):
        return layers_of(dxf_files.readfile(path), name, unit)


def refuse_dwg(data: bytes, name: str) -> None:
    """Raises BadFile at `name` for a drawing in the format that drawing programs keep for themselves."""
    if data.startswith(DWG):
        raise BadFile([Fault(name, "a DWG drawing can't be read; save it as DXF text (ASCII) and give that")])


@contextmanager
def a_drawing_that_is_sound(name: str) -> Iterator[None]:
    """Raises BadFile at `name` for whatever the reader of drawings stumbles over, which has many names, in one that is not."""
    try:
        yield
    except BadInput:
        raise
    except Exception:
        what = "no DXF drawing that can be read, or it breaks off; save it anew as DXF text (ASCII)"
        raise BadFile([Fault(name, what)]) from None


def layers_of(drawing: Drawing, name: str, unit: Unit, *, sure: bool = False, most: int = ROOMS) -> Layers:
    """The rooms of a drawing that was read. `unit` holds where it states none, and with `sure` in any case.

    Raises BadFile at `name`: no closed polyline, or over `most`; at its layer: an outline that crosses itself or is no wall.
    """
    scale = parse_length(1.0, unit if sure else _UNITS.get(drawing.header.get("$INSUNITS", 0), unit))
    rings: dict[str, list[Ring]] = {}
    faults: list[Fault] = []
    outlines = corners = 0
    for entity in drawing.modelspace().query("LWPOLYLINE POLYLINE"):
        if not isinstance(entity, lwpolyline.LWPolyline | polyline.Polyline) or not entity.is_closed:
            continue
        layer = str(entity.dxf.layer)
        try:
            points = _corners(entity, scale)
            outlines, corners = outlines + 1, corners + len(points)
            if outlines > most or corners > DRAWING_CORNERS * most:
                large = f"over {most} closed polylines, or {DRAWING_CORNERS * most} corners"
                raise BadFile([Fault(name, f"{large}; keep only the outlines of the rooms in it")])
            rings.setdefault(layer, []).append(ring_of(points))
        except BadOutline as error:
            faults += [Fault(f"layer {layer!r}", fault.what) for fault in error.faults]
    if faults:
        raise BadFile(faults)
    if not rings:
        raise BadFile([Fault(name, "there is no closed polyline in it; draw each room as one")])
    return {layer: _nested(found) for layer, found in sorted(rings.items())}


def _corners(outline: lwpolyline.LWPolyline | polyline.Polyline, scale: float) -> list[tuple[float, float]]:
    """Its corners in mm, arcs within a quarter of a millimetre. Raises BadOutline for what is larger than a floor."""
    try:
        with numpy.errstate(all="ignore"):  # an arc beyond all figures comes out as no place
            path = dxf_path.make_path(outline)
        places = [(point.x * scale, point.y * scale) for point in path.control_vertices()]
    except (ArithmeticError, ValueError):
        raise BadOutline([Fault("", "has corners that are no places")]) from None
    spans = [max(values) - min(values) for values in zip(*places, strict=True)]
    within = all(abs(value) <= FURTHEST_MM for place in places for value in place)
    if not within or not all(span <= LONGEST_MM for span in spans):
        raise BadOutline([Fault("", "reaches further than a kilometre: it is no room, or the drawing is in another unit")])
    return [(point.x * scale, point.y * scale) for point in path.flattening(SAGITTA_MM / scale)]


def _nested(rings: list[Ring]) -> tuple[tuple[Ring, ...], ...]:
    """Rings inside another are its islands."""
    rooms: list[list[Ring]] = []
    for ring in sorted(rings, key=lambda ring: (-area_mm2(ring), ring)):
        around = next((room for room in rooms if holds(Outline(room[0]), ring)), None)
        if around is None:
            rooms.append([ring])
        else:
            around.append(ring)
    return tuple(tuple(room) for room in rooms)
