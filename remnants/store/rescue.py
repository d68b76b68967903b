"""What can still be read out of a damaged file: table by table, row by row, into a file of its own that is not damaged."""

import shutil
import sqlite3
from collections.abc import Generator, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from remnants.errors import CatalogueUnusable
from remnants.ledger import Standing
from remnants.private import JOURNALS, make_file
from remnants.store.catalogue import Catalogue, address
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.in_store import TELL_FLOWS
from remnants.store.migrations import APPLICATION_ID, MIGRATIONS, migrate
from remnants.store.rows import STANDING_COLUMNS, standing_row
from remnants.store.unshared import TELL_UNSHARED
from remnants.store.ways import STORE_TOLD_NOW

__all__ = ["LEFT_OUT", "TAKEN_OUT", "TakenOut", "every_row", "put_pieces", "put_rows", "take_out", "tell_store"]

TAKEN_OUT = (
    *("style", "customer", "person", "piece", "entry", "photo", "job", "request", "shop_rule", "style_rule", "agreement"),
    *(
        "job_photo",
        "job_photos_closed",
        "branch",
        "branch_place",
        "branch_distance",
        "branch_role",
        "price_list",
        "kept_order",
        "promised_leftover",
        "phone_calibration",
    ),
)
"""Tables whose rows are taken out."""

LEFT_OUT = (
    "migration",
    "names_mark",
    "store_change",
    "worth_least",
    "worth_change",
    "worth_sum",
    "cut_unshared",
    "session",
    "link",
    "wrong_try",
    "unsent",
    "half_open",
    "field_pace",
    "customer_link",
    "photo_page",
    "flat_photo",
)
"""Tables whose rows are not: some follow from the others, some end where people have to sign in again, and a page's bar is
measured again."""

_MOST_IN_VAIN = 2_000
"""Rows that are tried one by one without finding any where a table can't be read on: a lost page held far fewer."""

_PAGE = 4096
_HEADER = {
    0: b"SQLite format 3\x00",
    16: (_PAGE).to_bytes(2, "big"),
    18: b"\x01\x01\x00\x40\x20\x20",
    32: bytes(8),
    44: (4).to_bytes(4, "big"),
    52: bytes(4),
    56: (1).to_bytes(4, "big"),
    64: bytes(4),
    68: APPLICATION_ID.to_bytes(4, "big"),
}
"""What stands at the start of each catalogue, by its place (SQLite's file format, 1.3; no page is taken for free)."""


@dataclass
class TakenOut:
    """How many rows of each table were taken out, and in which tables reading broke off or rows were no rows of ours."""

    rows: dict[str, int] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)

    @property
    def total(self) -> int:
        """All rows."""
        return sum(self.rows.values())


def take_out(damaged: Path, fresh: Path) -> TakenOut:
    """Puts what can be read of a damaged file into the new catalogue `fresh`, brought up to date; rows may not fit each other.

    The damaged file stays as it is. Copies lie beside `fresh`. Raises CatalogueUnusable: no room, unreadable, nothing in it.
    """
    best = TakenOut()
    for number, mended in enumerate((False, True)):
        trial = fresh.with_name(f"trial-{number}.db")
        taken = _taken(_own_copy(damaged, fresh.with_name(f"damaged-{number}.db"), mended=mended), trial)
        if taken.total > best.total:
            best = taken
            trial.replace(fresh)
        if best.total and not best.broken:
            break
    if not best.total:
        raise CatalogueUnusable(f"{damaged}: nothing can be read out of it; nothing was changed, look for another copy")
    try:
        with closing(sqlite3.connect(fresh, isolation_level=None)) as opened:
            migrate(FileCatalogue(opened))
    except sqlite3.Error as error:
        raise CatalogueUnusable(f"{damaged}: what can be read is of an older version and doesn't fit ({error})") from None
    return best


def every_row(catalogue: Catalogue, table: str) -> list[dict[str, Any]]:
    """The rows of a table that was taken out."""
    return list(catalogue.query(f"SELECT * FROM {table} ORDER BY {'number' if table == 'entry' else 'rowid'}"))


