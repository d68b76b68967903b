"""`remnants check-up`: what the stock stands on, each harm told with what to do, and nothing changed by looking."""

import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from packaging.requirements import Requirement

from remnants.actions import check_up as looks
from remnants.actions import libraries as shelves
from remnants.actions import open_catalogue
from remnants.actions.check_up import check_up
from remnants.actions.known_copies import note_copy
from remnants.actions.libraries import libraries
from remnants.actions.log_pieces import log_pieces
from remnants.ledger import Signed
from remnants.model.door_line import DoorKind, DoorLine
from remnants.model.finding import Finding, Health
from remnants.store.copy_notes import Drill, read_notes, write_notes
from remnants.store.door_book import book_files, write_line
from remnants.store.looked_at import LEAST_SQLITE, LookedAt, look_at
from tests.commands import Remnants
from tests.stock_values import a_piece, a_stock

NOW = datetime.now(UTC)


class Disk(NamedTuple):
    """What the system tells of a disk."""

    total: int
    used: int
    free: int


def copied(remnants: Remnants, *, days: int = 0, drilled: int | None = 1, passed: bool = True) -> None:
    """A copy that was made and tried out so many days ago."""
    at = NOW - timedelta(days=days)
    file = remnants.folder / "copy.db"
    shutil.copy(remnants.catalogue, file)
    note_copy(remnants.catalogue, file, at)
    notes = read_notes(remnants.catalogue)
    drill = None if drilled is None else Drill(NOW - timedelta(days=drilled), passed)
    write_notes(remnants.catalogue, type(notes)(notes.newest, notes.scheduled, drill))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue that was made, and a piece logged in it, a day before these tests were read: they may run long after that."""
    path = tmp_path_factory.mktemp("made") / "stock.db"
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1", 40, 60)), signed=Signed("Ana", NOW - timedelta(days=1)))
    with closing(sqlite3.connect(path)) as opened, opened:
        opened.execute("UPDATE migration SET done_at = ?", ((NOW - timedelta(days=1)).isoformat(),))
    return path


@pytest.fixture
def well(remnants: Remnants, made: Path, monkeypatch: pytest.MonkeyPatch) -> Remnants:
    """A shop where all is well, but that its copy lies on the same disk."""
    shutil.copy(made, remnants.catalogue)
    copied(remnants)
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: Disk(10**12, 0, 10**12))
    return remnants


def found(remnants: Remnants, what: str, now: datetime = NOW) -> Finding:
    return next(one for one in check_up(remnants.catalogue, now=now) if one.what == what)


def test_where_all_is_well_each_line_says_so_and_what_it_looked_at(well: Remnants) -> None:
    told = {one.what: one.health for one in check_up(well.catalogue, now=datetime.now(UTC))}
    assert told.pop("other disk") is Health.LOOK
    assert set(told.values()) == {Health.OK}
    wanted = "catalogue files folder secrets disk copies drill clock SQLite tables libraries waiting"
    assert told.keys() == {*wanted.split(), "door book"}
    out = well.ok("check-up")
    assert (
        out.count("ok    ") == 13 and "look  other disk: every copy lies on the catalogue's own disk\n      do: keep one" in out
    )


def test_exit_code_1_and_json_for_a_program_that_watches(well: Remnants) -> None:
    well.catalogue.chmod(0o644)
    done = well("check-up", "--json")
    told = json.loads(done.out)
    assert done.code == 1 and told["catalogue"] == str(well.catalogue)
    files = next(one for one in told["findings"] if one["what"] == "files")
    assert (files["state"], files["do"]) == ("mend", f"chmod 600 {well.catalogue}")


class Harm(NamedTuple):
    """What is done, on which line it shows, how that is then, and words of it and of what to do."""

    do: Callable[[Remnants], Any]
    what: str
    health: Health
    told: str
    to_do: str


def step(remnants: Remnants, sql: str) -> None:
    with closing(sqlite3.connect(remnants.catalogue)) as opened, opened:
        opened.execute(sql)


def booked(remnants: Remnants, ahead: timedelta) -> None:
    write_line(remnants.catalogue, DoorLine(NOW + ahead, DoorKind.ROLE, "Maud"))


def waiting(remnants: Remnants) -> None:
    step(remnants, "INSERT INTO person (name, role) VALUES ('Wim', 'work')")
    columns = "(digest, person, path, fields, files, ends_at)"
    step(remnants, f"INSERT INTO unsent {columns} VALUES ('x', 1, '/', '[]', 0, '2999-01-01T00:00:00+00:00')")


def torn(remnants: Remnants) -> None:
    booked(remnants, timedelta())
    with book_files(remnants.catalogue)[0].open("a", encoding="utf-8") as file:
        file.write("{half a li")


def read_by_others(remnants: Remnants) -> None:
    booked(remnants, timedelta())
    book_files(remnants.catalogue)[0].chmod(0o604)


MEND, LOOK, OK = Health.MEND, Health.LOOK, Health.OK
HARMS = (
    Harm(lambda r: r.catalogue.unlink(), "catalogue", MEND, "there is no such file yet", "--catalogue"),
    Harm(lambda r: r.catalogue.write_bytes(b"no database at all" * 99), "catalogue", MEND, "can't be read", "remnants restore"),
    Harm(lambda r: step(r, "PRAGMA application_id = 7"), "catalogue", MEND, "is not a catalogue", "remnants verify"),
    Harm(lambda r: (r.folder / "stock.db.copies.json").chmod(0o640), "files", MEND, "may read stock.db.copies.json", "chmod 600"),
    Harm(read_by_others, "files", MEND, "doors.log", "chmod 600"),
    Harm(lambda r: r.folder.chmod(0o777), "folder", MEND, "others may put files into", "chmod go-w"),
    Harm(lambda r: r.folder.chmod(0o755), "folder", OK, "its owner alone", ""),
    Harm(lambda r: (r.folder / "copy.db").unlink(), "copies", MEND, "no copy of the stock is known", "remnants backup"),
    Harm(
        lambda r: (r.folder / "copy.db").chmod(0o644), "open copies", LOOK, "others on this machine may read copy.db", "chmod 600"
    ),
    Harm(lambda r: copied(r, days=8), "copies", LOOK, "made 8 days ago", "remnants backup"),
    Harm(lambda r: copied(r, days=31), "copies", MEND, "made 31 days ago", "remnants backup"),
    Harm(lambda r: copied(r, drilled=None), "drill", LOOK, "no copy was ever tried out", "--drill"),
    Harm(lambda r: copied(r, drilled=91), "drill", LOOK, "tried out 91 days ago", "--drill"),
    Harm(lambda r: copied(r, passed=False), "drill", MEND, "would not have brought the stock back", "make a new copy"),
    Harm(lambda r: booked(r, timedelta(hours=3)), "clock", MEND, "before what was last written down", "set it"),
    Harm(lambda r: booked(r, timedelta(seconds=90)), "clock", OK, "after all that was written down", ""),
    Harm(lambda r: step(r, "DELETE FROM migration WHERE number > 20"), "tables", LOOK, "at step 20 of", "make a copy"),
    Harm(lambda r: step(r, "INSERT INTO migration VALUES (999, 'x', '2020-01-01')"), "tables", MEND, "at step 999", "update"),
    Harm(lambda r: (r.folder / "stock.db.doors.log").mkdir(), "door book", MEND, "can't be read", "move what lies"),
    Harm(torn, "door book", LOOK, "1 line can't be read", "by hand"),
    Harm(waiting, "waiting", LOOK, "1 form that came when their maker was signed out", "sign in"),
)


@pytest.mark.parametrize("harm", HARMS, ids=[harm.told for harm in HARMS])
def test_each_harm_is_told_with_what_to_do(well: Remnants, harm: Harm) -> None:
    harm.do(well)
    one = found(well, harm.what)
    assert one.health is harm.health and harm.told in one.found and harm.to_do in one.to_do
    assert bool(one.to_do) == (harm.health is not OK)


@pytest.mark.parametrize(("free", "health"), [(49_000_000, MEND), (51_000_000, LOOK), (199_000_000, LOOK), (201_000_000, OK)])
def test_little_room_is_told_before_there_is_none(
    well: Remnants, monkeypatch: pytest.MonkeyPatch, free: int, health: Health
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: Disk(10**12, 0, free))
    assert found(well, "disk").health is health


def test_a_large_catalogue_needs_room_for_a_copy_of_it(well: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: Disk(10**12, 0, 300_000_000))
    os.truncate(well.catalogue, 301_000_000)
    assert found(well, "disk").health is MEND


def test_an_entry_of_a_time_to_come_is_found_in_the_ledger_too(well: Remnants) -> None:
    """The clock was set back a week: what was logged stands ahead of it."""
    assert found(well, "clock", NOW - timedelta(days=7)).health is MEND


@pytest.mark.parametrize(
    ("needs", "health", "told"),
    [
        ([("shapely>=2.1", "")], OK, "as declared"),
        ([("shapely>=999", "")], MEND, "where >=999 is needed"),
        ([("no-such-thing>=1", "")], MEND, "no-such-thing is missing"),
        ([("no-such-thing>=1", "drawings")], OK, "not there: drawings"),
        ([("ezdxf<0.1", "drawings")], MEND, "where <0.1 is needed"),
    ],
)
def test_libraries_are_held_against_what_is_declared(
    monkeypatch: pytest.MonkeyPatch, needs: list[tuple[str, str]], health: Health, told: str
) -> None:
    python, _ = shelves._declared()
    given = tuple((Requirement(line), extra) for line, extra in needs)
    monkeypatch.setattr(shelves, "_declared", lambda: (python, given))
    (one,) = libraries()
    assert one.health is health and told in one.found


def test_what_was_installed_tells_the_same_needs_as_the_folder() -> None:
    lines = ["rich>=13.7", 'flask>=3.1; extra == "web"', 'pytest>=8.2; extra == "test"']
    assert [(need.name, extra) for need, extra in shelves._of_metadata(lines)] == [("rich", ""), ("flask", "web")]


def test_an_older_sqlite_is_told(well: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looks, "sqlite_version", lambda: (3, 36, 0))
    assert found(well, "SQLite").found == "3.36.0; it takes 3.37.0" and LEAST_SQLITE == (3, 37, 0)


def test_looking_changes_nothing_not_even_the_rights_or_an_older_catalogue(well: Remnants) -> None:
    step(well, "DELETE FROM migration WHERE number > 20")
    well.catalogue.chmod(0o644)
    before = {file.name: (file.read_bytes(), file.stat().st_mode) for file in well.folder.iterdir()}
    well("check-up")
    assert {file.name: (file.read_bytes(), file.stat().st_mode) for file in well.folder.iterdir()} == before


def test_a_catalogue_from_before_the_ledger_is_looked_at_too(tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    with open_catalogue(path, write=True):
        pass
    with closing(sqlite3.connect(path)) as opened, opened:
        opened.execute("PRAGMA foreign_keys = OFF")
        opened.execute("DROP TABLE unsent")
        opened.execute("DELETE FROM migration WHERE number > 10")
    seen = look_at(path, now=NOW)
    assert isinstance(seen, LookedAt) and (seen.step, seen.waiting) == (10, 0)
