"""`remnants ask`: a question in one line, from the catalogue and from a file."""

import json
from typing import Any

import pytest

from remnants.exchange import read_answer, read_job, read_stock
from remnants.proof import check_plan
from tests.commands import Remnants

CLOSET = "hall 36 x 33, wall left and right, pile to the door; aldern twist wheat; closet 84 x 31 1/2 pile to the right"


@pytest.fixture
def stocked(remnants: Remnants) -> Remnants:
    remnants.log("--tag", "R-1", "--style", "Aldern Twist", "--colour", "Wheat", "--width", "40", "--length", "60")
    remnants.log("--tag", "R-2", "--style", "Velder Loop", "--colour", "Oatmeal", "--width", "60", "--length", "90")
    return remnants


def test_it_says_what_it_understood_and_answers_with_the_carpet_told(stocked: Remnants) -> None:
    done = stocked("ask", CLOSET)
    assert done.code == 0
    head, _, answer = done.out.partition("\n\n")
    assert "hall: pile to the door = down the drawing, the door drawn at the bottom" in head
    assert "↓" in done.out, "a picture of the patch"
    assert "YES, joined from parts" in done.out
    assert "closet" in answer
    assert "log it from there, then hold or cut" in done.err
    assert stocked("show", "closet").code == 1, "asking logs nothing"


def test_what_is_missing_is_asked_for_and_nothing_is_answered(stocked: Remnants) -> None:
    done = stocked("ask", "hall", "36", "x", "33;", "aldrn", "and", "gibberish")
    assert done.code == 1
    assert "Not understood: gibberish" in done.out
    assert "pieces[" not in done.err
    assert "hall: which way its pile lays" in done.out
    assert "YES" not in done.out and "NO" not in done.out


def test_goods_that_the_shop_does_not_know_are_asked_for_as_they_are_called_and_the_closet_makes_them(stocked: Remnants) -> None:
    """Nothing in stock can be Thornbury Loop; 38 x 35 in with 1 in at each seam come out of a closet of 84 x 40."""
    line = "hall 36 x 33, pile up; {}; closet 84 x 40 pile up"
    asked = stocked("ask", line.format("Thornbury Loop"))
    assert asked.code == 1 and "or say style called thornbury loop for goods that aren't in stock" in asked.out
    done = stocked("ask", line.format("style called Thornbury Loop"))
    answer = done.out
    assert done.code == 0
    assert "nothing is known of Thornbury Loop but its name: it is taken for cut pile without a pattern" in done.out + done.err
    assert "YES, in one piece" in answer and "Thornbury Loop" in answer
    alone = stocked.ok("ask", "hall 36 x 33, pile up; style called Thornbury Loop")
    assert "NO" in alone and "no style 'Thornbury Loop' in stock" in alone.casefold().replace("thornbury loop", "Thornbury Loop")
    both = stocked("ask", line.format("style called Thornbury Loop; velder loop"))
    assert both.code == 1 and "are both said: take one back" in both.out


@pytest.mark.parametrize(
    ("said", "refused"),
    [
        ("hall 99999999 ft x 33, pile up; aldern twist", "99999999 ft x 33: it is too far for a floor"),
        ("circle of 99999999 ft, pile up; aldern twist", "circle of 99999999 ft: it is too far for a floor"),
        ("hall 36 x 33, pile up; aldern twist; closet 99999999 ft x 30 pile up", "99999999 ft x 30: it is too far for a floor"),
        ("hall 36 x 33, pile up; aldern twist, use R-9", "use r-9: no piece has the tag 'R-9'"),
    ],
)
def test_what_cannot_be_is_refused_in_the_words_that_were_said(stocked: Remnants, said: str, refused: str) -> None:
    done = stocked("ask", said)
    assert done.code != 0 and refused in done.err and "[0]" not in done.err


def test_as_a_job_it_goes_on_to_log_fit_and_hold(stocked: Remnants) -> None:
    told = stocked.ok("ask", f"job Alder Court 7; {CLOSET}", "--as-job")
    job = json.loads(told)
    assert job["ask"] == []
    path = stocked.file("job.json", told)
    assert "L-0001" in stocked.ok("log", path)
    assert "YES" in stocked.ok("fit", path)
    assert "L-0001" in stocked.ok("hold", path)


def test_as_a_job_what_is_missing_is_named_and_the_code_says_so(stocked: Remnants) -> None:
    done = stocked("ask", "hall 36 x 33, gibberish; aldern; closet 84 x 30", "--as-job")
    told = json.loads(done.out)
    assert (done.code, told["ask"], told["unread"]) == (1, ["pile", "pieces[0].pile", "unread", "job"], ["gibberish"])
    assert "closet: which way its pile lays" in done.err
    assert "pieces[" not in done.err, "people are told in words, programs by keys"


def test_a_floor_of_no_house_is_not_made_ready_to_be_logged(stocked: Remnants) -> None:
    done = stocked("ask", CLOSET, "--as-job")
    assert (done.code, json.loads(done.out)["ask"]) == (1, ["job"])
    assert "the house in which closet lies" in done.err, "else each job would be offered it as of its own house"


def test_a_word_that_is_not_understood_is_asked_about_before_any_yes(stocked: Remnants) -> None:
    done = stocked("ask", "hall 30 x 20, pile up; aldern twist crimson")
    assert done.code == 1
    assert "what is meant by crimson" in done.out
    assert "YES" not in done.out, "another colour is never cut instead"
    assert stocked("ask", "hall 30 x 20, pile up; aldern twist wheat").code == 0


def test_bare_figures_are_in_the_unit_that_is_named(stocked: Remnants) -> None:
    job = json.loads(stocked.ok("ask", "hall 90 x 84, pile up; aldern", "--as-job", "--unit", "cm"))
    assert (job["unit"], job["patches"][0]["width"]) == ("cm", 90)


def test_the_answer_from_a_file_is_right_by_the_proof(remnants: Remnants) -> None:
    pieces: list[dict[str, Any]] = [
        {"tag": "R-7", "kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "width": 30, "length": 70, "pile": 0}
    ]
    stock = {"unit": "in", "styles": [{"name": "Velder Loop", "construction": "loop"}], "pieces": pieces}
    asked = (
        "L 40 x 24, notch 20 x 12 upper left, wall left, pile up; velder loop oatmeal",
        "--stock",
        remnants.file("s.json", stock),
    )
    answer, job = read_answer(remnants.ok("ask", *asked, "--json")), read_job(remnants.ok("ask", *asked, "--as-job"))
    held = read_stock(stock)
    assert answer.patches[0].parts
    assert check_plan(job, held.piece_of, held.style_of, answer) == ()


def test_nothing_said_is_refused(remnants: Remnants) -> None:
    remnants.log()
    assert "say what must be filled" in remnants.refused("ask", " ", code=2)
