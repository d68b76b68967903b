"""What would make a no a yes: the least change of the job, and the plan that it then gives."""

from dataclasses import dataclass
from enum import StrEnum

from remnants.model.patch import Job
from remnants.model.plan import Plan

__all__ = ["NO_BARGAINS", "Bargain", "Bargains", "Change", "ChangeKind"]


class ChangeKind(StrEnum):
    """What is changed; the words are those of the answer file."""

    SHAVE = "shave"
    ALLOWANCE = "allowance"
    MIN_PART = "min_part"
    PARTS = "parts"
    TURN = "turn"
    CLOSE_SHADE = "close shade"
    SUBSTITUTE = "substitute"
    OTHER_CUSTOMERS = "other customers"
    IN_VIEW = "in view"


@dataclass(frozen=True, slots=True)
class Change:
    """One change. `by_mm`: how much narrower, or smaller; `count`: of parts; `patch` and `edge` (from 0) where it touches one."""

    kind: ChangeKind
    patch: str = ""
    by_mm: float | None = None
    count: int | None = None
    edge: int | None = None
    finish: str = ""


@dataclass(frozen=True)
class Bargain:
    """One or two changes that together fill more, the job with them, its plan; `sentence` tells them, and what then makes it."""

    changes: tuple[Change, ...]
    sentence: str
    job: Job
    plan: Plan


@dataclass(frozen=True)
class Bargains:
    """Those found, the best first, and what was tried and is of no help, in words; `stopped` where not all was tried."""

    found: tuple[Bargain, ...] = ()
    no_help: tuple[str, ...] = ()
    stopped: bool = False


NO_BARGAINS = Bargains()
"""Of an answer that leaves nothing open, or where none were looked for."""
