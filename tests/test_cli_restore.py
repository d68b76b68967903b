"""`remnants restore`: a sound copy in place of the catalogue."""

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from tests.commands import Remnants


def backed_up(remnants: Remnants) -> str:
    remnants.log("--tag", "R-1")
    copy = str(remnants.folder / "copy.db")
    remnants.ok("backup", copy)
    remnants.log("--tag", "R-2")
    return copy


def kept_in(told: str) -> str:
    return told.split("kept in ")[1].splitlines()[0]


def test_the_copy_is_back_and_what_was_there_is_kept(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    told = remnants.ok("restore", copy, "--yes", "--older")
    remnants.refused("show", "R-2", code=1)
    kept = kept_in(told)
    assert "R-2" in remnants.ok("show", "R-2", "--catalogue", kept)
    remnants.log("--tag", "R-3")
    assert "all is well" in remnants.ok("verify")


def test_a_damaged_catalogue_is_replaced_and_its_bytes_are_kept(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    for ending in ("-wal", "-shm"):
        remnants.catalogue.with_name(remnants.catalogue.name + ending).unlink(missing_ok=True)
    remnants.catalogue.write_bytes(b"burnt" * 5000)
    kept = kept_in(remnants.ok("restore", copy, "--yes"))
    assert remnants.ok("show", "R-1")
    assert (remnants.folder / kept).read_bytes() == b"burnt" * 5000


def test_a_copy_that_is_not_sound_changes_nothing(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    with sqlite3.connect(copy) as bad:
        bad.execute("UPDATE piece SET area_mm2 = area_mm2, worn = 4, colour = 'changed behind the ledger'")
    bad.close()
    assert "does not stand where its entries lead" in remnants.refused("restore", copy, "--yes", code=2)
    assert "nor any database" in remnants.refused("restore", remnants.file("junk.db", "junk " * 99), "--yes", code=2)
    assert remnants.ok("show", "R-2")


def test_it_is_asked_first(remnants: Remnants) -> None:
    done = remnants("restore", backed_up(remnants), "--older")
    assert (done.code, "give --yes" in done.err) == (2, True)
    assert remnants.ok("show", "R-2")


def test_both_sides_are_told_before_and_what_is_there_after(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    remnants.ok("move", "R-1", "Bay 4")
    before, after = remnants.ok("restore", copy, "--yes", "--older").split("kept in ")
    today = f"last changed {datetime.now(UTC):%Y-%m-%d}"
    assert f"{remnants.catalogue}: 2 pieces, 3 entries, {today}" in before
    assert f"{copy}: 1 piece, 1 entry, {today}" in before
    assert f"{remnants.catalogue}: 1 piece, 1 entry, {today}" in after


def test_a_copy_with_fewer_entries_is_refused_unless_it_is_said_to_be_meant(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    done = remnants("restore", copy, "--yes")
    assert done.code == 1
    assert f"{copy} has fewer entries than {remnants.catalogue}" in done.err
    assert "give --older" in done.err
    assert f"{copy}: 1 piece, 1 entry" in done.out
    assert remnants.ok("show", "R-2")


def test_a_copy_without_any_piece_is_refused_unless_it_is_said_to_be_meant(remnants: Remnants) -> None:
    with open_catalogue(remnants.folder / "bare.db", write=True):
        pass
    backed_up(remnants)
    done = remnants("restore", remnants.folder / "bare.db", "--yes")
    assert (done.code, "give --older" in done.err) == (1, True)
    remnants.ok("restore", remnants.folder / "bare.db", "--yes", "--older")
    remnants.refused("show", "R-2", code=1)


def test_a_copy_of_a_newer_version_is_refused(remnants: Remnants) -> None:
    copy = backed_up(remnants)
    with sqlite3.connect(copy) as newer:
        newer.execute("INSERT INTO migration (number, name) VALUES (999, 'of a later version')")
    newer.close()
    told = remnants.refused("restore", copy, "--yes", "--older", code=2)
    assert f"{copy}: made by a newer version (step 999); update this program first" in told
    assert remnants.ok("show", "R-2")


@pytest.mark.parametrize("name", ["copy #2.db", "copy?.db", "copy%41.db", "copy 100%.db"])
def test_a_copy_comes_back_whatever_signs_its_name_holds(remnants: Remnants, name: str) -> None:
    copy = Path(backed_up(remnants)).rename(remnants.folder / name)
    there = set(remnants.folder.iterdir())
    kept = kept_in(remnants.ok("restore", str(copy), "--yes", "--older"))
    assert remnants.ok("show", "R-1")
    new = {path for path in remnants.folder.iterdir() if not path.name.startswith(remnants.catalogue.name)} - there
    assert new == {remnants.folder / kept}


@pytest.mark.parametrize("name", ["gone.db", "gone #2.db", "gone?.db"])
def test_a_copy_that_is_not_there_is_refused_and_never_made(remnants: Remnants, name: str) -> None:
    backed_up(remnants)
    there = set(remnants.folder.iterdir())
    assert f"{name}: there is no such copy" in remnants.refused("restore", str(remnants.folder / name), "--yes", code=2)
    assert {path for path in remnants.folder.iterdir() if not path.name.startswith(remnants.catalogue.name)} <= there
    assert remnants.ok("show", "R-2")


def test_a_file_that_holds_no_catalogue_changes_nothing(remnants: Remnants) -> None:
    backed_up(remnants)
    empty, bare, foreign = (remnants.folder / name for name in ("empty.db", "bare.db", "foreign.db"))
    empty.write_bytes(b"")
    for path, statement in ((bare, "PRAGMA user_version = 1"), (foreign, "CREATE TABLE migration (step TEXT)")):
        with sqlite3.connect(path) as other:
            other.execute(statement)
        other.close()
    for path in (empty, bare, foreign):
        told = remnants.refused("restore", str(path), "--yes", code=2)
        assert f"{path}: this file holds no catalogue" in told
        assert len(told.strip().splitlines()) == 1
    assert remnants.ok("show", "R-2")
