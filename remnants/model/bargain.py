"""What would make a no a yes, or a yes show less: the least change of the job, and the plan that it then gives."""

from dataclasses import dataclass
from enum import StrEnum

from remnants.model.patch import Job
from remnants.model.piece import Piece
from remnants.model.plan import Plan

__all__ = ["NO_BARGAINS", "Asked", "Bargain", "Bargains", "Change", "ChangeKind", "MeasureAgain", "WhyNot"]


class ChangeKind(StrEnum):
    """What is changed; the words are those of the answer file."""

    SHAVE = "shave"
    ALLOWANCE = "allowance"
    MIN_PART = "min_part"
    PARTS = "parts"
    TURN = "turn"
    GROW = "grow"
    LOT = "lot"
    HELD = "held"
    ROLL = "roll"
    OTHER_HOUSES = "other houses"
    USE = "use"
    CLOSE_SHADE = "close shade"
    SUBSTITUTE = "substitute"
    OTHER_CUSTOMERS = "other customers"
    IN_VIEW = "in view"


@dataclass(frozen=True, slots=True)
class Change:
    """One change. `by_mm`: how much narrower, smaller or longer; `count`: of parts; `patch` and `edge` (from 0) where it touches
    one; `piece`: the tag of the one that it is about.
    """

    kind: ChangeKind
    patch: str = ""
    by_mm: float | None = None
    count: int | None = None
    edge: int | None = None
    finish: str = ""
    piece: str = ""


@dataclass(frozen=True)
class Asked:
    """A job as it would be with a change, and the pieces that it may then have beside those offered."""

    job: Job
    beside: tuple[Piece, ...] = ()


@dataclass(frozen=True)
class Bargain:
    """One or two changes that together fill more, or show less; the job with them, its plan, the pieces that it has beside the
    stock. `sentence` tells them, and what then makes it; `cost` what they cost, `gain` what no longer shows and what shows
    more ("" after a no).
    """

    changes: tuple[Change, ...]
    sentence: str
    job: Job
    plan: Plan
    beside: tuple[Piece, ...] = ()
    cost: str = ""
    gain: str = ""


@dataclass(frozen=True)
class Bargains:
    """Those found, the best first, and what was tried and is of no help, in words; `stopped` where not all was tried.

    `better`: they are not for a no, but for a yes that shows.
    """

    found: tuple[Bargain, ...] = ()
    no_help: tuple[str, ...] = ()
    stopped: bool = False
    better: bool = False


@dataclass(frozen=True)
class WhyNot:
    """Why a piece isn't the choice (`reason`), and the least that would make it so: `sentence` tells both.

    `changes` are empty where none helps; `plan` is the one that they give.
    """

    piece: str
    reason: str
    sentence: str
    changes: tuple[Change, ...] = ()
    plan: Plan | None = None


@dataclass(frozen=True, slots=True)
class MeasureAgain:
    """A piece whose `side` (width or length), if it is `by_mm` more than measured, makes a patch without a cross seam."""

    piece: str
    patch: str
    side: str
    by_mm: float
    sentence: str


NO_BARGAINS = Bargains()
"""Of an answer that leaves nothing open, or where none were looked for."""
