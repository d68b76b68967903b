"""How much of anything is taken: what is over a limit is told in a line with its place, by every reader of the same file."""

import ast
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from remnants import limits
from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange import read_job, read_stock
from remnants.exchange.rooms import read_rooms
from remnants.exchange.sheet import read_sheet
from remnants.exchange.source import read_bytes
from tests.commands import Remnants

PIECE = {"tag": "a", "kind": "remnant", "style": "Velder", "width": 40, "length": 60, "pile": 0}
HOLE = [[1, 1], [2, 1], [2, 2]]
ROOM = {"name": "Den", "width": 9, "length": 8}
DOOR = {"edge": 0, "from": 1, "width": 2}
FLIGHT = {"name": "Stairs", "steps": 9, "width": 3, "tread": 1, "riser": 1}


def stock(**changes: Any) -> dict[str, Any]:
    return {"unit": "in", "pieces": [{name: value for name, value in (PIECE | changes).items() if value is not None}]}


def job(**changes: Any) -> dict[str, Any]:
    return {"unit": "in", "patches": [{"width": 4, "length": 5, "pile": 0} | changes]}


def rooms(**changes: Any) -> dict[str, Any]:
    return {"unit": "ft", "roll": {"width": 12}, "rooms": [ROOM | changes]}


def corners(count: int) -> list[list[int]]:
    """A flight of steps up and back along the axes: a sound outline of `count` corners, which is even."""
    up = [[x // 2 + x % 2, x // 2] for x in range(count - 2)]
    return [*up, [0, count], [-1, 0]]


OVER: dict[str, tuple[Callable[[str], object], Any, str]] = {
    "styles": (read_stock, stock() | {"styles": [0] * (limits.STYLES + 1)}, "styles: 100,001 are given: give at most 100,000"),
    "pieces": (read_stock, {"unit": "in", "pieces": [0] * (limits.PIECES + 1)}, "pieces: 1,000,001 are given: give at most"),
    "colours": (
        read_stock,
        stock() | {"styles": [{"name": "Velder", "colours": [{"name": "Oat"}] * (limits.COLOURS + 1)}]},
        "styles[0].colours: more than 1,000 are given",
    ),
    "name": (read_stock, stock(tag="x" * 201), "pieces[0].tag: a text of 201 characters; give at most 200"),
    "text": (read_stock, stock(place="x" * 501), "pieces[0].place: a text of 501 characters; give at most 500"),
    "corners": (
        read_stock,
        stock(outline=corners(limits.CORNERS + 2), width=None, length=None),
        "pieces[0].outline: more than 4,000 are given; give at most 4,000",
    ),
    "cutouts": (read_stock, stock(cutouts=[HOLE] * (limits.CUTOUTS + 1)), "pieces[0].cutouts: more than 500 are given"),
    "corners of cutouts": (read_stock, stock(cutouts=[corners(3000)] * 2), "pieces[0].cutouts: more than 4,000 corners"),
    "patches": (read_job, {"unit": "in", "patches": job()["patches"] * 2001}, "patches: 2,001 are given: give at most 2,000"),
    "counts": (
        read_job,
        {"unit": "in", "patches": job(count=1000)["patches"] * 1999},
        "patches[2].count: more than 2,000 patches with these: give the others in another job",
    ),
    "turns": (read_job, job(turns=list(range(361))), "patches[0].turns: more than 360 are given"),
    "rooms": (read_rooms, rooms() | {"rooms": [ROOM] * 2001}, "rooms: 2,001 are given: give at most 2,000"),
    "islands": (read_rooms, rooms(islands=[HOLE] * 501), "rooms[0].islands: Den: more than 500 are given"),
    "doorways": (read_rooms, rooms(doorways=[DOOR] * 101), "rooms[0].doorways: Den: more than 100"),
    "flights": (read_rooms, rooms() | {"stairs": [FLIGHT] * 501}, "stairs: 501 are given: give at most 500"),
    "steps": (read_rooms, rooms() | {"stairs": [FLIGHT | {"steps": 10**9}]}, "stairs[0].steps: Stairs: 1000000000 is out"),
    "winders": (
        read_rooms,
        rooms() | {"stairs": [FLIGHT | {"winders": [{"width": 1, "length": 1}] * 101}]},
        "stairs[0].winders: Stairs: more than 100",
    ),
    "prices": (read_rooms, rooms() | {"prices": [0] * 101}, "prices: 101 are given: give at most 100"),
    "widths": (read_rooms, rooms() | {"roll": {"widths": list(range(1, 22))}}, "roll.widths: more than 20 are given"),
}  # fmt: skip


@pytest.mark.parametrize("kind", OVER)
def test_what_is_over_a_limit_is_told_with_its_place_and_what_to_do(kind: str) -> None:
    read, value, told = OVER[kind]
    with pytest.raises(BadFile) as refused:
        read(json.dumps(value))
    (fault,) = refused.value.faults
    assert str(fault).startswith(told)


def test_what_is_just_within_the_limits_is_taken() -> None:
    (piece,) = read_stock(json.dumps(stock(outline=corners(limits.CORNERS), width=None, length=None, tag="x" * 200))).pieces
    assert len(piece.outline.ring) == limits.CORNERS
    assert len(read_job(json.dumps(job(count=1000) | {"patches": job(count=1000)["patches"] * 2})).patches) == limits.PATCHES


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("b,Velder" + ",x" * 999, "row 3: 1,001 cells; a row has 1,000 at most"),
        ("b,Velder,4,5" + "," * 3000 + "\nc,Velder,4,5", ""),
    ],
)
def test_a_row_without_end_is_told(row: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "racks.csv"
    path.write_text(f"tag,style,width,length,,\na,Velder,4,5,left,\n{row}\n")
    if told:
        with pytest.raises(BadFile, match=told):
            read_sheet(path)
    else:
        assert [number for number, _ in read_sheet(path).rows] == [2, 3, 4]


def test_rows_and_cells_without_end_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "racks.csv"
    path.write_text("tag,style,width,length\n" + "a,Velder,4,5\n" * 40)
    monkeypatch.setattr("remnants.exchange.table.PIECES", 39)
    with pytest.raises(BadFile, match=r"racks.csv: row 41: more than 39 rows; split the file"):
        read_sheet(path)
    monkeypatch.setattr("remnants.exchange.table.PIECES", 40)
    monkeypatch.setattr("remnants.exchange.table.CELLS", 100)
    with pytest.raises(BadFile, match=r"racks.csv: row 26: more than 100 cells; split the file"):
        read_sheet(path)


def test_a_file_without_end_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "stock.json"
    with path.open("wb") as file:
        file.truncate(limits.FILE_BYTES + 1)
    with pytest.raises(BadFile, match="over 512 MB; give a smaller file, or split it"):
        read_bytes(path)


def test_of_many_faults_fifty_are_told_and_how_many_more(remnants: Remnants) -> None:
    """Sixty thousand bad entries made an answer of 39 MB."""
    bad = remnants.file("stock.json", {"unit": "in", "pieces": [PIECE | {"width": "wide", "tag": str(n)} for n in range(60_000)]})
    told = remnants.refused("log", bad, code=2)
    assert told.startswith("remnants: 60,000 faults; nothing was changed\n")
    assert told.endswith("\n  and 59,950 more\n")
    assert len(told) < 10_000 and told.count("is no length") == 50
    with pytest.raises(BadFile) as refused:
        read_stock(bad)
    assert len(str(refused.value)) < 10_000


def test_all_faults_are_told_where_there_are_fifty() -> None:
    assert [str(fault) for fault in BadInput(Fault(str(n), "x") for n in range(50)).told] == [f"{n}: x" for n in range(50)]
    assert [str(fault) for fault in BadInput(Fault(str(n), "x") for n in range(51)).told][-1] == "and 1 more"


def test_of_many_notes_fifty_are_told_and_how_many_more(remnants: Remnants) -> None:
    pieces = [PIECE | {"tag": str(n), "style": f"Velder {n}", "colur": "Oat"} for n in range(100)]
    done = remnants("log", remnants.file("stock.json", {"unit": "in", "pieces": pieces}))
    assert done.code == 0
    lines = done.err.splitlines()
    assert lines[0] == "note: pieces[0].colur: this key is not read; is 'colour' meant?"
    assert len(lines) == 51 and lines[-1] == "note: and 150 notes more"
    rows = "".join(f"{number},Fell {number},4,5,0\n" for number in range(1000, 1100))
    told = remnants("log", remnants.file("racks.csv", f"tag,style,width,length,pile\n{rows}")).err.splitlines()[5:]
    assert len(told) == 51 and told[-1] == "note: and 50 more styles are not described"


def test_what_is_shown_of_a_long_text_is_short(tmp_path: Path) -> None:
    """A key, a heading, a cell."""
    long = "x" * 100_000
    with pytest.raises(BadFile) as refused:
        read_stock(f'{{"{long}": 1, "{long}": 2}}')
    assert len(str(refused.value)) < 200
    path = tmp_path / "racks.csv"
    path.write_text(f"{long},{long}\n1,2\n")
    with pytest.raises(BadFile) as refused:
        read_sheet(path)
    assert len(str(refused.value)) < 400


ROOT = Path(__file__).resolve().parent.parent
SOURCES = [path for folder in ("remnants", "web/remnants_web") for path in (ROOT / folder).rglob("*.py")]
NO_LIMITS = {
    ("headings.py", "_LONGEST"),  # of what could be a heading; a longer one is told as unknown
    ("doors.py", "_LONGEST_LABEL"),  # of the words a browser says of itself
    ("start.py", "_LONGEST_SECRET"),  # what is longer is no secret of ours
    ("customer_page.py", "_LONGEST_SECRET"),
}


def test_no_limit_of_what_is_given_stands_outside_the_table() -> None:
    """Whole figures of the longest and the largest; the search has steps and shares of its own, which refuse nothing."""
    named = re.compile(r"^(_?(?:LONGEST|LARGEST)\w*) = [\d_* ]+$", re.MULTILINE)
    found = {(path.name, name) for path in SOURCES for name in named.findall(path.read_text(encoding="utf-8"))}
    assert found == NO_LIMITS


def test_every_limit_of_the_table_is_read_by_the_code() -> None:
    own = ROOT / "remnants" / "limits.py"
    body = ast.parse(own.read_text(encoding="utf-8")).body
    names = {line.targets[0].id for line in body if isinstance(line, ast.Assign) and isinstance(line.targets[0], ast.Name)}
    assert set(limits.__all__) == names - {"MIB", "__all__"}
    read = {name for path in SOURCES if path != own for name in re.findall(r"\b[A-Z][A-Z_]+\b", path.read_text(encoding="utf-8"))}
    assert set(limits.__all__) <= read
