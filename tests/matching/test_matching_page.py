"""The page on matching tells the figures and words that the program goes by."""

import csv
import re
from pathlib import Path

import pytest

import remnants
from remnants.matching.colours import MODIFIERS
from remnants.matching.names import TYPED_SHARE
from remnants.matching.photo import CARD_LIGHTNESS
from remnants.matching.seen import shade_range
from remnants.matching.shade import ROUGH_DELTA_E, ShadeRule
from remnants.model import Grade, Lab

HOME = Path(remnants.__file__).parent
PAGE = " ".join((HOME.parent / "docs" / "reference" / "matching.md").read_text(encoding="utf-8").split())


def test_the_page_tells_every_grade_from_the_best_to_the_worst() -> None:
    table = PAGE.partition("| grade |")[2].partition("Keys of a job")[0]
    assert [word for word in re.findall(r"`([a-z-]+)`", table) if word in {each.word for each in Grade}] == [
        each.word for each in Grade
    ]


def test_the_page_tells_the_limits_of_a_shade_as_they_are() -> None:
    rule = ShadeRule()
    assert f"no more than ΔE00 {rule.close:.1f} apart" in PAGE
    assert f"in a near shade, ΔE00 {rule.near:.1f} or less" in PAGE
    assert f"It is rough, ΔE {ROUGH_DELTA_E:g} or more" in PAGE
    assert TYPED_SHARE == 0.8 and "four fifths for how much of what was typed a name covers" in PAGE


def test_the_card_of_18_percent_is_the_lightness_that_is_taken() -> None:
    """L* of a reflectance Y is 116 Y^(1/3) - 16 (CIE 15): 0.18 gives 49.5."""
    assert "neutral grey card (18 % unless" in PAGE
    assert pytest.approx(116 * 0.18 ** (1 / 3) - 16, abs=0.05) == CARD_LIGHTNESS


def test_the_page_tells_how_many_colours_are_listed_and_what_dark_and_light_do() -> None:
    with (HOME / "matching" / "colour_names.csv").open(encoding="utf-8") as listed:
        count = sum(1 for _ in csv.DictReader(listed))
    assert f"a list of {count:,} names" in PAGE
    assert f"move L* by {-MODIFIERS['dark']:g} and {MODIFIERS['light']:g}" in PAGE


def test_the_grey_scale_gives_no_match_grade_and_says_how_plainly_a_step_is_seen() -> None:
    """Two greys 6 apart in L*: by ISO 105-A02 between 2-3 and 2, which is plain; by the names it may be hard to find."""
    one, two = Lab(50, 0, 0), Lab(56, 0, 0)
    assert shade_range(Grade.LOT_NOT_KNOWN) == (0, 3)
    assert shade_range(Grade.LOT_NOT_KNOWN, measured=(one, two)) == (3, 3)
    assert "no match grade follows from it" in PAGE and "says how plainly the step will be seen" in PAGE
