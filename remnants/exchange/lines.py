"""Pieces as lines of a spreadsheet (CSV): read as shops really have them, and written so that they are read back the same."""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.entries import PieceEntry, entry_of
from remnants.exchange.headings import Heading, guess_headings
from remnants.exchange.reading import MISSING, fault_words, shown
from remnants.exchange.source import read_bytes
from remnants.exchange.stock_file import piece_made
from remnants.geometry import Ring
from remnants.model import Kind, Piece
from remnants.units import Unit, to_unit

__all__ = ["BadRow", "Lines", "Sheet", "lines_text", "pieces_in", "read_sheet", "rows_text"]

_WORN = {"new": 0, "as new": 0, "good": 1, "fair": 2, "worn": 3, "poor": 4}
_PILE = {"up": 0.0, "right": 90.0, "down": 180.0, "left": 270.0}
_KINDS = {"roll end": Kind.REMNANT, "off cut": Kind.OFFCUT, "off-cut": Kind.OFFCUT, "attic": Kind.KEPT, "installed": Kind.LAID}
_LENGTHS = ("width", "length")
_TIMES = re.compile(r"[x×*]|\bby\b", re.IGNORECASE)
"""What stands between width and length in one cell. Blanks around it are left to `strip`: a pattern for them tries every way."""
_EXPORTED = (
    "tag",
    "kind",
    "style",
    "colour",
    "lot",
    "width",
    "length",
    "outline",
    "cutouts",
    "pile",
    "motif",
    "place",
    "room",
    "worn",
    "customer",
    "lab",
    "illuminant",
)


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them."""

    headings: tuple[Heading, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class BadRow:
    """A row that can't be used, as it stands in the file, and why."""

    number: int
    cells: tuple[str, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Lines:
    """The pieces of a sheet, and the rows that can't be used."""

    pieces: tuple[Piece, ...]
    bad: tuple[BadRow, ...]


def read_sheet(path: Path, told: Mapping[str, str] | None = None) -> Sheet:
    """A CSV file with any of the usual separators and encodings. `told` says what some headings are for.

    Raises BadFile: as `read_text`, no rows, no heading that is known; BadInput for a wrong `told`.
    """
    text, notes = _decoded(read_bytes(path))
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text)))
    numbered = [(number, tuple(cell.strip() for cell in row)) for number, row in enumerate(rows, 1) if any(map(str.strip, row))]
    if len(numbered) < 2:
        raise BadFile([Fault(str(path), "no pieces: a first row of headings and a row for each piece are needed")])
    headings = guess_headings(numbered[0][1], told)
    if not any(heading.field == "style" for heading in headings):
        shown = ", ".join(repr(heading.written) for heading in headings[:12])
        raise BadFile([Fault(str(path), f"no column tells the style; headed are {shown}: say it with --column HEADING=style")])
    return Sheet(headings, tuple(numbered[1:]), notes)


def pieces_in(sheet: Sheet, *, unit: Unit, new_tag: Callable[[Kind], str], told: Callable[[int], None] = lambda _: None) -> Lines:
    """The pieces of the sheet's rows. Bare figures are in the unit of their heading, else of the row, else `unit`.

    A piece without a tag gets `new_tag`; without a kind it is a remnant, without a pile bearing its pile lays up its length.
    `told` hears how many rows are done.
    """
    pieces: list[Piece] = []
    bad: list[BadRow] = []
    seen: dict[str, int] = {}
    for done, (number, cells) in enumerate(sheet.rows, 1):
        try:
            piece = _piece(_row(sheet.headings, cells, number), number, sheet.headings, unit, new_tag)
            first = seen.setdefault(piece.tag, number)
            if first != number:
                raise BadInput([_at(number, "tag", sheet.headings, f"row {first} has the tag {piece.tag!r} too")])
            pieces.append(piece)
        except BadInput as error:
            bad.append(BadRow(number, cells, error.faults))
        if done % 1000 == 0 or done == len(sheet.rows):
            told(done)
    return Lines(tuple(pieces), tuple(bad))


def rows_text(sheet: Sheet, bad: Sequence[BadRow]) -> str:
    """The bad rows as CSV under their headings, with a column that tells the faults."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*(heading.written for heading in sheet.headings), "faults"])
    for row in bad:
        cells = (*row.cells, *[""] * (len(sheet.headings) - len(row.cells)))
        writer.writerow([*cells[: len(sheet.headings)], "; ".join(str(fault) for fault in row.faults)])
    return out.getvalue()


def lines_text(pieces: Iterable[Piece], unit: Unit) -> str:
    """The pieces as CSV in `unit`, which stands in the headings. `read_sheet` and `pieces_in` read them back the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    marked = {"width", "length", "outline", "cutouts", "motif"}
    writer.writerow([f"{name} ({unit})" if name in marked else name for name in _EXPORTED])
    for piece in pieces:
        writer.writerow(_line(piece, unit))
    return out.getvalue()


def _line(piece: Piece, unit: Unit) -> list[Any]:
    left, bottom, right, top = piece.outline.bounds
    plain = len(piece.outline.ring) == 4 and piece.outline.ring == ((0, 0), (right, 0), (right, top), (0, top))
    square = plain and (left, bottom) == (0, 0)
    lab = piece.lab
    return [
        piece.tag,
        piece.kind.value,
        piece.style,
        piece.colour,
        piece.lot,
        _plain(right, unit) if square else "",
        _plain(top, unit) if square else "",
        "" if square else _corners_text(piece.outline.ring, unit),
        " | ".join(_corners_text(ring, unit) for ring in piece.outline.cutouts),
        f"{piece.pile_deg:.9g}",
        _corners_text((piece.motif,), unit) if piece.motif else "",
        piece.place,
        piece.room,
        piece.worn,
        piece.customer,
        f"{lab.lightness:g} {lab.a:g} {lab.b:g}" if lab else "",
        lab.illuminant if lab else "",
    ]


