"""The table of security names every requirement of level 1, and every test and file in it exists.

Numbers: those marked for level 1 in the list that OWASP publishes with its Application Security Verification Standard 4.0.3.
"""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "security.md").read_text(encoding="utf-8")

LEVEL_1 = {
    "2.1": range(1, 13), "2.2": range(1, 4), "2.3": (1,), "2.5": range(1, 7), "2.7": range(1, 5), "2.8": (1,),
    "3.1": (1,), "3.2": range(1, 4), "3.3": (1, 2), "3.4": range(1, 6), "3.7": (1,),
    "4.1": (1, 2, 3, 5), "4.2": (1, 2), "4.3": (1, 2),
    "5.1": range(1, 6), "5.2": range(1, 9), "5.3": range(1, 11), "5.5": range(1, 5),
    "6.2": (1,), "7.1": (1, 2), "7.4": (1,), "8.2": range(1, 4), "8.3": range(1, 5), "9.1": range(1, 4), "10.3": range(1, 4),
    "11.1": range(1, 6), "12.1": (1,), "12.3": range(1, 6), "12.4": (1, 2), "12.5": (1, 2), "12.6": (1,),
    "13.1": (1, 3), "13.2": range(1, 4), "13.3": (1,),
    "14.2": range(1, 4), "14.3": (2, 3), "14.4": range(1, 8), "14.5": range(1, 4),
}  # fmt: skip
ROW = re.compile(r"^\| (\d+\.\d+\.\d+) \|(.+)\|(.+)\|(.+)\|(.+)\|$", re.MULTILINE)
ROWS = [tuple(cell.strip() for cell in row) for row in ROW.findall(PAGE)]


def test_every_requirement_of_level_1_has_its_row_once() -> None:
    numbers = [row[0] for row in ROWS]
    wanted = {f"{part}.{number}" for part, those in LEVEL_1.items() for number in those}
    assert len(wanted) == 128
    assert len(numbers) == len(set(numbers))
    level_1 = {number for number, *_ in ROW.findall(PAGE.partition("## Of level 2")[0])}
    assert level_1 == wanted


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_each_row_answers_plainly_and_names_what_shows_it(row: tuple[str, ...]) -> None:
    _, asks, answer, how, shown = row
    assert asks and how
    assert answer in ("yes", "in part", "no", "does not apply")
    named = re.findall(r"`([^`]+)`", shown)
    assert named, "name a test or a file"
    for one in named:
        path, _, test = one.partition("::")
        assert (ROOT / path).is_file(), path
        assert not test or test in named_in(ROOT / path), one


def test_what_falls_short_is_told_above_the_table() -> None:
    short = PAGE.partition("## Where it falls short")[2].partition("\n## ")[0]
    for number, _, answer, *_ in ROWS:
        if answer == "no":
            assert number in short, f"{number} is not met: say so where people look"


@cache
def named_in(path: Path) -> frozenset[str]:
    """Names of the test functions in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"))
