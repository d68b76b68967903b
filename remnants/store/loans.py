"""What is lent to customers, as rows, and the step of the migrations that makes room for it."""

from datetime import date

from remnants.ledger import Standing
from remnants.store.catalogue import Catalogue
from remnants.store.rows import TOLD_COLUMNS, standing_of

__all__ = ["LOANS", "count_lent", "lent"]

LOANS = """
ALTER TABLE piece ADD COLUMN lent_until TEXT;
CREATE INDEX piece_lent ON piece (lent_until, tag) WHERE lent_until IS NOT NULL;
"""
"""Until which day the customer who has a piece has it lent. Never edited, as any step."""

_LENT = "lent_until IS NOT NULL AND stage IN ('in stock', 'held')"


def lent(catalogue: Catalogue, *, most: int) -> tuple[Standing, ...]:
    """Up to `most` pieces that are lent, in the order in which they should come back: what is late first."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE {_LENT} ORDER BY lent_until, tag LIMIT ?"
    return tuple(standing_of(row) for row in catalogue.query(sql, [most]))


def count_lent(catalogue: Catalogue, today: date) -> tuple[int, int]:
    """How many pieces are lent, and how many of them should be back by now."""
    sql = f"SELECT count(*) AS out, sum(CASE WHEN lent_until < ? THEN 1 ELSE 0 END) AS late FROM piece WHERE {_LENT}"
    row = next(iter(catalogue.query(sql, [today.isoformat()])))
    return int(row["out"]), int(row["late"] or 0)
