"""The tables of a new catalogue on a server, as they are after the first BEGUN_AT steps. Never edited: a change is a later step.

It is told as steps are and turned by `dialect.as_step`.
"""

__all__ = ["BEGUN_AT", "TABLES"]

BEGUN_AT = 30
"""So many steps of the migrations had been released when catalogues could first lie on a server."""

TABLES = """
CREATE TABLE style (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    construction TEXT NOT NULL CHECK (construction IN ('cut', 'loop', 'cut-and-loop', 'woven', 'needled')),
    roll_width_mm REAL CHECK (roll_width_mm > 0),
    repeat_across_mm REAL CHECK (repeat_across_mm > 0),
    repeat_along_mm REAL CHECK (repeat_along_mm > 0),
    repeat_drop REAL CHECK (repeat_drop >= 0 AND repeat_drop < 1),
    row_mm REAL CHECK (row_mm > 0),
    colours TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(colours)),
    mass_g_m2 REAL CHECK (mass_g_m2 > 0),
    pile_height_mm REAL CHECK (pile_height_mm > 0),
    backing_mm REAL CHECK (backing_mm > 0),
    backing_material TEXT NOT NULL DEFAULT '',
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
    customer TEXT NOT NULL DEFAULT '',
    stage TEXT NOT NULL DEFAULT 'in stock'
        CHECK (stage IN ('in stock', 'held', 'missing', 'used up', 'discarded', 'withdrawn')),
    version INTEGER NOT NULL DEFAULT 0,
    hold_until TEXT,
    hold_job TEXT CHECK ((hold_job IS NULL) = (hold_until IS NULL) AND (stage <> 'held' OR hold_job IS NOT NULL)),
    parent TEXT NOT NULL DEFAULT '',
    seen_at TEXT NOT NULL DEFAULT '',
    by_who TEXT NOT NULL DEFAULT '',
    by_at TEXT NOT NULL DEFAULT '',
    by_why TEXT NOT NULL DEFAULT '',
    by_job TEXT NOT NULL DEFAULT '',
    staircase BLOB,
    touched BLOB NOT NULL DEFAULT x'',
    hidden INTEGER CHECK (hidden IN (0, 1)),
    fibre TEXT NOT NULL DEFAULT '',
    supplier TEXT NOT NULL DEFAULT '',
    roll_number TEXT NOT NULL DEFAULT '',
    received_on TEXT CHECK (received_on = to_char(CAST(received_on AS timestamp), 'YYYY-MM-DD')),
    cost TEXT CHECK (cost ~ '^[0-9].* [A-Z][A-Z][A-Z]$'),
    photo_bar_mm REAL CHECK (photo_bar_mm > 0),
    photo_digest TEXT NOT NULL DEFAULT '',
    CHECK ((motif_x_mm IS NULL) = (motif_y_mm IS NULL))
) STRICT;
CREATE INDEX piece_by_tag_any_case ON piece (lower(tag));
CREATE INDEX piece_on_hand ON piece (style, across_mm, along_mm) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_by_customer ON piece (customer) WHERE customer <> '';
CREATE INDEX piece_by_parent ON piece (parent) WHERE parent <> '';
CREATE INDEX piece_on_shelf ON piece (style, tag, touched) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_at_place ON piece (place, tag, kind) WHERE stage IN ('in stock', 'held', 'missing');
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2, kind) WHERE stage IN ('in stock', 'held');

CREATE TABLE names_kept (mark BLOB NOT NULL) STRICT;
CREATE TABLE store_change (
    number INTEGER NOT NULL,
    style TEXT NOT NULL,
    day TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    area_mm2 REAL NOT NULL,
    PRIMARY KEY (number, style)
) STRICT, WITHOUT ROWID;

CREATE TABLE entry (
    number INTEGER PRIMARY KEY,
    booking INTEGER NOT NULL CHECK (booking <= number),
    tag TEXT NOT NULL REFERENCES piece (tag),
    act TEXT NOT NULL CHECK (
        act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'corrected', 'discarded', 'undone',
            'photographed', 'photograph taken away')),
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    job TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1)),
    salts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(salts)),
    digest BLOB NOT NULL DEFAULT x'' CHECK (length(digest) IN (0, 32))
) STRICT;
CREATE INDEX entry_by_tag ON entry (tag, number);
CREATE INDEX entry_by_booking ON entry (booking);
CREATE INDEX entry_received ON entry (tag, at) WHERE act = 'received';
CREATE INDEX entry_cut ON entry (tag, number, at) WHERE act = 'cut';
CREATE INDEX entry_undone ON entry (number) WHERE act = 'undone';

CREATE TABLE job (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    name TEXT NOT NULL UNIQUE CHECK (trim(name) <> ''),
    called TEXT NOT NULL CHECK (trim(called) <> ''),
    stage TEXT NOT NULL CHECK (stage IN ('held', 'cut', 'released')),
    file TEXT NOT NULL CHECK (json_valid(file)),
    plan TEXT NOT NULL CHECK (json_valid(plan)),
    donors TEXT NOT NULL CHECK (json_valid(donors)),
    hold_until TEXT,
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;
CREATE INDEX job_by_called ON job (called);
CREATE TABLE request (
    key TEXT PRIMARY KEY,
    asked TEXT NOT NULL,
    answer TEXT NOT NULL CHECK (json_valid(answer)),
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
CREATE TABLE shop_rule (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    value REAL NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE photo (
    number INTEGER PRIMARY KEY,
    tag TEXT NOT NULL REFERENCES piece (tag),
    jpeg BLOB,
    across INTEGER NOT NULL CHECK (across > 0),
    down INTEGER NOT NULL CHECK (down > 0),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    gone_who TEXT NOT NULL DEFAULT '',
    gone_at TEXT,
    CHECK ((jpeg IS NULL) = (gone_at IS NOT NULL))
) STRICT;
CREATE INDEX photo_by_tag ON photo (tag);
CREATE TABLE job_photo (
    number INTEGER PRIMARY KEY,
    job INTEGER NOT NULL CHECK (job > 0),
    moment TEXT NOT NULL CHECK (moment IN ('before', 'after')),
    words TEXT NOT NULL,
    across INTEGER NOT NULL CHECK (across > 0),
    down INTEGER NOT NULL CHECK (down > 0),
    size_bytes INTEGER NOT NULL CHECK (size_bytes > 0),
    sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    gone_who TEXT NOT NULL DEFAULT '',
    gone_at TEXT,
    jpeg BLOB,
    house TEXT NOT NULL DEFAULT '',
    customer TEXT NOT NULL DEFAULT '',
    CHECK ((jpeg IS NULL) = (gone_at IS NOT NULL)),
    CHECK ((gone_who = '') = (gone_at IS NULL)),
    CHECK (gone_at IS NULL OR words = '')
) STRICT;
CREATE INDEX job_photo_by_job ON job_photo (job);
CREATE TABLE job_photos_closed (
    job INTEGER PRIMARY KEY CHECK (job > 0),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE photo_page (
    page INTEGER PRIMARY KEY CHECK (page BETWEEN 1 AND 99),
    bar_mm REAL NOT NULL CHECK (bar_mm > 0),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE field_pace (
    field TEXT PRIMARY KEY CHECK (trim(field) <> ''),
    times INTEGER NOT NULL CHECK (times > 0),
    taps INTEGER NOT NULL CHECK (taps >= 0),
    seconds REAL NOT NULL CHECK (seconds >= 0)
) STRICT;

CREATE TABLE person (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
    role TEXT NOT NULL CHECK (role IN ('look', 'work', 'manage')),
    unit TEXT NOT NULL DEFAULT 'ft',
    theme TEXT NOT NULL DEFAULT 'device',
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    passphrase TEXT,
    seal BLOB NOT NULL DEFAULT (uuid_send(gen_random_uuid()) || uuid_send(gen_random_uuid())),
    factor_secret TEXT,
    factor_since TEXT CHECK (factor_since IS NULL OR factor_secret IS NOT NULL),
    factor_step INTEGER NOT NULL DEFAULT 0,
    factor_codes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(factor_codes))
) STRICT;
CREATE UNIQUE INDEX person_by_name_any_case ON person (lower(name));
CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    kind TEXT NOT NULL CHECK (kind IN ('browser', 'device', 'key')),
    label TEXT NOT NULL,
    made_at TEXT NOT NULL,
    seen_at TEXT NOT NULL,
    ends_at TEXT NOT NULL,
    scopes TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX session_person ON session (person);
CREATE TABLE link (
    digest TEXT PRIMARY KEY,
    use TEXT NOT NULL CHECK (use IN ('first-manager', 'invite', 'device')),
    person INTEGER REFERENCES person (id),
    ends_at TEXT NOT NULL,
    CHECK ((use = 'first-manager') = (person IS NULL))
) STRICT;
CREATE TABLE half_open (
    digest TEXT PRIMARY KEY,
    person INTEGER NOT NULL REFERENCES person (id),
    label TEXT NOT NULL,
    ends_at TEXT NOT NULL
) STRICT;
CREATE TABLE wrong_try (who TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX wrong_try_who ON wrong_try (who, at);
CREATE TABLE unsent (
    number INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    path TEXT NOT NULL,
    fields TEXT NOT NULL CHECK (json_valid(fields)),
    files INTEGER NOT NULL CHECK (files IN (0, 1)),
    shown INTEGER NOT NULL DEFAULT 0 CHECK (shown IN (0, 1)),
    ends_at TEXT NOT NULL
) STRICT;
CREATE TABLE customer_link (
    job INTEGER PRIMARY KEY CHECK (job > 0),
    digest TEXT NOT NULL UNIQUE,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    ends_at TEXT NOT NULL
) STRICT;
CREATE TABLE agreement (
    number INTEGER PRIMARY KEY,
    job INTEGER NOT NULL CHECK (job > 0),
    link TEXT NOT NULL UNIQUE,
    plan TEXT NOT NULL,
    name TEXT NOT NULL,
    strokes TEXT NOT NULL CHECK (json_valid(strokes)),
    read TEXT NOT NULL,
    digest TEXT NOT NULL,
    at TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1)),
    CHECK ((erased = 1) = (name = ''))
) STRICT;
CREATE INDEX agreement_by_job ON agreement (job);
"""
