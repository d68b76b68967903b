"""Photographs that were made flat to be measured in, as rows: kept for a while, for who sent them alone."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.limits import FLAT_PHOTOS
from remnants.store.catalogue import Catalogue
from remnants.store.rows import moment_text

__all__ = ["FLAT_PHOTO", "FlatPhoto", "add", "drop", "drop_all", "drop_old", "find", "with_digest"]

FLAT_PHOTO = """
CREATE TABLE flat_photo (
    number INTEGER PRIMARY KEY,
    person INTEGER NOT NULL REFERENCES person (id),
    jpeg BLOB NOT NULL,
    told TEXT NOT NULL,
    ends_at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""


_NAMED = "person WHERE lower(name) = lower(?)"


@dataclass(frozen=True, slots=True)
class FlatPhoto:
    """A picture from above (JPEG), what is known of how it was seen, and when it goes."""

    jpeg: bytes
    told: Mapping[str, Any]
    ends_at: datetime


def add(catalogue: Catalogue, person: str, photo: FlatPhoto) -> int:
    """Keeps one for a person and gives its number; the oldest of theirs goes where they are too many.

    The caller holds the transaction.
    """
    sql = f"INSERT INTO flat_photo (person, jpeg, told, ends_at) SELECT id, ?, ?, ? FROM {_NAMED}"
    number = catalogue.added(sql, [photo.jpeg, json.dumps(photo.told), moment_text(photo.ends_at), person])
    most = (
        f"DELETE FROM flat_photo WHERE person = (SELECT id FROM {_NAMED}) AND number NOT IN"
        f" (SELECT number FROM flat_photo WHERE person = (SELECT id FROM {_NAMED}) ORDER BY number DESC LIMIT ?)"
    )
    catalogue.execute(most, [person, person, FLAT_PHOTOS])
    return number


def find(catalogue: Catalogue, number: int, person: str, *, now: datetime) -> FlatPhoto | None:
    """The one with that number, if it is this person's and still kept."""
    sql = (
        "SELECT f.jpeg, f.told, f.ends_at FROM flat_photo f JOIN person p ON p.id = f.person"
        " WHERE f.number = ? AND lower(p.name) = lower(?) AND f.ends_at > ?"
    )
    return next(map(_flat_photo, catalogue.query(sql, [number, person, moment_text(now)])), None)


def with_digest(catalogue: Catalogue, digest: str, person: str, *, now: datetime) -> FlatPhoto | None:
    """The newest of this person's that was made of the photograph with this digest, if it is still kept."""
    sql = (
        "SELECT f.jpeg, f.told, f.ends_at FROM flat_photo f JOIN person p ON p.id = f.person"
        " WHERE lower(p.name) = lower(?) AND f.ends_at > ? ORDER BY f.number DESC"
    )
    every = map(_flat_photo, catalogue.query(sql, [person, moment_text(now)]))
    return next((photo for photo in every if photo.told.get("digest") == digest), None)


def drop(catalogue: Catalogue, number: int, person: str) -> None:
    """Keeps it no longer, if it is this person's. The caller holds the transaction."""
    sql = "DELETE FROM flat_photo WHERE number = ? AND person = (SELECT id FROM person WHERE lower(name) = lower(?))"
    catalogue.execute(sql, [number, person])


def drop_all(catalogue: Catalogue, person: str) -> None:
    """Keeps none of that person's any longer. The caller holds the transaction."""
    catalogue.execute("DELETE FROM flat_photo WHERE person = (SELECT id FROM person WHERE lower(name) = lower(?))", [person])


def drop_old(catalogue: Catalogue, *, now: datetime) -> None:
    """Keeps none any longer whose time is over, whosever they are. The caller holds the transaction."""
    catalogue.execute("DELETE FROM flat_photo WHERE ends_at <= ?", [moment_text(now)])


def _flat_photo(row: dict[str, Any]) -> FlatPhoto:
    return FlatPhoto(row["jpeg"], json.loads(row["told"]), datetime.fromisoformat(row["ends_at"]))
