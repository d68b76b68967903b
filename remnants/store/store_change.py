"""Steps of the migrations by which the file keeps how each entry changed what is in store. Never edited, as any step."""

__all__ = ["CHANGED_BY_ROWS", "OVER_TIME", "STORE_CHANGE", "STORE_TOLD"]

_IN_STORE = "kind IN ('remnant', 'offcut') AND {row}.stage IN ('in stock', 'held')"
_OLD, _NEW = (f"{row}.{_IN_STORE.format(row=row)}" for row in ("old", "new"))
STORE_TOLD = """
WITH undone AS (SELECT CAST(json_extract(facts, '$.number') AS INTEGER) AS number FROM entry WHERE act = 'undone'),
told AS (
    SELECT number, tag, substr(at, 1, 10) AS day,
        CASE act WHEN 'cut' THEN json_extract(facts, '$.remaining')
                 WHEN 'received' THEN json_extract(facts, '$.piece.rings')
                 WHEN 'corrected' THEN json_extract(facts, '$.piece.rings') END AS rings,
        CASE act WHEN 'cut' THEN json_extract(facts, '$.remaining') IS NOT NULL
                 WHEN 'counted' THEN json_extract(facts, '$.seen')
                 WHEN 'received' THEN 1 WHEN 'moved' THEN 1 WHEN 'discarded' THEN 0 END AS there
    FROM entry WHERE act NOT IN ('undone', 'held', 'released') AND number NOT IN (SELECT number FROM undone)),
corner AS (
    SELECT told.number, ring.key AS ring, point.key AS place,
        json_extract(point.value, '$[0]') AS x, json_extract(point.value, '$[1]') AS y
    FROM told, json_each(told.rings) AS ring, json_each(ring.value) AS point WHERE told.rings IS NOT NULL),
side AS (
    SELECT number, ring, x, y,
        coalesce(lead(x) OVER round, first_value(x) OVER round) AS x2,
        coalesce(lead(y) OVER round, first_value(y) OVER round) AS y2
    FROM corner WINDOW round AS (PARTITION BY number, ring ORDER BY place)),
ring AS (SELECT number, ring, abs(sum(x * y2 - x2 * y)) / 2 AS area_mm2 FROM side GROUP BY number, ring),
outline AS (SELECT number, sum(CASE ring WHEN 0 THEN area_mm2 ELSE -area_mm2 END) AS area_mm2 FROM ring GROUP BY number),
known AS (
    SELECT told.*, area_mm2, count(area_mm2) OVER life AS outlines, count(there) OVER life AS turns
    FROM told LEFT JOIN outline USING (number) WINDOW life AS (PARTITION BY tag ORDER BY told.number)),
state AS (
    SELECT number, tag, day, max(there) OVER (PARTITION BY tag, turns) AS there,
        max(area_mm2) OVER (PARTITION BY tag, outlines) AS area_mm2 FROM known),
step AS (
    SELECT number, tag, day, there - lag(there, 1, 0) OVER life AS pieces,
        there * area_mm2 - lag(there * area_mm2, 1, 0.0) OVER life AS area_mm2
    FROM state WINDOW life AS (PARTITION BY tag ORDER BY number))
SELECT number, style, day, step.pieces, step.area_mm2 FROM step JOIN piece USING (tag)
WHERE kind IN ('remnant', 'offcut') AND (step.pieces <> 0 OR step.area_mm2 <> 0)"""
CHANGED_BY_ROWS = f"""CREATE TRIGGER store_gained AFTER INSERT ON piece WHEN {_NEW} BEGIN
    INSERT INTO store_change VALUES (new.version, new.style, substr(new.by_at, 1, 10), 1, new.area_mm2);
END;
CREATE TRIGGER store_changed AFTER UPDATE OF stage, kind, style, area_mm2 ON piece
WHEN ({_OLD}, old.style, old.area_mm2) IS NOT ({_NEW}, new.style, new.area_mm2) AND (({_OLD}) OR ({_NEW}))
BEGIN
    INSERT INTO store_change SELECT new.version, style, substr(new.by_at, 1, 10), sum(pieces), sum(area_mm2) FROM (
        SELECT old.style AS style, -1 AS pieces, -old.area_mm2 AS area_mm2 WHERE {_OLD}
        UNION ALL SELECT new.style, 1, new.area_mm2 WHERE {_NEW}) WHERE true GROUP BY style
    ON CONFLICT (number, style) DO UPDATE SET pieces = pieces + excluded.pieces, area_mm2 = area_mm2 + excluded.area_mm2;
END;
"""
"""The guards by which each write of a piece's row tells how it changed what is in store."""

STORE_CHANGE = f"""
CREATE TABLE store_change (
    number INTEGER NOT NULL,
    style TEXT NOT NULL,
    day TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    area_mm2 REAL NOT NULL,
    PRIMARY KEY (number, style)
) STRICT, WITHOUT ROWID;

INSERT INTO store_change (number, style, day, pieces, area_mm2)
{STORE_TOLD};

{CHANGED_BY_ROWS}"""
"""How each entry changed what is in store: pieces and usable area (mm²) of a style. The sum up to a day is what was there then.
Written by the rows themselves; for rows that are there already, told from the entries that count, by today's kind and style."""

OVER_TIME = """
CREATE INDEX entry_received ON entry (tag, at) WHERE act = 'received';
CREATE INDEX entry_cut ON entry (tag, number, at) WHERE act = 'cut';
CREATE INDEX entry_undone ON entry (number) WHERE act = 'undone';
"""
"""When pieces came in, and which cuts count, without reading the whole ledger."""
