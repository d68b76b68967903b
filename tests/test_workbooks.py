"""Workbooks as shops have them, and as somebody might make them to do harm."""

import re
import zipfile
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from odf import table, text
from odf.opendocument import OpenDocumentSpreadsheet

from remnants import limits
from remnants.errors import BadFile
from remnants.exchange.lines import Lines, pieces_in
from remnants.exchange.sheet import read_sheet
from remnants.units import Unit
from tests.commands import Remnants

HEADS = ("Tag", "Style", "Width", "Length", "Lot", "Bay", "Received")
DAY = date(2031, 5, 3)
ROWS: Sequence[Sequence[Any]] = (
    ("Alder Floors, May",),
    (),
    HEADS,
    ("A-1", "Velder", 40, 66.5, "4471-B", 3, DAY),
    (None, None, None),
    (1002, "Velder", 0.1 + 0.2, "5' 6\"", None, True, None),
)

Book = dict[str, Sequence[Sequence[Any]]]


def xlsx(path: Path, book: Book, *merged: str) -> Path:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in book.items():
        sheet = made.create_sheet(name)
        for number, row in enumerate(rows, 1):
            for column, value in enumerate(row, 1):
                sheet.cell(number, column, value)
        for cells in merged:
            sheet.merge_cells(cells)
    made.save(path)
    return path


def ods_cell(value: Any) -> Any:
    if value is None:
        return table.TableCell()
    told: dict[str, Any] = {"valuetype": "string"}
    if isinstance(value, bool):
        told = {"valuetype": "boolean", "booleanvalue": str(value).lower()}
    elif isinstance(value, int | float):
        told = {"valuetype": "float", "value": repr(value)}
    elif isinstance(value, date):
        told = {"valuetype": "date", "datevalue": value.isoformat()}
    cell = table.TableCell(**told)
    cell.addElement(text.P(text=str(value)))
    return cell


def ods(path: Path, book: Book) -> Path:
    made = OpenDocumentSpreadsheet()
    for name, rows in book.items():
        sheet = table.Table(name=name)
        for row in rows:
            line = table.TableRow()
            for value in row:
                line.addElement(ods_cell(value))
            sheet.addElement(line)
        last = table.TableRow(numberrowsrepeated=1_048_000)
        last.addElement(table.TableCell(numbercolumnsrepeated=16_384))
        sheet.addElement(last)
        made.spreadsheet.addElement(sheet)
    made.save(str(path))
    return path


MAKERS: dict[str, Callable[[Path, Book], Path]] = {"racks.xlsx": xlsx, "racks.ods": ods}


def read(path: Path, called: str = "") -> Lines:
    return pieces_in(read_sheet(path, {}, called), unit=Unit.IN, new_tag=str)


@pytest.fixture(params=MAKERS)
def made(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[Book], Path]:
    """Makes a workbook of each kind."""
    return lambda book: MAKERS[request.param](tmp_path / request.param, book)


def test_a_workbook_is_read_like_a_csv_file(made: Callable[[Book], Path]) -> None:
    """Figures as they are shown, not as the machine reckons them; a date in a column that is not read harms nobody."""
    one, two = read(made({"Stock": ROWS, "Prices": [("Style", "Price"), ("Velder", 12)]})).pieces
    assert (one.tag, one.style, one.lot, one.place) == ("A-1", "Velder", "4471-B", "3")
    assert one.outline.bounds == pytest.approx((0, 0, 40 * 25.4, 66.5 * 25.4))
    assert (two.tag, two.lot, two.place) == ("1002", "", "yes")
    assert two.outline.bounds == pytest.approx((0, 0, 0.3 * 25.4, 66 * 25.4))


def test_rows_keep_the_numbers_of_the_sheet(made: Callable[[Book], Path]) -> None:
    sheet = read_sheet(made({"Stock": [*ROWS, (), ("B-1", "Velder", "wide", 5)]}))
    assert [number for number, _ in sheet.rows] == [4, 6, 8]
    assert sheet.notes == ("row 1, above the headings, is not read: 'Alder Floors, May'",)


