"""Orders that were saved, each revision as it was: none is ever changed, but where somebody in it is forgotten."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["KEPT_ORDERS", "OrderRow", "add", "every_revision", "latest_of_each", "next_number", "put_instead", "revisions"]

KEPT_ORDERS = """
CREATE TABLE kept_order (
    number INTEGER NOT NULL CHECK (number > 0),
    revision INTEGER NOT NULL CHECK (revision > 0),
    kept TEXT NOT NULL CHECK (json_valid(kept)),
    asked TEXT NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    PRIMARY KEY (number, revision)
) STRICT;
"""
"""The step of the migrations that makes the table; `asked` is the rooms file as text, '' where nobody has it. Never edited."""


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One revision: the order's number, its own from 1 on, what is kept of it, the rooms file, who saved it, when and why."""

    number: int
    revision: int
    kept: Mapping[str, Any]
    asked: str
    who: str
    at: datetime
    why: str


_COLUMNS = "number, revision, kept, asked, who, at, why"


def revisions(catalogue: Catalogue, number: int) -> tuple[OrderRow, ...]:
    """All of an order, the latest first; none where there is no such order."""
    sql = f"SELECT {_COLUMNS} FROM kept_order WHERE number = ? ORDER BY revision DESC"
    return tuple(map(_row_in, catalogue.query(sql, [number])))


def latest_of_each(catalogue: Catalogue, most: int) -> tuple[OrderRow, ...]:
    """The latest revision of each order, the newest order first, `most` of them at most."""
    sql = (
        f"SELECT {_COLUMNS} FROM kept_order WHERE revision ="
        " (SELECT max(revision) FROM kept_order AS other WHERE other.number = kept_order.number) ORDER BY number DESC LIMIT ?"
    )
    return tuple(map(_row_in, catalogue.query(sql, [most])))


def every_revision(catalogue: Catalogue) -> Iterator[tuple[int, int, str, str, str]]:
    """Number, revision, what is kept (JSON text), rooms file and reason of every one, in order."""
    for row in catalogue.each("SELECT number, revision, kept, asked, why FROM kept_order ORDER BY number, revision"):
        yield row["number"], row["revision"], row["kept"], row["asked"], row["why"]


def put_instead(catalogue: Catalogue, row: tuple[int, int], kept: str, asked: str, why: str) -> None:
    """What a revision tells, where words of somebody's were erased in it. The caller holds the transaction, and sweeps after."""
    sql = "UPDATE kept_order SET kept = ?, asked = ?, why = ? WHERE number = ? AND revision = ?"
    catalogue.execute(sql, [kept, asked, why, *row])


def next_number(catalogue: Catalogue) -> int:
    """The number of the next order. The caller holds the transaction."""
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM kept_order").fetchone()
    return int(number)


def add(catalogue: Catalogue, row: tuple[int, int], kept: Mapping[str, Any], asked: str, signed: Signed) -> None:
    """Puts a revision in, by the order's number and its own. The caller holds the transaction."""
    sql = f"INSERT INTO kept_order ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?)"
    catalogue.execute(sql, [*row, json.dumps(kept), asked, signed.who, time_text(signed.at), signed.why])


def _row_in(row: Mapping[str, Any]) -> OrderRow:
    return OrderRow(
        row["number"], row["revision"], json.loads(row["kept"]), row["asked"], row["who"], time_of(row["at"]), row["why"]
    )
