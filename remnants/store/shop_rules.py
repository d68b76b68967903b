"""The shop's own figures for the rules of the trade, where they differ from what they are at first."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["SHOP_RULES", "ShopRule", "every_rule", "put"]

SHOP_RULES = """
CREATE TABLE shop_rule (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    value REAL NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""


@dataclass(frozen=True, slots=True)
class ShopRule:
    """A figure that the shop set, in days, mm or patches as its rule counts: who did it and when."""

    name: str
    value: float
    who: str
    at: datetime


def every_rule(catalogue: Catalogue) -> Mapping[str, ShopRule]:
    """What the shop set, by name."""
    rows = catalogue.query("SELECT name, value, who, at FROM shop_rule ORDER BY name")
    return {row["name"]: ShopRule(row["name"], row["value"], row["who"], time_of(row["at"])) for row in rows}


def put(catalogue: Catalogue, name: str, value: float | None, signed: Signed) -> None:
    """Sets a figure; None takes the shop's own away, so that it is as at first. The caller holds the transaction."""
    catalogue.execute("DELETE FROM shop_rule WHERE name = ?", [name])
    if value is not None:
        sql = "INSERT INTO shop_rule (name, value, who, at) VALUES (?, ?, ?, ?)"
        catalogue.execute(sql, [name, float(value), signed.who, time_text(signed.at)])
