"""Customers' links to the page of a job, and what was agreed to there, as rows. Times are UTC.

Of a link's secret only the digest lies here. Agreements only grow; what is erased about a person leaves that there was one.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from remnants.model.agreement import Agreement
from remnants.model.drawn_name import read_strokes, strokes_text
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_of, time_text

__all__ = [
    "AGREEMENTS",
    "CustomerLink",
    "add_agreement",
    "agreed_by_link",
    "agreements_of",
    "drop_link",
    "drop_links_of",
    "erase_of",
    "link_of_job",
    "open_link",
    "put_link",
]

AGREEMENTS = """
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
    CHECK (erased = (name = ''))
) STRICT;
CREATE INDEX agreement_by_job ON agreement (job);
CREATE TRIGGER agreements_stay BEFORE DELETE ON agreement BEGIN
    SELECT raise(ABORT, 'agreements only grow');
END;
CREATE TRIGGER agreements_stand BEFORE UPDATE ON agreement
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.job = OLD.job AND NEW.at = OLD.at AND NEW.plan = OLD.plan) BEGIN
    SELECT raise(ABORT, 'an agreement is never changed, but for what is erased about a person');
END;
"""
"""The step of the migrations that makes them. Never edited, as any step. A job has one link; `link` is the digest of the one
that an agreement was signed by, so that each is signed once."""

_ERASE = "UPDATE agreement SET name = '', strokes = '[]', read = '', digest = '', erased = 1 WHERE job = ? AND erased = 0"


@dataclass(frozen=True, slots=True)
class CustomerLink:
    """The link of the job of that number: by the digest of its secret, who made it, when it ends."""

    job: int
    digest: str
    who: str
    ends_at: datetime


def put_link(catalogue: Catalogue, link: CustomerLink) -> None:
    """Stores a link, in place of the job's older one. The caller holds the transaction."""
    sql = (
        "INSERT INTO customer_link (job, digest, who, ends_at) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (job) DO UPDATE SET digest = excluded.digest, who = excluded.who, ends_at = excluded.ends_at"
    )
    catalogue.execute(sql, [link.job, link.digest, link.who, time_text(link.ends_at)])


def open_link(catalogue: Catalogue, digest: str, *, now: datetime) -> CustomerLink | None:
    """The link with that digest, while it holds."""
    return _first(catalogue, "digest = ? AND ends_at > ?", [digest, time_text(now)])


def link_of_job(catalogue: Catalogue, job: int, *, now: datetime) -> CustomerLink | None:
    """The link of the job of that number, while it holds."""
    return _first(catalogue, "job = ? AND ends_at > ?", [job, time_text(now)])


def drop_link(catalogue: Catalogue, job: int) -> bool:
    """Ends the link of a job; False when there was none."""
    return bool(catalogue.execute("DELETE FROM customer_link WHERE job = ?", [job]).rowcount)


def drop_links_of(catalogue: Catalogue, who: str) -> None:
    """Ends the links that somebody made. The caller holds the transaction."""
    catalogue.execute("DELETE FROM customer_link WHERE who = ?", [who])


def add_agreement(catalogue: Catalogue, agreement: Agreement, *, link: str) -> None:
    """Writes down an agreement that was signed by the link of that digest. The caller holds the transaction."""
    catalogue.execute(
        "INSERT INTO agreement (job, link, plan, name, strokes, read, digest, at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            agreement.job,
            link,
            agreement.plan,
            agreement.name,
            strokes_text(agreement.strokes),
            agreement.read,
            agreement.digest,
            time_text(agreement.at),
        ],
    )


def agreements_of(catalogue: Catalogue, job: int) -> tuple[Agreement, ...]:
    """What was agreed to of the job of that number, the newest first."""
    return tuple(_agreement(row) for row in catalogue.query("SELECT * FROM agreement WHERE job = ? ORDER BY number DESC", [job]))


def agreed_by_link(catalogue: Catalogue, digest: str) -> Agreement | None:
    """What was agreed to by the link of that digest."""
    return next((_agreement(row) for row in catalogue.query("SELECT * FROM agreement WHERE link = ?", [digest])), None)


def erase_of(catalogue: Catalogue, jobs: Collection[int]) -> int:
    """Erases the agreements of these jobs, and ends their links; gives how many agreements. The caller holds the transaction."""
    for job in sorted(jobs):
        drop_link(catalogue, job)
    return sum(catalogue.execute(_ERASE, [job]).rowcount for job in sorted(jobs))


def _first(catalogue: Catalogue, condition: str, parameters: list[Any]) -> CustomerLink | None:
    rows = catalogue.query(f"SELECT job, digest, who, ends_at FROM customer_link WHERE {condition}", parameters)
    return next((CustomerLink(row["job"], row["digest"], row["who"], time_of(row["ends_at"])) for row in rows), None)


def _agreement(row: dict[str, Any]) -> Agreement:
    return Agreement(
        row["number"],
        row["job"],
        row["plan"],
        row["name"],
        read_strokes(row["strokes"]),
        row["read"],
        row["digest"],
        time_of(row["at"]),
        erased=bool(row["erased"]),
    )
