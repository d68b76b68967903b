"""Laws over planted jobs: what makes no difference on the floor changes no answer, and asking for more finds no more.

`python -m tests.bench.laws` asks as many jobs as wanted.
"""

from functools import cache

import pytest

from remnants.model import Plan
from tests.bench.adversary_plant import planted
from tests.bench.laws import LAWS, answer_to

CASES = [planted(kind, 31) for kind in ("whole", "two", "two of one", "narrow", "three, rectangles", "short")]


@cache
def told(number: int) -> Plan:
    """The answer to a case as it was planted."""
    return answer_to((CASES[number].job, CASES[number].pieces))


@pytest.mark.parametrize("name", LAWS)
def test_a_law_holds_for_every_job(name: str) -> None:
    """Same parts for stock in another order, as many for other units and scales; never fewer for more allowance."""
    for number, case in enumerate(CASES):
        after = answer_to(LAWS[name].change(case.job, case.pieces))
        assert LAWS[name].holds(told(number), after), (case.kind, case.seed)
