"""`remnants restore`: a sound copy in place of the catalogue."""

import random
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.actions.bring_back import restore
from remnants.days import day_words
from tests.commands import Remnants
from tests.damage import damaged
from tests.jobs import a_hall, hold
from tests.thorough import share


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


def test_who_looks_on_sees_the_proof_of_the_copy_reach_its_end(remnants: Remnants) -> None:
    """Of a large catalogue it takes minutes: the command stood there without a word."""
    copy, told = backed_up(remnants), [0, 0]

    @contextmanager
    def watch(rows: int) -> Iterator[Callable[[int], None]]:
        def passed(more: int) -> None:
            told[1] += more

        told[0] = rows
        yield passed

    assert restore(Path(copy), remnants.catalogue, now=datetime(2031, 6, 1, tzinfo=UTC), older=True, watch=watch)
    assert told[0] == told[1] > 0


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
    assert "by its entries it should be ''" in remnants.refused("restore", copy, "--yes", code=2)
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
    today = f"last changed {day_words(datetime.now(UTC))}"
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


@pytest.fixture
def shop(remnants: Remnants) -> Remnants:
    """A catalogue with a held job, a cut one, a customer and pieces, and a copy of it as it is."""
    stock = [
        {"tag": f"R-{n}", "kind": "remnant", "style": "Velder Loop", "width": 40, "length": 60, "pile": 0} for n in range(60)
    ]
    remnants.ok("log", remnants.file("stock.json", {"unit": "in", "pieces": stock}))
    hold(remnants, "Fir Lane 2")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    remnants.ok("customer", "F-2031", "--name", "M. Alder")
    remnants.ok("backup", remnants.folder / "copy.db")
    return remnants


DAMAGES = share(240)


@pytest.mark.parametrize("seeds", [range(start, start + DAMAGES // 4) for start in range(0, DAMAGES, DAMAGES // 4)])
def test_whatever_became_of_the_catalogue_a_sound_copy_is_put_in_its_place(shop: Remnants, seeds: range) -> None:
    whole = shop.catalogue.read_bytes()
    for seed in seeds:
        raw = damaged(whole, random.Random(seed))
        shop.catalogue.write_bytes(raw)
        told = shop.ok("restore", shop.folder / "copy.db", "--yes")
        assert "all is well" in shop.ok("verify"), seed
        kept = shop.folder / kept_in(told)
        if "damaged" in told:
            assert kept.read_bytes() == raw, seed


def test_damage_is_told_with_what_can_still_be_read_and_no_word_more_is_asked_for(shop: Remnants) -> None:
    shop.log("--tag", "R-0001")
    raw = bytearray(shop.catalogue.read_bytes())
    raw[3 * 4096 : 4 * 4096] = bytes(4096)  # the fourth page, of some table or index
    shop.catalogue.write_bytes(raw)
    told = shop.ok("restore", shop.folder / "copy.db", "--yes")
    assert f"{shop.catalogue}: damaged; " in told


@pytest.mark.parametrize("left", [(), ("-wal",), ("-wal", "-shm")])
def test_a_missing_catalogue_comes_back_whatever_lies_beside_it(shop: Remnants, left: tuple[str, ...]) -> None:
    with open_catalogue(shop.catalogue, write=True) as writer, writer.atomic():
        writer.execute("UPDATE customer SET phone = '555 0100'")
        with open_catalogue(shop.catalogue, write=False):
            for ending in left:
                beside = shop.catalogue.with_name(shop.catalogue.name + ending)
                shutil.copyfile(beside, shop.folder / f"left{ending}")
    shop.catalogue.unlink()
    for ending in left:
        (shop.folder / f"left{ending}").rename(shop.catalogue.with_name(shop.catalogue.name + ending))
    assert f"{shop.catalogue}: not there" in shop.ok("restore", shop.folder / "copy.db", "--yes")
    assert "all is well" in shop.ok("verify")


def test_the_journal_of_a_damaged_catalogue_is_kept_with_it(shop: Remnants) -> None:
    shop.catalogue.write_bytes(b"burnt" * 5000)
    shop.catalogue.with_name("stock.db-wal").write_bytes(b"newest lines")
    kept = kept_in(shop.ok("restore", shop.folder / "copy.db", "--yes"))
    assert (shop.folder / f"{kept}-wal").read_bytes() == b"newest lines"
    assert "all is well" in shop.ok("verify")


def test_what_was_there_is_kept_each_time_even_within_a_second(shop: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("remnants.cli.restore.now", lambda: datetime(2031, 5, 3, 14, 20, tzinfo=UTC))
    kept = {kept_in(shop.ok("restore", shop.folder / "copy.db", "--yes")) for _ in range(3)}
    assert len(kept) == 3
    for path in kept:
        assert "all is well" in shop.ok("verify", "--catalogue", path)


def test_a_sound_database_of_another_program_is_never_replaced(shop: Remnants) -> None:
    other = shop.folder / "books.db"
    with sqlite3.connect(other) as theirs:
        theirs.execute("CREATE TABLE ledger (sum INTEGER)")
    theirs.close()
    before = other.read_bytes()
    told = shop.refused("restore", shop.folder / "copy.db", "--yes", "--catalogue", other, code=2)
    assert "not a catalogue of remnants" in told
    assert other.read_bytes() == before


def test_a_folder_that_is_not_there_is_told(shop: Remnants) -> None:
    nowhere = shop.folder / "none" / "stock.db"
    assert "does not exist" in shop.refused("restore", shop.folder / "copy.db", "--yes", "--catalogue", nowhere, code=2)


def test_a_catalogue_in_use_is_left_as_it_is(shop: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("remnants.store.backup.BUSY_S", 0.05)
    with open_catalogue(shop.catalogue, write=True) as busy, busy.atomic():
        done = shop("restore", shop.folder / "copy.db", "--yes")
    assert (done.code, "did not finish in time" in done.err) == (2, True)
    assert "all is well" in shop.ok("verify")
