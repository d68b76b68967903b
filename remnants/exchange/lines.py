"""Pieces as lines of a spreadsheet, read as shops really have them. `lines_text` writes them so that they are read back."""

import itertools
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
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

__all__ = [
    "BadRow",
    "GoodRow",
    "Lines",
    "SheetSeen",
    "pieces_in",
    "row_with",
    "rows_in",
    "second_of",
    "sheet_seen",
]


_SUMS, _DATES = (
    frozenset(attribute.name for attribute in PLAIN if attribute.value is value) for value in (Value.MONEY, Value.DATE)
)
"""What shops write in ways of their own, so that its column may have to be left out."""


@dataclass(frozen=True)
class BadRow:
    """A row that can't be used, as it stands in the file, and why, and what else is to be told of it."""

    number: int
    cells: tuple[str, ...]
    faults: tuple[Fault, ...]
    notes: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class GoodRow:
    """A row and the pieces that it gives, and what is to be told of it."""

    number: int
    cells: tuple[str, ...]
    pieces: tuple[Piece, ...]
    notes: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Lines:
    """The pieces of a sheet, the rows that can't be used, what is to be told of others, and the row that each piece stands in."""

    pieces: tuple[Piece, ...]
    bad: tuple[BadRow, ...]
    notes: tuple[Fault, ...] = ()
    rows: tuple[int, ...] = ()


def pieces_in(
    sheet: Sheet, *, unit: Unit, new_tag: Callable[[Kind], str], is_free: Callable[[str], bool] = lambda _: True
) -> Lines:
    """The pieces of the sheet's rows, all at once; as `rows_in` otherwise. Of rows with the same tag the first is good."""
    good: list[GoodRow] = []
    bad: list[BadRow] = []
    seen: dict[str, tuple[int, str]] = {}
    all_rows = sheet_seen(sheet)
    notes = list(all_rows.pile)
    for row in rows_in(sheet, all_rows.tags, unit=unit, new_tag=new_tag, is_free=is_free):
        notes += row.notes
        if isinstance(row, GoodRow):
            number, tag = seen.setdefault(row.pieces[0].tag.casefold(), (row.number, row.pieces[0].tag))
            seen |= {piece.tag.casefold(): (row.number, piece.tag) for piece in row.pieces[1:]}
            if number == row.number:
                good.append(row)
                continue
            row = second_of(row, sheet, number, tag)  # noqa: PLW2901 - the same row, told otherwise
        bad.append(row)
    pieces = tuple(piece for row in good for piece in row.pieces)
    return Lines(pieces, tuple(bad), tuple(notes), tuple(row.number for row in good for _ in row.pieces))


def second_of(row: GoodRow, sheet: Sheet, first: int, tag: str) -> BadRow:
    """The row as one that can't be used, as the row numbered `first` has the tag already, written as `tag`."""
    told = twice(row.pieces[0].tag, f"row {first}", tag)
    return BadRow(row.number, row.cells, (_at(row.number, "tag", sheet.headings, told),), row.notes)


def rows_in(
    sheet: Sheet,
    given: frozenset[str],
    *,
    unit: Unit,
    new_tag: Callable[[Kind], str],
    is_free: Callable[[str], bool] = lambda _: True,
) -> Iterator[GoodRow | BadRow]:
    """The sheet's rows with their pieces, one after the other. Bare figures are in the unit of their heading, else of the row,
    else `unit`. Whether two rows have the same tag is not looked at.

    A piece without a tag gets `new_tag`; without a kind it is a remnant, without a pile bearing its pile lays up its length. A
    row with a quantity gives as many pieces: R-1, and R-1-2, R-1-3 and so on, as far as these are not `given`, as `sheet_seen`
    has the tags of the sheet, and `is_free`.
    """
    free = lambda tag: tag.casefold() not in given and is_free(tag)  # noqa: E731
    for number, cells in sheet.rows:
        notes: list[Fault] = []
        try:
            row = _row(sheet.headings, cells, number)
            notes += _cleaned(row, number, sheet.headings)
            count = _quantity(row, number, sheet.headings)
            piece = _piece(row, number, sheet.headings, unit, new_tag)
            several = (piece, *_alike(piece, count - 1, _further(piece.tag, free) if "tag" in row else None, new_tag))
        except BadInput as error:
            yield BadRow(number, cells, error.faults, tuple(notes))
            continue
        if count > 1:
            shown_tags = ", ".join(one.tag for one in several[:3]) + (f" to {several[-1].tag}" if count > 3 else "")
            notes.append(_at(number, "quantity", sheet.headings, f"{count} pieces, with tags of their own: {shown_tags}"))
        yield GoodRow(number, cells, several, tuple(notes))