def test_a_sheet_is_chosen_by_its_name_where_several_hold_pieces(made: Callable[[Book], Path]) -> None:
    north, south = (HEADS, ("N-1", "Velder", 4, 5)), (HEADS, ("S-1", "Velder", 4, 5))
    book = made({"North": north, "South": south, "Notes": [("call Ana",)]})
    with pytest.raises(BadFile, match=r"2 sheets hold pieces \('North', 'South'\); say which with --sheet NAME"):
        read(book)
    assert [piece.tag for piece in read(book, "south").pieces] == ["S-1"]
    with pytest.raises(BadFile, match=r"no sheet with text is called 'East'; there are 'North', 'South', 'Notes'"):
        read(book, "East")
    one = read_sheet(made({"Notes": [("call Ana",)], "North": north}))
    assert one.notes == ("not read: 'Notes', other sheets",)


def test_a_date_where_something_else_was_typed_is_refused(made: Callable[[Book], Path]) -> None:
    """Lot 5-10 becomes the tenth of May in many a spreadsheet."""
    ((fault,),) = [row.faults for row in read(made({"Stock": (HEADS, ("A-1", "Velder", 4, 5, DAY))})).bad]
    assert str(fault) == (
        'row 2, column "Lot": the spreadsheet holds the date 2031-05-03 here; '
        "if something else was typed, make the cell a text and type it anew"
    )


def test_what_is_merged_down_holds_for_each_row(tmp_path: Path) -> None:
    rows = (HEADS, ("A-1", "Velder", 4, 5, "7"), ("A-2", None, 4, 5, None), (), ("A-3", None, 4, 5, None), ("A-4", "Fell", 4, 5))
    pieces = read(xlsx(tmp_path / "racks.xlsx", {"Stock": rows}, "B2:B5", "E2:E3")).pieces
    assert [(piece.tag, piece.style, piece.lot) for piece in pieces] == [
        ("A-1", "Velder", "7"),
        ("A-2", "Velder", "7"),
        ("A-3", "Velder", ""),
        ("A-4", "Fell", ""),
    ]
    book, sheet = OpenDocumentSpreadsheet(), table.Table(name="Stock")
    for number, row in enumerate(rows):
        line = table.TableRow()
        for column, value in enumerate(row):
            cell = ods_cell(value)
            if (number, column) == (1, 1):
                cell.setAttribute("numberrowsspanned", "4")
            line.addElement(table.CoveredTableCell() if number in (2, 4) and column == 1 else cell)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "racks.ods"))
    assert [piece.style for piece in read(tmp_path / "racks.ods").pieces] == ["Velder", "Velder", "Velder", "Fell"]


def test_a_row_that_stands_there_several_times_over_is_read_as_often(tmp_path: Path) -> None:
    book, sheet = OpenDocumentSpreadsheet(), table.Table(name="Stock")
    for row, times in ((HEADS[1:4], 1), (("Velder", 4, 5), 3)):
        line = table.TableRow(numberrowsrepeated=times)
        for value in row:
            line.addElement(ods_cell(value))
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "racks.ods"))
    assert [number for number, _ in read_sheet(tmp_path / "racks.ods").rows] == [2, 3, 4]


def test_a_formula_is_taken_for_its_value_and_refused_without_one(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "racks.xlsx", {"Stock": (HEADS, ("A-1", "Velder", "=20*2", 5))})
    with pytest.raises(
        BadFile, match="the file holds no value of the formula in C2: open and save it in the spreadsheet program"
    ):
        read(path)
    rewritten(path, "xl/worksheets/sheet1.xml", lambda xml: re.sub(rb"<v ?/>|<v></v>", b"<v>40</v>", xml))
    (piece,) = read(path).pieces
    assert piece.outline.bounds[2] == pytest.approx(40 * 25.4)


