"""Forms that came when their maker's session was over, as rows: kept for a while, for who made them alone."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.limits import LATE_FORMS
from remnants.store.catalogue import Catalogue
from remnants.store.rows import moment_text

__all__ = ["UNSENT", "Unsent", "add", "drop", "drop_all", "find", "mark_shown"]

UNSENT = """
CREATE TABLE unsent (
    number INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    path TEXT NOT NULL,
    fields TEXT NOT NULL CHECK (json_valid(fields)),
    files INTEGER NOT NULL CHECK (files IN (0, 1)),
    shown INTEGER NOT NULL DEFAULT 0 CHECK (shown IN (0, 1)),
    ends_at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""


@dataclass(frozen=True, slots=True)
class Unsent:
    """A form: whose it is, where it was sent, its fields, whether files came with it (they aren't kept), how long it stays."""

    person: str
    path: str
    fields: tuple[tuple[str, str], ...]
    files: bool
    ends_at: datetime
    shown: bool = False


def add(catalogue: Catalogue, digest: str, form: Unsent, *, now: datetime) -> None:
    """Keeps a form under the digest of a secret; what is too old, or too much of one person, goes.

    The caller holds the transaction.
    """
    catalogue.execute("DELETE FROM unsent WHERE ends_at <= ?", [moment_text(now)])
    sql = (
        "INSERT INTO unsent (digest, person, path, fields, files, ends_at)"
        " SELECT ?, id, ?, ?, ?, ? FROM person WHERE lower(name) = lower(?)"
    )
    fields = json.dumps(form.fields)
    number = catalogue.added(sql, [digest, form.path, fields, form.files, moment_text(form.ends_at), form.person])
    most = (
        "DELETE FROM unsent WHERE person = (SELECT person FROM unsent WHERE number = :number) AND number NOT IN"
        " (SELECT number FROM unsent AS own WHERE own.person = unsent.person ORDER BY number DESC LIMIT :most)"
    )
    catalogue.execute(most, {"number": number, "most": LATE_FORMS})


def find(catalogue: Catalogue, digest: str, *, now: datetime) -> Unsent | None:
    """The form under that digest, if it is still kept and its maker may come in."""
    sql = (
        "SELECT p.name, u.path, u.fields, u.files, u.ends_at, u.shown FROM unsent u JOIN person p ON p.id = u.person"
        " WHERE u.digest = ? AND u.ends_at > ? AND p.active = 1"
    )
    return next(map(_unsent, catalogue.query(sql, [digest, moment_text(now)])), None)


def mark_shown(catalogue: Catalogue, digest: str) -> None:
    """Notes that its maker saw it again. The caller holds the transaction."""
    catalogue.execute("UPDATE unsent SET shown = 1 WHERE digest = ?", [digest])


def drop(catalogue: Catalogue, digest: str) -> None:
    """Keeps it no longer. The caller holds the transaction."""
    catalogue.execute("DELETE FROM unsent WHERE digest = ?", [digest])


def drop_all(catalogue: Catalogue, name: str) -> None:
    """Keeps none of that person's any longer. The caller holds the transaction."""
    catalogue.execute("DELETE FROM unsent WHERE person = (SELECT id FROM person WHERE lower(name) = lower(?))", [name])


def _unsent(row: dict[str, Any]) -> Unsent:
    fields: Sequence[Sequence[str]] = json.loads(row["fields"])
    told = tuple((str(name), str(value)) for name, value in fields)
    ends_at = datetime.fromisoformat(row["ends_at"])
    return Unsent(row["name"], row["path"], told, bool(row["files"]), ends_at, bool(row["shown"]))
