"""`remnants backup`: a whole copy, while others write."""

import threading
from pathlib import Path

import pytest

from remnants.actions import keep_safe, open_catalogue
from remnants.actions.log_pieces import log_pieces
from tests.commands import Remnants
from tests.stock_values import SIGNED, a_piece, a_stock


def test_a_copy_is_a_catalogue_of_its_own(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    copy = remnants.folder / "copy.db"
    assert "MB" in remnants.ok("backup", copy)
    assert sorted(path.name for path in remnants.folder.glob("copy*")) == ["copy.db"]
    assert "R-1" in remnants.ok("find", "velder", "--catalogue", copy)
    assert "is there already" in remnants.refused("backup", copy, code=2)
    assert "does not exist" in remnants.refused("backup", remnants.folder / "none" / "copy.db", code=2)


def test_a_copy_taken_while_others_write_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("remnants.store.backup._PAGES_AT_ONCE", 20)  # so that others write in the midst of each copy
    path = tmp_path / "stock.db"
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(*[a_piece(f"A-{n}") for n in range(2000)]), signed=SIGNED)
    stop = threading.Event()

    def write() -> None:
        with open_catalogue(path, write=True) as catalogue:
            number = 0
            while not stop.is_set():
                log_pieces(catalogue, a_stock(a_piece(f"B-{number}a"), a_piece(f"B-{number}b")), signed=SIGNED)
                number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            with open_catalogue(path, write=False) as catalogue:
                keep_safe.back_up(catalogue, tmp_path / f"copy-{number}.db")
    finally:
        stop.set()
        writer.join()
    for number in range(5):
        with open_catalogue(tmp_path / f"copy-{number}.db", write=False) as copy:
            verified = keep_safe.verify(copy)
            assert verified.faults == ()
            assert verified.pieces % 2 == 0
