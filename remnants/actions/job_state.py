"""How far a job is: what its row says it came to, and what the holds on its donors say today."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from remnants.ledger import Standing
from remnants.store.jobs import JobLine, JobRow, JobStage

__all__ = ["State", "state_of"]


class State(StrEnum):
    """How far a job is on a day. PARTLY: some of its pieces are held for it and some no more. LAPSED: its hold has ended."""

    HELD = "held"
    PARTLY = "partly held"
    LAPSED = "lapsed"
    RELEASED = "released"
    CUT = "cut"


def state_of(row: JobRow | JobLine, standings: Mapping[str, Standing], day: date) -> State:
    """The state on a day; `standings` are those of its donors by tag. What is held is what the ledger says."""
    if row.stage is JobStage.CUT:
        return State.CUT
    holds = [standing.hold for tag in row.donors if (standing := standings.get(tag))]
    binding = [hold for hold in holds if hold and hold.job == row.name and hold.binds(day)]
    if binding:
        return State.HELD if len(binding) == len(row.donors) else State.PARTLY
    return State.LAPSED if row.hold_until and row.hold_until < day else State.RELEASED
