"""The rows of a spreadsheet that was saved as text (CSV), with any of the usual separators and encodings."""

import codecs
import csv
import io
import re
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager, closing
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, islice
from typing import BinaryIO

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.headings import known_in
from remnants.exchange.table import HEADINGS_WITHIN, Row, Within
from remnants.limits import CELL_CHARACTERS

__all__ = ["TextRows", "delimited_rows", "text_rows"]

Opened = Callable[[], AbstractContextManager[BinaryIO]]
"""Opens what is read, anew at each call."""

_END = "the end of all rows"
_SEPARATORS = (",", ";", "\t", "|")
_SAID = re.compile(r'"?sep=(.)"?[ \t;,|]*(?:\r\n|\r|\n)')
"""The first line of a file that tells a spreadsheet which separator it has."""

_LONG = f"a cell of more than {CELL_CHARACTERS:,} characters; shorten it, or close a quotation mark that is left open"
_OPEN = "a quotation mark is opened and never closed; close it, or take it away"
_CHUNK = 1 << 20


@dataclass(frozen=True)
class TextRows:
    """The rows of a text that have any text. They are read anew each time they are gone through: a million take no more memory
    than one.

    Going through them raises BadFile with the row: a cell that is too long, an open quotation mark, a row too many.
    """

    opened: Opened
    name: str
    encoding: str
    separator: str
    said: bool
    """Whether the first line tells the separator, and nothing else."""

    def __iter__(self) -> Iterator[Row]:
        within = Within(self.name)
        number = 0
        with closing(_lines(self.opened, self.encoding)) as lines:
            try:
                for number, cells in enumerate(csv.reader(lines, delimiter=self.separator), 1):
                    if cells == [_END]:
                        return
                    stripped = [unguarded(cell) if cell[:1] == "'" else cell for cell in map(str.strip, cells)]
                    if (number > 1 or not self.said) and (row := within.row(number, stripped)):
                        yield row
            except csv.Error:
                raise BadFile([Fault(f"{self.name}: row {number + 1}", _LONG)]) from None
        raise BadFile([Fault(f"{self.name}: row {number}", _OPEN)])

    @cached_property
    def count(self) -> int:
        """How many rows there are; all are gone through for it."""
        return sum(1 for _ in self)

    def __len__(self) -> int:
        return self.count


def text_rows(opened: Opened, name: str, told: Mapping[str, str] | None = None) -> tuple[TextRows, tuple[str, ...]]:
    """The rows of the text called `name`, and what the reader should be told. `told` says what some headings are for."""
    encoding, notes = _encoding(opened)
    with closing(_lines(opened, encoding)) as lines:
        said = _SAID.match(next(lines))
    return TextRows(opened, name, encoding, said[1] if said else _separator(opened, encoding, told or {}), bool(said)), notes


def delimited_rows(raw: bytes, name: str, told: Mapping[str, str] | None = None) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """As `text_rows`, of a text that is at hand, with all its rows. Raises BadFile as going through them does."""
    rows, notes = text_rows(lambda: io.BytesIO(raw), name, told)
    return tuple(rows), notes


def _lines(opened: Opened, encoding: str) -> Generator[str, None, None]:
    """The lines of the text, each with its end, and one more that tells that no quotation mark was left open before it."""
    with opened() as raw, io.TextIOWrapper(raw, encoding=encoding, errors="replace", newline="") as text:
        yield from chain(text, ["\n", f"{_END}\n"])


def _encoding(opened: Opened) -> tuple[str, tuple[str, ...]]:
    """UTF-8 or, where it is marked so or has NUL for every other byte, UTF-16; otherwise what spreadsheets of western Europe
    and America save (cp1252)."""
    with opened() as raw:
        start = raw.read(64)
    if start.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16", ()
    for encoding, zeros in (("utf-16-le", start[1::2]), ("utf-16-be", start[::2])):
        if len(start) >= 8 and zeros.count(0) > len(zeros) * 3 // 4:
            return encoding, ()
    if _is_utf_8(opened):
        return "utf-8-sig", ()
    return "cp1252", ("the file is not UTF-8; it is read as cp1252, look at names with accents",)


def _is_utf_8(opened: Opened) -> bool:
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        with opened() as raw:
            while chunk := raw.read(_CHUNK):
                decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _separator(opened: Opened, encoding: str, told: Mapping[str, str]) -> str:
    """The separator that shows most known headings in a line; else the one that stands most often in the first line."""
    with closing(_lines(opened, encoding)) as lines:
        first = next((line for line in lines if line.strip()), "").strip()

    def shown(separator: str) -> int:
        with closing(_lines(opened, encoding)) as lines:
            return _headings_shown(csv.reader(lines, delimiter=separator), told)

    return max(_SEPARATORS, key=lambda separator: (shown(separator), first.count(separator)))


def _headings_shown(rows: Iterable[list[str]], told: Mapping[str, str]) -> int:
    try:
        return max((len(known_in(cells, told)) for cells in islice(rows, HEADINGS_WITHIN)), default=0)
    except csv.Error:
        return 0
