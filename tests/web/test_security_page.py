"""The table of security names every requirement of levels 1 and 2, says yes only beside a test, and all that it names exists.

Numbers: those marked for each level in the list that OWASP publishes with its Application Security Verification Standard 4.0.3.
"""

import ast
import re
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest

from remnants.actions import doors, tries
from remnants.actions.passphrases import SHORTEST_PASSPHRASE
from remnants.actions.people import INVITE_HOLDS
from remnants.limits import FORM_BYTES, MIB, PASSPHRASE_CHARACTERS, SENT_BYTES
from remnants.model.person import SessionKind
from remnants.rules import ShopRules

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


def test_the_figures_told_are_those_that_the_doors_go_by() -> None:
    table = PAGE.partition("| what | figure |")[2].partition("\n\n")[0]
    here, everywhere, address = (tries.LIMITS[kind] for kind in ("name here", "name", "address"))
    hours, days = timedelta(hours=1), timedelta(days=1)
    browser, device = SessionKind.BROWSER, SessionKind.DEVICE
    for row in (
        f"passphrase | {SHORTEST_PASSPHRASE} to {PASSPHRASE_CHARACTERS} characters",
        f"wrong tries free | {here.free} an hour for a name from one address, {everywhere.free} for a name from everywhere, "
        f"{address.free} for an address |",
        f"up to {here.longest.seconds // 60} min, {everywhere.longest.seconds // 60} min and {address.longest.seconds} s;",
        f"{doors.CODE_HOLDS.seconds // 60} min after the passphrase |",
        f"ends {doors.IDLE[browser] // hours} h after its last use, {doors.LONGEST[browser] // days} days after its start |",
        f"ends {doors.IDLE[device] // days} days after its last use, {doors.LONGEST[device] // days} days after its start |",
        f"{doors.LONGEST[SessionKind.KEY] // days} days after its start at most",
        f"for a device {doors.DEVICE_LINK_HOLDS.seconds // 60} minutes, for an invited person {INVITE_HOLDS // days} days;",
        f"{ShopRules().link_days} days or as `link_days` says",
        f"largest body, form | {SENT_BYTES // MIB} MB, half a megabyte |",
    ):
        assert row in table, row
    assert FORM_BYTES * 2 == MIB


@cache
def named_in(path: Path) -> frozenset[str]:
    """Names of the test functions in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"))
