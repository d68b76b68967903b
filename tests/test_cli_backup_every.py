"""`remnants backup --every`: copies by a schedule, proved before older ones are dropped."""

import itertools
import json
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from stat import S_IMODE

import pytest

from remnants.store.copy_notes import notes_path, read_notes
from tests.commands import Remnants

DAY = timedelta(days=1)
Clock = Callable[[timedelta], None]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """A clock that stands at noon until it is put forward."""
    times = [datetime(2031, 5, 3, 12, tzinfo=UTC)]
    monkeypatch.setattr("remnants.cli.backup_runs.now", lambda: times[0])

    def forward(by: timedelta) -> None:
        times[0] += by

    return forward


@pytest.fixture
def copies(remnants: Remnants) -> Path:
    """Where the copies are to go; not there yet."""
    remnants.log("--tag", "R-1")
    return remnants.folder / "copies"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_run_makes_the_copy_that_is_due_proves_it_and_says_when_the_next_is(
    remnants: Remnants, clock: Clock, copies: Path
) -> None:
    told = remnants.ok("backup", copies, "--every", "1d")
    assert names(copies) == ["stock-20310503-120000.db"]
    assert "proved sound: 1 piece, 1 entry" in told
    assert "1 copy is kept; the next is due on 4 May 2031, 12:00 UTC" in told
    assert "all is well" in remnants.ok("verify", "--catalogue", copies / "stock-20310503-120000.db")
    assert S_IMODE(copies.stat().st_mode) == 0o700


def test_a_run_that_comes_too_early_makes_nothing(remnants: Remnants, clock: Clock, copies: Path) -> None:
    remnants.ok("backup", copies, "--every", "1d")
    clock(DAY / 2)
    assert remnants.ok("backup", copies, "--every", "1d") == "no copy is due before 4 May 2031, 12:00 UTC; 1 copy is kept\n"
    assert len(names(copies)) == 1


def test_older_copies_are_dropped_once_the_new_one_is_proved(remnants: Remnants, clock: Clock, copies: Path) -> None:
    for _ in range(4):
        told = remnants.ok("backup", copies, "--every", "1d", "--keep", "2d")
        clock(DAY)
    assert names(copies) == ["stock-20310505-120000.db", "stock-20310506-120000.db"]
    assert "dropped: stock-20310504-120000.db" in told
    assert "2 copies are kept" in told


def test_no_file_is_dropped_but_what_a_schedule_of_this_catalogue_made(remnants: Remnants, clock: Clock, copies: Path) -> None:
    copies.mkdir()
    for name in ("stock-20300101-120000.db", "mine.db", "photo.jpg"):
        (copies / name).write_text("not a copy of a schedule")
    remnants.ok("backup", copies / "by-hand.db")
    for _ in range(3):
        remnants.ok("backup", copies, "--every", "1d", "--keep", "1d")
        clock(DAY)
    assert names(copies) == ["by-hand.db", "mine.db", "photo.jpg", "stock-20300101-120000.db", "stock-20310505-120000.db"]


def test_two_catalogues_share_a_folder_and_each_drops_its_own(remnants: Remnants, clock: Clock, copies: Path) -> None:
    other = remnants.folder / "other"
    other.mkdir()
    elsewhere = ("--catalogue", other / "stock.db")
    remnants.ok("log", "--style", "Velder Loop", "--width", "4", "--length", "5", *elsewhere)
    for _ in range(3):
        remnants.ok("backup", copies, "--every", "1d", "--keep", "1d")
        clock(timedelta(seconds=1))
        remnants.ok("backup", copies, "--every", "1d", "--keep", "1d", *elsewhere)
        clock(DAY)
    assert len(names(copies)) == 2


def test_a_copy_that_is_not_sound_is_told_and_no_older_one_is_dropped(remnants: Remnants, clock: Clock, copies: Path) -> None:
    remnants.ok("backup", copies, "--every", "1d", "--keep", "1d")
    with sqlite3.connect(remnants.catalogue) as behind:
        behind.execute("UPDATE piece SET colour = 'changed behind the ledger'")
    behind.close()
    clock(DAY)
    told = remnants.refused("backup", copies, "--every", "1d", "--keep", "1d", code=2)
    assert "the copy that was just made is not sound" in told
    assert "no older copy was dropped" in told
    assert "remnants verify" in told
    assert names(copies) == ["stock-20310503-120000.db"]
    assert read_notes(remnants.catalogue).newest


