"""The page of rules tells each figure that is in force, with its source."""

from pathlib import Path

from remnants.materials.pins import PINS
from remnants.materials.rules import MaterialRules

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "materials.md"


def test_the_page_of_rules_is_current() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for name, figure in MaterialRules().all:
        assert f"| `{name}` | {figure.value:g} {figure.unit} | {figure.rule} | {figure.source} |" in text
    for pin in PINS:
        assert f"| {pin.name} |" in text
        assert f"({pin.height_mm:.2f} mm)" in text
