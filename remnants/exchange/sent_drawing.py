"""A DXF drawing of rooms that somebody sent, as a rooms file that holds them: read with care, since anybody may have made it."""

from dataclasses import dataclass, replace
from io import StringIO
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from remnants.errors import BadFile
from remnants.exchange.drawing_rooms import DWG, a_drawing_that_is_sound, refuse_dwg, refuse_where_none_are_read
from remnants.exchange.plans.drawn import LayerSeen
from remnants.exchange.plans.dxf import dxf_drawn, dxf_layers
from remnants.exchange.plans.pdf import PDF, page_seen, pdf_drawn
from remnants.exchange.plans.rooms import PlanRead, plan_rooms, rooms_file
from remnants.exchange.plans.said import PlanSaid
from remnants.late import Late
from remnants.limits import SENT_DRAWING_BYTES, SENT_OUTLINES
from remnants.model.page_seen import PageSeen
from remnants.units import Unit

if TYPE_CHECKING:
    from ezdxf import filemanagement as dxf_files
else:
    dxf_files = Late("ezdxf.filemanagement")

__all__ = ["Looked", "is_drawing", "layers_of_sent", "plan_of_sent", "rooms_of_sent"]

_BINARY = b"AutoCAD Binary DXF"


def is_drawing(data: bytes, name: str) -> bool:
    """Whether a file that was sent is meant as a drawing, by its content. The name only tells which refusal helps."""
    start = data[:400].lstrip(b"\xef\xbb\xbf \t\r\n")
    told = start.startswith((_BINARY, DWG, PDF))
    told = told or (start.split(maxsplit=1)[:1] in ([b"0"], [b"999"]) and b"SECTION" in data[:4000])
    return told or (not start.startswith(b"{") and PurePath(name).suffix.lower() in (".dxf", ".dwg", ".pdf"))


def rooms_of_sent(data: bytes, name: str, said: PlanSaid, reader: Unit) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The rooms file of a drawing, in the reader's unit, and what was left out of it. Raises BadFile as `plan_of_sent`."""
    read = plan_of_sent(data, said, reader)
    return rooms_file(read, name, reader), read.notes


@dataclass(frozen=True)
class Looked:
    """What a drawing that was sent holds, before it is read: its layers, and of a PDF the page with its lines."""

    layers: tuple[LayerSeen, ...]
    page: PageSeen | None = None


def layers_of_sent(data: bytes, number: int = 1) -> Looked:
    """The layers of a drawing that was sent; of a PDF those of a page, else the widths of its lines. Raises BadFile."""
    _refuse_unreadable(data)
    if data.startswith(PDF):
        layers = pdf_drawn(data, "the drawing", PlanSaid(scale=1.0, page=number)).layers
        return Looked(layers, page_seen(data, "the drawing", number))
    with a_drawing_that_is_sound(""):
        return Looked(dxf_layers(dxf_files.read(StringIO(_text(data))), "the drawing"))


def plan_of_sent(data: bytes, said: PlanSaid, reader: Unit) -> PlanRead:
    """The rooms of a drawing that was sent. Raises BadFile, at the entity or layer where it is the fault of one."""
    _refuse_unreadable(data)
    said = replace(said, most=SENT_OUTLINES)
    if data.startswith(PDF):
        return plan_rooms(pdf_drawn(data, "the drawing", said, reader), "the drawing", said, reader)
    with a_drawing_that_is_sound(""):
        return plan_rooms(dxf_drawn(dxf_files.read(StringIO(_text(data))), "the drawing", said), "the drawing", said, reader)


def _refuse_unreadable(data: bytes) -> None:
    if len(data) > SENT_DRAWING_BYTES:
        raise BadFile(f"over {SENT_DRAWING_BYTES // 2**20} MB; keep only the outlines of the rooms in the drawing")
    if data.startswith(_BINARY):
        raise BadFile("a binary drawing can't be sent; save it as DXF text (ASCII) and send that")
    refuse_dwg(data, "")
    refuse_where_none_are_read("")


def _text(data: bytes) -> str:
    """Newer drawings are UTF-8; in older ones only the names of layers have letters beyond ASCII."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
