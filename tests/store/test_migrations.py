"""Catalogues of older versions, as stored text, brought up to date; a step that fails leaves nothing."""

import sqlite3
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.keep_safe import verify
from remnants.actions.show_piece import history_of, show_piece
from remnants.geometry import staircase_of
from remnants.ledger import Act, Stage
from remnants.model import Kind, Lab, Repeat
from remnants.store import migrations
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


def test_there_is_a_stored_catalogue_from_before_the_ledger_and_from_the_first_step() -> None:
    assert [path.stem for path in OLD] == ["step-1", "step-4"]


def columns(catalogue: Catalogue) -> dict[str, list[str]]:
    names = [row["name"] for row in catalogue.query("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
    return {name: [row["name"] for row in catalogue.query(f"SELECT name FROM pragma_table_info('{name}')")] for name in names}


def test_an_old_catalogue_ends_with_the_tables_of_a_new_one(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "new.db", write=True) as new, open_catalogue(restored(OLD[0], tmp_path), write=True) as old:
        assert columns(old) == columns(new)


def test_a_step_that_fails_leaves_nothing_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = Migration("bad", "CREATE TABLE half (x);\nINSERT INTO half VALUES (1);\nINSERT INTO nowhere VALUES (1);")
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, bad))
        with pytest.raises(sqlite3.OperationalError, match="nowhere"):
            migrate(catalogue)
        assert steps_done(catalogue) == NEWEST
        assert "half" not in columns(catalogue)


def test_steps_are_recorded_by_number_and_name(tmp_path: Path) -> None:
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        rows = [(row["number"], row["name"]) for row in catalogue.query("SELECT number, name FROM migration ORDER BY number")]
    assert rows == [(number, step.name) for number, step in enumerate(MIGRATIONS, 1)]
