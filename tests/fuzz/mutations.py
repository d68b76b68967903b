"""Sound files of every kind that is read, ways to damage them, and what reads each."""

import copy
import io
import json
import random
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
from odf import table, text
from odf.opendocument import OpenDocumentSpreadsheet
from PIL import Image

from remnants.errors import BadInput
from remnants.exchange import read_answer, read_job, read_stock
from remnants.exchange.drawing_rooms import read_drawing
from remnants.exchange.keepsake import kept_picture
from remnants.exchange.lines import pieces_in
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.rooms import read_rooms
from remnants.exchange.sent_drawing import rooms_of_sent
from remnants.exchange.sheet import read_sheet
from remnants.matching.photo import photo_shade
from remnants.units import Unit

__all__ = ["KINDS", "Kind", "damaged", "refused"]

STOCK = {
    "unit": "in",
    "styles": [{"name": "Velder", "construction": "loop", "repeat": {"across": 12, "along": 18, "drop": 0.5}, "row": 0.25}],
    "pieces": [
        {"tag": "R-1", "kind": "remnant", "style": "Velder", "width": 40, "length": "5' 6\"", "pile": 0, "motif": [4, 7]},
        {"tag": "R-2", "kind": "laid", "style": "Fell", "outline": [[0, 0], [9, 0], [9, 9], [0, 9]], "pile": 90, "worn": "worn"},
        {"tag": "R-3", "kind": "kept", "style": "Fell", "centre": [3, 3], "radius": 3, "pile": 0, "lab": [50, 1, 2]},
    ],
}
JOB = {
    "unit": "in",
    "job": "Alder Court 7",
    "allowance": {"seam": 1, "wall": 3, "transition": 3},
    "max_parts": 2,
    "turns": [0],
    "rooms": [
        {
            "name": "Hall",
            "outline": [[0, 0], [120, 0], [120, 40], [0, 40]],
            "doorways": [{"edge": 1, "from": 5, "width": 30, "depth": 2}],
            "lanes": [[[0, 20], [120, 20]]],
            "hidden": [{"centre": [90, 20], "radius": 9}],
            "pile": 90,
        }
    ],
    "patches": [
        {"name": "hall", "room": "hall", "outline": [[0, 0], [38, 0], [38, 14], [0, 14]], "pile": 90, "edges": "seam", "count": 2}
    ],
}
ROOMS = {
    "unit": "ft",
    "roll": {"width": 12, "repeat": {"across": 2, "along": 1}, "step": 0.5},
    "rooms": [
        {"name": "Den", "width": 14, "length": 16, "doorways": [{"edge": 0, "from": 3, "width": 3, "depth": 0.5, "to": "Hall"}]},
        {"name": "Hall", "outline": [[0, 0], [6, 0], [6, 20], [0, 20]], "islands": [[[1, 1], [2, 1], [2, 2]]], "pile": 0},
    ],
    "stairs": [{"name": "Stairs", "steps": 12, "width": 3, "tread": 0.8, "riser": 0.6, "winders": [{"width": 3, "length": 2}]}],
    "prices": [{"currency": "EUR", "amount": "12.50", "per": "m2"}],
}
CSV = 'sep=;\nTag;Style;Width (cm);Length;Qty;Worn\nA-1;Velder;96,5;3\' 2 1/2";2;new\n;Fell;"1 m";40;;worn\nA-3;Fell;40;60;;1\n'
EXTREMES = (
    "",
    "0",
    "-1",
    "1e308",
    "1e-320",
    "NaN",
    "9" * 400,
    "\0",
    "\u202e",
    "x" * 5000,
    "1/0",
    "[" * 900,
    "=1+1",
    "é",
    "\ud800",
)
VALUES: tuple[Any, ...] = (
    None,
    True,
    0,
    -1,
    1e308,
    1e-9,
    10**30,
    "",
    "x",
    "1e999 in",
    "\0",
    [],
    {},
    [[]],
    [[0, 0] for _ in range(5000)],
    {"": 0},
    "5 cm",
)

Read = Callable[[Path], object]


@dataclass(frozen=True)
class Kind:
    """A sound file and what reads it; `parts` says that it is an archive, whose parts are damaged too."""

    name: str
    sound: bytes
    read: Read
    parts: bool = False


def _drawing() -> bytes:
    drawing, out = ezdxf.new(units=4), io.StringIO()  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    points = [(0, 0, 0.3), (3000, 0, 0), (3000, 4000, 0), (0, 4000, 0)]
    drawing.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "DEN"})
    drawing.modelspace().add_polyline2d([(9000, 0), (9900, 0), (9900, 900)], close=True, dxfattribs={"layer": "BATH"})
    drawing.write(out)
    return out.getvalue().encode()


