"""Putting the lines of a spreadsheet into the catalogue: all of them, or all but the bad ones when that is wished."""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Any

from remnants.actions.booking import once
from remnants.actions.log_pieces import free_tags, known_styles, put_in, taken_tags
from remnants.actions.style_spelling import Meant, kept_as_written, styles_as_known
from remnants.errors import BadInput, Fault
from remnants.exchange.lines import BadRow, GoodRow, SheetSeen, row_with, rows_in, second_of, sheet_seen
from remnants.exchange.sheet import Sheet
from remnants.ledger import Signed
from remnants.model import Kind, Piece, Style
from remnants.store import Catalogue, ledger, pieces
from remnants.units import Unit

__all__ = ["TAGS_TOLD", "LinesSeen", "LoggedLines", "log_lines", "look_at_lines"]

TAGS_TOLD = 2_000
"""Tags of stored pieces that are told; of more, how many."""

_AT_ONCE = 500


@dataclass(frozen=True)
class LoggedLines:
    """How many pieces were stored, the tags of the first TAGS_TOLD, the rows that were not, styles that nobody has described, and
    what is to be told."""

    count: int
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
    """Stores a piece for each row, as one booking, some hundred at a time: a million take no more memory. A `key` that these rows
    were logged under before gives what it gave then.

    `unit` is that of bare figures; `told` hears how many rows are stored, `meant` is asked of a style that may be a known one,
    written otherwise.

    Raises BadInput with the faults of all bad rows, and stores nothing then, unless `skip_bad` wants the others stored.
    """
    if meant is not kept_as_written and not skip_bad:
        _refuse_bad(sheet, unit)
    all_rows = sheet_seen(sheet)
    styles, spelled = styles_as_known(all_rows.styles, known_styles(catalogue), meant)
    lines = _Lines(catalogue, sheet, all_rows, unit, signed, styles)

    def do() -> dict[str, Any]:
        lines.store(told)
        if lines.bad and (not skip_bad or not lines.count):
            raise BadInput(fault for row in lines.bad for fault in row.faults)
        return {"count": lines.count, "tags": lines.tags}

    stored = once(catalogue, key, ["log lines", _digest(sheet, unit) if key else "", skip_bad], signed, do)
    notes = (*all_rows.pile, *lines.notes, *spelled)
    return LoggedLines(stored["count"], tuple(stored["tags"]), tuple(lines.bad), tuple(sorted(lines.bare)), notes)


@dataclass(frozen=True)
class LinesSeen:
    """What logging a sheet would store, without storing it: the first pieces, and what `LoggedLines` tells beside them.

    `mark` stands for exactly that outcome, so that what is logged is what was shown.
    """

    count: int
    pieces: tuple[Piece, ...]
    bad: tuple[BadRow, ...]
    bare_styles: tuple[str, ...]
    notes: tuple[Fault, ...]
    mark: str


class _OnlyLooked(Exception):
    """Ends a transaction whose outcome was to be seen, not kept."""


def look_at_lines(
    catalogue: Catalogue, sheet: Sheet, *, unit: Unit, signed: Signed, shown: int, meant: Meant = kept_as_written
) -> LinesSeen:
    """What `log_lines` would store of the good rows, with the first `shown` pieces. It is stored and taken back in one
    transaction, so that no rule is told twice; for sheets of some thousand rows."""
    all_rows = sheet_seen(sheet)
    styles, spelled = styles_as_known(all_rows.styles, known_styles(catalogue), meant)
    lines = _Lines(catalogue, sheet, all_rows, unit, signed, styles)
    first: tuple[Piece, ...] = ()
    with suppress(_OnlyLooked), catalogue.atomic():
        lines.store(lambda _: None)
        standings = pieces.standings_tagged(catalogue, lines.tags[:shown])
        first = tuple(standings[tag].piece for tag in lines.tags[:shown])
        raise _OnlyLooked
    told = (_digest(sheet, unit), sorted(styles.items()), lines.tags, [(row.number, row.faults) for row in lines.bad])
    mark = hashlib.sha256(repr(told).encode()).hexdigest()[:32]
    notes = (*all_rows.pile, *lines.notes, *spelled)
    return LinesSeen(lines.count, first, tuple(lines.bad), tuple(sorted(lines.bare)), notes, mark)


def _refuse_bad(sheet: Sheet, unit: Unit) -> None:
    """Raises BadInput for rows that can't be used, before anybody is asked about the others."""
    given = sheet_seen(sheet).tags
    bad = [row for row in rows_in(sheet, given, unit=unit, new_tag=lambda kind: kind.value) if isinstance(row, BadRow)]
    if bad:
        raise BadInput(fault for row in bad for fault in row.faults)


