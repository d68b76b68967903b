"""Frozen values of the trade, checked when made."""

from remnants.model.match import Candidate, Grade, Match
from remnants.model.patch import Allowance, Finish, Job, Patch, Wanted
from remnants.model.piece import Kind, Piece
from remnants.model.plan import Leftover, Part, PassedOver, PatchPlan, Plan, Seam, SeamKind, Short, Show, Verdict
from remnants.model.shade import Colourway, Lab
from remnants.model.style import Construction, Repeat, Style

__all__ = [
    "Allowance",
    "Candidate",
    "Colourway",
    "Construction",
    "Finish",
    "Grade",
    "Job",
    "Kind",
    "Lab",
    "Leftover",
    "Match",
    "Part",
    "PassedOver",
    "Patch",
    "PatchPlan",
    "Piece",
    "Plan",
    "Repeat",
    "Seam",
    "SeamKind",
    "Short",
    "Show",
    "Style",
    "Verdict",
    "Wanted",
]
