"""The steps of the migrations that make photographs of pieces, and give them their entries. Never edited, as any step."""

__all__ = ["PHOTOS_OF_PIECES", "PHOTO_ENTRIES"]

PHOTOS_OF_PIECES = """
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
"""

PHOTO_ENTRIES = """
CREATE TABLE entry_with_photos (
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
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1))
) STRICT;
INSERT INTO entry_with_photos (number, booking, tag, act, facts, who, at, why, job, erased)
SELECT number, booking, tag, act, facts, who, at, why, job, erased FROM entry ORDER BY number;
DROP TABLE entry;
ALTER TABLE entry_with_photos RENAME TO entry;

INSERT INTO entry (number, booking, tag, act, facts, who, at, why, job)
SELECT place, place, tag, act, facts, who, at, 'was done before photographs had entries', '' FROM (
    SELECT (SELECT coalesce(max(number), 0) FROM entry) + row_number() OVER (ORDER BY at, photo, act DESC) AS place, told.*
    FROM (
        SELECT number AS photo, tag, 'photographed' AS act, who, at,
            json_object('photo', number, 'size_bytes', coalesce(length(jpeg), 0), 'sha256', '') AS facts
        FROM photo
        UNION ALL
        SELECT number, tag, 'photograph taken away', iif(trim(gone_who) = '', 'catalogue', gone_who), gone_at,
            json_object('photo', number)
        FROM photo WHERE gone_at IS NOT NULL
    ) AS told
) ORDER BY place;

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
          AND NEW.act = OLD.act AND NEW.at = OLD.at) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;
"""
"""Two acts more, so the table is made anew with all its rows. Photographs that are there get entries at the end of the ledger,
with the person and the time that their rows tell; of those the SHA-256 is not known, nor the size of one taken away."""
