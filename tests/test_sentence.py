"""A question in one line: what each word is taken for, and that nothing is guessed or lost in silence."""

import random
from collections.abc import Sequence
from typing import Any

import pytest

from remnants.errors import BadInput
from remnants.exchange import read_job, read_stock
from remnants.exchange.sentence import Sentence, read_sentence, still_to_tell
from remnants.limits import SENTENCE
from remnants.matching.names import Taken, Untaken
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
    assert (asked.job["style"], asked.job["colour"]) == ("Aldern Twist", "Wheat")
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
    names = StockNames([Label("Aldern Twist"), Label("Aldern Loop")], {})
    asked = read_sentence("hall 36 x 33 pile up; aldern", Unit.IN, names)
    assert asked.ask == ("style",)
    assert set(asked.could_be) == {"Aldern Twist", "Aldern Loop"}
    assert still_to_tell(asked) in (("the carpet: Aldern Twist or Aldern Loop",), ("the carpet: Aldern Loop or Aldern Twist",))


@pytest.mark.parametrize(
    ("size", "width_in", "length_in"),
    [
        ("120 x 90 cm", 120 / 2.54, 90 / 2.54),
        ("10 x 12 ft", 120, 144),
        ("36 x 2 ft 9 in", 36, 33),
        ("3' x 33\"", 36, 33),
        ("36 in wide and 33 in long", 36, 33),
        ("36 wide 33 long", 36, 33),
        ("36x33", 36, 33),
        ("20 square", 20, 20),
        ("10 x 10 in the hall", 10, 10),
    ],
)
def test_two_sizes_are_in_the_unit_that_the_second_tells(size: str, width_in: float, length_in: float) -> None:
    told = patch(f"burn {size}, pile up; aldern")
    assert (told["name"], told["width"], told["length"]) == ("burn", pytest.approx(width_in), pytest.approx(length_in))


def test_commas_full_stops_and_small_words_part_what_is_said() -> None:
    asked = read("It is aldern twist carpet in wheat, hall 36 by 33, pile down. The wardrobe has a piece 60 x 40, pile up.")
    assert (asked.job["style"], asked.job["colour"], asked.ask, asked.unread) == ("Aldern Twist", "Wheat", (), ())
    assert asked.job["patches"][0]["name"] == "hall"
    assert [(piece["room"], piece["width"], piece["pile"]) for piece in asked.pieces] == [("wardrobe", 60, UP)]


def test_how_many_and_how_worn_are_told() -> None:
    asked = read("2 patches 20 x 30, pile up, hardly worn; aldern; closet 60 x 60 worn 2 pile up")
    assert (asked.job["patches"][0]["count"], asked.job["patches"][0]["worn"]) == (2, 1)
    assert asked.pieces[0]["worn"] == 2


def test_two_closets_have_names_of_their_own_and_their_floors_are_seen_by_nobody() -> None:
    asked = read("hall 20 x 20 pile up; aldern; closet 84 x 31 pile up; closet 40 x 30 pile up; pantry 9 x 9 pile up")
    assert [piece["tag"] for piece in asked.pieces] == ["closet", "closet 2", "pantry"]
    assert all(piece["hidden"] for piece in asked.pieces)


def test_a_pile_told_by_what_is_not_drawn_is_asked_for_again() -> None:
    asked = read("pile to the stairs, hall 36 x 33; aldern")
    assert (asked.ask, still_to_tell(asked)) == (("pile",), ("hall: which side the stairs are on, for the pile",))
    asked = read("pile to the cat, hall 36 x 33; aldern")
    assert (asked.ask, asked.unread) == (("pile", "unread"), ("pile to the cat",))


@pytest.mark.parametrize("junk", ["left, ", "pile ", "12 ", "l 9 x 9 ", "stair tread ", "half ", "36 x ", "a", "aldern "])
def test_rubbish_without_end_stays_in_view_and_is_read_in_few_looks(junk: str, monkeypatch: pytest.MonkeyPatch) -> None:
    looks = 0
    take = NAMES.take_style

    def counted(typed: str) -> Taken | Untaken:
        nonlocal looks
        looks += 1
        return take(typed)

    monkeypatch.setattr(NAMES, "take_style", counted)
    asked = read((junk * SENTENCE)[:SENTENCE])
    assert asked.ask
    assert looks <= 8 * SENTENCE // 2


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
