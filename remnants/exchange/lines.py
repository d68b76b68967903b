"""Pieces as lines of a spreadsheet, read as shops really have them. `lines_text` writes them so that they are read back."""

import itertools
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from pydantic import ValidationError

from remnants.errors import BadInput, Fault
from remnants.exchange.entries import PieceEntry, entry_of
from remnants.exchange.headings import Heading
from remnants.exchange.reading import MISSING, fault_words, shown
from remnants.exchange.row_entry import PILE_TAKEN, SIDES, row_entry
from remnants.exchange.sheet import Sheet
from remnants.exchange.stock_file import piece_made, twice
from remnants.exchange.table import Dated
from remnants.limits import PIECES_A_ROW
from remnants.marks import unseen, visible
from remnants.model import Kind, Piece
from remnants.model.attributes import PLAIN, Value
from remnants.units import Unit

__all__ = ["BadRow", "Lines", "given_tags", "pieces_in"]


_SUMS, _DATES = (
    frozenset(attribute.name for attribute in PLAIN if attribute.value is value) for value in (Value.MONEY, Value.DATE)
)
"""What shops write in ways of their own, so that its column may have to be left out."""


@dataclass(frozen=True)
class BadRow:
    """A row that can't be used, as it stands in the file, and why."""

    number: int
    cells: tuple[str, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Lines:
    """The pieces of a sheet, the rows that can't be used, what is to be told of others, and the row that each piece stands in."""

    pieces: tuple[Piece, ...]
    bad: tuple[BadRow, ...]
    notes: tuple[Fault, ...] = ()
    rows: tuple[int, ...] = ()


def pieces_in(
    sheet: Sheet,
    *,
    unit: Unit,
    new_tag: Callable[[Kind], str],
    is_free: Callable[[str], bool] = lambda _: True,
    told: Callable[[int], None] = lambda _: None,
) -> Lines:
    """The pieces of the sheet's rows. Bare figures are in the unit of their heading, else of the row, else `unit`.

    A piece without a tag gets `new_tag`; without a kind it is a remnant, without a pile bearing its pile lays up its length, and
    a note says so. A row with a quantity gives as many pieces: R-1, and R-1-2, R-1-3 and so on, as far as these `is_free`. `told`
    hears how many rows are done.
    """
    pieces: list[Piece] = []
    rows: list[int] = []
    bad: list[BadRow] = []
    seen: dict[str, tuple[int, str]] = {}
    notes: list[Fault] = []
    given = given_tags(sheet)
    for done, (number, cells) in enumerate(sheet.rows, 1):
        try:
            row = _row(sheet.headings, cells, number)
            notes += _cleaned(row, number, sheet.headings)
            count = _quantity(row, number, sheet.headings)
            piece = _piece(row, number, sheet.headings, unit, new_tag)
            first, tag = seen.setdefault(piece.tag.casefold(), (number, piece.tag))
            if first != number:
                raise BadInput([_at(number, "tag", sheet.headings, twice(piece.tag, f"row {first}", tag))])
            next_tag = _further(piece.tag, lambda tag: tag.casefold() not in given and is_free(tag)) if "tag" in row else None
            several = [piece, *(replace(piece, tag=next_tag() if next_tag else new_tag(piece.kind)) for _ in range(count - 1))]
            seen |= {one.tag.casefold(): (number, one.tag) for one in several[1:]}
            if count > 1:
                shown_tags = ", ".join(one.tag for one in several[:3]) + (f" to {several[-1].tag}" if count > 3 else "")
                notes.append(_at(number, "quantity", sheet.headings, f"{count} pieces, with tags of their own: {shown_tags}"))
            pieces += several
            rows += [number] * count
        except BadInput as error:
            bad.append(BadRow(number, cells, error.faults))
        if done % 1000 == 0 or done == len(sheet.rows):
            told(done)
    if flat := _without_pile(sheet):
        rows_told = f"rows {', '.join(map(str, flat[:3]))}{f' and {len(flat) - 3:,} more' if len(flat) > 3 else ''}"
        notes.insert(0, Fault("pile", f"{rows_told if len(flat) > 1 else f'row {flat[0]}'}: {PILE_TAKEN}"))
    return Lines(tuple(pieces), tuple(bad), tuple(notes), tuple(rows))


def _without_pile(sheet: Sheet) -> list[int]:
    """The rows that tell no pile."""
    column = next((index for index, heading in enumerate(sheet.headings) if heading.field == "pile"), None)
    return [number for number, cells in sheet.rows if column is None or len(cells) <= column or not visible(cells[column])]


def given_tags(sheet: Sheet) -> frozenset[str]:
    """The tags that stand in the sheet, folded."""
    column = next((index for index, heading in enumerate(sheet.headings) if heading.field == "tag"), None)
    filled = (cells[column] for _, cells in sheet.rows if len(cells) > column) if column is not None else ()
    return frozenset(visible(cell).casefold() for cell in filled)


def _quantity(row: dict[str, str], number: int, headings: Sequence[Heading]) -> int:
    """How many pieces the row stands for. Takes it out of the row. Raises BadInput for what is no whole number in reach."""
    text = row.pop("quantity", "1")
    plain = text.removesuffix(".0")
    if not (plain.isascii() and plain.isdigit() and len(plain) < 5 and 1 <= int(plain) <= PIECES_A_ROW):
        what = f"{shown(text)} is no quantity: give a whole number from 1 to {PIECES_A_ROW}"
        raise BadInput([_at(number, "quantity", headings, what)])
    return int(plain)


def _further(tag: str, is_free: Callable[[str], bool]) -> Callable[[], str]:
    """Gives `R-1-2`, `R-1-3` and so on, as far as they are free."""
    free = (made for number in itertools.count(2) if is_free(made := f"{tag}-{number}"))
    return lambda: next(free)


def _cleaned(row: dict[str, str], number: int, headings: Sequence[Heading]) -> list[Fault]:
    """Takes out of the row's cells what nobody sees, and tells of each."""
    marked = {field: mark for field, cell in row.items() if (mark := unseen(cell))}
    for field in marked:
        row[field] = visible(row[field])
        if not row[field]:
            del row[field]
    return [_at(number, field, headings, f"a character that nobody sees ({mark}) is left out") for field, mark in marked.items()]


def _row(headings: Sequence[Heading], cells: Sequence[str], number: int) -> dict[str, str]:
    """The cells of a row that say something, by field."""
    extra = [cell for cell in cells[len(headings) :] if cell]
    if extra:
        raise BadInput([Fault(f"row {number}", f"{len(extra)} cells more than there are headings, from {shown(extra[0])} on")])
    told = ((heading, cell) for heading, cell in zip(headings, cells, strict=False) if heading.field and cell)
    row = {heading.field: _with_currency(cell, heading) for heading, cell in told}
    dated = [
        _at(number, field, headings, _of_date(cell))
        for field, cell in row.items()
        if isinstance(cell, Dated) and field not in _DATES
    ]
    if dated:
        raise BadInput(dated)
    return row


def _of_date(cell: str) -> str:
    return f"the spreadsheet holds the date {cell} here; if something else was typed, make the cell a text and type it anew"


def _with_currency(cell: str, heading: Heading) -> str:
    """A bare figure below a heading such as `Cost (EUR)` with its currency; any other cell as it stands."""
    currency = re.search(r"\b([A-Z]{3})\W*$", heading.written)
    bare = heading.field in _SUMS and currency and re.fullmatch(r"[\d.,]+", cell)
    return f"{cell} {currency[1]}" if bare and currency else cell


def _piece(row: dict[str, str], number: int, headings: Sequence[Heading], unit: Unit, new_tag: Callable[[Kind], str]) -> Piece:
    own = row.pop("unit", "").strip().lower().rstrip(".")
    if own and own not in tuple(Unit):
        raise BadInput([_at(number, "unit", headings, f"{shown(own)} is none of {', '.join(Unit)}")])
    usual = Unit(own) if own else unit
    units = {heading.field: heading.unit or usual for heading in headings}
    raw, faults = row_entry(row, units)
    try:
        piece = piece_made(entry_of(PieceEntry, raw, usual))
    except ValidationError as error:
        faults += fault_words(error)
    except BadInput as error:
        faults += error.faults
    if faults:
        raise BadInput(_placed(number, headings, faults))
    return piece if "tag" in row else replace(piece, tag=new_tag(piece.kind))


def _placed(number: int, headings: Sequence[Heading], faults: Iterable[Fault]) -> list[Fault]:
    return [_at(number, fault.where.split(".")[0].split("[")[0], headings, _in_a_cell(fault.what)) for fault in faults]


def _in_a_cell(what: str) -> str:
    """A file's fault as a spreadsheet's."""
    return "this cell is empty" if what == MISSING else what


def _at(number: int, field: str, headings: Sequence[Heading], what: str) -> Fault:
    fields = (field, "size") if field in SIDES else (field,)
    heading = next((heading.written for heading in headings if heading.field and heading.field in fields), "")
    short = heading if len(heading) <= 40 else f"{heading[:37]}..."
    if field in _SUMS | _DATES:
        what += f'; or leave the column out: --column "{short}="'
    return Fault(f'row {number}, column "{short}"' if heading else f"row {number}", what)
