"""Every question that a plan must answer before it is shown, and the proof that asks them all."""

from collections.abc import Mapping

from remnants.errors import Fault
from remnants.model.patch import Job
from remnants.model.piece import Piece
from remnants.model.plan import Plan
from remnants.model.style import Style
from remnants.proof.case import Case, Question
from remnants.proof.certificates import QUESTIONS as CERTIFICATES
from remnants.proof.cutting import QUESTIONS as CUTTING
from remnants.proof.figures import QUESTIONS as FIGURES
from remnants.proof.filling import QUESTIONS as FILLING
from remnants.proof.leaving import QUESTIONS as LEAVING
from remnants.proof.telling import QUESTIONS as TELLING

__all__ = ["QUESTIONS", "check_plan", "refusals"]

QUESTIONS: tuple[Question, ...] = (*TELLING, *CUTTING, *FILLING, *LEAVING, *FIGURES, *CERTIFICATES)
"""In the order asked. Each is a function whose docstring is the question; it yields a fault for each thing that is wrong."""


def check_plan(job: Job, pieces: Mapping[str, Piece], styles: Mapping[str, Style], plan: Plan) -> tuple[Fault, ...]:
    """Every fault of a plan, with the figures (mm); empty if it is right.

    `pieces` by tag and `styles` by name are the stock that the plan was made from.
    """
    return tuple(fault for faults in refusals(job, pieces, styles, plan).values() for fault in faults)


def refusals(job: Job, pieces: Mapping[str, Piece], styles: Mapping[str, Style], plan: Plan) -> dict[str, tuple[Fault, ...]]:
    """The faults of a plan by the name of the question that found them; questions without faults are left out."""
    case = Case(job, pieces, styles, plan)
    found = {question.__name__: tuple(question(case)) for question in QUESTIONS}
    return {name: faults for name, faults in found.items() if faults}
