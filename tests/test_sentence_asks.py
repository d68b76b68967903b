"""What a question in one line asks back: what was said in two ways, what is not understood, sizes that may mean two things."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from remnants.exchange.sentence import Sentence, read_sentence
from remnants.units import Unit, in_plain_marks
from tests.sentences import NAMES

GRAMMAR = Path(__file__).parents[1] / "docs" / "reference" / "sentence.md"


def read(text: str, unit: Unit = Unit.IN) -> Sentence:
    return read_sentence(text, unit, NAMES)


def taps(asked: Sentence, key: str) -> list[str]:
    return [tap.put for each in asked.to_tell if each.key == key for tap in each.taps if tap.put]


@pytest.mark.parametrize(
    ("said", "ask", "told"),
    [
        ("hall 20 x 20, pile up, pile down", "pile", "pile up and pile down are both said"),
        ("hall 20 x 20, not pile up", "unread", "not pile up"),
        ("hall 20 x 20, pile up and left", "unread", "pile up and left"),
        ("hall 20 x 20, pile up left", "unread", "left"),
        ("hall 20 x 20, door left, door right, pile to the door", "pile", "more than one side"),
        ("hall 20 x 20, pile up, wall bottom, transition bottom", "edges", "bottom is said to be wall and transition"),
        ("hall 20 x 20, pile up, wall all round, seam all round", "edges", "all round is said to be wall and seam"),
        ("circle of 14, pile up, wall left", "edges", "a circle has one edge"),
        ("hall 20 x 20, pile up, up to 3 parts, in one piece", "max_parts", "up to 3 parts and in 1 piece"),
        ("hall 20 x 20, pile up, lot 4471-b, lot 12-c", "lot", "lot 4471-b and lot 12-c"),
        ("hall 20 x 20, pile up, use R-0188, not R-0188", "use", "R-0188"),
        ("hall 20 x 20, pile up, seam allowance 1 in, seam allowance 2 in", "allowance", "both said"),
        ("2 patches 20 x 20, 3 of them, pile up", "count", "both said"),
        ("hall 20 x 20, pile up; velder loop", "style", "Velder Loop and Aldern Twist"),
        ("hall 20 x 20, pile up; any carpet", "style", "any carpet"),
        ("hall 20 x 20, pile up, oak, wheat", "colour", "Wheat"),
        ("hall 20 x 20, pile up, 3 walls", "unread", "3 walls"),
        ("hall 20 x 20, pile up, wall left and rihgt", "unread", "rihgt"),
        ("hall 20 x 20, pile up, no seam on the left", "unread", "no seam on the left"),
        ("hall 20 x 20, pile up, upper floor", "unread", "upper floor"),
        ("circle of 40 by 30, pile up", "size", "one size"),
        ("L 60 x 40, pile up", "size", "the size of the notch"),
        ("L 60 x 40, notch, pile up", "size", "the size of the notch"),
        ("L 60 x 40, notch 20 x 15, pile up", "size", "the corner of its notch"),
        ("L 60 x 40 with a 70 x 15 notch top left, pile up", "size", "a smaller notch"),
        ("stair step tread 10, pile up", "size", "the riser and the width"),
        ("hall 8 ft x 18, pile up", "size", "8 ft x 18 ft or 8 ft x 18 in"),
        ("hall 3 x 1 1/2, pile up", "size", "3 ft x 1 1/2 ft"),
        ("bedroom 900 by 1200, pile up", "size", "900 mm x 1200 mm"),
        ("hall 24,5 x 30,5, pile up", "size", "how large"),
        ("closet 84 x 31, pile up", "size", "how large"),
        ("hall 20 x 20, pile up; bedroom 30 x 30 pile up", "patches", "bedroom 30 x 30"),
        ("can the closet patch the hall 36 x 33, pile up", "pieces[0].size", "closet: how large"),
        ("hall 20 x 20, pile to the window", "pile", "which side the window is on"),
        ("xyz left, hall 36 x 33, pile up", "unread", "xyz left"),
        ("crimson 36 x 33, pile up", "unread", "crimson"),
    ],
)  # fmt: skip
def test_it_asks_and_says_what(said: str, ask: str, told: str) -> None:
    asked = read(f"{said}; aldern twist" if "oak" not in said else f"aldern twist; {said}")
    assert ask in asked.ask
    assert told in next(each.told for each in asked.to_tell if each.key == ask)


@pytest.mark.parametrize(
    ("said", "width", "length"),
    [
        ("24,5 x 30,5 cm", 245, 305),
        ("900mm wide 1200mm long", 900, 1200),
        ("30 long 24 wide", 609.6, 762),
        ("30 wide 18 deep", 762, 457.2),
        ("18 deep by 30 wide", 762, 457.2),
        ("about three foot by two and a half", 914.4, 762),
        ("twelve inches by nine", 304.8, 228.6),
        ("7 ft x 31 1/2", 2133.6, 800.1),
        ("ninety centimetres by one metre twenty", 900, 1200),
        ("three foot square", 914.4, 914.4),
        ("2 ft and 6 in by 18 in", 762, 457.2),
        ("width 30, length 20", 762, 508),
    ],
)
def test_sizes_are_read_as_they_are_said(said: str, width: float, length: float) -> None:
    asked = read(f"hall {said}, pile up; aldern twist", Unit.IN)
    assert asked.ask == ()
    (hall,) = asked.job["patches"]
    assert (hall["width"] * 25.4, hall["length"] * 25.4) == (pytest.approx(width), pytest.approx(length))


@pytest.mark.parametrize(
    ("said", "radius"), [("two foot circle", 12), ("5 inches round", 2.5), ("14 in across circle", 7), ("round burn of 14", 7)]
)
def test_circles_are_read_as_they_are_said(said: str, radius: float) -> None:
    asked = read(f"{said}, pile up; aldern twist")
    assert (asked.ask, asked.job["patches"][0]["radius"]) == ((), radius)


@pytest.mark.parametrize(
    ("said", "edges"),
    [
        ("top edge meets wall", ["seam", "seam", "wall", "seam"]),
        ("wall on all sides except the left", ["wall", "wall", "wall", "seam"]),
        ("wall left and right, transition bottom", ["transition", "wall", "seam", "wall"]),
        ("wall left, up to 3 parts", ["seam", "seam", "seam", "wall"]),
        ("left and right are walls", ["seam", "wall", "seam", "wall"]),
        ("the rest free, wall top", ["free", "free", "wall", "free"]),
    ],
)
def test_finishes_are_read_as_they_are_said(said: str, edges: Sequence[str]) -> None:
    asked = read(f"hall 36 x 33, pile up, {said}; aldern twist")
    assert (asked.ask, asked.job["patches"][0]["edges"]) == ((), edges)


def test_a_pile_before_a_wall_is_that_of_the_side_it_names() -> None:
    asked = read("hall 20 x 20, pile up wall left; aldern twist")
    (hall,) = asked.job["patches"]
    assert (asked.ask, hall["pile"], hall["edges"]) == ((), 0, ["seam", "seam", "seam", "wall"])


def test_how_many_are_told_of_patches_steps_and_closets() -> None:
    assert read("two patches 20 x 30, pile up; aldern twist").job["patches"][0]["count"] == 2
    assert read("3 stair steps tread 10, riser 7, 36 wide, pile down; aldern twist").job["patches"][0]["count"] == 3
    asked = read("hall 20 x 20, pile up; aldern twist; 2 closets 84 x 31 pile left")
    assert [piece["tag"] for piece in asked.pieces] == ["closet", "closet 2"]


def test_a_style_is_found_beside_strange_words_and_its_colour_beside_a_place() -> None:
    asked = read("blah aldern twist wheat; hall 20 x 20 pile up")
    assert (asked.job["style"], asked.job["colour"], asked.unread) == ("Aldern Twist", "Wheat", ("blah",))
    asked = read("velder loop oatmeal landing 30 x 20, pile up")
    assert (asked.ask, asked.job["colour"], asked.job["patches"][0]["name"]) == ((), "Oatmeal", "landing")


def test_a_colour_that_is_not_there_is_asked_about_with_those_that_are() -> None:
    asked = read("velder loop crimson, hall 20 x 20, pile up")
    assert "colour" not in asked.job
    assert taps(asked, "unread") == ["Oatmeal", "Slate"]
    asked = read("oatmeal, hall 20 x 20, pile up")
    assert taps(asked, "unread") == ["Velder Loop oatmeal"], "the style that has it"
    assert taps(read("hall 20 x 20, pile up, wall left and rihgt; aldern twist"), "unread") == ["right"]


def test_the_side_of_a_window_is_one_tap() -> None:
    assert taps(read("hall 20 x 20, pile to the window; aldern twist"), "pile") == [
        f"window is {side}" for side in ("top", "right", "bottom", "left")
    ]


TIRED = (
    "so i'm in the hall, there's a burn about fourteen inches across round, pile runs to the door, it's aldern twist in wheat",
    "need to fill three foot by two foot six in the landing, walls on the left, pile up, velder loop oatmeal",
    "the closet's got a bit about seven foot by two foot and the pile goes to the left, hall is three foot square, pile to the "
    "door, aldern twist",
    "patch by the door, twelve inches by nine, transition at the bottom, pile towards the door, aldern twist oak",
    "stairs, three steps, tread ten and a half, riser seven, thirty six wide, pile down, velder loop slate",
    "ninety centimetres by one metre twenty, all seams, pile up, aldern",
    "l shaped hall five foot by four foot with a one foot by one foot notch in the top right corner, wall left and bottom, pile "
    "down, aldern wheat",
    "strip along the left wall nine foot by five inches, pile up, velder loop",
    "hole in the lounge one point two metres by eighty centimetres pile away from the window and the window is at the top, "
    "aldern twist, no seams",
    "can the closet do the hall, hall is 36 by 33 with walls left and right, pile to the door, closet 84 by 31 and a half pile "
    "to the right, aldern twist wheat",
    "got a stain in the study, 2 ft x 18 in. Pile up. Aldern twist. Closet 4 ft x 3 ft pile up.",
)


@pytest.mark.parametrize("said", TIRED)
def test_a_tired_technician_is_understood(said: str) -> None:
    assert read(said).ask == ()


def grammar(heading: str) -> list[tuple[str, str]]:
    """The rows of a table of the page of the grammar: what is said, and what stands beside it."""
    _, _, rest = GRAMMAR.read_text(encoding="utf-8").partition(f"## {heading}\n")
    rows = [line for line in rest.partition("\n## ")[0].splitlines() if line.startswith("| `")]
    cells = [line.strip("| ").replace("\\|", "|").split(" | ") for line in rows]
    assert cells, f"the page has rows under {heading}"
    return [(said.strip("`"), told) for said, told in cells]


@pytest.mark.parametrize(("said", "told"), grammar("What is read"))
def test_the_page_of_the_grammar_says_what_is_read(said: str, told: str) -> None:
    asked = read(_whole(said))
    heard = [each.told for each in asked.heard if each.words in in_plain_marks(said)]
    assert asked.ask == ()
    assert "; ".join(dict.fromkeys(filter(None, heard))) == told


@pytest.mark.parametrize(("said", "told"), grammar("What is asked"))
def test_the_page_of_the_grammar_says_what_is_asked(said: str, told: str) -> None:
    assert "; ".join(each.told for each in read(_whole(said)).to_tell) == told


def _whole(said: str) -> str:
    """What is said, and beside it what a question must have and it doesn't tell."""
    plain = in_plain_marks(said)
    more = [
        "" if any(mark in plain for mark in (" x ", "circle", "square", "tread", "wide", " by ", "×")) else "hall 36 x 33",
        "" if "pile" in plain else "pile up",
        "" if any(mark in plain for mark in ("aldern", "velder", "any carpet")) else "aldern twist",
    ]
    return "; ".join(filter(None, [said, *more]))
