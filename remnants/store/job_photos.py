"""Photographs of jobs, as rows. One that was taken away leaves a line that tells by whom. Times are UTC."""

import hashlib
import re
from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from remnants.ledger import Signed
from remnants.model.picture import JobPhoto, Moment, Picture
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = [
    "FORGOTTEN",
    "HOMES",
    "JOB_PHOTOS",
    "add",
    "close_jobs",
    "erase_of",
    "erase_words",
    "find",
    "homes_of",
    "is_closed",
    "jpeg_of",
    "of_job",
    "take_away",
    "whose_is_untold",
]

JOB_PHOTOS = """
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
    CHECK ((jpeg IS NULL) = (gone_at IS NOT NULL)),
    CHECK ((gone_who = '') = (gone_at IS NULL)),
    CHECK (gone_at IS NULL OR words = '')
) STRICT;
CREATE INDEX job_photo_by_job ON job_photo (job);
CREATE TABLE job_photos_closed (
    job INTEGER PRIMARY KEY CHECK (job > 0),
    at TEXT NOT NULL
) STRICT;
CREATE TRIGGER job_photos_stay BEFORE DELETE ON job_photo BEGIN
    SELECT raise(ABORT, 'of a photograph of a job a line always stays');
END;
CREATE TRIGGER job_photos_stand BEFORE UPDATE ON job_photo
WHEN NOT (NEW.number = OLD.number AND NEW.job = OLD.job AND NEW.moment = OLD.moment
          AND NEW.across = OLD.across AND NEW.down = OLD.down AND NEW.size_bytes = OLD.size_bytes
          AND NEW.sha256 = OLD.sha256 AND NEW.who = OLD.who AND NEW.at = OLD.at AND NEW.words IN ('', OLD.words)
          AND (NEW.jpeg IS NULL AND OLD.gone_at IS NULL
               OR NEW.jpeg IS OLD.jpeg AND NEW.gone_at IS OLD.gone_at AND NEW.gone_who = OLD.gone_who)) BEGIN
    SELECT raise(ABORT, 'a photograph of a job is never changed, but erased');
END;
"""
"""The step of the migrations that makes them. Never edited, as any step. `jpeg` stands last, so that the others are read without
it. A job in `job_photos_closed` takes no more: its customer was forgotten, and a phone may still send what waited there."""

HOMES = """
ALTER TABLE job_photo ADD COLUMN house TEXT NOT NULL DEFAULT '';
ALTER TABLE job_photo ADD COLUMN customer TEXT NOT NULL DEFAULT '';
UPDATE job_photo SET (house, customer) = (
    SELECT coalesce(json_extract(file, '$.house'), ''), coalesce(json_extract(file, '$.customer'), '')
    FROM job WHERE job.number = job_photo.job)
WHERE gone_at IS NULL AND job IN (SELECT number FROM job);
CREATE TRIGGER job_photos_show_one_home BEFORE UPDATE OF house, customer ON job_photo
WHEN NOT (NEW.house IN ('', OLD.house) AND NEW.customer IN ('', OLD.customer)) BEGIN
    SELECT raise(ABORT, 'whose home a photograph shows is never changed, but erased');
END;
"""
"""The step that keeps with each the house and the customer that its job told when it was put there. Planned anew, the job may
tell none any more. Never edited, as any step."""

FORGOTTEN = "forgotten"
"""Stands for whoever erased what went with its customer."""

_COLUMNS = "number, job, moment, words, across, down, who, at, gone_who, gone_at"
_ERASE = (
    "UPDATE job_photo SET jpeg = NULL, words = '', house = '', customer = '', gone_who = ?, gone_at = ? WHERE gone_at IS NULL AND"
)

_CLOSE = "INSERT INTO job_photos_closed (job, at) VALUES (?, ?) ON CONFLICT (job) DO NOTHING"


def add(catalogue: Catalogue, job: int, picture: Picture, *, moment: Moment, words: str, signed: Signed) -> int:
    """Keeps a photograph of the job of that number, and gives its own; whose home it shows is what the job tells now.

    The caller holds the transaction.
    """
    jpeg, digest = picture.jpeg, hashlib.sha256(picture.jpeg).hexdigest()
    sql = (
        "INSERT INTO job_photo (job, moment, words, across, down, size_bytes, sha256, who, at, jpeg, house, customer)"
        " SELECT ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, coalesce(json_extract(file, '$.house'), ''),"
        " coalesce(json_extract(file, '$.customer'), '') FROM job WHERE number = ?"
    )
    told = (job, moment.value, words, picture.across, picture.down, len(jpeg), digest, signed.who, time_text(signed.at), jpeg)
    return catalogue.added(sql, [*told, job])


