"""One name among many: what a typed one is taken for, and when it is taken for none."""

import random

import pytest

from remnants.errors import BadInput
from remnants.matching.likeness import likeness
from remnants.matching.names import NameIndex, Taken, Untaken, take
from tests.matching.noise import noisy, styles

INDEX = NameIndex(
    ["Velder Loop", "Velder Twist", "Harrow Berber", "Alder Court", "Marsh Loop", "Pine", "Dark Oatmeal", "Series 40"]
)


@pytest.mark.parametrize(("typed", "name", "reason"), [
    ("VELDER  loop", "Velder Loop", ""), ("veldr loop", "Velder Loop", "1 letter differs"),
    ("vledre loop", None, ""), ("loop velder", "Velder Loop", "words in another order"),
    ("velderloop", "Velder Loop", "written together or apart"), ("vldr lp", "Velder Loop", "shortened"),
    ("Vélder Lp.", "Velder Loop", "spelled or abbreviated otherwise"), ("velder lopp", "Velder Loop", "1 letter differs"),
    ("velder loop carpet", "Velder Loop", "spelled or abbreviated otherwise"), ("harrow", "Harrow Berber", "without 'berber'"),
    ("dk oatml", "Dark Oatmeal", "spelled or abbreviated otherwise"), ("series 4O", "Series 40", "shortened"),
    ("series 41", None, ""), ("velder", None, ""), ("loop", None, ""), ("velder plush", None, ""), ("elder court", None, ""),
    ("pink", None, ""), ("marsh", "Marsh Loop", "without 'loop'"), ("velker loop", None, ""), ("", None, ""), ("---", None, ""),
])  # fmt: skip
def test_a_typed_name_is_taken_for_a_known_one_only_where_that_is_safe(typed: str, name: str | None, reason: str) -> None:
    found = take(typed, INDEX)
    assert (found.name if isinstance(found, Taken) else None) == name
    if isinstance(found, Taken) and typed != "velder loop carpet":
        assert found.reason == reason


def test_a_name_that_could_be_two_names_both() -> None:
    assert take("velder", INDEX) == Untaken("velder", could_be=("Velder Loop", "Velder Twist"))


def test_an_untaken_name_gets_the_nearest() -> None:
    found = take("velder plush", INDEX)
    assert isinstance(found, Untaken)
    assert found.nearest[:2] == ("Velder Loop", "Velder Twist")


@pytest.mark.parametrize(("one", "other"), [("Velder Loop", "Velder Twist"), ("Sand", "Sandstone"), ("Pebble 1", "Pebble 2"),
    ("Dover", "Rover"),
    ("Light Oat", "Dark Oat"), ("Harbour", "Harbour Mist"), ("Velder Loop II", "Velder Loop III")])  # fmt: skip
def test_names_of_different_carpets_are_not_alike(one: str, other: str) -> None:
    assert likeness(one, other) is None
    assert likeness(other, one) is None


def test_names_in_any_script_are_names() -> None:
    index = NameIndex(["絨毯 赤", "ковёр синий"])
    found = take("КОВЕР синий", index)
    assert isinstance(found, Taken)
    assert found.name == "ковёр синий"


def test_nothing_is_taken_from_no_names() -> None:
    assert take("velder loop", NameIndex([])) == Untaken("velder loop")
    assert NameIndex([]).search("velder") == ()


def test_overlong_names_are_refused() -> None:
    with pytest.raises(BadInput, match="10,000 characters"):
        take("v" * 10_000, INDEX)


def test_one_slip_is_seen_through_among_many_near_names(capsys: pytest.CaptureFixture[str]) -> None:
    """400 styles from few syllables, so that many differ by one letter: a wrong style is never taken, few are left untaken.

    Of styles that aren't there, drawn from the same syllables, only those a likely slip away are taken for one that is, and the
    answer says so each time.
    """
    rng = random.Random(3)
    everything = styles(2000)
    stock = rng.sample(everything, 400)
    index = NameIndex(stock)
    typed = [(noisy(style, rng), style) for style in rng.choices(stock, k=500)]
    found = [(take(text, index), style) for text, style in typed]
    right = sum(isinstance(each, Taken) and each.name == style for each, style in found)
    wrong = sum(isinstance(each, Taken) and each.name != style for each, style in found)
    absent = [take(style, index) for style in rng.sample(sorted(set(everything) - set(stock)), 500)]
    strangers = sum(isinstance(each, Taken) for each in absent)
    with capsys.disabled():
        told = f"{right} right, {wrong} wrong, {500 - right - wrong} none of 500; absent taken {strangers} of 500"
        print(f"\nnames taken: {told}")
    assert wrong <= 1
    assert right >= 475
    assert strangers <= 110
    assert all(each.reason for each in absent if isinstance(each, Taken))
