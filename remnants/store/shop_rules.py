"""The shop's own figures for the rules of the trade, where they differ from what they are at first, and those of a style."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["SHOP_RULES", "STYLE_RULES", "ShopRule", "StyleRule", "every_rule", "every_style_rule", "put", "put_of_style"]

SHOP_RULES = """
CREATE TABLE shop_rule (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    value REAL NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""

STYLE_RULES = """
CREATE TABLE style_rule (
    style TEXT NOT NULL REFERENCES style (name),
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    value REAL NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    PRIMARY KEY (style, name)
) STRICT;
"""
"""The step that makes room for figures of a style's own."""


@dataclass(frozen=True, slots=True)
class ShopRule:
    """A figure that the shop set, in days, mm or patches as its rule counts: who did it and when."""

    name: str
    value: float
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class StyleRule:
    """A figure that the shop set for a style alone."""

    style: str
    rule: ShopRule


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


def every_style_rule(catalogue: Catalogue) -> tuple[StyleRule, ...]:
    """What the shop set for styles, by style, then by name."""
    rows = catalogue.query("SELECT style, name, value, who, at FROM style_rule ORDER BY style, name")
    return tuple(StyleRule(row["style"], ShopRule(row["name"], row["value"], row["who"], time_of(row["at"]))) for row in rows)


def put_of_style(catalogue: Catalogue, style: str, name: str, value: float | None, signed: Signed) -> None:
    """Sets a figure of a style that is there; None takes the style's own away, so that the shop's holds. The caller holds the
    transaction.
    """
    catalogue.execute("DELETE FROM style_rule WHERE style = ? AND name = ?", [style, name])
    if value is not None:
        sql = "INSERT INTO style_rule (style, name, value, who, at) VALUES (?, ?, ?, ?, ?)"
        catalogue.execute(sql, [style, name, float(value), signed.who, time_text(signed.at)])
