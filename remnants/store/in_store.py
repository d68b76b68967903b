"""What is in store, asked of an index alone, and the step of the migrations that makes room for it. Areas mm²."""

from remnants.store.catalogue import Catalogue

__all__ = ["IN_STORE", "IN_STORE_ON_SERVER", "IN_STORE_ROWS", "STORE_CHANGED_BY", "TELL_FLOWS", "in_store"]

IN_STORE_ROWS = "stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut')"
"""SQL that is true of the rows of pieces in store."""

_IN_STORE = "stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut')"
"""The same as the step has it, which stays whatever becomes of the rule."""

_FLOW = """CASE WHEN act = 'cut' OR (act = 'received' AND {parent} <> '') THEN 'cut'
 WHEN act IN ('received', 'discarded') THEN act ELSE 'other' END"""
"""By what the store changed. An offcut came out of a piece in store: its coming in belongs to the cut."""

TELL_FLOWS = f"""UPDATE store_change SET flow = coalesce((SELECT {_FLOW.format(parent="piece.parent")}
 FROM entry JOIN piece USING (tag) WHERE entry.number = store_change.number), 'other')"""
"""Tells of each change in store by what it came, from its entry."""

_COLUMNS = f"""
ALTER TABLE piece ADD COLUMN came TEXT NOT NULL DEFAULT '';
UPDATE piece SET came = coalesce((SELECT at FROM entry WHERE act = 'received' AND entry.tag = piece.tag
 ORDER BY number DESC LIMIT 1), '');
CREATE INDEX piece_in_store ON piece (style, came, area_mm2, across_mm, along_mm, hold_until, tag) WHERE {_IN_STORE};
ALTER TABLE store_change ADD COLUMN flow TEXT NOT NULL DEFAULT 'other'
    CHECK (flow IN ('received', 'cut', 'discarded', 'other'));
{TELL_FLOWS};
CREATE INDEX store_change_by_day ON store_change (day, style, flow, pieces, area_mm2);
"""

_CAME = "CASE WHEN new.parent <> '' THEN 'cut' ELSE 'received' END"
"""Of a row that is put in: its entry follows."""

_CHANGED = f"coalesce((SELECT {_FLOW.format(parent='new.parent')} FROM entry WHERE number = new.version), 'other')"
"""Of a row that changes: its entry is there."""

_OLD, _NEW = (f"{row}.kind IN ('remnant', 'offcut') AND {row}.stage IN ('in stock', 'held')" for row in ("old", "new"))
_EACH_WAY = f"""SELECT old.style AS style, -1 AS pieces, -old.area_mm2 AS area_mm2 WHERE {_OLD}
        UNION ALL SELECT new.style, 1, new.area_mm2 WHERE {_NEW}"""

STORE_CHANGED_BY = f"""CREATE TRIGGER store_changed AFTER UPDATE OF stage, kind, style, area_mm2 ON piece
WHEN ({_OLD}, old.style, old.area_mm2) IS NOT ({_NEW}, new.style, new.area_mm2) AND (({_OLD}) OR ({_NEW}))
BEGIN
    INSERT INTO store_change (number, style, day, pieces, area_mm2, flow)
    SELECT new.version, style, substr(new.by_at, 1, 10), sum(pieces), sum(area_mm2), {_CHANGED} FROM (
        {_EACH_WAY}) WHERE true GROUP BY style
    ON CONFLICT (number, style) DO UPDATE SET pieces = pieces + excluded.pieces, area_mm2 = area_mm2 + excluded.area_mm2;
END;
"""
"""What tells of each change in store as its piece's row changes; it reads the ledger."""

IN_STORE = f"""{_COLUMNS}
DROP TRIGGER store_gained;
DROP TRIGGER store_changed;
CREATE TRIGGER store_gained AFTER INSERT ON piece WHEN {_NEW} BEGIN
    INSERT INTO store_change (number, style, day, pieces, area_mm2, flow)
    VALUES (new.version, new.style, substr(new.by_at, 1, 10), 1, new.area_mm2, {_CAME});
END;
{STORE_CHANGED_BY}"""
"""When each piece came in (the last time), by what each entry changed what is in store, and indexes that tell both without a look
at pieces or entries. Never edited, as any step."""

IN_STORE_ON_SERVER = f"""{_COLUMNS}
CREATE OR REPLACE FUNCTION store_gained() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO store_change (number, style, day, pieces, area_mm2, flow)
    VALUES (new.version, new.style, substr(new.by_at, 1, 10), 1, new.area_mm2, {_CAME});
    RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION store_changed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO store_change AS told (number, style, day, pieces, area_mm2, flow)
    SELECT new.version, style, substr(new.by_at, 1, 10), sum(pieces), sum(area_mm2), {_CHANGED} FROM (
        {_EACH_WAY}) AS each_way GROUP BY style
    ON CONFLICT (number, style) DO UPDATE
    SET pieces = told.pieces + excluded.pieces, area_mm2 = told.area_mm2 + excluded.area_mm2;
    RETURN NULL;
END $$;
"""
"""The same on a server, whose guards stay and call what is made anew."""


def in_store(catalogue: Catalogue) -> str:
    """SQL for the pieces in store, held ones too, to stand after FROM; it ends in a WHERE.

    `style`, `came` (UTC), `area_mm2`, `largest_short_mm`, `largest_long_mm`, `hold_until` and `tag` are read from their
    index; any other column has the piece itself read.
    """
    return f"{catalogue.by_index('piece', 'piece_in_store')} WHERE {IN_STORE_ROWS}"
