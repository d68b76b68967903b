"""Leftovers that orders promise: no pieces yet, so that nothing can be cut from them; each is received or called off."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["PROMISED", "PromiseRow", "PromiseState", "add", "every_promise", "find", "of_order", "settle"]

PROMISED = """
CREATE TABLE promised_leftover (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    order_number INTEGER NOT NULL CHECK (order_number > 0),
    revision INTEGER NOT NULL CHECK (revision > 0),
    leftover TEXT NOT NULL CHECK (json_valid(leftover)),
    state TEXT NOT NULL CHECK (state IN ('promised', 'received', 'called off')),
    tag TEXT NOT NULL CHECK ((state = 'received') = (tag <> '')),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE INDEX promised_leftover_by_order ON promised_leftover (order_number, number);
"""
"""The step of the migrations that makes the table. Never edited, as any step."""

_COLUMNS = "number, order_number, revision, leftover, state, tag, who, at"


class PromiseState(StrEnum):
    """What became of a promise."""

    PROMISED = "promised"
    RECEIVED = "received"
    CALLED_OFF = "called off"


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """A leftover, its number, the order and revision that leave it, what became of it, its tag once received, by whom, when."""

    number: int
    order: int
    revision: int
    leftover: Mapping[str, Any]
    state: PromiseState
    tag: str
    who: str
    at: datetime


def find(catalogue: Catalogue, number: int) -> PromiseRow | None:
    """The promise of that number."""
    rows = catalogue.query(f"SELECT {_COLUMNS} FROM promised_leftover WHERE number = ?", [number])
    return next(map(_row_in, rows), None)


def of_order(catalogue: Catalogue, order: int) -> tuple[PromiseRow, ...]:
    """All that an order ever promised, the oldest first."""
    sql = f"SELECT {_COLUMNS} FROM promised_leftover WHERE order_number = ? ORDER BY number"
    return tuple(map(_row_in, catalogue.query(sql, [order])))


def received_as(catalogue: Catalogue, tag: str) -> tuple[PromiseRow, ...]:
    """The promise that was received as the piece of that tag."""
    sql = f"SELECT {_COLUMNS} FROM promised_leftover WHERE state = 'received' AND tag = ? ORDER BY number"
    return tuple(map(_row_in, catalogue.query(sql, [tag])))


def every_promise(catalogue: Catalogue, most: int) -> tuple[PromiseRow, ...]:
    """Those that are neither received nor called off, the oldest first, `most` of them at most."""
    sql = f"SELECT {_COLUMNS} FROM promised_leftover WHERE state = 'promised' ORDER BY number LIMIT ?"
    return tuple(map(_row_in, catalogue.query(sql, [most])))


def add(catalogue: Catalogue, order: tuple[int, int], leftovers: Sequence[Mapping[str, Any]], signed: Signed) -> None:
    """Enters leftovers as promised by an order and its revision. The caller holds the transaction."""
    (first,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM promised_leftover").fetchone()
    sql = f"INSERT INTO promised_leftover ({_COLUMNS}) VALUES (?, ?, ?, ?, 'promised', '', ?, ?)"
    for number, leftover in enumerate(leftovers, start=int(first)):
        catalogue.execute(sql, [number, *order, json.dumps(leftover), signed.who, time_text(signed.at)])


def settle(catalogue: Catalogue, number: int, state: PromiseState, signed: Signed, *, tag: str = "") -> None:
    """Says what became of a promise. The caller holds the transaction."""
    sql = "UPDATE promised_leftover SET state = ?, tag = ?, who = ?, at = ? WHERE number = ?"
    catalogue.execute(sql, [state.value, tag, signed.who, time_text(signed.at), number])


def _row_in(row: Mapping[str, Any]) -> PromiseRow:
    state = PromiseState(row["state"])
    leftover = json.loads(row["leftover"])
    return PromiseRow(
        row["number"], row["order_number"], row["revision"], leftover, state, row["tag"], row["who"], time_of(row["at"])
    )
