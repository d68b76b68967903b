"""A DXF drawing of rooms that somebody sent, as a rooms file that holds them: read with care, since anybody may have made it."""

from io import StringIO
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from remnants.errors import BadFile, Fault
from remnants.exchange.drawing_rooms import (
    DWG,
    Layers,
    a_drawing_that_is_sound,
    layers_of,
    refuse_dwg,
    refuse_where_none_are_read,
)
from remnants.geometry import Ring
from remnants.late import Late
from remnants.limits import SENT_DRAWING_BYTES, SENT_OUTLINES
from remnants.units import Unit, parse_length, write_length

if TYPE_CHECKING:
    from ezdxf import filemanagement as dxf_files
else:
    dxf_files = Late("ezdxf.filemanagement")

__all__ = ["is_drawing", "rooms_of_sent"]

LEAST_MM, MOST_MM = 300.0, 100_000.0
"""What a room measures at the least and at the most each way (common practice, no source): beyond it the unit is wrong."""

_BINARY = b"AutoCAD Binary DXF"


def is_drawing(data: bytes, name: str) -> bool:
    """Whether a file that was sent is meant as a drawing, by its content. The name only tells which refusal helps."""
    start = data[:400].lstrip(b"\xef\xbb\xbf \t\r\n")
    told = start.startswith((_BINARY, DWG)) or (start.split(maxsplit=1)[:1] in ([b"0"], [b"999"]) and b"SECTION" in data[:4000])
    return told or (not start.startswith(b"{") and PurePath(name).suffix.lower() in (".dxf", ".dwg"))


def rooms_of_sent(data: bytes, name: str, *, unit: Unit | None, reader: Unit) -> dict[str, Any]:
    """The rooms file of a drawing: every closed polyline a room named for its layer, those inside another its islands.

    The drawing is in `unit`, or in the one that it states, or else in the reader's; the rooms file is in the reader's. Raises
    BadFile, at the room or layer where it is the fault of one.
    """
    layers = _layers(data, unit or reader, sure=unit is not None)
    scale = parse_length(1.0, reader)
    rooms, faults = [], []
    for layer, drawn in layers.items():
        for index, rings in enumerate(drawn):
            own = f"{layer} {index + 1}" if len(drawn) > 1 else layer
            faults += _size_faults(own, rings[0], reader)
            ring, *islands = ([[round(x / scale, 6), round(y / scale, 6)] for x, y in each] for each in rings)
            rooms.append({"name": own, "outline": ring, "islands": islands})
    if faults:
        raise BadFile(faults)
    return {"unit": reader.value, "order": PurePath(name).stem[:80], "rooms": rooms}


def _layers(data: bytes, unit: Unit, *, sure: bool) -> Layers:
    if len(data) > SENT_DRAWING_BYTES:
        raise BadFile(f"over {SENT_DRAWING_BYTES // 2**20} MB; keep only the outlines of the rooms in the drawing")
    if data.startswith(_BINARY):
        raise BadFile("a binary drawing can't be sent; save it as DXF text (ASCII) and send that")
    refuse_dwg(data, "")
    refuse_where_none_are_read("")
    with a_drawing_that_is_sound(""):
        return layers_of(dxf_files.read(StringIO(_text(data))), "the drawing", unit, sure=sure, most=SENT_OUTLINES)


def _text(data: bytes) -> str:
    """Newer drawings are UTF-8; in older ones only the names of layers have letters beyond ASCII."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _size_faults(name: str, ring: Ring, reader: Unit) -> list[Fault]:
    sides = [max(values) - min(values) for values in zip(*ring, strict=True)]
    if all(LEAST_MM <= side <= MOST_MM for side in sides):
        return []
    across, up = (write_length(side, reader) for side in sides)
    return [Fault(name, f"would be {across} × {up}: say which unit the drawing is in, or leave out of it what is no room")]
