"""`remnants backup`: a whole copy, while others write."""

import threading
from pathlib import Path

import pytest

from remnants.actions import keep_safe, open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.store.door_book import read_lines
from remnants.store.server_address import ServerAddress
from tests.commands import Remnants
from tests.harmed import a_busy_catalogue
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


def test_a_server_is_copied_by_hand_and_by_schedule_and_its_copy_is_tried_out(
    remnants: Remnants, server_address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(remnants.folder / "state"))
    monkeypatch.setenv("REMNANTS_CATALOGUE", server_address)
    at, copies = ServerAddress(server_address), remnants.folder / "copies"
    a_busy_catalogue(at)
    assert "this machine made none; its keeper may make some" in remnants("check-up").out
    copy = remnants.folder / "copy.db"
    assert "MB; keep it on another disk" in remnants.ok("backup", copy)
    assert "all is well" in remnants.ok("verify", "--catalogue", copy)
    assert "is there already" in remnants.refused("backup", copy, code=2)
    told = remnants.ok("backup", copies, "--every", "1d")
    assert "proved sound: " in told and "1 copy is kept; the next is due" in told
    (made,) = copies.iterdir()
    assert made.name.startswith(f"{at.database}-20")
    told = remnants.ok("backup", "--drill")
    assert str(made) in told and "the drill passed: this copy would bring your stock back" in told
    assert "the newest was made 0 days ago" in remnants("check-up").out
    assert any(line and line.what.endswith("MB, by schedule") for line in read_lines(at))
    told = remnants.refused("restore", copy, "--yes", code=2)
    assert "remnants move-catalogue COPY postgresql://" in told
