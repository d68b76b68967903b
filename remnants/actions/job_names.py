"""Which job is meant: by its number, or by its name where that is one job's alone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotAllowed, NotFound, SameName
from remnants.model import Job
from remnants.store import Catalogue, job_photos, jobs
from remnants.store.jobs import JobRow, JobStage
from remnants.store.rows import time_of

__all__ = ["AS_NAMED", "Target", "Which", "job_words", "jobs_called", "number_text", "refuse_another_home", "row_of", "target_of"]

_NUMBER = re.compile(r"j-?0*(\d{1,9})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Which:
    """Which job a plan is for, where others have its name: the one of a `number`, to be planned anew, or another one `again`."""

    number: str = ""
    again: bool = False

    def beside(self, asked: list[Any]) -> list[Any]:
        """A request for `once`, with what was said where anything was."""
        return [*asked, self.number, self.again] if self.number or self.again else asked


AS_NAMED = Which()
"""The only job of its name."""


@dataclass(frozen=True)
class Target:
    """The job that a plan is for: its number, what the ledger calls it, and its row where it is there already."""

    number: int
    label: str
    row: JobRow | None = None


def number_text(number: int) -> str:
    """A job's number as it is written: `J-0012`."""
    return f"J-{number:04d}"


def row_of(catalogue: Catalogue, text: str) -> JobRow:
    """The job of that number or name. Raises NotFound, with the numbers where several have the name."""
    asked = text.strip()
    told = _NUMBER.fullmatch(asked)
    row = jobs.numbered(catalogue, int(told[1])) if told else None
    if row is not None:
        return row
    rows = jobs_called(catalogue, asked)
    if len(rows) == 1:
        return rows[0]
    if rows:
        raise NotFound(f"{len(rows)} jobs are called {asked!r}: {_listed(rows)}. Give the number of the one you mean")
    known = ", ".join(f"{number_text(job.number)} {job.name}" for job in jobs.listed(catalogue)[:5])
    raise NotFound(f"no job {text!r} is in the catalogue" + (f"; the latest are {known}" if known else ""))


def jobs_called(catalogue: Catalogue, name: str) -> tuple[JobRow, ...]:
    """Every job of that name, the oldest first."""
    return jobs.called(catalogue, name.strip())


def target_of(catalogue: Catalogue, name: str, which: Which) -> Target:
    """The job that a plan for a job of that name is booked under. The caller holds the transaction.

    Raises SameName where another job has the name and nobody said which is meant; NotFound, BadInput for a number of none or of
    a job with another name; NotAllowed for one that was cut.
    """
    same = jobs_called(catalogue, name)
    if which.number:
        row = row_of(catalogue, which.number)
        if row.called != name:
            raise BadInput([Fault("job", f"{number_text(row.number)} is called {row.called!r}, and this job {name!r}")])
        if row.stage is JobStage.CUT:
            raise NotAllowed(
                f"{job_words(row)}, so it isn't planned anew; this is another job, or `remnants undo` takes the cut back"
            )
        return Target(row.number, row.name, row)
    if same and not which.again:
        raise SameName(name, _listed(same), tuple(number_text(row.number) for row in same))
    number = jobs.next_number(catalogue)
    free = jobs.find(catalogue, name) is None
    return Target(number, name if free else f"{name} ({number_text(number)})")


def refuse_another_home(catalogue: Catalogue, mine: Target, job: Job) -> None:
    """Raises NotAllowed where a job with photographs of one home is planned anew for another customer or house."""
    number = number_text(mine.number)
    for house, customer in job_photos.homes_of(catalogue, mine.number):
        for told, now in ((customer, job.customer), (house, job.house)):
            if told and now and told.casefold() != now.casefold():
                raise NotAllowed(
                    f"{number} has photographs that show the home of {told}, and this job is for {now}, so nothing was booked."
                    " Book it as another job, or take the photographs away first"
                )


def _listed(rows: Sequence[JobRow]) -> str:
    return "; ".join(map(job_words, rows))


def job_words(row: JobRow) -> str:
    """A job apart from others of its name: `J-0007, held by Wim on 4 May 2031`."""
    return f"{number_text(row.number)}, {row.stage} by {row.who} on {day_words(time_of(row.at))}"
