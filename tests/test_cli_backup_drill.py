"""`remnants backup --drill`: a copy is tried out, beside the stock and never over it."""

import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from remnants.store.copy_notes import read_notes
from tests.commands import Remnants
from tests.harmed import a_busy_catalogue
from tests.jobs import a_hall, hold


@pytest.fixture
def copy(remnants: Remnants) -> Path:
    """A copy of a stock with a held job and a cut one."""
    remnants.log("--tag", "R-1")
    remnants.log("--tag", "R-2")
    hold(remnants, "Fir Lane 2")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    remnants.ok("backup", remnants.folder / "copy.db")
    return remnants.folder / "copy.db"


def behind(path: Path, *statements: str) -> None:
    """Changes a file behind the program's back."""
    with sqlite3.connect(path) as opened:
        for statement in statements:
            opened.execute(statement)
    opened.close()


def test_the_newest_copy_is_brought_back_aside_and_all_of_it_is_proved(remnants: Remnants, copy: Path) -> None:
    remnants.log("--tag", "R-3")
    before = remnants.catalogue.read_bytes()
    there = sorted(remnants.folder.rglob("*"))
    told = remnants.ok("backup", "--drill")
    assert f"{copy}, made on " in told
    assert "today" in told
    assert "brought back aside: 2 pieces, 4 entries" in told
    assert "2 plans held or cut in it proved again" in told
    assert "the drill passed: this copy would bring your stock back. The stock itself was not touched" in told
    assert remnants.catalogue.read_bytes() == before
    assert sorted(remnants.folder.rglob("*")) == there
    noted = read_notes(remnants.catalogue).drill
    assert noted
    assert noted.passed
    assert datetime.now(UTC) - noted.at < timedelta(hours=1)


def test_a_copy_that_would_not_bring_the_stock_back_is_told_loudly_with_what_to_do(remnants: Remnants, copy: Path) -> None:
    behind(copy, "UPDATE piece SET colour = 'changed behind the ledger'")
    done = remnants("backup", "--drill")
    assert done.code == 1
    assert f"THE DRILL FAILED: {copy}, made on " in done.out
    assert "this copy is not sound" in done.out
    assert "make a new copy now with `remnants backup`" in done.out
    assert "remnants verify" in done.out
    noted = read_notes(remnants.catalogue).drill
    assert noted
    assert not noted.passed
    assert "all is well" in remnants.ok("verify")


def test_a_plan_that_the_check_refuses_fails_the_drill(remnants: Remnants, copy: Path) -> None:
    swapped = "UPDATE job SET plan = replace(plan, '\"seams\": []', '\"seams\": [[[0, 0], [1, 1]]]') WHERE name = 'Alder Court 7'"
    moved = "UPDATE job SET file = replace(file, '28', '27') WHERE name = 'Alder Court 7'"
    behind(copy, swapped, moved)
    done = remnants("backup", "--drill")
    assert done.code == 1
    assert "Alder Court 7" in done.out
    assert "THE DRILL FAILED" in done.out


def test_plans_that_pass_no_better_in_the_catalogue_are_named_and_do_not_fail_the_drill(remnants: Remnants, copy: Path) -> None:
    moved = "UPDATE job SET file = replace(file, '28', '27') WHERE name = 'Alder Court 7'"
    behind(copy, moved)
    behind(remnants.catalogue, moved)
    told = remnants.ok("backup", "--drill")
    assert "1 plan held or cut in it proved again" in told
    assert "not proved, and no better in the catalogue itself: Alder Court 7" in told


def test_a_copy_of_everything_that_can_happen_passes(remnants: Remnants) -> None:
    a_busy_catalogue(remnants.catalogue)
    remnants.ok("backup", remnants.folder / "copy.db")
    assert "the drill passed" in remnants.ok("backup", "--drill")


def test_a_copy_can_be_named_even_one_that_is_not_known(remnants: Remnants, copy: Path) -> None:
    other = Path(shutil.copyfile(copy, remnants.folder / "found.db"))
    told = remnants.ok("backup", other, "--drill")
    assert f"{other}, made nobody knows when" in told
    assert "the drill passed" in told
    assert "there is no such copy" in remnants.refused("backup", remnants.folder / "gone.db", "--drill", code=1)


def test_where_there_is_no_copy_it_is_said_what_to_do(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "make one with `remnants backup FILE`" in remnants.refused("backup", "--drill", code=1)
    remnants.ok("backup", remnants.folder / "copy.db")
    remnants.folder.joinpath("stick").mkdir()
    remnants.ok("backup", remnants.folder / "stick" / "copy.db")
    remnants.folder.joinpath("stick").rename(remnants.folder / "away")
    assert "connect its disk" in remnants.refused("backup", "--drill", code=1)
    assert read_notes(remnants.catalogue).drill is None


def test_without_plans_that_is_said(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("backup", remnants.folder / "copy.db")
    assert "no plan is held or cut in it, so none was proved" in remnants.ok("backup", "--drill")


def test_a_missing_or_damaged_catalogue_does_not_keep_a_copy_from_being_tried(remnants: Remnants, copy: Path) -> None:
    remnants.catalogue.write_bytes(b"burnt" * 5000)
    assert "the drill passed" in remnants.ok("backup", "--drill")
    remnants.catalogue.unlink()
    assert "the drill passed" in remnants.ok("backup", "--drill")
