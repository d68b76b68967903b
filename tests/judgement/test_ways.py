"""Ways beside the recommended one, at the terminal: told with what speaks for each, taken by number, held and cut as told."""

import json
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of
from remnants.model import Kind
from tests.commands import Remnants
from tests.judgement.shop import ask, piece

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


def test_the_ledger_keeps_which_way_was_taken_and_why_through_hold_and_cut(remnants: Remnants) -> None:
    told = "way 2 of 2: nothing to lift and nobody to ask; they sleep till noon"
    remnants.ok("hold", DEMO / "hallway.json", "--way", "2", "--why", "they sleep till noon")
    assert told in unfolded(remnants.ok("show", "O-0140"))
    remnants.ok("cut", "J-0001", "--why", "on their word")
    held, cut = reasons(remnants, "O-0140")[-2:]
    assert (held, cut) == (told, f"{told}; on their word")
    assert "all is well" in remnants.ok("verify")


def test_the_ledger_keeps_which_piece_was_asked_for_and_which_left_out(remnants: Remnants) -> None:
    remnants.ok("cut", DEMO / "hallway.json", "--yes", "--use", "o-0140", "--avoid", "L-0101")
    assert reasons(remnants, "O-0140")[-1] == "O-0140 asked for; L-0101 left out"


def test_what_was_recommended_needs_no_reason(remnants: Remnants) -> None:
    remnants.ok("cut", DEMO / "hallway.json", "--yes")
    assert reasons(remnants, "L-0101")[-1] == ""


def test_a_held_job_is_cut_as_it_is_planned_and_another_wish_is_refused(remnants: Remnants) -> None:
    remnants.ok("hold", DEMO / "hallway.json")
    told = remnants.refused("cut", "J-0001", "--way", "2", "--use", "O-0140", code=2)
    assert "--way: 'J-0001' is no file, and a job that is held is cut as it is planned" in told and "--use: " in told
    assert "held" in remnants.ok("show", "L-0101")


def reasons(remnants: Remnants, tag: str) -> list[str]:
    """Why each entry of a piece was written."""
    with open_catalogue(remnants.catalogue, write=False) as catalogue:
        return [entry.signed.why for entry in history_of(catalogue, tag).entries]


def unfolded(text: str) -> str:
    return " ".join(text.split())


def test_of_two_ways_without_trouble_each_is_told_that_and_what_else_speaks_for_it() -> None:
    """The closet looks best; the large remnant lies ready and looks better than the scrap, which spends least."""
    closet = piece("L-1", 60, 72, kind=Kind.LAID, place="Alder Court 7, closet")
    ways = ask(closet, piece("R-1", 90, 140, lot="L2"), piece("O-2", 33, 43, lot="L2", worn=3)).fitted.ways
    told = [way.speaks_for for way in ways]
    assert told[0] == ("shows least",)
    assert told[1] == ("nothing to lift and nobody to ask", "shows less than the other way like that")
    assert told[2][0] == "nothing to lift and nobody to ask" and told[2][1].startswith("spends least")
