"""Putting the lines of a spreadsheet into the catalogue: all of them, or all but the bad ones when that is wished."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from remnants.actions.log_pieces import free_tags, known_styles, log_pieces, taken_tags
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.exchange.lines import BadRow, pieces_in
from remnants.exchange.sheet import Sheet
from remnants.ledger import Signed
from remnants.marks import visible
from remnants.model import Kind, Style
from remnants.store import Catalogue
from remnants.units import Unit

__all__ = ["LoggedLines", "log_lines"]


@dataclass(frozen=True)
class LoggedLines:
    """Tags of the pieces that were stored, the rows that were not, the styles that nobody has described, and what was cleaned."""

    tags: tuple[str, ...]
    bad: tuple[BadRow, ...] = ()
    bare_styles: tuple[str, ...] = ()
    notes: tuple[Fault, ...] = ()


def log_lines(
    catalogue: Catalogue,
    sheet: Sheet,
    *,
    unit: Unit,
    signed: Signed,
    skip_bad: bool = False,
    key: str = "",
    told: Callable[[int], None] = lambda _: None,
) -> LoggedLines:
    """Stores a piece for each row, as one booking. `unit` is that of bare figures; `told` hears how many rows are read.

    Raises BadInput with the faults of all bad rows, and stores nothing then, unless `skip_bad` wants the others stored.
    """
    lines = pieces_in(sheet, unit=unit, new_tag=_tags(catalogue, sheet), told=told)
    taken = taken_tags(catalogue, [piece.tag for piece in lines.pieces])
    rows = dict(sheet.rows)
    numbers = _row_numbers(sheet, lines.bad)
    clashes = tuple(
        BadRow(numbers[index], rows[numbers[index]], (Fault(f"row {numbers[index]}", told),)) for index, told in taken.items()
    )
    bad = tuple(sorted((*lines.bad, *clashes), key=lambda row: row.number))
    good = tuple(piece for index, piece in enumerate(lines.pieces) if index not in taken)
    if bad and (not skip_bad or not good):
        raise BadInput(fault for row in bad for fault in row.faults)
    known = known_styles(catalogue)
    bare = tuple(sorted({piece.style for piece in good} - known.keys()))
    stock = Stock(tuple(Style(name) for name in bare), good, unit)
    return LoggedLines(log_pieces(catalogue, stock, signed=signed, key=key), bad, bare, lines.notes)


def _tags(catalogue: Catalogue, sheet: Sheet) -> Callable[[Kind], str]:
    """Gives free tags that the sheet doesn't use either."""
    column = next((index for index, heading in enumerate(sheet.headings) if heading.field == "tag"), None)
    filled = (cells[column] for _, cells in sheet.rows if len(cells) > column) if column is not None else ()
    given = frozenset(visible(cell).casefold() for cell in filled)
    free: dict[Kind, Iterator[str]] = {}

    def new_tag(kind: Kind) -> str:
        tags = free.setdefault(kind, free_tags(catalogue, kind))
        return next(tag for tag in tags if tag.casefold() not in given)

    return new_tag


def _row_numbers(sheet: Sheet, bad: tuple[BadRow, ...]) -> list[int]:
    """The numbers of the rows that gave pieces, in their order."""
    skipped = {row.number for row in bad}
    return [number for number, _ in sheet.rows if number not in skipped]
