"""Jobs that were held or cut: their file, their plan, and how the donors stood when it was made."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from remnants.ledger import Signed
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_text

__all__ = [
    "LINES_OF_JOBS",
    "LINES_OF_JOBS_ON_SERVER",
    "JobLine",
    "JobRow",
    "JobStage",
    "called",
    "every_job",
    "files_cut_since",
    "find",
    "job_in",
    "listed",
    "next_number",
    "numbered",
    "put",
]

LINES_OF_JOBS = "CREATE INDEX job_line ON job (at, number, name, called, stage, donors, hold_until, who);"
"""All of a job but its file and plan, through which SQLite would go to find what stands behind. Never edited, as any step."""

LINES_OF_JOBS_ON_SERVER = "CREATE INDEX job_line ON job (at, number);"
"""A server keeps what is large apart."""


class JobStage(StrEnum):
    """How far a job's plan has come."""

    HELD = "held"
    CUT = "cut"
    RELEASED = "released"


@dataclass(frozen=True)
class JobLine:
    """What a list tells of a job: as a `JobRow`, without its file and its plan, which may be a megabyte each in a large stock."""

    name: str
    stage: JobStage
    donors: dict[str, int]
    hold_until: date | None
    who: str
    number: int
    called: str


@dataclass(frozen=True)
class JobRow:
    """A job and its plan as the content of their files; `donors` are the versions of the pieces that it cuts, by tag.

    `name` is what the ledger calls it, and no other job; `called` what its file calls it, as other jobs may be called too.
    `at` is when it came to its stage, as stored.
    """

    name: str
    stage: JobStage
    file: dict[str, Any]
    plan: dict[str, Any]
    donors: dict[str, int]
    hold_until: date | None
    who: str
    number: int
    called: str
    at: str = ""


def find(catalogue: Catalogue, name: str) -> JobRow | None:
    """The job that the ledger calls so."""
    return next((job_in(row) for row in catalogue.query("SELECT * FROM job WHERE name = ?", [name])), None)


def numbered(catalogue: Catalogue, number: int) -> JobRow | None:
    """The job of that number."""
    return next((job_in(row) for row in catalogue.query("SELECT * FROM job WHERE number = ?", [number])), None)


def called(catalogue: Catalogue, name: str) -> tuple[JobRow, ...]:
    """The jobs that their file or the ledger calls so, the oldest first."""
    sql = "SELECT * FROM job WHERE called = ? OR name = ? ORDER BY number"
    return tuple(job_in(row) for row in catalogue.query(sql, [name, name]))


def next_number(catalogue: Catalogue) -> int:
    """The number of the job that is put in next. The caller holds the transaction.

    Never one that something of a job goes by whose row is lost: its agreement or photograph would be taken for this one's.
    """
    sql = (
        "SELECT coalesce(max(number), 0) + 1 FROM (SELECT number FROM job UNION ALL SELECT job FROM agreement"
        " UNION ALL SELECT job FROM job_photo UNION ALL SELECT job FROM job_photos_closed) AS every"
    )
    (number,) = catalogue.execute(sql).fetchone()
    return int(number)


def listed(catalogue: Catalogue) -> tuple[JobLine, ...]:
    """All jobs, newest first, without their files and plans."""
    sql = "SELECT name, stage, donors, hold_until, who, number, called FROM job ORDER BY at DESC, number DESC"
    return tuple(
        JobLine(name, JobStage(stage), json.loads(donors), date.fromisoformat(until) if until else None, who, number, called_so)
        for name, stage, donors, until, who, number, called_so in (row.values() for row in catalogue.query(sql))
    )


def every_job(catalogue: Catalogue) -> tuple[JobRow, ...]:
    """All jobs, newest first."""
    return tuple(job_in(row) for row in catalogue.query("SELECT * FROM job ORDER BY at DESC, number DESC"))


def files_cut_since(catalogue: Catalogue, day: date) -> Iterator[dict[str, Any]]:
    """The files of jobs that were cut on a day or after it, the latest first, as they are asked for."""
    sql = "SELECT file FROM job WHERE stage = 'cut' AND at >= ? ORDER BY at DESC, name"
    yield from (json.loads(row["file"]) for row in catalogue.query(sql, [day.isoformat()]))


def put(catalogue: Catalogue, job: JobRow, signed: Signed) -> None:
    """Stores a job, new or in place of the one of that number. The caller holds the transaction."""
    sql = (
        "INSERT INTO job (number, name, called, stage, file, plan, donors, hold_until, who, at)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (number) DO UPDATE SET stage = excluded.stage, file = excluded.file, plan = excluded.plan,"
        " donors = excluded.donors, hold_until = excluded.hold_until, who = excluded.who, at = excluded.at"
    )
    texts = [json.dumps(value) for value in (job.file, job.plan, job.donors)]
    until = job.hold_until.isoformat() if job.hold_until else None
    catalogue.execute(sql, [job.number, job.name, job.called, job.stage.value, *texts, until, signed.who, time_text(signed.at)])


def call_customer(catalogue: Catalogue, reference: str, called: str) -> None:
    """Lets a word stand for a customer's reference, in any letter case, in every job that is for them. The caller sweeps."""
    for row in list(catalogue.query("SELECT number, file FROM job ORDER BY number")):
        file = json.loads(row["file"])
        if str(file.get("customer", "")).casefold() == reference.casefold():
            catalogue.execute(
                "UPDATE job SET file = ? WHERE number = ?", [json.dumps(file | {"customer": called}), row["number"]]
            )


def job_in(row: dict[str, Any]) -> JobRow:
    """The job in a row."""
    until = row["hold_until"]
    return JobRow(
        row["name"],
        JobStage(row["stage"]),
        json.loads(row["file"]),
        json.loads(row["plan"]),
        json.loads(row["donors"]),
        date.fromisoformat(until) if until else None,
        row["who"],
        row["number"],
        row["called"],
        row["at"],
    )
