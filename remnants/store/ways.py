"""What is on the way between branches and vans, as rows, and the steps of the migrations that make room for it."""

from datetime import date

from remnants.ledger import Standing
from remnants.store.catalogue import Catalogue
from remnants.store.rows import TOLD_COLUMNS, standing_of
from remnants.store.store_change import CHANGED_BY_ROWS, STORE_TOLD

__all__ = [
    "STORE_TOLD_NOW",
    "WAYS_OF_ENTRIES",
    "WAYS_OF_ENTRIES_ON_SERVER",
    "WAYS_OF_PIECES",
    "WAYS_OF_PIECES_ON_SERVER",
    "coming_by_goal",
    "count_on_the_way",
    "on_the_way",
]

WAYS_OF_ENTRIES = """
CREATE TABLE entry_with_ways (
    number INTEGER PRIMARY KEY,
    booking INTEGER NOT NULL CHECK (booking <= number),
    tag TEXT NOT NULL REFERENCES piece (tag),
    act TEXT NOT NULL CHECK (
        act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'sent', 'taken in', 'called back', 'corrected',
            'discarded', 'undone', 'photographed', 'photograph taken away')),
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    job TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1)),
    salts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(salts)),
    digest BLOB NOT NULL DEFAULT x'' CHECK (length(digest) IN (0, 32))
) STRICT;
INSERT INTO entry_with_ways (number, booking, tag, act, facts, who, at, why, job, erased, salts, digest)
SELECT number, booking, tag, act, facts, who, at, why, job, erased, salts, digest FROM entry ORDER BY number;
DROP TABLE entry;
ALTER TABLE entry_with_ways RENAME TO entry;
CREATE INDEX entry_by_tag ON entry (tag, number);
CREATE INDEX entry_by_booking ON entry (booking);
CREATE INDEX entry_received ON entry (tag, at) WHERE act = 'received';
CREATE INDEX entry_cut ON entry (tag, number, at) WHERE act = 'cut';
CREATE INDEX entry_undone ON entry (number) WHERE act = 'undone';
CREATE TRIGGER entries_stay BEFORE DELETE ON entry BEGIN
    SELECT raise(ABORT, 'the ledger only grows');
END;
CREATE TRIGGER entries_stand BEFORE UPDATE ON entry
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.booking = OLD.booking AND NEW.tag = OLD.tag
          AND NEW.act = OLD.act AND NEW.at = OLD.at AND NEW.who = OLD.who AND NEW.job = OLD.job
          AND NEW.digest = OLD.digest) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;
"""
"""Three acts more, so the table is made anew with all its rows, guards and digests. Never edited, as any step."""

WAYS_OF_PIECES = f"""
DROP INDEX piece_on_hand;
DROP INDEX piece_label_on_hand;
DROP INDEX piece_on_shelf;
DROP INDEX piece_at_place;
DROP TRIGGER piece_came_or_went;
DROP TRIGGER store_gained;
DROP TRIGGER store_changed;
ALTER TABLE piece ADD COLUMN stands TEXT NOT NULL DEFAULT 'in stock'
    CHECK (stands IN ('in stock', 'held', 'on the way', 'missing', 'used up', 'discarded', 'withdrawn'));
ALTER TABLE piece ADD COLUMN held_for TEXT
    CHECK ((held_for IS NULL) = (hold_until IS NULL) AND (stands <> 'held' OR held_for IS NOT NULL));
UPDATE piece SET stands = stage, held_for = hold_job;
ALTER TABLE piece DROP COLUMN hold_job;
ALTER TABLE piece DROP COLUMN stage;
ALTER TABLE piece RENAME COLUMN stands TO stage;
ALTER TABLE piece RENAME COLUMN held_for TO hold_job;
ALTER TABLE piece ADD COLUMN way_start TEXT CHECK ((way_start IS NULL) = (stage <> 'on the way'));
ALTER TABLE piece ADD COLUMN way_goal TEXT
    CHECK ((way_goal IS NULL) = (way_start IS NULL) AND (way_goal IS NULL OR (trim(way_goal) <> '' AND place = '')));
ALTER TABLE piece ADD COLUMN way_expected TEXT CHECK ((way_expected IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_place TEXT CHECK ((way_place IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_who TEXT CHECK ((way_who IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_at TEXT CHECK ((way_at IS NULL) = (way_start IS NULL));
CREATE INDEX piece_on_hand ON piece (style, across_mm, along_mm) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2, kind) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_on_shelf ON piece (style, tag, touched) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_at_place ON piece (place, tag, kind) WHERE stage IN ('in stock', 'held', 'missing');
CREATE INDEX piece_on_the_way ON piece (way_expected, tag) WHERE stage = 'on the way';
CREATE TRIGGER piece_came_or_went AFTER UPDATE OF stage ON piece
WHEN old.stage <> new.stage BEGIN UPDATE names_mark SET mark = randomblob(16); END;
{CHANGED_BY_ROWS}"""
"""A stage more, `on the way`, and what is known of a way; the table stays, since other tables refer to it. Never edited."""

