"""The first steps of the migrations as SQL: stock, ledger, jobs and customers, and what was added to a piece's row since.

Never edited, as any step. What one module alone reads is told there; `migrations` has all of them in order.
"""

__all__ = [
    "BODY",
    "BOUGHT",
    "CLEARED_OUT",
    "LABELS_ON_HAND",
    "LEDGER",
    "NAMES_MARK",
    "NAMES_MARK_OF_STATES",
    "SHELF",
    "STOCK",
    "TAGS_IN_ANY_CASE",
    "WHAT_LIES_WHERE",
]

STOCK = """
CREATE TABLE style (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    construction TEXT NOT NULL CHECK (construction IN ('cut', 'loop', 'cut-and-loop', 'woven', 'needled')),
    roll_width_mm REAL CHECK (roll_width_mm > 0),
    repeat_across_mm REAL CHECK (repeat_across_mm > 0),
    repeat_along_mm REAL CHECK (repeat_along_mm > 0),
    repeat_drop REAL CHECK (repeat_drop >= 0 AND repeat_drop < 1),
    row_mm REAL CHECK (row_mm > 0),
    colours TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(colours)),
    CHECK ((repeat_across_mm IS NULL) = (repeat_along_mm IS NULL) AND (repeat_along_mm IS NULL) = (repeat_drop IS NULL))
) STRICT;

CREATE TABLE piece (
    id INTEGER PRIMARY KEY,
    tag TEXT NOT NULL UNIQUE CHECK (trim(tag) <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('remnant', 'offcut', 'kept', 'laid')),
    style TEXT NOT NULL REFERENCES style (name),
    colour TEXT NOT NULL,
    lot TEXT NOT NULL,
    rings TEXT NOT NULL CHECK (json_valid(rings)),
    pile_deg REAL NOT NULL,
    motif_x_mm REAL,
    motif_y_mm REAL,
    place TEXT NOT NULL,
    room TEXT NOT NULL,
    worn INTEGER NOT NULL CHECK (worn BETWEEN 0 AND 4),
    lab TEXT CHECK (lab IS NULL OR json_valid(lab)),
    across_mm REAL NOT NULL CHECK (across_mm > 0),
    along_mm REAL NOT NULL CHECK (along_mm > 0),
    area_mm2 REAL NOT NULL CHECK (area_mm2 > 0),
    CHECK ((motif_x_mm IS NULL) = (motif_y_mm IS NULL))
) STRICT;

CREATE INDEX piece_by_style ON piece (style, across_mm, along_mm);
CREATE INDEX piece_by_tag_any_case ON piece (tag COLLATE NOCASE);
CREATE INDEX piece_by_name ON piece (style, colour, lot);
"""

BODY = """
ALTER TABLE style ADD COLUMN mass_g_m2 REAL CHECK (mass_g_m2 > 0);
ALTER TABLE style ADD COLUMN pile_height_mm REAL CHECK (pile_height_mm > 0);
ALTER TABLE style ADD COLUMN backing_mm REAL CHECK (backing_mm > 0);
"""

