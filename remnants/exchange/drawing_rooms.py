"""Rooms in a DXF drawing: closed polylines, layer by layer. Curved stretches become corners within a quarter of a millimetre."""

from pathlib import Path

from ezdxf import path as dxf_path
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError

from remnants.errors import BadFile, BadOutline, Fault
from remnants.exchange.source import LARGEST_BYTES
from remnants.geometry import Outline, Ring
from remnants.geometry.bands import holds
from remnants.geometry.outline import SAGITTA_MM, area_mm2, ring_of
from remnants.units import Unit, parse_length

__all__ = ["read_drawing"]

_UNITS = {1: Unit.IN, 2: Unit.FT, 4: Unit.MM, 5: Unit.CM, 6: Unit.M}
"""Codes of $INSUNITS in the DXF reference."""


def read_drawing(path: Path, unit: Unit) -> dict[str, tuple[tuple[Ring, ...], ...]]:
    """Per layer its rooms, each as (outline, island, ...) in mm; largest first. `unit` holds where the drawing states none.

    Raises BadFile: missing, no DXF drawing, without any closed polyline, or with an outline that crosses itself (all are told).
    """
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadFile([Fault(str(path), "too large to be a drawing of rooms")])
        drawing = readfile(path)
    except (OSError, DXFError, UnicodeError) as error:
        if isinstance(error, OSError) and error.strerror:
            raise BadFile([Fault(str(path), f"can't be read ({error.strerror})")]) from None
        raise BadFile([Fault(str(path), f"no DXF drawing that can be read ({error})")]) from None
    scale = parse_length(1.0, _UNITS.get(drawing.header.get("$INSUNITS", 0), unit))
    rings: dict[str, list[Ring]] = {}
    faults: list[Fault] = []
    for entity in drawing.modelspace().query("LWPOLYLINE POLYLINE"):
        if not isinstance(entity, LWPolyline | Polyline) or not entity.is_closed:
            continue
        layer = str(entity.dxf.layer)
        points = [(point.x * scale, point.y * scale) for point in dxf_path.make_path(entity).flattening(SAGITTA_MM / scale)]
        try:
            rings.setdefault(layer, []).append(ring_of(points))
        except BadOutline as error:
            faults += [Fault(f"layer {layer!r}", fault.what) for fault in error.faults]
    if faults:
        raise BadFile(faults)
    if not rings:
        raise BadFile([Fault(str(path), "there is no closed polyline in it; draw each room as one")])
    return {layer: _nested(found) for layer, found in sorted(rings.items())}


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
