"""The catalogue read as one that nobody vouches for: rows as they stand, and which break the rules of their tables."""

import re
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from datetime import date
from itertools import islice
from typing import TYPE_CHECKING, Any

from remnants.days import day_words, moment_words
from remnants.errors import CatalogueUnusable, Fault
from remnants.late import Late
from remnants.store.catalogue import Catalogue
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.migrations import MIGRATIONS, migrate
from remnants.store.rows import time_of

if TYPE_CHECKING:
    from remnants.store.server import soundness as server_soundness
else:  # with what speaks to a server
    server_soundness = Late("remnants.store.server.soundness")

__all__ = ["as_it_stands", "count_rows", "entry_name", "store_faults", "told", "told_beside", "unvouched", "where"]

_AT_ONCE = 200
_MOST_SHOWN = 60

_KEYS = {
    "piece": ("piece", "tag"),
    "entry": ("entry", "number"),
    "style": ("style", "name"),
    "job": ("job", "name"),
    "photo": ("photograph", "number"),
    "agreement": ("agreement", "number"),
    "customer": ("customer", "reference"),
    "person": ("person", "name"),
    "request": ("request", "key"),
    "migration": ("step", "number"),
    "job_photo": ("job's photograph", "number"),
    "branch": ("branch", "name"),
    "price_list": ("price list", "number"),
    "phone_calibration": ("calibration", "number"),
    "kept_order": ("revision of order", "number"),
    "promised_leftover": ("promised leftover", "number"),
    "branch_place": ("words of a place", "words"),
}
"""What a row of each table is called, and the column that names it."""

_KEPT = re.compile(r"\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}:\d{2}Z)?", re.ASCII)
"""A day or a time as it is kept."""

_LEFT_OUT = {(table, "jpeg"): "substr(jpeg, 1, 16)" for table in ("photo", "job_photo")}
"""What is too large to be read for the rules of its table alone."""

_HUSH = re.compile(r"(NULL value|CHECK constraint failed|non-\w+ value|\w+ value) in \w+")
"""How SQLite tells of a row that breaks a rule, without saying which row."""


@contextmanager
def as_it_stands(catalogue: Catalogue) -> Iterator[None]:
    """Within it a text that is no UTF-8 is read too: with `\\xff` where it has such a byte. A server shows one moment."""
    if not isinstance(catalogue, FileCatalogue):
        with catalogue.one_moment():
            yield
        return
    before = catalogue.conn.text_factory
    catalogue.conn.text_factory = lambda raw: raw.decode(errors="backslashreplace")
    try:
        yield
    finally:
        catalogue.conn.text_factory = before


def unvouched(catalogue: Catalogue, sql: str, parameters: Sequence[Any] = ()) -> Iterator[dict[str, Any]]:
    """The rows of a statement, each value by its column's name. Raises CatalogueUnusable where the file can't be read on, and
    what the store does where it can't answer `only_now`: that is no fault of what it holds.
    """
    try:
        yield from catalogue.query(sql, parameters) if parameters else catalogue.each(sql)
    except catalogue.refusals as error:
        if catalogue.only_now(error):
            raise
        raise CatalogueUnusable(f"can't be read to its end ({error})") from None


def where(table: str, row: Mapping[str, Any]) -> str:
    """What a row is called: `piece R-2`, `entry 14`; one without its name by the first of its other fields."""
    word, key = _KEYS.get(table, (f"row of {table}", ""))
    name = row.get(key)
    if (isinstance(name, str) and name.strip()) or (isinstance(name, int) and key):
        return f"{word} {told(name)}" if table == "request" or not isinstance(name, str) else f"{word} {name[:_MOST_SHOWN]}"
    first = [f"{column} {told(value)}" for column, value in row.items() if value is not None and column != key][:3]
    without = f" without a {key}" if key else ""
    return f"a {word}{without} ({', '.join(first)})"


