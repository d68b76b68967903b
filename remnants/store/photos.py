"""Photographs of pieces, as rows, each with its entries. One that was taken away leaves the line that tells by whom."""

import hashlib
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime

from remnants.ledger import Photographed, PhotoTakenAway, Signed
from remnants.model.picture import Picture
from remnants.store import ledger
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["Kept", "add", "every_of", "find", "jpeg_of", "numbers_there", "take_away", "take_away_some"]

_COLUMNS = "number, tag, across, down, who, at, gone_who, gone_at"


@dataclass(frozen=True, slots=True)
class Kept:
    """A photograph of a piece: its number, its size in pixels, who put it there and when, and who took it away since."""

    number: int
    tag: str
    across: int
    down: int
    who: str
    at: datetime
    gone_who: str = ""
    gone_at: datetime | None = None


def add(catalogue: Catalogue, tag: str, picture: Picture, signed: Signed) -> int:
    """Keeps a photograph of the piece and gives its number. The caller holds the transaction."""
    sql = "INSERT INTO photo (tag, jpeg, across, down, who, at) VALUES (?, ?, ?, ?, ?, ?)"
    row = (tag, picture.jpeg, picture.across, picture.down, signed.who, time_text(signed.at))
    number = catalogue.added(sql, row)
    told = Photographed(number, len(picture.jpeg), hashlib.sha256(picture.jpeg).hexdigest())
    ledger.note(catalogue, tag, [told], signed)
    return number


def every_of(catalogue: Catalogue, tag: str) -> tuple[Kept, ...]:
    """The photographs of a piece, oldest first, those that were taken away too."""
    return tuple(map(_kept, catalogue.query(f"SELECT {_COLUMNS} FROM photo WHERE tag = ? ORDER BY number", [tag])))


def numbers_there(catalogue: Catalogue, tag: str) -> tuple[int, ...]:
    """The numbers of a piece's photographs that are there, oldest first. Unlike `every_of` it reads past no file."""
    rows = catalogue.query("SELECT number FROM photo WHERE tag = ? AND jpeg IS NOT NULL ORDER BY number", [tag])
    return tuple(row["number"] for row in rows)


def find(catalogue: Catalogue, number: int) -> Kept | None:
    """The photograph with this number, if it is still there."""
    rows = list(catalogue.query(f"SELECT {_COLUMNS} FROM photo WHERE number = ? AND jpeg IS NOT NULL", [number]))
    return _kept(rows[0]) if rows else None


def jpeg_of(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph that is still there."""
    (jpeg,) = catalogue.execute("SELECT jpeg FROM photo WHERE number = ?", [number]).fetchone()
    return bytes(jpeg)


def take_away(catalogue: Catalogue, kept: Kept, signed: Signed) -> None:
    """Erases a picture that is still there; who did it stays. The caller holds the transaction."""
    _erase(catalogue, kept.number, signed.who, signed.at)
    ledger.note(catalogue, kept.tag, [PhotoTakenAway(kept.number)], signed)


def take_away_some(catalogue: Catalogue, tag: str, numbers: Collection[int], signed: Signed) -> None:
    """Erases these pictures of a piece as far as they are there, since they show the home of someone to be forgotten.

    The caller holds the transaction.
    """
    there = [kept.number for kept in every_of(catalogue, tag) if kept.gone_at is None and kept.number in numbers]
    for number in there:
        _erase(catalogue, number, "forgotten", signed.at)
    ledger.note(catalogue, tag, map(PhotoTakenAway, there), replace(signed, why="the customer was forgotten"))


def _erase(catalogue: Catalogue, number: int, who: str, at: datetime) -> None:
    sql = "UPDATE photo SET jpeg = NULL, gone_who = ?, gone_at = ? WHERE number = ? AND jpeg IS NOT NULL"
    catalogue.execute(sql, [who, time_text(at), number])


def _kept(row: dict[str, object]) -> Kept:
    number, tag, across, down, who, at, gone_who, gone_at = row.values()
    gone = time_of(str(gone_at)) if gone_at else None
    return Kept(int(str(number)), str(tag), int(str(across)), int(str(down)), str(who), time_of(str(at)), str(gone_who), gone)