def _xlsx() -> bytes:
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in (("Tag", "Style", "Width", "Length", "Qty"), ("A-1", "Velder", 40, 60.5, 2), ("A-2", None, 40, "5 ft", None)):
        book.active.append(row)
    book.active.merge_cells("B2:B3")
    book.save(out)
    return out.getvalue()


def _ods() -> bytes:
    book, sheet, out = OpenDocumentSpreadsheet(), table.Table(name="Stock"), io.BytesIO()
    for row in (("Tag", "Style", "Width", "Length"), ("A-1", "Velder", "40", "60"), ("A-2", "Fell", "40", "5 ft")):
        line = table.TableRow()
        for told in row:
            cell = table.TableCell(valuetype="string", numbercolumnsrepeated=1)
            cell.addElement(text.P(text=told))
            line.addElement(cell)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.write(out)
    return out.getvalue()


def _jpeg() -> bytes:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((300, 240)).convert("RGB").save(out, "JPEG", comment=b"a comment")
    return out.getvalue()


def _sheet(path: Path) -> object:
    return pieces_in(read_sheet(path), unit=Unit.IN, new_tag=lambda kind: f"new {kind.value}")


def _photo(path: Path) -> object:
    return kept_picture(path.read_bytes()), photo_shade(path.read_bytes())


KINDS = (
    Kind("stock.json", json.dumps(STOCK).encode(), read_stock),
    Kind("job.json", json.dumps(JOB).encode(), read_job),
    Kind("rooms.json", json.dumps(ROOMS).encode(), read_rooms),
    Kind("answer.json", json.dumps({"job": "x", "unit": "in", "verdict": "none", "patches": []}).encode(), read_answer),
    Kind("racks.csv", CSV.encode(), _sheet),
    Kind("racks.xlsx", _xlsx(), _sheet, parts=True),
    Kind("racks.ods", _ods(), _sheet, parts=True),
    Kind("rooms.dxf", _drawing(), lambda path: read_drawing(path, Unit.MM)),
    Kind("sent.dxf", _drawing(), lambda path: rooms_of_sent(path.read_bytes(), "x.dxf", PlanSaid(), Unit.MM)),
    Kind("photo.jpg", _jpeg(), _photo),
)


def damaged(kind: Kind, chance: random.Random) -> bytes:
    """The file with one to four damages; of an archive either its bytes or those of a part."""
    data = kind.sound
    if kind.name.endswith(".json") and chance.random() < 0.6:
        value = json.loads(data)
        for _ in range(chance.randint(1, 3)):
            _replace(value, chance)
        return json.dumps(value).encode()
    if kind.parts and chance.random() < 0.8:
        return _with_a_damaged_part(data, chance)
    return _bytes_damaged(data, chance)


def _bytes_damaged(data: bytes, chance: random.Random) -> bytes:
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(data) + 1)
        length = chance.choice((1, 2, 8, 64, 1024))
        match chance.randrange(6):
            case 0:
                data = data[:at] + chance.randbytes(length) + data[at + length :]
            case 1:
                data = data[:at] + data[at + length :]
            case 2:
                data = data[:at] + data[at : at + length] * chance.randint(2, 9) + data[at + length :]
            case 3:
                data = data[:at]
            case 4:
                data = data[:at] + chance.choice(EXTREMES).encode("utf-8", "surrogatepass") + data[at:]
            case _:
                other = chance.randrange(len(data) + 1)
                data = data[:at] + data[other : other + length] + data[at + length :]
    return data


def _with_a_damaged_part(data: bytes, chance: random.Random) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as held:
        parts = {name: held.read(name) for name in held.namelist()}
    chosen = chance.choice([name for name in parts if parts[name]])
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, part in parts.items():
            made.writestr(name, _bytes_damaged(part, chance) if name == chosen else part)
    return out.getvalue()


def _replace(value: Any, chance: random.Random) -> None:
    """Puts another value in some place of a JSON value."""
    inner = [one for one in (value.values() if isinstance(value, dict) else value) if isinstance(one, dict | list) and one]
    if inner and chance.random() < 0.75:
        _replace(chance.choice(inner), chance)
    elif isinstance(value, dict):
        value[chance.choice([*value, "added"])] = copy.deepcopy(chance.choice(VALUES))
    else:
        value[chance.randrange(len(value))] = copy.deepcopy(chance.choice(VALUES))


def refused(kind: Kind, data: bytes) -> bool:
    """Whether reading the damaged file is refused in our own words; what else is raised goes out of here."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / kind.name
        path.write_bytes(data)
        try:
            kind.read(path)
        except BadInput as error:
            assert error.faults and all(fault.what for fault in error.faults)
            assert len(str(error)) < 100_000
            return True
    return False
