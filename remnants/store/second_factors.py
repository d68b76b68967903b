"""Second factors of people, and sign-ins that wait for a code, as rows. Times are UTC.

The secret lies here as it is, since codes are reckoned from it; of a recovery code there is a salted digest alone.
"""

import json
from dataclasses import dataclass
from datetime import datetime

from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of

__all__ = [
    "SECOND_FACTORS",
    "Factor",
    "add_half",
    "confirm_factor",
    "drop_factor",
    "drop_half",
    "factor_of",
    "find_half",
    "put_pending",
    "use_codes",
    "use_step",
]

SECOND_FACTORS = """
ALTER TABLE person ADD COLUMN factor_secret TEXT;
ALTER TABLE person ADD COLUMN factor_since TEXT CHECK (factor_since IS NULL OR factor_secret IS NOT NULL);
ALTER TABLE person ADD COLUMN factor_step INTEGER NOT NULL DEFAULT 0;
ALTER TABLE person ADD COLUMN factor_codes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(factor_codes));
CREATE TABLE half_open (
    digest TEXT PRIMARY KEY,
    person INTEGER NOT NULL REFERENCES person (id),
    label TEXT NOT NULL,
    ends_at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes them. Never edited, as any step."""

_MINE = "person = (SELECT id FROM person WHERE lower(name) = lower(?))"


@dataclass(frozen=True, slots=True)
class Factor:
    """Somebody's second factor: its secret (base 32), since when it counts (None: not yet confirmed), the last time step of which
    a code was used, and the salted digests of the recovery codes that are left."""

    secret: str
    since: datetime | None
    step: int
    codes: tuple[str, ...]


def factor_of(catalogue: Catalogue, name: str) -> Factor | None:
    """The second factor of an active person, confirmed or not."""
    sql = "SELECT factor_secret, factor_since, factor_step, factor_codes FROM person WHERE lower(name) = lower(?) AND active = 1"
    row = next(iter(catalogue.query(sql, [name])), None)
    if row is None or row["factor_secret"] is None:
        return None
    since = time_of(row["factor_since"]) if row["factor_since"] else None
    return Factor(row["factor_secret"], since, row["factor_step"], tuple(json.loads(row["factor_codes"])))


def put_pending(catalogue: Catalogue, name: str, secret: str) -> None:
    """A new secret, not yet confirmed, in place of any that was not confirmed. The caller holds the transaction."""
    sql = (
        "UPDATE person SET factor_secret = ?, factor_step = 0, factor_codes = '[]'"
        " WHERE lower(name) = lower(?) AND factor_since IS NULL"
    )
    catalogue.execute(sql, [secret, name])


def confirm_factor(catalogue: Catalogue, name: str, *, now: datetime) -> None:
    """The secret counts from now on. The caller holds the transaction."""
    catalogue.execute("UPDATE person SET factor_since = ? WHERE lower(name) = lower(?)", [now.isoformat(), name])


def use_step(catalogue: Catalogue, name: str, step: int) -> None:
    """No code of this time step or an earlier one is taken any more. The caller holds the transaction."""
    catalogue.execute("UPDATE person SET factor_step = ? WHERE lower(name) = lower(?)", [step, name])


def use_codes(catalogue: Catalogue, name: str, left: tuple[str, ...]) -> None:
    """The digests of the recovery codes that are left. The caller holds the transaction."""
    catalogue.execute("UPDATE person SET factor_codes = ? WHERE lower(name) = lower(?)", [json.dumps(left), name])


def drop_factor(catalogue: Catalogue, name: str) -> bool:
    """Takes it away, with its recovery codes; gives whether there was one. The caller holds the transaction."""
    sql = (
        "UPDATE person SET factor_secret = NULL, factor_since = NULL, factor_step = 0, factor_codes = '[]'"
        " WHERE lower(name) = lower(?) AND factor_secret IS NOT NULL"
    )
    return int(catalogue.execute(sql, [name]).rowcount) == 1


def add_half(catalogue: Catalogue, digest: str, name: str, *, label: str, now: datetime, ends: datetime) -> None:
    """A sign-in that waits for its code; those too old are swept out. The caller holds the transaction."""
    catalogue.execute("DELETE FROM half_open WHERE ends_at <= ?", [now.isoformat()])
    sql = "INSERT INTO half_open (digest, person, label, ends_at) SELECT ?, id, ?, ? FROM person WHERE lower(name) = lower(?)"
    catalogue.execute(sql, [digest, label, ends.isoformat(), name])


def find_half(catalogue: Catalogue, digest: str, *, now: datetime) -> tuple[str, str] | None:
    """Whose sign-in waits under that digest, and what it is called."""
    sql = (
        "SELECT p.name, h.label FROM half_open h JOIN person p ON p.id = h.person"
        " WHERE h.digest = ? AND h.ends_at > ? AND p.active = 1"
    )
    return next(((row["name"], row["label"]) for row in catalogue.query(sql, [digest, now.isoformat()])), None)


def drop_half(catalogue: Catalogue, *, digest: str = "", name: str = "") -> bool:
    """The sign-in under that digest, or all of that person's, wait no more; gives whether there was one."""
    if name:
        return int(catalogue.execute(f"DELETE FROM half_open WHERE {_MINE}", [name]).rowcount) > 0
    return int(catalogue.execute("DELETE FROM half_open WHERE digest = ?", [digest]).rowcount) == 1
