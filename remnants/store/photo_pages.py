"""How long the check bar of each printed marker page truly is, as somebody measured it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = ["MEASURED_BY_PHOTO", "PHOTO_PAGES", "REPEATS_BY_PHOTO", "PhotoPage", "every_page", "put"]

PHOTO_PAGES = """
CREATE TABLE photo_page (
    page INTEGER PRIMARY KEY CHECK (page BETWEEN 1 AND 99),
    bar_mm REAL NOT NULL CHECK (bar_mm > 0),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
"""
"""The step of the migrations that makes the table. Never edited, as any step."""

MEASURED_BY_PHOTO = """
ALTER TABLE piece ADD COLUMN photo_bar_mm REAL CHECK (photo_bar_mm > 0);
ALTER TABLE piece ADD COLUMN photo_digest TEXT NOT NULL DEFAULT '';
"""
"""The step that marks pieces whose outline was measured from a photograph. Never edited, as any step."""

REPEATS_BY_PHOTO = "ALTER TABLE style ADD COLUMN repeat_bar_mm REAL CHECK (repeat_bar_mm > 0);"
"""The step that tells how far off a style's repeat may be where a photograph measured it. Never edited, as any step."""


@dataclass(frozen=True, slots=True)
class PhotoPage:
    """A page: its number, how long its check bar is on paper (mm), and who measured it when."""

    page: int
    bar_mm: float
    who: str
    at: datetime


def every_page(catalogue: Catalogue) -> Mapping[int, PhotoPage]:
    """The pages whose bar was measured, by number."""
    rows = catalogue.query("SELECT page, bar_mm, who, at FROM photo_page ORDER BY page")
    return {row["page"]: PhotoPage(row["page"], row["bar_mm"], row["who"], time_of(row["at"])) for row in rows}


def put(catalogue: Catalogue, page: int, bar_mm: float, signed: Signed) -> None:
    """Keeps how long a page's bar is, in place of what was kept. The caller holds the transaction."""
    sql = (
        "INSERT INTO photo_page (page, bar_mm, who, at) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (page) DO UPDATE SET bar_mm = excluded.bar_mm, who = excluded.who, at = excluded.at"
    )
    catalogue.execute(sql, [page, bar_mm, signed.who, time_text(signed.at)])
