"""Colour difference against published pairs and a reference library, and the grey scale against its table."""

import importlib
import math
import warnings
from types import ModuleType

import numpy as np
import pytest

from remnants.matching.colours import lab_of_srgb, named_shade
from remnants.matching.shade import GreyGrade, comparable, delta_e_2000, delta_e_f, grey_grade
from remnants.model import Lab

SHARMA = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
"""Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, table 1: L* a* b* of two colours, and their CIEDE2000."""


def pair_of(line: str) -> tuple[Lab, Lab, float]:
    """Two colours and how far they are apart."""
    l1, a1, b1, l2, a2, b2, apart = (float(figure) for figure in line.split())
    return Lab(l1, a1, b1), Lab(l2, a2, b2), apart


PAIRS = [pair_of(line) for line in SHARMA.split("\n") if line]


@pytest.mark.parametrize(("one", "two", "apart"), PAIRS)
def test_ciede2000_is_the_published_one_to_four_decimals(one: Lab, two: Lab, apart: float) -> None:
    assert delta_e_2000(one, two) == pytest.approx(apart, abs=0.00005 + 1e-9)
    assert delta_e_2000(two, one) == pytest.approx(apart, abs=0.00005 + 1e-9)


@pytest.fixture(scope="module")
def colour() -> ModuleType:
    """The reference library colour-science; on loading it warns of parts that need more packages."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("colour")


def test_all_published_pairs_are_here() -> None:
    assert len(PAIRS) == 34


def test_ciede2000_agrees_with_a_reference_library_on_random_pairs(colour: ModuleType) -> None:
    """Beside colour-science's delta_E_CIE2000."""
    rng = np.random.default_rng(7)
    pairs = rng.uniform((0, -90, -90), (100, 90, 90), (2000, 2, 3))
    theirs = colour.difference.delta_E_CIE2000(pairs[:, 0], pairs[:, 1])
    ours = [delta_e_2000(Lab(*one), Lab(*two)) for one, two in pairs.tolist()]
    assert np.max(np.abs(ours - theirs)) < 1e-9


@pytest.mark.parametrize(("difference", "tolerance", "grade"), [
    (0.0, 0.2, "5"), (0.8, 0.2, "4-5"), (1.7, 0.3, "4"), (2.5, 0.35, "3-4"), (3.4, 0.4, "3"), (4.8, 0.5, "2-3"),
    (6.8, 0.6, "2"), (9.6, 0.7, "1-2"), (13.6, 1.0, "1"),
])  # fmt: skip
def test_each_chip_of_the_grey_scale_has_its_own_grade(difference: float, tolerance: float, grade: str) -> None:
    """CIELAB differences of the chips and their tolerances: ISO 105-A02, table 1."""
    assert {grey_grade(max(0.0, difference + step)) for step in (-tolerance, 0, tolerance)} == {GreyGrade(grade)}


def test_between_greys_the_weighted_difference_is_the_plain_one() -> None:
    assert delta_e_f(Lab(50, 0, 0), Lab(53.4, 0, 0)) == pytest.approx(3.4)
    assert grey_grade(delta_e_f(Lab(50, 0, 0), Lab(53.4, 0, 0))) is GreyGrade.THREE


def test_the_weighted_difference_of_one_pair_by_hand() -> None:
    """Hue held, chroma 20 to 24 at hue 0: C_M 22, |0-280| = 280 > 180, x = ((360-280)/30)^2 = 7.11; D = 4*22*e^-7.11/100 =
    0.000718; C: (4 - D) / (1 + 0.44^2) = 3.99928 / 1.1936 = 3.35061; H: -D / (1 + 0.22^2) = -0.00068."""
    assert delta_e_f(Lab(50, 20, 0), Lab(50, 24, 0)) == pytest.approx(3.35061, abs=5e-5)


def test_measurements_under_two_lights_are_not_compared() -> None:
    assert comparable(Lab(50, 0, 0), Lab(60, 0, 0, "d65 / 10"))
    assert not comparable(Lab(50, 0, 0), Lab(50, 0, 0, "A/10"))


def test_no_difference_is_no_difference_anywhere() -> None:
    for lightness in (0, 50, 100):
        for hue in range(0, 360, 15):
            lab = Lab(lightness, 60 * math.cos(math.radians(hue)), 60 * math.sin(math.radians(hue)))
            assert delta_e_2000(lab, lab) == delta_e_f(lab, lab) == 0.0


def test_screen_colours_become_cielab_as_in_a_reference_library(colour: ModuleType) -> None:
    """Beside colour-science's sRGB_to_XYZ and XYZ_to_Lab, to what the rounded matrix of IEC 61966-2-1 allows."""
    rng = np.random.default_rng(3)
    rgb = rng.uniform(0, 1, (500, 3))
    theirs = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb))
    ours = [(lab.lightness, lab.a, lab.b) for lab in (lab_of_srgb(tuple(each)) for each in rgb.tolist())]
    assert np.max(np.abs(np.array(ours) - theirs)) < 0.05


@pytest.mark.parametrize(("words", "name", "source"), [
    ("Dusty Rose", "dusty rose", "survey"), ("oatmeal", "oatmeal", "ours"), ("gainsboro", "gainsboro", "css"),
    ("grey", "gray", "survey"),
])  # fmt: skip
def test_colour_words_have_a_shade(words: str, name: str, source: str) -> None:
    found = named_shade(words)
    assert found is not None
    assert (found.name, found.source) == (name, source)


def test_dark_and_light_move_the_shade() -> None:
    shades = [named_shade(words) for words in ("dk oatmeal", "oatmeal", "lt oatmeal")]
    lightness = [shade.lab.lightness for shade in shades if shade]
    assert lightness == sorted(lightness)
    assert lightness[2] - lightness[0] == pytest.approx(22)


@pytest.mark.parametrize("words", ["", "velder", "dark", "4471-B", "'; DROP TABLE"])
def test_other_words_have_none(words: str) -> None:
    assert named_shade(words) is None
