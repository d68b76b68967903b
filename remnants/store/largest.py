"""The largest rectangle that is known to lie in each piece, kept with it, and the step of the migrations that makes room for it.

So that lists of what is large enough are made from columns alone: worked out anew, a piece with slanted edges takes milliseconds.
Lengths mm.
"""

from collections.abc import Sequence
from itertools import islice

from remnants.geometry.staircase import largest_step
from remnants.store.catalogue import Catalogue
from remnants.store.rows import ALL_BUT, rings_of, staircase_in

__all__ = ["LARGEST", "tell_largest"]

_AT_ONCE = 500

LARGEST = """
ALTER TABLE piece ADD COLUMN largest_short_mm REAL NOT NULL DEFAULT 0;
ALTER TABLE piece ADD COLUMN largest_long_mm REAL NOT NULL DEFAULT 0;
UPDATE piece SET largest_short_mm = CASE WHEN across_mm < along_mm THEN across_mm ELSE along_mm END,
    largest_long_mm = CASE WHEN across_mm < along_mm THEN along_mm ELSE across_mm END;
DROP INDEX piece_in_store;
CREATE INDEX piece_in_store ON piece (style, came, area_mm2, largest_short_mm, largest_long_mm, hold_until, tag)
    WHERE stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut');
"""
"""Its sides, the shorter first, as of plain rectangles; `tell_largest` tells those of the others. Never edited, as any step."""


def tell_largest(catalogue: Catalogue) -> None:
    """Tells the largest rectangle in each piece that is none itself, by its staircase, which is worked out where it lacks."""
    sql = "SELECT id FROM piece WHERE staircase IS NOT NULL OR area_mm2 < across_mm * along_mm * ? ORDER BY id"
    waiting = iter(catalogue.execute(sql, [ALL_BUT]).fetchall())
    while some := list(islice(waiting, _AT_ONCE)):
        catalogue.many(
            "UPDATE piece SET staircase = ?, largest_short_mm = ?, largest_long_mm = ? WHERE id = ?",
            _told(catalogue, [number for (number,) in some]),
        )


def _told(catalogue: Catalogue, numbers: Sequence[int]) -> list[tuple[bytes, float, float, int]]:
    marks = ", ".join("?" * len(numbers))
    rows = catalogue.execute(f"SELECT id, rings, pile_deg, staircase FROM piece WHERE id IN ({marks})", numbers).fetchall()
    told = []
    for number, rings, pile_deg, kept in rows:
        staircase = bytes(kept or staircase_in(rings_of(rings), pile_deg))
        short_mm, long_mm = sorted(largest_step(staircase))
        told.append((staircase, short_mm, long_mm, number))
    return told