def _alike(piece: Piece, count: int, next_tag: Callable[[], str] | None, new_tag: Callable[[Kind], str]) -> Iterator[Piece]:
    """So many more of the piece, with tags made from its own, else new ones."""
    return (replace(piece, tag=next_tag() if next_tag else new_tag(piece.kind)) for _ in range(count))


@dataclass(frozen=True)
class SheetSeen:
    """What all rows of a sheet tell together, seen in one going through it.

    `styles` are those that are written there, each once; `pile` tells of rows without the way of the pile, if there are any, and
    what is taken then. `tags` are those that stand in the sheet, folded; none where every row has one and gives one piece, so
    that no other is made.
    """

    styles: tuple[str, ...]
    pile: tuple[Fault, ...]
    tags: frozenset[str]


def sheet_seen(sheet: Sheet) -> SheetSeen:
    """Goes through the rows once, and once more for tags where some rows have none."""
    style_at, pile_at, tag_at = (_column(sheet, field) for field in ("style", "pile", "tag"))
    several = _column(sheet, "quantity") is not None
    styles: dict[str, None] = {}
    tags: set[str] = set()
    flat, untagged, first = 0, False, []
    for number, cells in sheet.rows:
        if style := _seen(cells, style_at):
            styles[style] = None
        if not _seen(cells, pile_at):
            flat += 1
            if flat <= 3:
                first.append(number)
        if several:
            tags.add(_seen(cells, tag_at).casefold())
        elif not untagged:
            untagged = not _seen(cells, tag_at)
    if untagged and not several:
        tags.update(tag.casefold() for _, tag in _under(sheet, "tag"))
    return SheetSeen(tuple(styles), _pile_taken(flat, first), frozenset(tags))


def _pile_taken(flat: int, first: Sequence[int]) -> tuple[Fault, ...]:
    if not flat:
        return ()
    rows_told = f"rows {', '.join(map(str, first))}{f' and {flat - 3:,} more' if flat > 3 else ''}"
    return (Fault("pile", f"{rows_told if flat > 1 else f'row {first[0]}'}: {PILE_TAKEN}"),)


def row_with(sheet: Sheet, tag: str) -> int:
    """The number of the first row that has this tag, in whatever letter case; 0 where none has."""
    folded = tag.casefold()
    return next((number for number, each in _under(sheet, "tag") if each.casefold() == folded), 0)


def _under(sheet: Sheet, field: str) -> Iterator[tuple[int, str]]:
    """Each row's number and what can be seen of its cell in the column of this field; nothing where no column tells it."""
    column = _column(sheet, field)
    if column is not None:
        yield from ((number, _seen(cells, column)) for number, cells in sheet.rows)


def _seen(cells: Sequence[str], column: int | None) -> str:
    """What can be seen of a row's cell in a column; nothing where there is none."""
    return visible(cells[column]) if column is not None and len(cells) > column else ""


def _column(sheet: Sheet, field: str) -> int | None:
    return next((index for index, heading in enumerate(sheet.headings) if heading.field == field), None)


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
    if heading.field not in _SUMS:
        return cell
    currency = re.search(r"\b([A-Z]{3})\W*$", heading.written)
    return f"{cell} {currency[1]}" if currency and re.fullmatch(r"[\d.,]+", cell) else cell


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