def _corners_text(ring: Ring, unit: Unit) -> str:
    return " ".join(f"{_plain(x, unit)},{_plain(y, unit)}" for x, y in ring)


def _plain(length_mm: float, unit: Unit) -> str:
    """The length in `unit`, without an exponent however small it is."""
    return f"{to_unit(length_mm, unit):.6f}".rstrip("0").rstrip(".")


def _decoded(raw: bytes) -> tuple[str, tuple[str, ...]]:
    """UTF-8 or, where it is marked so, UTF-16; otherwise what spreadsheets of western Europe and America save (cp1252)."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace"), ()
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace"), (
            "the file is not UTF-8; it is read as cp1252, look at names with accents",
        )


def _separator(text: str) -> str:
    first = text.lstrip().split("\n", 1)[0]
    return max((",", ";", "\t", "|"), key=first.count)


def _row(headings: Sequence[Heading], cells: Sequence[str], number: int) -> dict[str, str]:
    """The cells of a row that say something, by field."""
    extra = [cell for cell in cells[len(headings) :] if cell]
    if extra:
        raise BadInput([Fault(f"row {number}", f"{len(extra)} cells more than there are headings, from {extra[0]!r} on")])
    return {heading.field: cell for heading, cell in zip(headings, cells, strict=False) if heading.field and cell}


def _piece(row: dict[str, str], number: int, headings: Sequence[Heading], unit: Unit, new_tag: Callable[[Kind], str]) -> Piece:
    own = row.pop("unit", "").strip().lower().rstrip(".")
    if own and own not in tuple(Unit):
        raise BadInput([_at(number, "unit", headings, f"{shown(own)} is none of {', '.join(Unit)}")])
    usual = Unit(own) if own else unit
    units = {heading.field: heading.unit or usual for heading in headings}
    raw, faults = _raw(row, units), list[Fault]()
    if "size" in raw:
        faults.append(Fault("size", f"{shown(raw['size'])} is no size: write width x length, such as 40 x 66"))
        raw |= dict.fromkeys(_LENGTHS, "1 mm")  # stand-ins, so that the row's other faults are found too
    try:
        entry = entry_of(PieceEntry, raw, usual)
        piece = piece_made(entry if entry.tag != "?" else entry.model_copy(update={"tag": new_tag(entry.kind)}))
    except ValidationError as error:
        faults += fault_words(error)
    except BadInput as error:
        faults += error.faults
    if faults:
        raise BadInput(_placed(number, headings, faults))
    return piece


def _raw(row: dict[str, str], units: Mapping[str, Unit]) -> dict[str, Any]:
    """The row as an entry of a stock file would have it; a `size` that can't be read stays under its own key."""
    raw: dict[str, Any] = dict(row) | {"tag": row.get("tag", "?")}
    raw["kind"] = _KINDS.get(row.get("kind", "remnant").lower(), row.get("kind", "remnant").lower())
    if {"width", "length"} & row.keys():
        raw.pop("size", None)
    sides = [side.strip() for side in _TIMES.split(raw.get("size", ""), maxsplit=1)]
    if len(sides) == 2 and all(sides):
        del raw["size"]
        raw |= {name: _with_unit(side, units["size"]) for name, side in zip(_LENGTHS, sides, strict=True)}
    for name in _LENGTHS:
        if name in row:
            raw[name] = _with_unit(row[name], units[name])
    if "outline" in row:
        raw["outline"] = _corners(row["outline"], units["outline"])
    if "cutouts" in row:
        raw["cutouts"] = [_corners(text, units["cutouts"]) for text in re.split(r"[|;]", row["cutouts"]) if text.strip()]
    if "motif" in row:
        raw["motif"] = next(iter(_corners(row["motif"], units["motif"])), [])
    if "lab" in row:
        raw["lab"] = [_number(text) for text in row["lab"].replace(",", " ").split()]
    raw["pile"] = _PILE.get(row.get("pile", "").lower(), _number(row.get("pile", "0").strip("° ")))
    if "worn" in row:
        raw["worn"] = _WORN.get(row["worn"].lower(), _number(row["worn"]))
    return raw


def _with_unit(text: str, unit: Unit) -> str:
    """A bare figure with the unit of its column; a text that has a unit of its own keeps it."""
    return f"{text} {unit}" if re.fullmatch(r"[-+]?[\d.,]+(?:[ -]\d+/\d+)?|\d+/\d+", text) else text


def _corners(text: str, unit: Unit) -> list[list[str]]:
    return [[_with_unit(part.strip(), unit) for part in corner.split(",")] for corner in text.split()]


def _number(text: str) -> float | str:
    try:
        value = float(text)
    except ValueError:
        return text
    return int(value) if value.is_integer() else value


def _placed(number: int, headings: Sequence[Heading], faults: Iterable[Fault]) -> list[Fault]:
    return [_at(number, fault.where.split(".")[0].split("[")[0], headings, _in_a_cell(fault.what)) for fault in faults]


def _in_a_cell(what: str) -> str:
    """A file's fault as a spreadsheet's."""
    return "this cell is empty" if what == MISSING else what


def _at(number: int, field: str, headings: Sequence[Heading], what: str) -> Fault:
    fields = (field, "size") if field in _LENGTHS else (field,)
    heading = next((heading.written for heading in headings if heading.field and heading.field in fields), "")
    return Fault(f'row {number}, column "{heading}"' if heading else f"row {number}", what)
