"""Ways beside the recommended one, at the terminal: told with what speaks for each, taken by number, held and cut as told."""

import json
from pathlib import Path

import pytest

from tests.commands import Remnants

DEMO = Path(__file__).resolve().parents[2] / "demo"


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    remnants.ok("log", DEMO / "stock.json")
    return remnants


def test_the_answer_file_tells_each_way_the_first_equal_to_the_answer(remnants: Remnants) -> None:
    answer = json.loads(remnants.ok("fit", DEMO / "hallway.json", "--json"))
    first, second = answer["ways"]
    assert first["patches"] == answer["patches"] and first["sights"] == answer["sights"]
    assert first["trouble"]["hidden floors"] == 1 and second["trouble"]["hidden floors"] == 0
    assert "shows least" in first["for"] and "nothing to lift and nobody to ask" in second["for"]
    assert {part["piece"] for part in second["patches"][0]["parts"]} == {"O-0140"}


def test_the_second_way_is_held_and_cut_where_it_is_asked_for(remnants: Remnants) -> None:
    assert "O-0140" in remnants.ok("hold", DEMO / "hallway.json", "--way", "2")
    assert "cut: O-0140" in remnants.ok("cut", "J-0001")


def test_a_way_that_there_is_not_is_refused_and_nothing_is_held(remnants: Remnants) -> None:
    told = remnants.refused("hold", DEMO / "hallway.json", "--way", "3", code=2)
    assert "--way: there are 2 ways for 'Tollgate Yard 3, hall': give 1 to 2" in told
    assert "held" not in remnants.ok("show", "L-0101")