WAYS_OF_ENTRIES_ON_SERVER = """
ALTER TABLE entry DROP CONSTRAINT entry_act_check;
ALTER TABLE entry ADD CONSTRAINT entry_act_check CHECK (
    act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'sent', 'taken in', 'called back', 'corrected',
        'discarded', 'undone', 'photographed', 'photograph taken away'));
"""
WAYS_OF_PIECES_ON_SERVER = """
ALTER TABLE piece DROP CONSTRAINT piece_stage_check;
ALTER TABLE piece ADD CONSTRAINT piece_stage_check
    CHECK (stage IN ('in stock', 'held', 'on the way', 'missing', 'used up', 'discarded', 'withdrawn'));
ALTER TABLE piece ADD COLUMN way_start TEXT CHECK ((way_start IS NULL) = (stage <> 'on the way'));
ALTER TABLE piece ADD COLUMN way_goal TEXT
    CHECK ((way_goal IS NULL) = (way_start IS NULL) AND (way_goal IS NULL OR (trim(way_goal) <> '' AND place = '')));
ALTER TABLE piece ADD COLUMN way_expected TEXT CHECK ((way_expected IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_place TEXT CHECK ((way_place IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_who TEXT CHECK ((way_who IS NULL) = (way_start IS NULL));
ALTER TABLE piece ADD COLUMN way_at TEXT CHECK ((way_at IS NULL) = (way_start IS NULL));
CREATE INDEX piece_on_the_way ON piece (way_expected, tag) WHERE stage = 'on the way';
"""
"""The same on a server, where a rule of a table can be changed as it stands."""

STORE_TOLD_NOW = STORE_TOLD.replace(
    "WHEN 'moved' THEN 1", "WHEN 'moved' THEN 1 WHEN 'sent' THEN 0 WHEN 'taken in' THEN 1 WHEN 'called back' THEN 1"
)
"""What STORE_TOLD tells, of entries of every act: what is on the way is in no store."""

_ALL = 2**31
"""More pieces than any catalogue has: every store takes such a limit for none."""

_ON_THE_WAY = "stage = 'on the way'"


def on_the_way(catalogue: Catalogue, *, after: int = 0, most: int | None = None) -> tuple[Standing, ...]:
    """What is on the way, what was expected first before the rest, then by tag: all, or `most` pieces `after` so many."""
    sql = f"SELECT {TOLD_COLUMNS} FROM piece WHERE {_ON_THE_WAY} ORDER BY way_expected, tag LIMIT ? OFFSET ?"
    return tuple(standing_of(row) for row in catalogue.query(sql, [_ALL if most is None else most, after]))


def coming_by_goal(catalogue: Catalogue) -> dict[str, int]:
    """How many pieces are on the way to each branch or van, by the name that it had when they were sent."""
    sql = f"SELECT way_goal, count(*) AS coming FROM piece WHERE {_ON_THE_WAY} GROUP BY way_goal ORDER BY way_goal"
    return {row["way_goal"]: row["coming"] for row in catalogue.query(sql)}


def count_on_the_way(catalogue: Catalogue, *, expected_before: date | None = None) -> int:
    """How many pieces are on the way, or of them those that were expected before a day."""
    late = "" if expected_before is None else " AND way_expected < ?"
    sql = f"SELECT count(*) FROM piece WHERE {_ON_THE_WAY}{late}"
    (count,) = catalogue.execute(sql, [] if expected_before is None else [expected_before.isoformat()]).fetchone()
    return int(count)
