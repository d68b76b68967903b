"""The jobs of the catalogue for a list: how far each is, without its file and its plan."""

from dataclasses import dataclass
from datetime import date

from remnants.actions.job_names import number_text
from remnants.actions.job_state import State, state_of
from remnants.store import Catalogue, jobs, pieces
from remnants.store.jobs import JobStage

__all__ = ["ListedJob", "list_jobs"]


@dataclass(frozen=True, slots=True)
class ListedJob:
    """A line of a list of jobs: `called` is its name, `label` what the ledger calls it, `stage` how far it is today."""

    number: str
    called: str
    label: str
    stage: State
    hold_until: date | None
    who: str


def list_jobs(catalogue: Catalogue) -> tuple[ListedJob, ...]:
    """All jobs in the catalogue as they are today, newest first."""
    rows, today = jobs.listed(catalogue), catalogue.today()
    held = sorted({tag for row in rows if row.stage is not JobStage.CUT for tag in row.donors})
    standings = pieces.standings_tagged(catalogue, held)
    return tuple(
        ListedJob(number_text(row.number), row.called, row.name, state_of(row, standings, today), row.hold_until, row.who)
        for row in rows
    )