NAMES_MARK = """
CREATE TABLE names_mark (mark BLOB NOT NULL) STRICT;
INSERT INTO names_mark VALUES (randomblob(16));
CREATE TRIGGER piece_named AFTER INSERT ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_renamed AFTER UPDATE OF style, colour, lot, lab ON piece
BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_unnamed AFTER DELETE ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_named AFTER INSERT ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_renamed AFTER UPDATE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_unnamed AFTER DELETE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
"""
"""A mark that is another one after each change of names, lots or shades: what was made of them under one mark can be kept."""
LEDGER = """
ALTER TABLE piece ADD COLUMN customer TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN stage TEXT NOT NULL DEFAULT 'in stock'
    CHECK (stage IN ('in stock', 'held', 'missing', 'used up', 'discarded', 'withdrawn'));
ALTER TABLE piece ADD COLUMN version INTEGER NOT NULL DEFAULT 0;
ALTER TABLE piece ADD COLUMN hold_until TEXT;
ALTER TABLE piece ADD COLUMN hold_job TEXT
    CHECK ((hold_job IS NULL) = (hold_until IS NULL) AND (stage <> 'held' OR hold_job IS NOT NULL));
ALTER TABLE piece ADD COLUMN parent TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN seen_at TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN by_who TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN by_at TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN by_why TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN by_job TEXT NOT NULL DEFAULT '';

CREATE TABLE entry (
    number INTEGER PRIMARY KEY,
    booking INTEGER NOT NULL CHECK (booking <= number),
    tag TEXT NOT NULL REFERENCES piece (tag),
    act TEXT NOT NULL CHECK (
        act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'corrected', 'discarded', 'undone')),
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    job TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1))
) STRICT;

INSERT INTO entry (number, booking, tag, act, facts, who, at, why, job)
SELECT id, id, tag, 'received',
    json_object('parent', '', 'piece', json_object(
        'tag', tag, 'kind', kind, 'style', style, 'colour', colour, 'lot', lot, 'rings', rings, 'pile_deg', pile_deg,
        'motif_x_mm', motif_x_mm, 'motif_y_mm', motif_y_mm, 'place', place, 'room', room, 'worn', worn, 'lab', lab,
        'customer', customer)),
    'catalogue', strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), 'was in the catalogue before it had a ledger', ''
FROM piece ORDER BY id;
CREATE INDEX entry_by_tag ON entry (tag, number);
CREATE INDEX entry_by_booking ON entry (booking);
UPDATE piece SET (version, by_who, by_at, by_why, seen_at) =
    (SELECT number, who, at, why, at FROM entry WHERE entry.tag = piece.tag);

CREATE TRIGGER entries_stay BEFORE DELETE ON entry BEGIN
    SELECT raise(ABORT, 'the ledger only grows');
END;
CREATE TRIGGER entries_stand BEFORE UPDATE ON entry
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.booking = OLD.booking AND NEW.tag = OLD.tag
          AND NEW.act = OLD.act AND NEW.at = OLD.at) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;

CREATE TABLE request (
    key TEXT PRIMARY KEY,
    asked TEXT NOT NULL,
    answer TEXT NOT NULL CHECK (json_valid(answer)),
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;

CREATE TABLE job (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    stage TEXT NOT NULL CHECK (stage IN ('held', 'cut', 'released')),
    file TEXT NOT NULL CHECK (json_valid(file)),
    plan TEXT NOT NULL CHECK (json_valid(plan)),
    donors TEXT NOT NULL CHECK (json_valid(donors)),
    hold_until TEXT,
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;

CREATE TABLE customer (
    reference TEXT PRIMARY KEY CHECK (trim(reference) <> ''),
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    address TEXT NOT NULL,
    may_call INTEGER NOT NULL CHECK (may_call IN (0, 1)),
    forgotten_at TEXT
) STRICT;

DROP INDEX piece_by_style;
CREATE INDEX piece_on_hand ON piece (style, across_mm, along_mm) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_by_place ON piece (place);
CREATE INDEX piece_by_customer ON piece (customer) WHERE customer <> '';
CREATE INDEX piece_by_parent ON piece (parent) WHERE parent <> '';
"""

NAMES_MARK_OF_STATES = """
CREATE TRIGGER piece_came_or_went AFTER UPDATE OF stage ON piece
WHEN old.stage <> new.stage BEGIN UPDATE names_mark SET mark = randomblob(16); END;
"""

LABELS_ON_HAND = """
DROP INDEX piece_by_name;
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2) WHERE stage IN ('in stock', 'held');
"""
"""What is asked most: which labels there are, and the largest pieces of one, without reading the pieces themselves."""

SHELF = """
ALTER TABLE piece ADD COLUMN staircase BLOB;
ALTER TABLE piece ADD COLUMN touched BLOB NOT NULL DEFAULT x'';
UPDATE piece SET touched = randomblob(8);
CREATE INDEX piece_on_shelf ON piece (style, tag, touched) WHERE stage IN ('in stock', 'held');
DROP TRIGGER piece_renamed;
CREATE TRIGGER piece_renamed AFTER UPDATE OF style, colour, lot, lab ON piece
WHEN (old.style, old.colour, old.lot, old.lab) IS NOT (new.style, new.colour, new.lot, new.lab)
BEGIN UPDATE names_mark SET mark = randomblob(16); END;
"""
"""What many pieces of a style are fitted from: the rectangles that an odd one holds, and a mark that each write of a row renews,
so that what was read under one mark can be kept. Staircases of rows that are there already are filled in by `shelf.fill`. The
mark of the names stays where a row is written with the names it had."""

BOUGHT = """
ALTER TABLE piece ADD COLUMN fibre TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN supplier TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN roll_number TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN received_on TEXT CHECK (received_on = date(received_on));
ALTER TABLE piece ADD COLUMN cost TEXT CHECK (cost GLOB '[0-9]* [A-Z][A-Z][A-Z]');
"""

WHAT_LIES_WHERE = """
DROP INDEX piece_by_place;
CREATE INDEX piece_at_place ON piece (place, tag, kind) WHERE stage IN ('in stock', 'held', 'missing');
DROP INDEX piece_label_on_hand;
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2, kind) WHERE stage IN ('in stock', 'held');
"""
"""What lies where, and how much of each style is in store, without reading the pieces themselves."""

TAGS_IN_ANY_CASE = """
DROP INDEX piece_by_tag_any_case;
CREATE INDEX piece_by_tag_any_case ON piece (lower(tag));
"""
"""Tags are looked up by `lower(tag)`, which means the same on every store: A to Z alone have another case."""
CLEARED_OUT = "ALTER TABLE piece ADD COLUMN offered_at TEXT;\nALTER TABLE piece ADD COLUMN keep_until TEXT;"
