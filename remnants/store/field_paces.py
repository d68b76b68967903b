"""How long fields of the patch form take, added up by field: of no person, no day and no job, and of nothing that was typed."""

from collections.abc import Iterable
from dataclasses import dataclass

from remnants.store.catalogue import Catalogue

__all__ = ["FIELD_PACES", "MOST_FIELDS", "FieldPace", "add", "drop_all", "every_pace"]

MOST_FIELDS = 200
"""So many fields are told apart; more would be no form of ours."""

FIELD_PACES = """
CREATE TABLE field_pace (
    field TEXT PRIMARY KEY CHECK (trim(field) <> ''),
    times INTEGER NOT NULL CHECK (times > 0),
    taps INTEGER NOT NULL CHECK (taps >= 0),
    seconds REAL NOT NULL CHECK (seconds >= 0)
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""


@dataclass(frozen=True, slots=True)
class FieldPace:
    """A field, how many forms it was filled in on, and the taps and seconds that all of them took."""

    field: str
    times: int
    taps: int
    seconds: float


def add(catalogue: Catalogue, paces: Iterable[FieldPace]) -> None:
    """Adds to what is there. The caller holds the transaction."""
    (known,) = catalogue.execute("SELECT count(*) FROM field_pace").fetchone()
    for pace in paces:
        found = catalogue.execute(
            "UPDATE field_pace SET times = times + ?, taps = taps + ?, seconds = seconds + ? WHERE field = ?",
            [pace.times, pace.taps, pace.seconds, pace.field],
        ).rowcount
        if not found and known < MOST_FIELDS:
            sql = "INSERT INTO field_pace (field, times, taps, seconds) VALUES (?, ?, ?, ?)"
            catalogue.execute(sql, [pace.field, pace.times, pace.taps, pace.seconds])
            known += 1


def every_pace(catalogue: Catalogue) -> tuple[FieldPace, ...]:
    """Those of all fields, the ones that take longest first."""
    sql = "SELECT field, times, taps, seconds FROM field_pace ORDER BY seconds / times DESC, field"
    return tuple(FieldPace(**row) for row in catalogue.query(sql))


def drop_all(catalogue: Catalogue) -> None:
    """Forgets all of it. The caller holds the transaction."""
    catalogue.execute("DELETE FROM field_pace")
