"""A question in one line: what each word is taken for, and that nothing is guessed or lost in silence."""

import random
from collections.abc import Sequence
from typing import Any

import pytest

from remnants.errors import BadInput
from remnants.exchange import read_job, read_stock
from remnants.exchange.sentence import Sentence, read_sentence, still_to_tell
from remnants.limits import SENTENCE
from remnants.matching.stock_names import Label, StockNames
from remnants.units import Unit, in_plain_marks

NAMES = StockNames(
    [
        Label("Aldern Twist", "Wheat", "4471-B"),
        Label("Aldern Twist", "Oak"),
        Label("Velder Loop", "Oatmeal"),
        Label("Harrow Twist"),
    ],
    {},
)
WHOLE = "hall 36 x 33, wall left and right, pile to the door; aldern twist wheat; closet 84 x 31 1/2 pile to the right"
UP, RIGHT, DOWN, LEFT = 0, 90, 180, 270


def read(text: str, unit: Unit = Unit.IN) -> Sentence:
    return read_sentence(text, unit, NAMES)


def patch(text: str) -> dict[str, Any]:
    (only,) = read(text).job["patches"]
    return dict(only)


def test_the_closet_is_asked_whether_it_patches_the_hall() -> None:
    asked = read(WHOLE)
    assert (asked.ask, asked.unread) == ((), ())
    assert asked.job["style"], asked.job["colour"] == ("Aldern Twist", "Wheat")
    hall = {"name": "hall", "width": 36, "length": 33, "edges": ["seam", "wall", "seam", "wall"], "pile": DOWN}
    assert asked.job["patches"] == [hall], "edges run bottom, right, top, left; the door is drawn at the bottom"
    (closet,) = asked.pieces
    assert (closet["kind"], closet["room"], closet["width"], closet["length"], closet["pile"]) == (
        "laid",
        "closet",
        84,
        31.5,
        RIGHT,
    )
    assert any("the door drawn at the bottom" in heard.told for heard in asked.heard), "what is assumed is said"
    read_job(asked.job)
    read_stock({"unit": "in", "pieces": list(asked.pieces)})


def test_it_is_the_same_as_dictation_gives_it() -> None:
    said = (
        "The hall is thirty six by thirty three, walls left and right, the pile runs to the door, aldern twist wheat and the "
        "closet is seven foot by thirty one and a half with the pile to the right"
    )
    assert (read(said).job, read(said).pieces) == (read(WHOLE).job, read(WHOLE).pieces)


@pytest.mark.parametrize(
    ("text", "ask"),
    [
        ("hall 36 x 33", ("pile", "style")),
        ("hall 36 x 33, pile up", ("style",)),
        ("hall 36 x 33, pile up, any carpet", ()),
        ("hall 36 x 33, pile to the window; aldern", ("pile",)),
        ("hall 36 x 33, pile to the window; window left; aldern", ()),
        ("aldern twist", ("size", "pile")),
        ("pile left; aldern", ("size",)),
        ("hall 36 x 33 pile up; aldern; closet 80 x 30", ("pieces[0].pile",)),
        ("hall 36 x 33 pile up; aldern; closet 80 x 30; closet pile left", ()),
        ("hall 36 x 33; aldern; pile up", ()),
        ("L 60 x 40 notch 20 x 15, pile up; aldern", ("size",)),
        ("stair step tread 10, riser 7, pile down; aldern", ("size",)),
        ("what carpet have we", ("size", "pile", "style")),
    ],
)
def test_what_is_missing_is_asked_for_and_never_assumed(text: str, ask: Sequence[str]) -> None:
    asked = read(text)
    assert asked.ask == ask
    assert len(still_to_tell(asked)) == len(ask)
    assert ("pile" in asked.job["patches"][0]) == ("pile" not in ask)


@pytest.mark.parametrize(
    ("words", "bearing"),
    [
        ("pile up", UP),
        ("pile runs down", DOWN),
        ("the pile lays to the left", LEFT),
        ("pile towards the right wall", RIGHT),
        ("pile to the door", DOWN),
        ("pile away from the door", UP),
        ("door right, pile to the door", RIGHT),
        ("pile to the door, doorway at the top", UP),
        ("window on the left side, pile to the window", LEFT),
        ("left window, pile away from the window", RIGHT),
        ("pile 45 degrees", 45),
        ("pile 30°", 30),
    ],
)
def test_the_pile_is_told_by_a_side_a_landmark_or_degrees(words: str, bearing: float) -> None:
    assert patch(f"hall 36 x 33, {words}; aldern")["pile"] == bearing


