"""Putting the lines of a spreadsheet into the catalogue: all of them, or all but the bad ones when that is wished."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from remnants.actions.log_pieces import free_tags, known_styles, log_pieces, taken_tags
from remnants.actions.style_spelling import Meant, kept_as_written, spelled_as_known
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.exchange.lines import BadRow, given_tags, pieces_in
from remnants.exchange.sheet import Sheet
from remnants.ledger import Signed
from remnants.model import Kind, Style
from remnants.store import Catalogue
from remnants.units import Unit

__all__ = ["LoggedLines", "log_lines"]


@dataclass(frozen=True)
class LoggedLines:
    """Tags of the pieces that were stored, the rows that were not, styles that nobody has described, and what is to be told."""

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
    meant: Meant = kept_as_written,
) -> LoggedLines:
    """Stores a piece for each row, as one booking. `unit` is that of bare figures; `told` hears how many rows are read, `meant`
    is asked of a style that may be a known one, written otherwise.

    Raises BadInput with the faults of all bad rows, and stores nothing then, unless `skip_bad` wants the others stored.
    """
    lines = pieces_in(
        sheet,
        unit=unit,
        new_tag=_tags(catalogue, sheet),
        is_free=lambda tag: not taken_tags(catalogue, [tag]),
        told=told,
    )
    rows = dict(sheet.rows)
    taken = {lines.rows[index]: told for index, told in taken_tags(catalogue, [piece.tag for piece in lines.pieces]).items()}
    clashes = tuple(BadRow(number, rows[number], (Fault(f"row {number}", told),)) for number, told in taken.items())
    bad = tuple(sorted((*lines.bad, *clashes), key=lambda row: row.number))
    good = tuple(piece for number, piece in zip(lines.rows, lines.pieces, strict=True) if number not in taken)
    if bad and (not skip_bad or not good):
        raise BadInput(fault for row in bad for fault in row.faults)
    known = known_styles(catalogue)
    good, spelled = spelled_as_known(good, known.keys(), meant)
    bare = tuple(sorted({piece.style for piece in good} - known.keys()))
    stock = Stock(tuple(Style(name) for name in bare), good, unit)
    return LoggedLines(log_pieces(catalogue, stock, signed=signed, key=key), bad, bare, (*lines.notes, *spelled))


def _tags(catalogue: Catalogue, sheet: Sheet) -> Callable[[Kind], str]:
    """Gives free tags that the sheet doesn't use either."""
    given = given_tags(sheet)
    free: dict[Kind, Iterator[str]] = {}

    def new_tag(kind: Kind) -> str:
        tags = free.setdefault(kind, free_tags(catalogue, kind))
        return next(tag for tag in tags if tag.casefold() not in given)

    return new_tag
