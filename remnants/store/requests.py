"""Requests that were answered, by their key, so that a repeated one does nothing twice."""

import json
from dataclasses import dataclass
from typing import Any

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_text

__all__ = ["Answered", "add", "find"]


@dataclass(frozen=True, slots=True)
class Answered:
    """The digest of what was asked under a key, and the answer."""

    asked: str
    answer: Any


def find(catalogue: Catalogue, key: str) -> Answered | None:
    """What was answered under this key."""
    rows = catalogue.query("SELECT asked, answer FROM request WHERE key = ?", [key])
    return next((Answered(row["asked"], json.loads(row["answer"])) for row in rows), None)


def add(catalogue: Catalogue, key: str, asked: str, answer: Any, signed: Signed) -> None:
    """Remembers an answer. The caller holds the transaction."""
    sql = "INSERT INTO request (key, asked, answer, who, at) VALUES (?, ?, ?, ?, ?)"
    catalogue.execute(sql, [key, asked, json.dumps(answer), signed.who, time_text(signed.at)])
