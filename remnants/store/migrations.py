"""The tables of the catalogue, step by step. A step that was ever released is never edited: a change is a new step.

Each step and its record in the table `migration` commit together. Tables that one module alone reads are told there.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass

from remnants.store.agreements import AGREEMENTS
from remnants.store.branch_roles import BRANCH_ROLES
from remnants.store.branches import BRANCHES
from remnants.store.catalogue import Catalogue
from remnants.store.chaining import CHAIN, CHAINED_STAND, chain_what_is_there
from remnants.store.field_paces import FIELD_PACES
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.flat_photos import FLAT_PHOTO
from remnants.store.in_store import IN_STORE, IN_STORE_ON_SERVER
from remnants.store.job_numbers import JOB_NUMBERS
from remnants.store.job_photos import HOMES, JOB_PHOTOS
from remnants.store.kept_orders import KEPT_ORDERS
from remnants.store.loans import LOANS
from remnants.store.people import OWN_BRANCH, PEOPLE, SCOPES, SEALS
from remnants.store.photo_entries import PHOTO_ENTRIES, PHOTOS_OF_PIECES
from remnants.store.photo_pages import MEASURED_BY_PHOTO, PHOTO_PAGES, REPEATS_BY_PHOTO
from remnants.store.price_lists import PRICE_LISTS
from remnants.store.promised import PROMISED
from remnants.store.second_factors import SECOND_FACTORS
from remnants.store.shop_rules import SHOP_RULES
from remnants.store.store_change import OVER_TIME, STORE_CHANGE
from remnants.store.unsent import UNSENT
from remnants.store.ways import WAYS_OF_ENTRIES, WAYS_OF_ENTRIES_ON_SERVER, WAYS_OF_PIECES, WAYS_OF_PIECES_ON_SERVER

__all__ = ["APPLICATION_ID", "MIGRATIONS", "Migration", "migrate", "steps_done"]

APPLICATION_ID = 0x52454D4E
"""Marks a SQLite file as a catalogue of ours (the letters REMN)."""


@dataclass(frozen=True)
class Migration:
    """One step; its number is its place in the list, counted from 1.

    It works on the rows that are there by SQL alone: code would change under it with later steps. The one exception is `then`,
    for what SQL can't do; it works on what columns hold, by rules that never change.

    `sql` is SQLite's. On a server the same is done, its types turned by `server.dialect.as_step`. Where a step needs more than
    tables, columns, indexes and plain statements (a trigger, a table made anew), it tells the server's own SQL `on_server`, with
    its types turned likewise, empty where nothing has to be done there. `tests/store/test_server_tables.py` holds that both come
    out alike.
    """

    name: str
    sql: str
    then: Callable[[Catalogue], None] | None = None
    on_server: str | None = None


_RECORD = """
CREATE TABLE IF NOT EXISTS migration (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    done_at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
) STRICT
"""

_STOCK = """
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

_BODY = """
ALTER TABLE style ADD COLUMN mass_g_m2 REAL CHECK (mass_g_m2 > 0);
ALTER TABLE style ADD COLUMN pile_height_mm REAL CHECK (pile_height_mm > 0);
ALTER TABLE style ADD COLUMN backing_mm REAL CHECK (backing_mm > 0);
"""

_NAMES_MARK = """
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
_LEDGER = """
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

_NAMES_MARK_OF_STATES = """
CREATE TRIGGER piece_came_or_went AFTER UPDATE OF stage ON piece
WHEN old.stage <> new.stage BEGIN UPDATE names_mark SET mark = randomblob(16); END;
"""

_LABELS_ON_HAND = """
DROP INDEX piece_by_name;
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2) WHERE stage IN ('in stock', 'held');
"""
"""What is asked most: which labels there are, and the largest pieces of one, without reading the pieces themselves."""

