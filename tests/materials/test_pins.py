"""Pins under thin carpet, against the published heights: C 1/4, E 7/32, D 3/16, J 5/32 in (fcimag.com article 84118)."""

import pytest

from remnants.materials.pins import PINS, pin_advice
from remnants.materials.rules import MaterialRules
from remnants.model import Style

RULES = MaterialRules()


def test_heights_are_the_published_ones() -> None:
    heights = {pin.name: pin.height_mm / 25.4 for pin in PINS}
    assert heights == pytest.approx({"C": 1 / 4, "E": 7 / 32, "D": 3 / 16, "J": 5 / 32})


@pytest.mark.parametrize(
    ("thickness_mm", "best", "through"),
    [
        (12.0, "C", []),
        (7.35, "C", []),  # 6.35 and the clearance of 1 mm
        (7.34, "E", ["C"]),
        (6.0, "D", ["C", "E"]),  # 5.56 + 1 is over 6, 4.76 + 1 is under
        (5.0, "J", ["C", "E", "D"]),
        (3.175, None, ["C", "E", "D", "J"]),  # flat weave of 1/8 in: even J, 3.97 mm, stands through it
    ],
)
def test_the_tallest_pin_that_stays_under_is_named(thickness_mm: float, best: str | None, through: list[str]) -> None:
    advice = pin_advice(Style("Velder", pile_height_mm=thickness_mm - 2, backing_mm=2), RULES)
    assert (advice.best.name if advice.best else None) == best
    assert [pin.name for pin in advice.through] == through
    assert advice.thin == bool(through)
    assert ("may reach through" in advice.told) == bool(through)


def test_unknown_thickness_is_checked_by_hand() -> None:
    for style in (None, Style("Velder"), Style("Velder", pile_height_mm=6)):
        advice = pin_advice(style, RULES)
        assert advice.thin
        assert advice.best is None
        assert "not known" in advice.told
