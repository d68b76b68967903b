"""Laws over planted jobs: what makes no difference on the floor changes no answer, and asking for more finds no more.

`python -m tests.bench.laws` asks as many jobs as wanted.
"""

from functools import cache

import pytest

from remnants.fitting.patch import more_parts
from remnants.fitting.patch.made import BY_A_HAIR
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


ASKEW = planted("three, rectangles", 500129)
"""A part that just fits a piece 1.9 degrees askew: a micrometre in its length is 30 in how far the part goes."""


def test_a_part_that_goes_to_the_end_of_a_piece_askew_is_laid() -> None:
    """The piece as large as the box round it: no plan was found, and that was told as proved."""
    job, pieces = LAWS["a larger piece"].change(ASKEW.job, ASKEW.pieces)
    assert len(answer_to((job, pieces)).patches[0].parts) == 3


def test_parts_that_were_found_and_cannot_be_laid_are_no_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(more_parts, "EASES_MM", (0.005,))
    plan = answer_to(LAWS["a larger piece"].change(ASKEW.job, ASKEW.pieces))
    (none,) = plan.proof
    assert (none.proved, none.undecided) == (False, (BY_A_HAIR,))
