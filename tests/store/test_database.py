"""The catalogue file: what it refuses, how it changes whole or not at all, what comes back out of it."""

import os
import sqlite3
from pathlib import Path

import pytest

from remnants.errors import CatalogueUnusable
from remnants.geometry import outline_of
from remnants.ledger import Received
from remnants.model import Colourway, Kind, Lab, Piece
from remnants.store import Catalogue, database, file_catalogue, ledger, open_catalogue, pieces, styles
from remnants.store.database import TO_THE_DISK
from remnants.store.migrations import APPLICATION_ID, MIGRATIONS
from tests.stock_values import SIGNED, a_piece, a_style


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "stock.db"


def put(catalogue: Catalogue, *logged: Piece) -> None:
    ledger.receive(catalogue, map(Received, logged), SIGNED)


def on_hand(catalogue: Catalogue, **which: list[str]) -> list[Piece]:
    return [standing.piece for standing in pieces.on_hand(catalogue, **which)]


def test_what_is_stored_comes_back_the_same(path: Path) -> None:
    style = a_style(colours=(Colourway("Oatmeal", Lab(60.5, 1, -2)), Colourway("Slate")))
    odd = outline_of([(0, 0), (1000.1, 0), (1000.1, 500), (0, 1500.123456789)], [[(10, 10), (20, 10), (20, 20)]])
    full = a_piece("L-1", kind=Kind.LAID, pile_deg=37.5, motif=(3.3, -4.4), worn=3, lab=Lab(50, 1, 2, "A/2"), room="den")
    shaped = type(full)(**{**vars(full), "tag": "L-2", "outline": odd})
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [style, a_style("Plain", repeat=None, row_mm=None)])
        put(catalogue, full, shaped, a_piece())
    with open_catalogue(path, write=False) as catalogue:
        assert styles.all_styles(catalogue)["Velder Loop"] == style
        assert on_hand(catalogue) == [full, shaped, a_piece()]
        assert on_hand(catalogue, styles=["Plain"]) == []


def test_a_tag_is_found_in_any_letter_case_but_never_guessed(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [a_style()])
        put(catalogue, a_piece("R-1a"), a_piece("R-1B"), a_piece("R-1b"))
    with open_catalogue(path, write=False) as catalogue:
        found = {tag: pieces.find_standing(catalogue, tag) for tag in ("r-1A", "R-1b", "r-1b", "R-1")}
    assert {tag: piece and piece.piece.tag for tag, piece in found.items()} == {
        "r-1A": "R-1a",
        "R-1b": "R-1b",
        "r-1b": None,
        "R-1": None,
    }


def test_a_change_waits_until_it_is_on_the_disk(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "TO_THE_DISK", TO_THE_DISK)  # as in a shop: a run of tests doesn't wait
    for write, full_or_normal in ((True, 2), (False, 1)):
        with open_catalogue(path, write=write) as catalogue:
            (waits,) = file_catalogue.of_file(catalogue, instead="ask the file").conn.execute("PRAGMA synchronous").fetchone()
            assert waits == full_or_normal


def test_the_file_is_marked_journaled_and_holds_its_references(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue:
        assert catalogue.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert catalogue.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        strict = catalogue.execute(
            "SELECT name FROM pragma_table_list WHERE type = 'table' AND NOT strict AND name NOT LIKE 'sqlite%'"
        )
        assert strict.fetchall() == []
        with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"), catalogue.atomic():
            put(catalogue, a_piece(style="nobody knows it"))
        assert pieces.all_tags(catalogue) == ()


def test_a_failed_change_leaves_nothing_and_an_inner_one_is_undone_alone(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue:
        with pytest.raises(RuntimeError), catalogue.atomic():
            styles.put_styles(catalogue, [a_style()])
            raise RuntimeError
        assert styles.all_styles(catalogue) == {}
        with catalogue.atomic():
            styles.put_styles(catalogue, [a_style("kept")])
            with pytest.raises(RuntimeError), catalogue.atomic():
                styles.put_styles(catalogue, [a_style("dropped")])
                raise RuntimeError
        assert set(styles.all_styles(catalogue)) == {"kept"}


def refusal(path: Path, *, write: bool) -> str:
    with pytest.raises(CatalogueUnusable) as caught, open_catalogue(path, write=write, busy_s=0.05) as catalogue:
        if write:
            with catalogue.atomic():
                styles.put_styles(catalogue, [a_style()])
        styles.all_styles(catalogue)
    return str(caught.value)


def test_a_missing_file_or_folder_is_told(path: Path) -> None:
    assert "no catalogue here yet" in refusal(path, write=False)
    assert not path.exists()
    assert "does not exist" in refusal(path.parent / "none" / "stock.db", write=True)
    assert "this is a folder" in refusal(path.parent, write=True)


@pytest.mark.parametrize("write", [False, True])
def test_what_is_no_catalogue_is_left_alone(path: Path, *, write: bool) -> None:
    path.write_text("tag;style\n" * 200)
    assert "nor any database" in refusal(path, write=write)
    assert path.read_text() == "tag;style\n" * 200
    path.unlink()
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE theirs (x)")
    other.commit()
    other.close()
    before = path.read_bytes()
    assert "not a catalogue of remnants" in refusal(path, write=write)
    assert path.read_bytes() == before


def test_a_catalogue_of_a_newer_version_is_left_alone(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue:
        catalogue.execute("INSERT INTO migration (number, name) VALUES (?, 'later')", [len(MIGRATIONS) + 1])
    assert "newer version" in refusal(path, write=True)
    assert "newer version" in refusal(path, write=False)


def test_a_locked_catalogue_can_be_read_but_not_written(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [a_style("before")])
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [a_style("not yet")])
        assert "did not finish in time" in refusal(path, write=True)
        with open_catalogue(path, write=False) as reader:
            assert set(styles.all_styles(reader)) == {"before"}


def test_who_waits_longer_for_the_writers_place_looks_the_more_often(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The other way round, as SQLite waits by itself, whoever came last got in first: of twenty writers some never did."""
    clock, pauses = [0.0], list[float]()

    def sleep(pause: float) -> None:
        clock[0] += pause
        pauses.append(pause)

    monkeypatch.setattr(file_catalogue, "monotonic", lambda: clock[0])
    monkeypatch.setattr(file_catalogue, "sleep", sleep)
    with open_catalogue(path, write=True) as first, open_catalogue(path, write=True, busy_s=3) as second:
        with first.atomic(), pytest.raises(sqlite3.OperationalError, match="locked"), second.atomic():
            pass
        assert pauses == sorted(pauses, reverse=True) and 0 < pauses[-1] < pauses[0] / 2
        assert 3 <= clock[0] < 3.1
        with second.atomic():
            styles.put_styles(second, [a_style("then it is free")])
        assert second.execute("PRAGMA busy_timeout").fetchone() == (3000,)


def test_a_damaged_catalogue_is_told(path: Path) -> None:
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [a_style(f"style {number}") for number in range(500)])
    raw = bytearray(path.read_bytes())
    size = len(raw)
    raw[4096 : size - 100] = os.urandom(size - 4196)
    path.write_bytes(raw)
    assert "damaged" in refusal(path, write=False)