def test_a_tag_keeps_the_noughts_that_it_is_shown_with(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (HEADS, (7, "Velder", 4, 5)):
        book.active.append(row)
    book.active["A2"].number_format = "0000"
    book.save(tmp_path / "racks.xlsx")
    assert [piece.tag for piece in read(tmp_path / "racks.xlsx").pieces] == ["0007"]


def rewritten(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
    """The workbook with one of its parts changed."""
    with zipfile.ZipFile(path) as held:
        parts = {name: held.read(name) for name in held.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in parts.items():
            made.writestr(name, change(data) if name == part else data)
    return path


SWELLING = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
READING = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a SYSTEM "file:///etc/passwd">]>'


@pytest.mark.parametrize("declared", [SWELLING, READING])
def test_no_entity_swells_or_reads_a_file(made: Callable[[Book], Path], declared: bytes) -> None:
    path = made({"Stock": (HEADS, ("A-1", "Velder", 4, 5))})
    part = "content.xml" if path.suffix == ".ods" else "xl/worksheets/sheet1.xml"
    rewritten(path, part, lambda xml: declared + xml.partition(b"?>")[2] if b"?>" in xml[:99] else declared + xml)
    with pytest.raises(BadFile, match="declares entities, which no spreadsheet does"):
        read(path)


def packed(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in parts.items():
            made.writestr(name, data)
    return path


def test_what_unpacks_without_end_is_refused_before_it_is_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = packed(tmp_path / "racks.xlsx", {"xl/workbook.xml": b"", "[Content_Types].xml": b" " * 3_000_000})
    with pytest.raises(BadFile, match="unpacks to far more than it holds, as no spreadsheet does"):
        read(bomb)
    monkeypatch.setattr("remnants.exchange.archive.UNPACKED_BYTES", 4 * limits.MIB)
    with pytest.raises(BadFile, match="unpacks to over 4 MB; save the sheet as CSV"):
        read(packed(tmp_path / "many.xlsx", {f"xl/{number}.xml": b" " * 1_000_000 for number in range(5)}))


OTHERS: dict[str, tuple[bytes, str]] = {
    "old.xls": (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
        "an older workbook (.xls) or one with a password can't be read",
    ),
    "page.xls": (b"<html><table><tr><td>Tag</td></tr></table>", "a web page or XML file is no table that can be read"),
    "stock.pdf": (b"%PDF-1.7\n", "a PDF is no table that can be read"),
    "letter.docx": (b"", "this is no workbook that can be read; save it as .xlsx, .ods or CSV"),
}


@pytest.mark.parametrize("name", OTHERS)
def test_what_is_no_workbook_is_told_what_to_save_it_as(remnants: Remnants, name: str) -> None:
    data, told = OTHERS[name]
    path = remnants.folder / name
    path.write_bytes(data)
    if not data:
        packed(path, {"[Content_Types].xml": b"", "word/document.xml": b""})
    refused = remnants.refused("log", path, code=2)
    assert told in refused and "save it as .xlsx, .ods or CSV" in refused and refused.count("\n") == 1


def test_a_workbook_that_breaks_off_or_is_damaged_is_refused(made: Callable[[Book], Path]) -> None:
    whole = made({"Stock": ROWS}).read_bytes()
    path = made({"Stock": ROWS})
    for end in (30, len(whole) // 3, len(whole) - 10):
        path.write_bytes(whole[:end])
        with pytest.raises(BadFile, match="this workbook is damaged or breaks off"):
            read(path)
    part = "content.xml" if path.suffix == ".ods" else "xl/worksheets/sheet1.xml"
    path.write_bytes(whole)
    with pytest.raises(BadFile, match="this workbook is damaged or breaks off"):
        read(rewritten(path, part, lambda xml: xml[: len(xml) // 2]))


def test_a_row_far_down_takes_no_time(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "racks.xlsx", {"Stock": (HEADS, ("A-1", "Velder", 4, 5))})
    rewritten(path, "xl/worksheets/sheet1.xml", lambda xml: xml.replace(b'<row r="2"', b'<row r="999999999"'))
    with pytest.raises(BadFile, match="more rows or cells than a sheet can have"):
        read(path)


def test_workbooks_are_logged(remnants: Remnants) -> None:
    path = xlsx(remnants.folder / "racks.xlsx", {"Stock": ROWS, "Old": [HEADS, ("Z-1", "Velder", 4, 5)]})
    assert "say which with --sheet NAME" in remnants.refused("log", path, code=2)
    assert remnants.ok("log", path, "--sheet", "Stock") == "logged 2 pieces: A-1, 1002\n"
    assert "no sheets with names" in remnants.refused("log", remnants.file("a.csv", "Style\nx\n"), "--sheet", "Stock", code=2)


def test_a_bad_row_of_a_workbook_is_set_aside_as_text(remnants: Remnants) -> None:
    path = xlsx(
        remnants.folder / "racks.xlsx",
        {
            "Stock": (
                HEADS,
                ("A-1", "Velder", 4, 5),
                ("A-2", "Velder", "wide", 5, None, None, datetime(2031, 5, 3, tzinfo=UTC).replace(tzinfo=None)),
            )
        },
    )
    assert remnants.ok("log", path, "--skip-bad") == "logged 1 piece: A-1\n"
    assert (remnants.folder / "racks.bad.csv").read_text().splitlines()[1].startswith("A-2,Velder,wide,5,,,2031-05-03,")