def entry_name(row: Mapping[str, Any]) -> str:
    """What an entry's row is called where it matters what it tells: `entry 14 of R-2, cut`."""
    return f"{where('entry', row)} of {row['tag']!s:.60}, {row['act']!s:.30}"


def told(value: Any) -> str:
    """A value from a row, short enough for a line."""
    if value is None:
        return "nothing"
    text = repr(value)
    return text if len(text) <= _MOST_SHOWN else f"{text[: _MOST_SHOWN - 3]}..."


def told_beside(is_now: Any, should: Any) -> tuple[str, str]:
    """Two values of a column as `told`; days or times in words, where these tell them apart."""
    words = tuple(_day_or_time(value) or told(value) for value in (is_now, should))
    return (words[0], words[1]) if words[0] != words[1] else (told(is_now), told(should))


def _day_or_time(value: Any) -> str:
    """In words, of a text as days and times are kept; nothing of any other value."""
    kept = _KEPT.fullmatch(value) if isinstance(value, str) else None
    try:
        if not kept:
            return ""
        return moment_words(time_of(value)) if kept[1] else day_words(date.fromisoformat(value))
    except ValueError:  # the 31st of a short month
        return ""


def count_rows(catalogue: Catalogue, *tables: str) -> int:
    """How many rows these tables have, or all, as far as they can be counted."""
    total = 0
    try:
        for table in tables or catalogue.tables():
            total += int(catalogue.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0])
    except catalogue.refusals:  # told by what reads it
        return total
    return total


def store_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """What is wrong with what the rows lie in: a file, or the tables of a server. `passed` hears how many rows were looked at."""
    if isinstance(catalogue, FileCatalogue):
        yield from file_faults(catalogue, passed=passed)
    else:
        yield from server_soundness.server_faults(catalogue, passed=passed)


