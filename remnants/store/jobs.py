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

__all__ = ["JobRow", "JobStage", "every_job", "files_cut_since", "find", "job_in", "put"]


class JobStage(StrEnum):
    """How far a job's plan has come."""

    HELD = "held"
    CUT = "cut"
    RELEASED = "released"


@dataclass(frozen=True)
class JobRow:
    """A job and its plan as the content of their files; `donors` are the versions of the pieces that it cuts, by tag."""

    name: str
    stage: JobStage
    file: dict[str, Any]
    plan: dict[str, Any]
    donors: dict[str, int]
    hold_until: date | None
    who: str


def find(catalogue: Catalogue, name: str) -> JobRow | None:
    """The job of that name."""
    return next((job_in(row) for row in catalogue.query("SELECT * FROM job WHERE name = ?", [name])), None)


def every_job(catalogue: Catalogue) -> tuple[JobRow, ...]:
    """All jobs, newest first."""
    return tuple(job_in(row) for row in catalogue.query("SELECT * FROM job ORDER BY at DESC, name"))


def files_cut_since(catalogue: Catalogue, day: date) -> Iterator[dict[str, Any]]:
    """The files of jobs that were cut on a day or after it, the latest first, as they are asked for."""
    sql = "SELECT file FROM job WHERE stage = 'cut' AND at >= ? ORDER BY at DESC, name"
    yield from (json.loads(row["file"]) for row in catalogue.query(sql, [day.isoformat()]))


def put(catalogue: Catalogue, job: JobRow, signed: Signed) -> None:
    """Stores a job, new or in place of the one of that name. The caller holds the transaction."""
    sql = (
        "INSERT INTO job (name, stage, file, plan, donors, hold_until, who, at) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (name) DO UPDATE SET stage = excluded.stage, file = excluded.file, plan = excluded.plan,"
        " donors = excluded.donors, hold_until = excluded.hold_until, who = excluded.who, at = excluded.at"
    )
    texts = [json.dumps(value) for value in (job.file, job.plan, job.donors)]
    until = job.hold_until.isoformat() if job.hold_until else None
    catalogue.execute(sql, [job.name, job.stage.value, *texts, until, signed.who, time_text(signed.at)])


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
    )
