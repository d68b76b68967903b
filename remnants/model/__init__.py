"""Frozen values of the trade, checked when made."""

from remnants.model.bargain import Asked, Bargain, Bargains, Change, ChangeKind, MeasureAgain, WhyNot
from remnants.model.damage import Damage, DamagedJob
from remnants.model.finish import Finish
from remnants.model.match import Candidate, Fetch, Fetched, Grade, Match, Troubled
from remnants.model.merit import Merit
from remnants.model.no_proof import NoProof, RoomFigure
from remnants.model.patch import Allowance, Job, MayUse, Patch, Wanted
from remnants.model.person import LinkUse, Person, Role, Scope, Session, SessionKind, Theme
from remnants.model.piece import Kind, Piece
from remnants.model.plan import (
    Asking,
    Leftover,
    Part,
    PassedOver,
    PatchPlan,
    Plan,
    Seam,
    SeamKind,
    Short,
    Show,
    Spare,
    Verdict,
    Way,
)
from remnants.model.proposal import Outlined, Proposal, Stop, StopKind
from remnants.model.repair_room import Opening, RepairRoom
from remnants.model.shade import Colourway, Lab
from remnants.model.sight import Sight, SightKind
from remnants.model.style import Construction, Repeat, Style

__all__ = [
    "Allowance",
    "Asked",
    "Asking",
    "Bargain",
    "Bargains",
    "Candidate",
    "Change",
    "ChangeKind",
    "Colourway",
    "Construction",
    "Damage",
    "DamagedJob",
    "Fetch",
    "Fetched",
    "Finish",
    "Grade",
    "Job",
    "Kind",
    "Lab",
    "Leftover",
    "LinkUse",
    "Match",
    "MayUse",
    "MeasureAgain",
    "Merit",
    "NoProof",
    "Opening",
    "Outlined",
    "Part",
    "PassedOver",
    "Patch",
    "PatchPlan",
    "Person",
    "Piece",
    "Plan",
    "Proposal",
    "RepairRoom",
    "Repeat",
    "Role",
    "RoomFigure",
    "Scope",
    "Seam",
    "SeamKind",
    "Session",
    "SessionKind",
    "Short",
    "Show",
    "Sight",
    "SightKind",
    "Spare",
    "Stop",
    "StopKind",
    "Style",
    "Theme",
    "Troubled",
    "Verdict",
    "Wanted",
    "Way",
    "WhyNot",
]
