"""Which of the pieces that were passed over tell most: in a large stock there are tens of thousands."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from remnants.model import PassedOver, Plan

__all__ = ["telling_first", "with_most_telling"]


def telling_first(passed: Sequence[PassedOver]) -> list[PassedOver]:
    """Those whose reason few share first, then by tag: one that thousands share, such as another colour, tells least."""
    shared = Counter(map(_ground, passed))
    return sorted(passed, key=lambda over: (shared[_ground(over)], over.piece))


def with_most_telling(plan: Plan, most: int) -> Plan:
    """The plan with those `most` of the pieces passed over that tell most, in their order, and how many more there are."""
    if len(plan.passed_over) <= most:
        return plan
    kept = {over.piece for over in telling_first(plan.passed_over)[:most]}
    passed = tuple(over for over in plan.passed_over if over.piece in kept)
    return replace(plan, passed_over=passed, more_passed=plan.more_passed + len(plan.passed_over) - len(passed))


def _ground(over: PassedOver) -> str:
    """The reason without its figures and names."""
    return re.sub(r"\d[\d./'\" ]*|\([^)]*\)|\b[A-Z]+-\d+\b|;.*", "", over.reason)