@dataclass
class _Lines:
    """The lines of a sheet on their way into the catalogue: a few hundred at a time."""

    catalogue: Catalogue
    sheet: Sheet
    seen: SheetSeen
    unit: Unit
    signed: Signed
    styles: Mapping[str, str]
    count: int = 0
    tags: list[str] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)
    bare: set[str] = field(default_factory=set)
    notes: list[Fault] = field(default_factory=list)

    def store(self, told: Callable[[int], None]) -> None:
        """Puts in what can be, within a transaction of the caller's."""
        known = known_styles(self.catalogue).keys()
        booking = ledger.next_number(self.catalogue)
        rows = rows_in(
            self.sheet,
            self.seen.tags,
            unit=self.unit,
            new_tag=_tags(self.catalogue, self.seen.tags),
            is_free=lambda tag: not taken_tags(self.catalogue, [tag]),
        )
        done = 0
        for some in _some(rows):
            self.notes += (note for row in some for note in row.notes)
            self.bad += (row for row in some if isinstance(row, BadRow))
            good = tuple(self._free([row for row in some if isinstance(row, GoodRow)], booking))
            made = tuple(self._spelled(piece) for row in good for piece in row.pieces)
            bare = {piece.style for piece in made} - known - self.bare
            put_in(self.catalogue, [Style(name) for name in sorted(bare)], made, self.signed, booking=booking, free=True)
            self.count += len(made)
            self.tags += [piece.tag for piece in made[: TAGS_TOLD - len(self.tags)]]
            self.bare |= bare
            done += len(some)
            told(done)
        self.bad.sort(key=lambda row: row.number)

    def _spelled(self, piece: Piece) -> Piece:
        style = self.styles.get(piece.style)
        return replace(piece, style=style) if style else piece

    def _free(self, rows: Sequence[GoodRow], booking: int) -> Iterator[GoodRow]:
        """Those of the rows whose tags nothing else has; the others are bad."""
        taken = taken_tags(self.catalogue, [piece.tag for row in rows for piece in row.pieces])
        here: dict[str, tuple[int, str]] = {}
        at = 0
        for row in rows:
            clash = next((taken[place] for place in range(at, at + len(row.pieces)) if place in taken), "")
            at += len(row.pieces)
            first = row.pieces[0].tag
            number, tag = here.setdefault(first.casefold(), (row.number, first))
            if number == row.number and clash:
                number, tag = self._row_before(first, booking)
            if number != row.number and number:
                self.bad.append(second_of(row, self.sheet, number, tag))
            elif clash:
                self.bad.append(BadRow(row.number, row.cells, (Fault(f"row {row.number}", clash),)))
            else:
                yield row
                here |= {piece.tag.casefold(): (row.number, piece.tag) for piece in row.pieces[1:]}

    def _row_before(self, tag: str, booking: int) -> tuple[int, str]:
        """The earlier row whose piece has the tag, and the tag as it is written there; 0 where no row of this sheet gave it."""
        written = pieces.taken_as(self.catalogue, [tag]).get(tag, "")
        own = written and pieces.standings_tagged(self.catalogue, [written])[written].version >= booking
        return (row_with(self.sheet, written), written) if own else (0, "")


def _some(rows: Iterable[GoodRow | BadRow]) -> Iterator[list[GoodRow | BadRow]]:
    """The rows, as many at a time as give some hundred pieces."""
    some: list[GoodRow | BadRow] = []
    count = 0
    for row in rows:
        some.append(row)
        count += len(row.pieces) if isinstance(row, GoodRow) else 1
        if count >= _AT_ONCE:
            yield some
            some, count = [], 0
    if some:
        yield some


def _digest(sheet: Sheet, unit: Unit) -> str:
    """What tells these rows under these headings from any others."""
    digest = hashlib.sha256(repr((sheet.headings, unit)).encode())
    for row in sheet.rows:
        digest.update(repr(row).encode())
    return digest.hexdigest()


def _tags(catalogue: Catalogue, given: frozenset[str]) -> Callable[[Kind], str]:
    """Gives free tags that the sheet doesn't use either."""
    free: dict[Kind, Iterator[str]] = {}

    def new_tag(kind: Kind) -> str:
        tags = free.setdefault(kind, free_tags(catalogue, kind))
        return next(tag for tag in tags if tag.casefold() not in given)

    return new_tag
