"""No house by chance takes more roll than was once found: two with little effort, with all asked for each of the ten."""

import pytest

from remnants.estimating import OrderRules
from remnants.estimating.order import orders_from_roll
from remnants.packing import Watch
from tests.bench.houses import a_house
from tests.thorough import EVERY

SHORTEST_MM = (26_955, 19_955, 24_675, 30_780, 37_100, 29_965, 21_475, 17_645, 27_920, 21_725)
"""The shortest choice of each house of `tests/bench/houses.py`, with all the effort of `remnants order` (30 November 2026)."""

WITH_LITTLE_MM = {1: 20_180, 7: 18_225}
"""The same of two houses of five rooms, with a sixteenth of the effort."""


def shortest_mm(house: int, tries: int) -> float:
    plans = orders_from_roll(*a_house(house), rules=OrderRules(), watch=Watch(tries=tries))
    assert all(plan.least_mm <= plan.length_mm for plan in plans)
    return min(plan.length_mm for plan in plans)


@pytest.mark.parametrize("house", WITH_LITTLE_MM)
def test_a_house_takes_no_more_with_little_effort(house: int) -> None:
    assert shortest_mm(house, 30) <= WITH_LITTLE_MM[house] + 0.5


@pytest.mark.skipif(EVERY > 1, reason="ten houses take two minutes: with REMNANTS_THOROUGH=1 alone")
@pytest.mark.parametrize("house", range(len(SHORTEST_MM)))
def test_no_house_takes_more_than_was_once_found(house: int) -> None:
    assert shortest_mm(house, 480) <= SHORTEST_MM[house] + 0.5