def homes_of(catalogue: Catalogue, job: int) -> tuple[tuple[str, str], ...]:
    """The house and the customer of each home that photographs of the job show which are still there; either may be untold."""
    sql = "SELECT DISTINCT house, customer FROM job_photo WHERE job = ? AND gone_at IS NULL ORDER BY 1, 2"
    return tuple((row["house"], row["customer"]) for row in catalogue.query(sql, [job]))


def of_job(catalogue: Catalogue, job: int) -> tuple[JobPhoto, ...]:
    """The photographs of the job of that number, oldest first, those that are gone too."""
    return tuple(map(_photo, catalogue.query(f"SELECT {_COLUMNS} FROM job_photo WHERE job = ? ORDER BY number", [job])))


def find(catalogue: Catalogue, number: int) -> JobPhoto | None:
    """The photograph with this number, if it is still there."""
    rows = catalogue.query(f"SELECT {_COLUMNS} FROM job_photo WHERE number = ? AND gone_at IS NULL", [number])
    return next(map(_photo, rows), None)


def jpeg_of(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph that is still there."""
    (jpeg,) = catalogue.execute("SELECT jpeg FROM job_photo WHERE number = ?", [number]).fetchone()
    return bytes(jpeg)


def take_away(catalogue: Catalogue, number: int, signed: Signed) -> None:
    """Erases a photograph that is still there, and its words. The caller holds the transaction."""
    catalogue.execute(f"{_ERASE} number = ?", [signed.who, time_text(signed.at), number])


def erase_of(catalogue: Catalogue, jobs: Collection[int], *, at: datetime) -> int:
    """Erases all photographs of these jobs, as their customer is forgotten; gives how many. The caller holds the transaction."""
    erase = [FORGOTTEN, time_text(at)]
    return sum(catalogue.execute(f"{_ERASE} job = ?", [*erase, job]).rowcount for job in sorted(jobs))


def close_jobs(catalogue: Catalogue, jobs: Collection[int], *, at: datetime) -> None:
    """These jobs take no photographs any more. The caller holds the transaction."""
    for job in sorted(jobs):
        catalogue.execute(_CLOSE, [job, time_text(at)])


def is_closed(catalogue: Catalogue, job: int) -> bool:
    """Whether the job of that number takes no photographs any more."""
    return catalogue.execute("SELECT 1 FROM job_photos_closed WHERE job = ?", [job]).fetchone() is not None


def erase_words(catalogue: Catalogue, words: Sequence[str]) -> int:
    """Erases the words with each photograph in which one of these stands as it is written, whosever the job is; gives how many.

    The pictures stay. The caller holds the transaction.
    """
    wanted = [re.escape(" ".join(word.split())) for word in words if word.strip()]
    if not wanted:
        return 0
    found = re.compile(rf"(?<![\w-])(?:{'|'.join(wanted)})(?![\w-])")
    rows = catalogue.query("SELECT number, words FROM job_photo WHERE words <> ''")
    telling = [row["number"] for row in rows if found.search(row["words"])]
    for number in telling:
        catalogue.execute("UPDATE job_photo SET words = '' WHERE number = ?", [number])
    return len(telling)


def whose_is_untold(catalogue: Catalogue) -> tuple[int, ...]:
    """The numbers of the jobs with photographs that tell neither a house nor a customer, and that nobody signed, in order."""
    sql = (
        "SELECT number FROM job"
        " WHERE number IN (SELECT job FROM job_photo WHERE gone_at IS NULL AND trim(house || customer) = '')"
        " AND trim(coalesce(json_extract(file, '$.house'), '') || coalesce(json_extract(file, '$.customer'), '')) = ''"
        " AND number NOT IN (SELECT job FROM agreement WHERE erased = 0) ORDER BY number"
    )
    return tuple(row["number"] for row in catalogue.query(sql))


def _photo(row: dict[str, Any]) -> JobPhoto:
    gone = time_of(row["gone_at"]) if row["gone_at"] else None
    return JobPhoto(
        row["number"],
        row["job"],
        Moment(row["moment"]),
        row["words"],
        row["across"],
        row["down"],
        row["who"],
        time_of(row["at"]),
        row["gone_who"],
        gone,
    )
