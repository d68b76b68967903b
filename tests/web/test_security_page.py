"""The table of security names every requirement of levels 1 and 2, says yes only beside a test, and all that it names exists.

Numbers: those marked for each level in the list that OWASP publishes with its Application Security Verification Standard 4.0.3.
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
LEVEL_2 = {
    "1.1": range(1, 8), "1.2": range(1, 5), "1.4": (1, 4, 5), "1.5": range(1, 5), "1.6": range(1, 5), "1.7": (1, 2),
    "1.8": (1, 2), "1.9": (1, 2), "1.10": (1,), "1.11": (1, 2), "1.12": (2,), "1.14": range(1, 7),
    "2.3": (2, 3), "2.4": range(1, 7), "2.5": (7,), "2.6": range(1, 4), "2.7": (5, 6), "2.8": range(2, 8), "2.9": range(1, 4),
    "2.10": range(1, 5), "3.2": (4,), "3.3": (3, 4), "3.5": range(1, 4), "4.3": (3,), "5.4": range(1, 4),
    "6.1": range(1, 4), "6.2": range(2, 7), "6.3": (1, 2), "6.4": (1, 2), "7.1": (3, 4), "7.2": (1, 2), "7.3": (1, 3, 4),
    "7.4": (2, 3), "8.1": range(1, 5), "8.3": range(5, 9), "9.2": range(1, 5), "10.2": (1, 2), "11.1": range(6, 9),
    "12.1": (2, 3), "12.2": (1,), "12.3": (6,), "13.1": (4, 5), "13.2": (5, 6), "13.3": (2,), "13.4": (1, 2),
    "14.1": range(1, 5), "14.2": range(4, 7), "14.5": (4,),
}  # fmt: skip
"""What level 2 asks beyond level 1."""

ANSWERS = ("yes", "in part", "not held", "no", "does not apply")
ROW = re.compile(r"^\| (\d+\.\d+\.\d+) \|(.+)\|(.+)\|(.+)\|(.+)\|$", re.MULTILINE)
ROWS = [tuple(cell.strip() for cell in row) for row in ROW.findall(PAGE)]


FIRST, SECOND = (
    [tuple(cell.strip() for cell in row) for row in ROW.findall(part)] for part in PAGE.split("## Of level 2\n", maxsplit=1)
)


@pytest.mark.parametrize(("rows", "level", "count"), [(FIRST, LEVEL_1, 128), (SECOND, LEVEL_2, 132)], ids=["level 1", "level 2"])
def test_every_requirement_has_its_row_once(
    rows: list[tuple[str, ...]], level: dict[str, tuple[int, ...] | range], count: int
) -> None:
    wanted = [f"{part}.{number}" for part, those in level.items() for number in those]
    assert [row[0] for row in rows] == wanted and len(wanted) == count


def test_the_sums_at_the_head_are_those_of_the_table() -> None:
    for level, rows in (("1", FIRST), ("2, beyond 1", SECOND)):
        answers = [row[2] for row in rows]
        assert f"| {level} | {len(rows)} | " + " | ".join(str(answers.count(answer)) for answer in ANSWERS) + " |" in PAGE


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_each_row_answers_plainly_and_names_what_shows_it(row: tuple[str, ...]) -> None:
    _, asks, answer, how, shown = row
    assert asks and how and answer in ANSWERS
    named = re.findall(r"`([^`]+)`", shown)
    assert named, "name a test or a file"
    for one in named:
        path, _, test = one.partition("::")
        assert (ROOT / path).is_file(), path
        assert not test or test in named_in(ROOT / path), one
    assert answer != "yes" or any("::" in one for one in named), "what no test holds is 'not held'"


def test_what_falls_short_is_told_above_the_table() -> None:
    short = PAGE.partition("## Where it falls short")[2].partition("\n## ")[0]
    for number, _, answer, *_ in FIRST:
        if answer == "no":
            assert number in short, f"{number} is not met: say so where people look"


@cache
def named_in(path: Path) -> frozenset[str]:
    """Names of the test functions in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"))