@pytest.mark.parametrize(
    ("words", "edges"),
    [
        ("", "seam"),
        ("walls all round", "wall"),
        ("wall at the top, left and right", ["seam", "wall", "wall", "wall"]),
        ("left wall, bottom transition", ["transition", "seam", "seam", "wall"]),
        ("seam top, the rest wall", ["wall", "wall", "seam", "wall"]),
        ("wall all round, free bottom", ["free", "wall", "wall", "wall"]),
    ],
)
def test_sides_are_told_by_where_they_are(words: str, edges: Any) -> None:
    assert patch(f"hall 36 x 33, pile up, {words}; aldern")["edges"] == edges


@pytest.mark.parametrize(
    ("corner", "gone"), [("upper right", (60, 40)), ("upper left", (0, 40)), ("lower left", (0, 0)), ("bottom right", (60, 0))]
)
def test_the_notch_of_an_l_is_at_any_corner(corner: str, gone: tuple[float, float]) -> None:
    told = patch(f"L 60 x 40 notch 20 x 15 {corner}, wall all round, pile up; aldern")
    ring = [tuple(point) for point in told["outline"]]
    assert len(ring) == 6
    assert gone not in ring
    doubled = sum(x * b - a * y for (x, y), (a, b) in zip(ring, [*ring[1:], ring[0]], strict=True))
    assert doubled == 2 * (60 * 40 - 20 * 15), "counter-clockwise, the notch taken off"


def test_shapes_are_told_by_their_words() -> None:
    assert patch("burn circle of 14 in, pile up; aldern")["radius"] == 7, "a circle is told by how far it is across"
    assert patch("circle radius 7, pile up; aldern")["radius"] == 7
    strip = patch("strip along the wall 9 ft x 5 in, pile down; aldern")
    assert (strip["width"], strip["length"], strip["edges"]) == (5, 108, ["seam", "seam", "seam", "wall"])
    step = patch("stair step tread 10, riser 7 1/2, nosing 1 1/4, 36 wide, pile down; aldern")
    assert (step["width"], step["length"]) == (36, 18.75), "10 + 7 1/2 + 1 1/4"


def test_settings_of_the_job_are_understood() -> None:
    asked = read(
        "job Alder Court 7, upper floor; hall 36 x 33 pile up; aldern lot 4471-b; in one piece; seam allowance 1/2 in; not R-0188"
    )
    told = {key: asked.job[key] for key in ("job", "lot", "max_parts", "allowance", "avoid")}
    assert told == {"job": "Alder Court 7", "lot": "4471-B", "max_parts": 1, "allowance": {"seam": 0.5}, "avoid": ["R-0188"]}
    assert asked.unread == ("upper floor",), "what is not understood stays in view"


def test_two_styles_alike_are_asked_between() -> None:
    names = StockNames([Label("Aldern Twist"), Label("Aldern Twill")], {})
    asked = read_sentence("hall 36 x 33 pile up; aldern twis", Unit.IN, names)
    assert asked.ask == () or set(asked.could_be) == {"Aldern Twist", "Aldern Twill"}


def test_a_line_without_words_and_one_without_end_are_refused() -> None:
    for text in ("", "  ", "x" * (SENTENCE + 1)):
        with pytest.raises(BadInput):
            read(text)


PHRASES = (
    "hall", "36 x 33", "3' 2 1/2\" by 40", "closet 84 x 31", "pile", "pile up", "to the door", "wall left", "seam", "notch 3 x 4",
    "L 60 x 40", "circle of", "aldern", "wheat", "lot", "lot 7", "R-0188", "not R-0188", ";", ",", "strip", "stair tread 10", "½",
    "900 mm", "xyzzy", "the", "and", "door", "window right", "all round", "\n", "1/0", "9" * 30, "job", "…", "’",
)  # fmt: skip


@pytest.mark.parametrize("seed", range(200))
def test_no_word_is_lost_and_what_is_understood_can_be_read(seed: int) -> None:
    rng = random.Random(seed)
    text = " ".join(rng.choices(PHRASES, k=rng.randint(1, 14)))
    asked = read(text)
    kept = " ".join([*(heard.words for heard in asked.heard), *(heard.where for heard in asked.heard), *asked.unread])
    kept += str([asked.job, asked.pieces]).casefold()
    for word in ("aldern", "xyzzy", "wheat"):
        assert word not in in_plain_marks(text) or word in kept, f"{word} of {text!r} is told nowhere"
    if not asked.ask:
        read_job(asked.job)
        read_stock({"unit": "in", "pieces": [{"style": "any", **piece, "tag": str(at)} for at, piece in enumerate(asked.pieces)]})
