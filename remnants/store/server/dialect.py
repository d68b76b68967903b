"""Our statements in the server's words. What is quoted stays as it is."""

import re
from collections.abc import Callable
from functools import lru_cache

__all__ = ["as_asked", "as_copied", "as_step"]

_PARTS = re.compile(r"'(?:[^']|'')*'|\"[^\"]*\"")
_PLACES = re.compile(r"lower\(\?\)|\?|(?<![:\w]):([a-z_]\w*)|%")
_LOWER = 'lower(%s::text COLLATE "C")'
"""Of a value alone the server would take the letters of its own language, not A to Z."""

_ROWS = re.compile(r"INSERT INTO (\w+) \((\w+(?:, \w+)*)\) VALUES \(\?(?:, \?)*\)")

_WORDS = {"TEXT": 'TEXT COLLATE "C"', "REAL": "DOUBLE PRECISION", "BLOB": "BYTEA", "INTEGER": "BIGINT"}
_DDL = re.compile(
    r"CREATE TABLE (?P<table>\w+)|(?P<column>\w+) INTEGER PRIMARY KEY|\)\s*STRICT(?:, WITHOUT ROWID)?|\bx\Z|"
    rf"\b(?P<word>{'|'.join(_WORDS)})\b"
)


@lru_cache(maxsize=1_000)
def as_asked(sql: str) -> str:
    """A statement with values, as psycopg takes it: `%s` for `?`, `%(name)s` for `:name`."""
    return _outside_quotes(sql, lambda text: _PLACES.sub(_place, text), quoted=lambda text: text.replace("%", "%%"))


def _place(found: re.Match[str]) -> str:
    if found[1]:
        return f"%({found[1]})s"
    return {"?": "%s", "%": "%%"}.get(found[0], _LOWER)


@lru_cache(maxsize=100)
def as_copied(sql: str) -> str:
    """The COPY that puts in the same rows as an INSERT of values alone, in a third of the server's time; empty of all else."""
    found = _ROWS.fullmatch(sql)
    return f"COPY {found[1]} ({found[2]}) FROM STDIN" if found and found[2].count(",") + 1 == sql.count("?") else ""


def as_step(sql: str) -> str:
    """The tables and columns of a step, written for SQLite with STRICT tables, as the server takes them.

    Text sorts by its code points, figures keep all their bits, and a column that is an INTEGER PRIMARY KEY gets the number after
    the highest where none is given, as in a file.
    """
    table = ""

    def turned(found: re.Match[str]) -> str:
        nonlocal table
        if found["table"]:
            table = found["table"]
            return found[0]
        if found["column"]:
            return f"{found['column']} BIGINT PRIMARY KEY DEFAULT fresh_number('{table}', '{found['column']}')"
        return _WORDS[found["word"]] if found["word"] else ")" if found[0].startswith(")") else "BYTEA "

    return _outside_quotes(sql, lambda text: _DDL.sub(turned, text), quoted=lambda text: text)


def _outside_quotes(sql: str, plain: Callable[[str], str], *, quoted: Callable[[str], str]) -> str:
    told, last = [], 0
    for found in _PARTS.finditer(sql):
        told += [plain(sql[last : found.start()]), quoted(found[0])]
        last = found.end()
    return "".join([*told, plain(sql[last:])])
