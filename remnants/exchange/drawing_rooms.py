"""Rooms in a DXF drawing that lies in a file: read whole, or layer by layer for a rooms file that names layers of it.

What reads drawings comes with the extra `drawings`, and is loaded when there is one to read.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.plans.drawn import LayerSeen
from remnants.exchange.plans.dxf import dxf_drawn, dxf_layers
from remnants.exchange.plans.pdf import PDF, page_seen, pdf_drawn
from remnants.exchange.plans.rooms import PlanRead, plan_rooms
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.reading import Note, quiet
from remnants.exchange.source import read_bytes
from remnants.geometry import Ring
from remnants.late import Late
from remnants.limits import DRAWING_BYTES
from remnants.model.page_seen import PageSeen
from remnants.units import Unit

if TYPE_CHECKING:
    from ezdxf import filemanagement as dxf_files
else:
    dxf_files = Late("ezdxf.filemanagement")

__all__ = [
    "DWG",
    "Layers",
    "a_drawing_that_is_sound",
    "read_drawing",
    "read_layers",
    "read_page",
    "read_plan",
    "refuse_dwg",
    "refuse_where_none_are_read",
]

logging.getLogger("ezdxf").addHandler(logging.NullHandler())  # what is wrong with a drawing is told in our own words
DWG = b"AC10"
"""How a DWG drawing begins."""

Layers: TypeAlias = dict[str, tuple[tuple[Ring, ...], ...]]
"""Per layer its rooms, each as (outline, island, ...) in mm; largest first."""


def refuse_where_none_are_read(name: str) -> None:
    """Raises BadFile at `name` where what reads drawings is not installed."""
    if find_spec("ezdxf") is None or find_spec("pdfminer") is None:
        what = "drawings can't be read: their reader is not installed; `pip install 'remnants[drawings]'` brings it"
        raise BadFile([Fault(name, what)])


def read_plan(path: Path, said: PlanSaid, unit: Unit) -> PlanRead:
    """The rooms of a drawing, sizes told in `unit`.

    Raises BadFile: missing, no drawing, what `plan_rooms` asks about (all is told); or where what reads drawings is not
    installed.
    """
    name = str(path)
    data = read_bytes(path, DRAWING_BYTES)
    refuse_dwg(data, name)
    refuse_where_none_are_read(name)
    if data.startswith(PDF):
        return plan_rooms(pdf_drawn(data, name, said, unit), name, said, unit)
    with a_drawing_that_is_sound(name):
        return plan_rooms(dxf_drawn(dxf_files.readfile(path), name, said), name, said, unit)


def read_layers(path: Path) -> tuple[LayerSeen, ...]:
    """The layers of a drawing, in whichever unit it is; of a PDF the widths of its lines. Raises BadFile as `read_plan`."""
    name, data = str(path), read_bytes(path, DRAWING_BYTES)
    refuse_dwg(data, name)
    refuse_where_none_are_read(name)
    if data.startswith(PDF):
        return pdf_drawn(data, name, PlanSaid(scale=1.0)).layers
    with a_drawing_that_is_sound(name):
        return dxf_layers(dxf_files.readfile(path), name)


def read_page(path: Path, number: int = 1) -> PageSeen:
    """The lines of a page of a PDF, to choose one whose length is known. Raises BadFile as `read_plan`, and where it is none."""
    name, data = str(path), read_bytes(path, DRAWING_BYTES)
    refuse_where_none_are_read(name)
    if not data.startswith(PDF):
        raise BadFile([Fault(name, "only of a PDF lines are numbered: a DXF drawing has a unit of its own")])
    return page_seen(data, name, number)


def read_drawing(path: Path, unit: Unit, *, note: Note = quiet) -> Layers:
    """The rooms of a drawing on each layer by itself; what lies in one is its island. `unit` holds where the drawing states none.

    What was left out is noted.

    Raises BadFile as `read_plan`.
    """
    read = read_plan(path, PlanSaid(unit_unstated=unit, all_islands=True, every_layer=True), unit)
    for told in read.notes:
        note(Fault(str(path), told))
    layers: dict[str, list[tuple[Ring, ...]]] = {}
    for room in read.rooms:
        layers.setdefault(room.layer, []).append((room.ring, *room.islands))
    return {layer: tuple(rooms) for layer, rooms in sorted(layers.items())}


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
