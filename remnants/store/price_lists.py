"""The shop's price list, as often as it was set: the latest is in force, and none is ever changed."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["PRICE_LISTS", "ListKept", "add", "every_list", "latest"]

PRICE_LISTS = """
CREATE TABLE price_list (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    file TEXT NOT NULL CHECK (json_valid(file)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""


@dataclass(frozen=True, slots=True)
class ListKept:
    """A price list as its file, its number among those of the shop from 1 on, who set it, when and why."""

    number: int
    file: Mapping[str, Any]
    who: str
    at: datetime
    why: str


def every_list(catalogue: Catalogue) -> tuple[ListKept, ...]:
    """All that were set, the latest first."""
    return tuple(map(_list_in, catalogue.query("SELECT number, file, who, at, why FROM price_list ORDER BY number DESC")))


def latest(catalogue: Catalogue) -> ListKept | None:
    """The one in force; None where none was set."""
    rows = catalogue.query("SELECT number, file, who, at, why FROM price_list ORDER BY number DESC LIMIT 1")
    return next(map(_list_in, rows), None)


def add(catalogue: Catalogue, file: Mapping[str, Any], signed: Signed) -> int:
    """Sets a list, and gives its number. The caller holds the transaction."""
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM price_list").fetchone()
    sql = "INSERT INTO price_list (number, file, who, at, why) VALUES (?, ?, ?, ?, ?)"
    catalogue.execute(sql, [number, json.dumps(file), signed.who, time_text(signed.at), signed.why])
    return int(number)


def _list_in(row: Mapping[str, Any]) -> ListKept:
    return ListKept(row["number"], json.loads(row["file"]), row["who"], time_of(row["at"]), row["why"])