def put_rows(catalogue: Catalogue, table: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Puts rows that were taken out into a catalogue that has none of them. The caller holds the transaction."""
    for row in rows:
        catalogue.execute(_insert(table, list(row)), list(row.values()))


def put_pieces(catalogue: Catalogue, standings: Sequence[Standing]) -> None:
    """Puts in the rows of pieces whose entries are put in with them. The caller holds the transaction."""
    catalogue.many(_insert("piece", STANDING_COLUMNS), map(standing_row, standings))


def tell_store(catalogue: Catalogue) -> None:
    """Works out anew from the entries how each changed what is in store, and which cuts handed no cost on. The caller holds the
    transaction.
    """
    catalogue.execute("DELETE FROM store_change")
    catalogue.execute(f"INSERT INTO store_change (number, style, day, pieces, area_mm2) {STORE_TOLD_NOW}")
    catalogue.execute(TELL_FLOWS)
    catalogue.execute("DELETE FROM cut_unshared")
    catalogue.execute(TELL_UNSHARED)


def _insert(table: str, columns: Sequence[str]) -> str:
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"


def _own_copy(damaged: Path, copy: Path, *, mended: bool) -> Path:
    """The bytes and those of its journals; `mended`, with the start of the file as it must have been, and no journal."""
    try:
        for ending in ("", *(() if mended else JOURNALS)):
            source = damaged.with_name(damaged.name + ending)
            if source.exists() and not ending.endswith("shm"):
                make_file(copy.with_name(copy.name + ending))
                shutil.copyfile(source, copy.with_name(copy.name + ending))
        if mended:
            with copy.open("r+b") as file:
                for place, content in {**_HEADER, 28: (copy.stat().st_size // _PAGE).to_bytes(4, "big")}.items():
                    file.seek(place)
                    file.write(content)
                file.seek(24)
                changes = file.read(4)
                file.seek(92)
                file.write(changes)
    except OSError as error:
        raise CatalogueUnusable(
            f"{damaged}: can't be read, or no copy of it made ({error.strerror}); nothing was changed"
        ) from None
    return copy


def _taken(copy: Path, trial: Path) -> TakenOut:
    """What can be read of the copy, put into a new file of the same step."""
    taken = TakenOut()
    with (
        closing(sqlite3.connect(address(copy, "rw"), uri=True, isolation_level=None)) as source,
        closing(sqlite3.connect(trial, isolation_level=None)) as goal,
    ):
        source.text_factory = lambda raw: raw.decode(errors="surrogateescape")
        with suppress(sqlite3.Error):
            source.execute("PRAGMA writable_schema = ON")  # a table whose plan is damaged doesn't hide the others
        goal.execute("PRAGMA synchronous = OFF")  # it is gone with its room
        goal.execute("PRAGMA journal_mode = OFF")
        migrate(FileCatalogue(goal), upto=_step(source))
        known = {str(name) for (name,) in goal.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        goal.execute("BEGIN")
        for table in (name for name in TAKEN_OUT if name in known):
            columns = {str(name) for _, name, *_ in goal.execute(f"PRAGMA table_info({table})")}
            count = 0
            for row in _rows(source, table, taken.broken):
                if _put(goal, table, {name: value for name, value in row.items() if name in columns}):
                    count += 1
                else:
                    taken.broken.add(table)
            taken.rows[table] = count
        goal.execute("COMMIT")
    return taken


def _step(source: sqlite3.Connection) -> int:
    """The step of the file, as far as that can be read; else the newest."""
    try:
        (number,) = source.execute("SELECT max(number) FROM migration").fetchone()
        return int(number) if 0 < int(number) < len(MIGRATIONS) else len(MIGRATIONS)
    except (sqlite3.Error, TypeError, ValueError):
        return len(MIGRATIONS)


def _put(goal: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> bool:
    try:
        for value in row.values():
            if isinstance(value, str):
                value.encode()
        goal.execute(_insert(table, list(row)), list(row.values()))
    except (sqlite3.Error, UnicodeError, OverflowError):
        return False
    return True


def _rows(source: sqlite3.Connection, table: str, broken: set[str]) -> Iterator[dict[str, Any]]:
    """The rows that can be read: from the first on, from the last back, and one by one what lies between."""
    whole = f"SELECT rowid AS _row, * FROM {table} NOT INDEXED"
    seen: set[int] = set()
    end = yield from _read(source, f"{whole} ORDER BY rowid", seen)
    if end:
        return
    broken.add(table)
    lowest = max(seen, default=0)
    yield from _read(source, f"{whole} ORDER BY rowid DESC", seen)
    highest = max(seen, default=0)
    found, number = lowest, lowest + 1
    while number - found < _MOST_IN_VAIN and not lowest < highest <= number:
        if number not in seen:
            yield from _read(source, f"{whole} WHERE rowid = {number}", seen)
        if number in seen:
            found = number
        number += 1


def _read(source: sqlite3.Connection, sql: str, seen: set[int]) -> Generator[dict[str, Any], None, bool]:
    """Rows that were not read before; gives whether their end was reached."""
    try:
        rows = source.execute(sql)
        names = [name for name, *_ in rows.description]
        for number, *values in rows:
            if number in seen or not isinstance(number, int):
                continue
            seen.add(number)
            yield dict(zip(names[1:], values, strict=True))
    except (sqlite3.Error, UnicodeDecodeError):
        return False
    return True
