"""Cuts that were booked before a cut handed on what its piece had cost, kept apart, and the step that finds them.

What is left of such a piece stands at all that was paid for it, and its offcuts at nothing. No new cut is one of these.
"""

from remnants.store.catalogue import Catalogue
from remnants.store.in_store import IN_STORE_ROWS

__all__ = ["CUTS_UNSHARED", "TELL_UNSHARED", "UNSHARED", "tags_unshared"]

_UNDONE = "(SELECT CAST(json_extract(facts, '$.number') AS BIGINT) FROM entry WHERE act = 'undone')"

UNSHARED = f"""SELECT number, tag, cost FROM (
 SELECT cut.number AS number, cut.tag AS tag, (
  SELECT json_extract(told.facts, '$.piece.cost') FROM entry AS told WHERE told.tag = cut.tag AND told.number < cut.number
  AND told.act IN ('received', 'corrected') AND told.number NOT IN {_UNDONE} ORDER BY told.number DESC LIMIT 1) AS cost
 FROM entry AS cut WHERE cut.act = 'cut' AND json_extract(cut.facts, '$.cost') IS NULL AND cut.number NOT IN {_UNDONE}
) AS cuts WHERE cost IS NOT NULL"""
"""Cuts that tell nothing of the cost that their piece had."""

TELL_UNSHARED = f"INSERT INTO cut_unshared (number, tag, cost) {UNSHARED}"

CUTS_UNSHARED = f"""
CREATE TABLE cut_unshared (
    number INTEGER PRIMARY KEY,
    tag TEXT NOT NULL,
    cost TEXT NOT NULL
) STRICT;
{TELL_UNSHARED};
"""
"""Never edited, as any step."""

_NOT_UNDONE = f"NOT IN {_UNDONE}"
_COST_BEFORE = f"""(SELECT CASE WHEN old.act = 'cut' THEN json_extract(old.facts, '$.cost')
 ELSE '["' || coalesce(json_extract(old.facts, '$.piece.cost'), '') || '"' END
 FROM entry AS old WHERE old.tag = told.tag AND old.number < told.number AND old.number {_NOT_UNDONE}
 AND (old.act IN ('received', 'corrected') OR (old.act = 'cut' AND json_extract(old.facts, '$.cost') IS NOT NULL))
 ORDER BY old.number DESC LIMIT 1)"""
"""What the piece cost before it was corrected, as a cut tells it: the share of what is left comes first."""


def tags_unshared(catalogue: Catalogue) -> tuple[tuple[str, str], ...]:
    """The pieces in store, by tag, of which a cut that counts handed nothing on and nobody told another cost since: each with
    what it stands at, as it is kept.
    """
    corrected = (
        f"SELECT 1 FROM entry AS told WHERE told.tag = piece.tag AND told.number > cut_unshared.number AND told.act = 'corrected'"
        f" AND told.number {_NOT_UNDONE}"
        f" AND {_COST_BEFORE} NOT LIKE '[\"' || coalesce(json_extract(told.facts, '$.piece.cost'), '') || '\"%'"
    )
    sql = (
        "SELECT DISTINCT piece.tag, piece.cost FROM cut_unshared JOIN piece ON piece.tag = cut_unshared.tag"
        f" WHERE {IN_STORE_ROWS} AND piece.cost IS NOT NULL AND number {_NOT_UNDONE} AND NOT EXISTS ({corrected})"
        " ORDER BY piece.tag"
    )
    return tuple((str(tag), str(cost)) for tag, cost in catalogue.execute(sql))