def test_a_disk_that_is_away_is_told_and_no_folder_is_made_in_its_place(remnants: Remnants, clock: Clock, copies: Path) -> None:
    remnants.ok("backup", copies, "--every", "1d")
    copies.rename(remnants.folder / "away")
    clock(DAY)
    assert "connect its disk" in remnants.refused("backup", copies, "--every", "1d", code=2)
    assert not copies.exists()
    assert "connect its disk" in remnants.refused("backup", remnants.folder / "none" / "copies", "--every", "1d", code=2)
    assert "this is a file" in remnants.refused("backup", remnants.catalogue, "--every", "1d", code=2)


def test_a_run_that_was_killed_before_its_proof_is_dropped_by_a_later_one(
    remnants: Remnants, clock: Clock, copies: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr("remnants.actions.backup_schedule.verify", lambda _, **__: (_ for _ in ()).throw(KeyboardInterrupt))
        assert remnants("backup", copies, "--every", "1d").code == 130
    assert len(names(copies)) == 1
    clock(timedelta(minutes=5))
    remnants.ok("backup", copies, "--every", "1d")
    assert names(copies) == ["stock-20310503-120500.db"]


def test_the_options_go_together(remnants: Remnants, copies: Path) -> None:
    assert "--every 1d" in remnants.refused("backup", copies, "--keep", "7d", code=2)
    assert "--every 1d" in remnants.refused("backup", copies, "--wait", code=2)
    assert "one of them at a time" in remnants.refused("backup", copies, "--every", "1d", "--drill", code=2)
    assert "name the file to make" in remnants.refused("backup", code=2)
    assert "name the folder" in remnants.refused("backup", "--every", "1d", code=2)
    assert "such as 12h, 1d or 1w" in remnants.refused("backup", copies, "--every", "daily", code=2)
    assert "such as 7d,4w,12m" in remnants.refused("backup", copies, "--every", "1d", "--keep", "all", code=2)
    assert not copies.exists()


def test_while_it_waits_each_copy_is_made_when_it_is_due_and_a_failure_is_tried_again(
    remnants: Remnants, clock: Clock, copies: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    naps = itertools.count()

    def nap(seconds: float) -> None:
        clock(timedelta(seconds=seconds))
        match next(naps):  # of 20 s each: the second copy is due after 2160, the third after 4320
            case 3000:
                copies.rename(copies.with_name("away"))
            case 5000:
                copies.with_name("away").rename(copies)
            case 7500:
                raise KeyboardInterrupt

    monkeypatch.setattr(time, "sleep", nap)
    done = remnants("backup", copies, "--every", "12h", "--keep", "3d", "--wait")
    assert done.code == 130
    assert "stopped" in done.err
    assert "connect its disk" in done.err
    assert "it is tried again in 10 minutes" in done.err
    assert done.out.count("proved sound") == 4
    assert len(names(copies)) == 3


def test_ctrl_c_ends_the_wait_at_once(remnants: Remnants, copies: Path) -> None:
    words = ["backup", str(copies), "--every", "1d", "--wait"]
    given = [sys.executable, "-m", "remnants", *words]
    with subprocess.Popen(given, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as waiting:
        assert waiting.stdout
        assert waiting.stderr
        assert "proved sound" in waiting.stdout.readline()
        assert "the next is due" in waiting.stdout.readline()
        waiting.send_signal(signal.SIGINT)
        assert waiting.wait(timeout=60) == 130
        assert "stopped" in waiting.stderr.read()
    assert len(names(copies)) == 1


def test_the_notes_lie_beside_the_catalogue_for_its_owner_alone_and_outlive_a_restore(
    remnants: Remnants, clock: Clock, copies: Path
) -> None:
    remnants.ok("backup", copies, "--every", "1d")
    (made,) = copies.iterdir()
    notes = notes_path(remnants.catalogue)
    assert S_IMODE(notes.stat().st_mode) == 0o600
    assert json.loads(notes.read_text())["newest"] == {"at": "2031-05-03T12:00:00Z", "file": str(made), "sound": True}
    remnants.ok("restore", made, "--yes")
    assert "no copy is due before" in remnants.ok("backup", copies, "--every", "1d")


@pytest.mark.parametrize("text", ["", "[]", "{", '{"newest": 1, "scheduled": [], "drill": null}'])
def test_notes_that_can_not_be_read_keep_no_copy_from_being_made(
    remnants: Remnants, clock: Clock, copies: Path, text: str
) -> None:
    notes_path(remnants.catalogue).write_text(text)
    assert "proved sound" in remnants.ok("backup", copies, "--every", "1d")
