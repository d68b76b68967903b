"""Catalogues of older versions, as stored text, brought up to date; a step that fails leaves nothing."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.keep_safe import verify
from remnants.actions.show_piece import history_of, show_piece
from remnants.geometry import staircase_of
from remnants.ledger import Act, Photographed, PhotoTakenAway, Stage
from remnants.model import Kind, Lab, Repeat
from remnants.store import migrations
from remnants.store.file_catalogue import FileCatalogue, of_file
from remnants.store.migrations import MIGRATIONS, Migration, migrate, steps_done
from remnants.store.shelf import on_shelf

OLD = sorted((Path(__file__).parent / "old").glob("step-*.sql"))
NEWEST = len(MIGRATIONS)


def restored(sql: Path, folder: Path) -> Path:
    path = folder / "stock.db"
    with sqlite3.connect(path) as connection:
        connection.executescript(sql.read_text(encoding="utf-8"))
    connection.close()
    return path


@pytest.mark.parametrize("sql", OLD, ids=[path.stem for path in OLD])
@pytest.mark.parametrize("write", [False, True])
def test_an_old_catalogue_is_brought_up_to_date_and_loses_nothing(sql: Path, tmp_path: Path, *, write: bool) -> None:
    with open_catalogue(restored(sql, tmp_path), write=write) as catalogue:
        assert steps_done(catalogue) == NEWEST
        whole, odd = show_piece(catalogue, "R-0001"), show_piece(catalogue, "L-0001")
        assert (whole.piece.lot, whole.piece.motif, whole.piece.worn) == ("4471-B", (101.6, 177.8), 1)
        assert whole.style.repeat == Repeat(304.8, 457.2, 0.5)
        assert len(whole.piece.outline.cutouts) == 1
        assert (odd.piece.kind, odd.piece.pile_deg, odd.piece.room) == (Kind.LAID, 90, "closet")
        assert odd.piece.lab == Lab(55, 2.5, -3, "A/2")
        assert whole.standing.stage is Stage.STOCKED
        (entry,) = history_of(catalogue, "R-0001").entries
        assert (entry.act, entry.signed.who) == (Act.RECEIVED, "catalogue")
        assert verify(catalogue).faults == ()
        for standing, staircase in on_shelf(catalogue):
            assert staircase == staircase_of(standing.piece.outline, standing.piece.pile_deg).pack()


def test_there_are_stored_catalogues_from_the_first_step_before_the_ledger_and_with_the_chain() -> None:
    assert [path.stem for path in OLD] == ["step-1", "step-18", "step-4"]


def test_a_stored_chain_is_still_whole_with_what_was_erased_in_it(tmp_path: Path) -> None:
    """Its digests were written by an older program: the rule that they follow never changes."""
    sql = next(path for path in OLD if path.stem == "step-18")
    with open_catalogue(restored(sql, tmp_path), write=True) as catalogue:
        digests = [row["digest"] for row in catalogue.query("SELECT digest FROM entry ORDER BY number")]
        assert [digest.hex()[:8] for digest in (digests[0], digests[-1])] == ["35c89076", "564535bc"]
        assert verify(catalogue).faults == ()
        assert any(row["erased"] for row in catalogue.query("SELECT erased FROM entry"))


def columns(catalogue: Catalogue) -> dict[str, list[str]]:
    names = [row["name"] for row in catalogue.query("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
    return {name: [row["name"] for row in catalogue.query(f"SELECT name FROM pragma_table_info('{name}')")] for name in names}


def test_an_old_catalogue_ends_with_the_tables_of_a_new_one(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "new.db", write=True) as new, open_catalogue(restored(OLD[0], tmp_path), write=True) as old:
        assert columns(old) == columns(new)


def step_before(name: str) -> int:
    """The number of the step before the one of that name."""
    return [step.name for step in MIGRATIONS].index(name)


def at_step(number: int, folder: Path, more: str) -> Path:
    """The oldest catalogue, brought up to a step and given more rows."""
    path = restored(OLD[0], folder)
    with sqlite3.connect(path, isolation_level=None) as connection:
        migrate(FileCatalogue(connection), upto=number)
        connection.executescript(more)
    connection.close()
    return path


def test_photographs_from_before_they_had_entries_get_them_with_their_person_and_time(tmp_path: Path) -> None:
    photos = """
    INSERT INTO photo VALUES (1, 'R-0001', NULL, 10, 10, 'Wim', '2031-05-04T10:00:00Z', 'Lou', '2031-05-06T10:00:00Z');
    INSERT INTO photo VALUES (2, 'R-0001', X'FFD8FF', 10, 10, 'Ana', '2031-05-05T10:00:00Z', '', NULL);
    INSERT INTO photo VALUES (3, 'L-0001', NULL, 10, 10, 'Ana', '2031-05-05T10:00:00Z', 'forgotten', '2031-05-05T10:00:00Z');
    """
    with open_catalogue(at_step(step_before("photographs have entries"), tmp_path, photos), write=True) as catalogue:
        came, *told = history_of(catalogue, "R-0001").entries
        assert came.act is Act.RECEIVED
        assert [(entry.change, entry.signed.who, entry.signed.at.day) for entry in told] == [
            (Photographed(1, 0), "Wim", 4),
            (Photographed(2, 3), "Ana", 5),
            (PhotoTakenAway(1), "Lou", 6),
        ]
        assert [entry.change for entry in history_of(catalogue, "L-0001").entries[1:]] == [Photographed(3, 0), PhotoTakenAway(3)]
        assert verify(catalogue).faults == ()
        for change in ("DELETE FROM entry", "UPDATE entry SET who = 'Bo'"):
            with pytest.raises(sqlite3.IntegrityError, match=r"ledger only grows|never changed"):
                catalogue.execute(change)


def indexes(catalogue: Catalogue) -> set[str]:
    return {
        str(row["sql"]) for row in catalogue.query("SELECT sql FROM sqlite_master WHERE tbl_name = 'entry' AND type <> 'table'")
    }


def test_the_ledgers_indexes_and_triggers_outlive_its_being_made_anew(tmp_path: Path) -> None:
    path = at_step(step_before("photographs have entries"), tmp_path, "")
    with sqlite3.connect(path) as connection:
        before = indexes(FileCatalogue(connection))
        migrate(FileCatalogue(connection), upto=step_before("photographs have entries") + 1)
        assert len(before) == 7 and indexes(FileCatalogue(connection)) == before
    connection.close()


def test_all_guards_and_indexes_outlive_the_step_that_lets_looks_at_repairs_in(tmp_path: Path) -> None:
    step = step_before("entries of looks at repairs")
    path = at_step(step, tmp_path, "")
    with closing(sqlite3.connect(path)) as connection:

        def every() -> set[tuple[str, str]]:
            told = "SELECT name, sql FROM sqlite_master WHERE type <> 'table' AND sql IS NOT NULL"
            return set(connection.execute(told).fetchall())

        before = every()
        migrate(FileCatalogue(connection), upto=step + 1)
        assert {name for name, _ in every() ^ before} == {"entry_looked"} and before < every()


def test_jobs_from_before_they_had_numbers_get_them_in_the_order_in_which_they_were_written(tmp_path: Path) -> None:
    jobs = """
    INSERT INTO job VALUES ('Fir Lane 2', 'released', '{}', '{}', '{}', NULL, 'Bo', '2031-05-05T10:00:00Z');
    INSERT INTO job VALUES ('Alder Court 7', 'cut', '{}', '{}', '{}', NULL, 'Ana', '2031-05-04T10:00:00Z');
    """
    with open_catalogue(at_step(step_before("numbers of jobs"), tmp_path, jobs), write=True) as catalogue:
        told = [(row["number"], row["name"], row["called"]) for row in catalogue.query("SELECT * FROM job ORDER BY number")]
    assert told == [(1, "Alder Court 7", "Alder Court 7"), (2, "Fir Lane 2", "Fir Lane 2")]


def test_a_new_file_waits_for_the_disk_once_and_steps_that_are_missing_commit_one_by_one(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "stock.db", isolation_level=None)) as connection:
        ran: list[str] = []
        connection.set_trace_callback(ran.append)
        migrate(FileCatalogue(connection), upto=NEWEST - 2)
        assert ran.count("COMMIT") == 1
        ran.clear()
        migrate(FileCatalogue(connection))
        last = [at for at, statement in enumerate(ran) if statement.startswith("INSERT INTO migration")]
        assert len(last) == 2 and "COMMIT" in ran[last[0] : last[1]] and "COMMIT" in ran[last[1] :]
        assert steps_done(FileCatalogue(connection)) == NEWEST


def test_photographs_of_jobs_from_before_they_told_whose_home_they_show_are_of_who_the_job_tells(tmp_path: Path) -> None:
    rows = """
    INSERT INTO job (number, name, called, stage, file, plan, donors, who, at)
    VALUES (4, 'Fir Lane 2', 'Fir Lane 2', 'held', '{"customer": "F-2", "house": null}', '{}', '{}', 'Bo', '2031-05-05T10:00Z');
    INSERT INTO job_photo (job, moment, words, across, down, size_bytes, sha256, who, at, jpeg)
    VALUES (4, 'before', 'hall', 8, 6, 3, printf('%064d', 0), 'Bo', '2031-05-05T10:00:00Z', X'FFD8FF');
    INSERT INTO job_photo (job, moment, words, across, down, size_bytes, sha256, who, at, gone_who, gone_at)
    VALUES (4, 'after', '', 8, 6, 3, printf('%064d', 0), 'Bo', '2031-05-05T10:00:00Z', 'Bo', '2031-05-06T10:00:00Z');
    """
    read = "SELECT house, customer, words, jpeg FROM job_photo ORDER BY number"
    with open_catalogue(at_step(step_before("whose homes photographs of jobs show"), tmp_path, rows), write=True) as catalogue:
        told = [tuple(row.values()) for row in catalogue.query(read)]
    assert told == [("", "F-2", "hall", b"\xff\xd8\xff"), ("", "", "", None)]


def test_a_step_that_fails_leaves_nothing_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = Migration("bad", "CREATE TABLE half (x);\nINSERT INTO half VALUES (1);\nINSERT INTO nowhere VALUES (1);")
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, bad))
        with pytest.raises(sqlite3.OperationalError, match="nowhere"):
            migrate(of_file(catalogue, instead=""))
        assert steps_done(catalogue) == NEWEST
        assert "half" not in columns(catalogue)


def test_steps_are_recorded_by_number_and_name(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        rows = [(row["number"], row["name"]) for row in catalogue.query("SELECT number, name FROM migration ORDER BY number")]
    assert rows == [(number, step.name) for number, step in enumerate(MIGRATIONS, 1)]