_SHELF = """
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

_BOUGHT = """
ALTER TABLE piece ADD COLUMN fibre TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN supplier TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN roll_number TEXT NOT NULL DEFAULT '';
ALTER TABLE piece ADD COLUMN received_on TEXT CHECK (received_on = date(received_on));
ALTER TABLE piece ADD COLUMN cost TEXT CHECK (cost GLOB '[0-9]* [A-Z][A-Z][A-Z]');
"""

_WHAT_LIES_WHERE = """
DROP INDEX piece_by_place;
CREATE INDEX piece_at_place ON piece (place, tag, kind) WHERE stage IN ('in stock', 'held', 'missing');
DROP INDEX piece_label_on_hand;
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2, kind) WHERE stage IN ('in stock', 'held');
"""
"""What lies where, and how much of each style is in store, without reading the pieces themselves."""

_TAGS_IN_ANY_CASE = """
DROP INDEX piece_by_tag_any_case;
CREATE INDEX piece_by_tag_any_case ON piece (lower(tag));
"""
"""Tags are looked up by `lower(tag)`, which means the same on every store: A to Z alone have another case."""
_CLEARED_OUT = "ALTER TABLE piece ADD COLUMN offered_at TEXT;\nALTER TABLE piece ADD COLUMN keep_until TEXT;"

MIGRATIONS: tuple[Migration, ...] = (
    Migration("styles and pieces", _STOCK),
    Migration("mass and thickness of styles", _BODY),
    Migration("people and where they are signed in", PEOPLE),
    Migration("mark of the names on hand", _NAMES_MARK),
    Migration("ledger, requests, jobs, customers", _LEDGER),
    Migration("mark of the names on hand, by states too", _NAMES_MARK_OF_STATES),
    Migration("labels of what is on hand", _LABELS_ON_HAND),
    Migration("staircases of odd pieces, and marks of what was written", _SHELF),
    Migration("photographs of pieces", PHOTOS_OF_PIECES),
    Migration("how each entry changed what is in store", STORE_CHANGE),
    Migration("when pieces came in, and cuts that count", OVER_TIME),
    Migration("photographs have entries", PHOTO_ENTRIES),
    Migration("seals of what waits on devices", SEALS),
    Migration("laid pieces that nobody sees", "ALTER TABLE piece ADD COLUMN hidden INTEGER CHECK (hidden IN (0, 1));"),
    Migration("rules that the shop set", SHOP_RULES),
    Migration("forms sent when a session was over", UNSENT),
    Migration("entries are chained", CHAIN, chain_what_is_there),
    Migration("chained entries stand", CHAINED_STAND),
    Migration("scopes of keys", SCOPES),
    Migration("fibre, supplier, roll, day of delivery and cost of pieces", _BOUGHT),
    Migration("numbers of jobs", JOB_NUMBERS),
    Migration("what the backing of styles is made of", "ALTER TABLE style ADD COLUMN backing_material TEXT NOT NULL DEFAULT '';"),
    Migration("second factors of people", SECOND_FACTORS),
    Migration("how long fields take", FIELD_PACES),
    Migration("customers' links, and what they agreed to", AGREEMENTS),
    Migration("true sizes of marker pages", PHOTO_PAGES),
    Migration("photographs of jobs", JOB_PHOTOS),
    Migration("whose homes photographs of jobs show", HOMES),
    Migration("pieces measured from photographs", MEASURED_BY_PHOTO),
    Migration("what lies where, and how much is in store", _WHAT_LIES_WHERE),
    Migration("branches, their places, vans, distances", BRANCHES),
    Migration("tags in any letter case", _TAGS_IN_ANY_CASE, on_server=""),
    Migration("photographs that are measured in", FLAT_PHOTO),
    Migration("entries of what is sent from branch to branch", WAYS_OF_ENTRIES, on_server=WAYS_OF_ENTRIES_ON_SERVER),
    Migration("pieces on the way", WAYS_OF_PIECES, on_server=WAYS_OF_PIECES_ON_SERVER),
    Migration("price lists of the shop", PRICE_LISTS),
    Migration("orders that were saved", KEPT_ORDERS),
    Migration("leftovers that orders promise", PROMISED),
    Migration("pieces that are lent", LOANS),
    Migration("roles of people at branches", BRANCH_ROLES),
    Migration("the branch that a person works from", OWN_BRANCH),
    Migration("what is offered, and what is not to be cleared out", _CLEARED_OUT),
    Migration("repeats of styles measured from photographs", REPEATS_BY_PHOTO),
    Migration("when pieces came in, and by what the store changed", IN_STORE, on_server=IN_STORE_ON_SERVER),
)
"""Every step ever released, in order. A new one goes to the end."""


def steps_done(catalogue: Catalogue) -> int:
    """The number of the newest step that the catalogue has; 0 for a new one."""
    if "migration" not in catalogue.tables():
        return 0
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) FROM migration").fetchone()
    return int(number)


def migrate(catalogue: FileCatalogue, *, upto: int | None = None) -> None:
    """Brings the file up to date, or to step `upto`; what another program did meanwhile is not done again.

    A step and its record are one transaction; all steps of a new file are one, which waits for the disk once.
    """
    last = len(MIGRATIONS) if upto is None else upto
    with catalogue.atomic() if not steps_done(catalogue) else nullcontext():
        for number in range(1, last + 1):
            with catalogue.atomic():
                _step(catalogue, number)


def _step(catalogue: FileCatalogue, number: int) -> None:
    catalogue.conn.execute(_RECORD)
    if steps_done(catalogue) >= number:
        return
    step = MIGRATIONS[number - 1]
    for statement in _statements(step.sql):
        catalogue.conn.execute(statement)
    if step.then:
        step.then(catalogue)
    catalogue.conn.execute("INSERT INTO migration (number, name) VALUES (?, ?)", [number, step.name])
    catalogue.conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _statements(sql: str) -> Iterator[str]:
    """The statements of a script one by one, so that they run inside the caller's transaction."""
    statement = ""
    for line in sql.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        yield statement
