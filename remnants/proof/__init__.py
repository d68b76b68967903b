"""The independent proof of a plan: from its parts alone, with geometry of its own, and nothing of what makes plans."""

from remnants.proof.questions import QUESTIONS, check_plan, refusals

__all__ = ["QUESTIONS", "check_plan", "refusals"]