def file_faults(catalogue: FileCatalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """What is wrong with the file itself: pages, tables and guards, rows that break a rule of their table or refer to nothing.

    `passed` hears how many rows more were looked at.
    """
    with closing(_as_made_now()) as made:
        yield from _plan_faults(catalogue, made)
        _bared(made)
        broken = False
        for table in _names(made, "table"):
            for fault in _rule_faults(catalogue, made, table, passed):
                broken = True
                yield fault
        yield from _page_faults(catalogue, hushed=broken)
    yield from _dangling(catalogue)


def _as_made_now() -> sqlite3.Connection:
    """The tables of a new catalogue."""
    made = sqlite3.connect(":memory:", isolation_level=None)
    migrate(FileCatalogue(made))
    return made


def _bared(made: sqlite3.Connection) -> None:
    """Takes guards and rows away: what is left are the rules of the tables."""
    for trigger in _names(made, "trigger"):
        made.execute(f"DROP TRIGGER {trigger}")
    for table in _names(made, "table"):
        made.execute(f"DELETE FROM {table}")


def _names(connection: sqlite3.Connection, kind: str) -> list[str]:
    sql = "SELECT name FROM sqlite_master WHERE type = ? AND name NOT LIKE 'sqlite~_%' ESCAPE '~' ORDER BY name"
    return [str(name) for (name,) in connection.execute(sql, [kind])]


def _plan_faults(catalogue: FileCatalogue, made: sqlite3.Connection) -> Iterator[Fault]:
    """Tables, columns, indexes and guards that should be there and are not, or are others."""
    for kind, word in (("table", "table"), ("index", "index"), ("trigger", "guard")):
        there = {row["name"]: row["sql"] for row in unvouched(catalogue, "SELECT name, sql FROM sqlite_master")}
        for name in _names(made, kind):
            if name not in there:
                yield Fault(f"{word} {name}", "is missing from the file")
            elif kind == "trigger" and there[name] != _sql_of(made, name):
                yield Fault(f"{word} {name}", "is not the one that this program made")
    done = [(row["number"], row["name"]) for row in unvouched(catalogue, "SELECT number, name FROM migration ORDER BY number")]
    for number, step in enumerate(MIGRATIONS, 1):
        if (number, step.name) not in done:
            yield Fault(f"step {number}", f"is not recorded in the file as {step.name!r}")


def _sql_of(made: sqlite3.Connection, name: str) -> str:
    return str(made.execute("SELECT sql FROM sqlite_master WHERE name = ?", [name]).fetchone()[0])


def _rule_faults(catalogue: Catalogue, made: sqlite3.Connection, table: str, passed: Callable[[int], None]) -> Iterator[Fault]:
    """Rows that this program could not have written: each is tried on an empty table with the same rules."""
    columns = [str(name) for _, name, *_ in made.execute(f"PRAGMA table_info({table})")]
    read = ", ".join(f"{_LEFT_OUT.get((table, column), column)} AS {column}" for column in columns)
    put = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"
    try:
        found = unvouched(catalogue, f"SELECT {read} FROM {table}")
        while some := list(islice(found, _AT_ONCE)):
            passed(len(some))
            whole = _refusal(made, put, [tuple(row.values()) for row in some])
            if not whole:
                continue
            single = [(row, _refusal(made, put, [tuple(row.values())])) for row in some]
            faults = [Fault(where(table, row), _rule(what, row)) for row, what in single if what]
            yield from faults or [Fault(f"table {table}", f"two rows have the same name ({whole})")]
    except CatalogueUnusable as error:
        yield Fault(f"table {table}", str(error))


def _refusal(made: sqlite3.Connection, put: str, rows: Sequence[tuple[Any, ...]]) -> str:
    """What the table says against these rows; nothing when it takes them. It is empty after."""
    made.execute("BEGIN")
    try:
        made.executemany(put, rows)
    except (sqlite3.Error, OverflowError) as error:
        return str(error)
    finally:
        made.execute("ROLLBACK")
    return ""


def _rule(refusal: str, row: Mapping[str, Any]) -> str:
    """A refusal of SQLite's in our words."""
    if lacking := re.search(r"NOT NULL constraint failed: \w+\.(\w+)", refusal):
        return f"`{lacking[1]}` is missing"
    if other := re.search(r"cannot store (\w+) value in (\w+) column \w+\.(\w+)", refusal):
        one, kept = (f"{'an' if kind == 'INTEGER' else 'a'} {kind}" for kind in other.groups()[:2])
        return f"`{other[3]}` is {told(row[other[3]])}, {one} where {kept} belongs"
    if broken := re.search(r"CHECK constraint failed: (.*)", refusal, re.DOTALL):
        asked = re.sub(r"'[^']*'", "", broken[1])  # what a column may hold is no column
        named = [f"`{column}` is {told(row[column])}" for column in row if re.search(rf"\b{column}\b", asked)]
        return f"{', '.join(named) or 'it is'} against the rule {' '.join(broken[1].split())}"
    return refusal


def _page_faults(catalogue: Catalogue, *, hushed: bool) -> Iterator[Fault]:
    """What SQLite finds wrong with pages and indexes; `hushed`, without the rows that were told already, by name."""
    try:
        for row in unvouched(catalogue, "PRAGMA integrity_check"):
            text = str(row["integrity_check"])
            if text != "ok" and not (hushed and _HUSH.match(text)):
                yield Fault("the file", text)
    except CatalogueUnusable as error:
        yield Fault("the file", str(error))


def _dangling(catalogue: Catalogue) -> Iterator[Fault]:
    try:
        for row in unvouched(catalogue, "PRAGMA foreign_key_check"):
            table, parent = row["table"], row["parent"]
            own = list(unvouched(catalogue, f"SELECT * FROM {table} WHERE rowid = ?", [row["rowid"]]))
            keys = list(unvouched(catalogue, f"PRAGMA foreign_key_list({table})"))
            column = next((key["from"] for key in keys if key["id"] == row["fkid"]), parent)
            yield Fault(where(table, own[0]), f"refers to the {parent} {told(own[0].get(column))}, which is not there")
    except (CatalogueUnusable, IndexError) as error:
        yield Fault("the file", f"what rows refer to can't be looked up: {error}")
