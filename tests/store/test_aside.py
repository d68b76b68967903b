"""Copies that are being made: a program that is killed leaves nothing that the next command doesn't clear; the stock is whole."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from remnants.store.aside import aside, clear, place_of
from tests.commands import Remnants
from tests.kills import Killed, killed_at_each_step, killed_past_each_size

PIECES = 120


@pytest.fixture
def template(remnants: Remnants) -> Path:
    """A folder with a catalogue, and a copy that lacks a piece of it."""
    folder = remnants.folder / "template"
    folder.mkdir()
    named = ("--catalogue", folder / "stock.db")
    stock = [
        {"tag": f"R-{n}", "kind": "remnant", "style": "Velder Loop", "width": 40, "length": 60, "pile": 0} for n in range(PIECES)
    ]
    remnants.ok("log", remnants.file("stock.json", {"unit": "in", "pieces": stock}), *named)
    remnants.ok("backup", folder / "copy.db", *named)
    remnants.ok("log", "--tag", "NEW", "--style", "Velder Loop", "--width", "40", "--length", "60", *named)
    return folder


def entries(told: str) -> int:
    return int(told.partition(" pieces, ")[2].partition(" ")[0])


def whole_and_tidy(remnants: Remnants, folder: Path) -> tuple[int, set[str]]:
    """How many entries the catalogue in the folder has, which must be sound, and what else lies there after that."""
    told = remnants.ok("verify", "--catalogue", folder / "stock.db")
    assert "all is well" in told
    stay = {"", "-wal", "-shm", ".copies.json", ".doors.log"}
    return entries(told), {path.name for path in folder.iterdir()} - {f"stock.db{ending}" for ending in stay}


def both(template: Path, words: list[str], into: Path) -> Killed:
    into.mkdir()
    size = (template / "stock.db").stat().st_size
    by_step = killed_at_each_step(template, words, into=into)
    assert list(by_step.values()).count(False) == 1  # the last one came to its end
    by_size = killed_past_each_size(template, words, [0, 5000, size // 3, size // 2, size - 5000], into=into)
    assert any(by_size.values())
    return by_step | by_size


def test_a_backup_that_is_killed_leaves_nothing_for_long(remnants: Remnants, template: Path) -> None:
    killed = both(template, ["backup", "@/new.db", "--catalogue", "@/stock.db"], remnants.folder / "tries")
    litter = 0
    for folder, was_killed in killed.items():
        litter += place_of(folder / "stock.db").exists()
        held, there = whole_and_tidy(remnants, folder)
        assert held == PIECES + 1, folder
        assert there - {"new.db"} == {"copy.db"}, folder
        assert was_killed or "new.db" in there
        if "new.db" in there:
            assert entries(remnants.ok("verify", "--catalogue", folder / "new.db")) == PIECES + 1
    assert litter > 2


@pytest.mark.parametrize("state", ["sound", "damaged", "gone"])
def test_a_restore_that_is_killed_leaves_the_stock_as_it_was_or_as_it_is_to_be(
    remnants: Remnants, template: Path, state: str
) -> None:
    if state == "gone":
        (template / "stock.db").unlink()
        sizes_of = template / "copy.db"
        shutil.copyfile(sizes_of, template / "again.db")
    elif state == "damaged":
        raw = bytearray((template / "stock.db").read_bytes())
        raw[4096:8192] = bytes(4096)
        (template / "stock.db").write_bytes(raw)
    restore = ["restore", "@/copy.db", "--yes", "--older", "--catalogue", "@/stock.db"]
    into = remnants.folder / "tries"
    into.mkdir()
    killed = killed_at_each_step(template, restore, into=into)
    killed |= killed_past_each_size(template, restore, [0, 20_000, 100_000], into=into)
    litter = done = 0
    for folder, was_killed in killed.items():
        litter += place_of(folder / "stock.db").exists()
        if state != "sound" and was_killed:
            remnants("find", "velder", "--catalogue", folder / "stock.db")  # whatever it answers, what is left is cleared
            assert not place_of(folder / "stock.db").exists()
            assert not list(folder.glob(".*"))
            remnants.ok(*[word.replace("@", str(folder)) for word in restore])
        held, there = whole_and_tidy(remnants, folder)
        kept = [name for name in there if name.startswith("stock-before-")]
        assert there - {*kept, "again.db"} == {"copy.db"}, folder
        assert was_killed or held == PIECES, folder
        if state == "sound":
            assert held in (PIECES, PIECES + 1), folder
            assert len(kept) == (held == PIECES), folder  # kept where it was replaced, and nowhere else
        done += held == PIECES
    assert litter > 2
    assert done >= 1


HOLDS = """
import sys
from pathlib import Path
from remnants.store.aside import aside
with aside(Path(sys.argv[1])) as room:
    part = room.part(Path(sys.argv[2]))
    part.write_text("half a copy")
    print(part, flush=True)
    sys.stdin.read()
"""


def test_a_copy_that_somebody_is_still_making_is_left_alone_and_cleared_once_they_are_killed(
    remnants: Remnants, tmp_path: Path
) -> None:
    remnants.log("--tag", "R-1")
    other_disk = tmp_path / "stick"
    other_disk.mkdir()
    given = [sys.executable, "-c", HOLDS, str(remnants.catalogue), str(other_disk / "copy.db")]
    with subprocess.Popen(given, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout
        part = Path(writer.stdout.readline().strip())
        remnants.ok("show", "R-1")
        remnants.ok("backup", tmp_path / "mine.db")
        assert part.read_text() == "half a copy"
        writer.kill()
        writer.wait()
    assert part.parent == other_disk
    remnants.ok("show", "R-1")
    assert not part.exists()
    assert not place_of(remnants.catalogue).exists()


def test_what_lies_on_a_disk_that_is_away_is_cleared_when_it_is_back(remnants: Remnants, tmp_path: Path) -> None:
    remnants.log("--tag", "R-1")
    stick, away = tmp_path / "stick", tmp_path / "away"
    stick.mkdir()
    with aside(remnants.catalogue) as room:
        part = room.part(stick / "copy.db")
        part.write_text("half a copy")
        stick.rename(away)
    remnants.ok("show", "R-1")
    away.rename(stick)
    assert part.exists()
    remnants.ok("show", "R-1")
    assert not part.exists()
    assert not place_of(remnants.catalogue).exists()


def test_forgetting_somebody_reaches_copies_that_were_never_finished(remnants: Remnants) -> None:
    remnants.ok("customer", "F-1", "--name", "Alder-Ymir")
    room = place_of(remnants.catalogue) / ("0" * 16)
    room.mkdir(parents=True)
    shutil.copyfile(remnants.catalogue, room / "copy.db")
    remnants.ok("forget", "F-1", "--yes")
    assert not [path for path in remnants.folder.rglob("*") if path.is_file() and b"Alder-Ymir" in path.read_bytes()]


@pytest.mark.parametrize(
    "notes", ["", "half a li", "[1]\n", '{"part": 7}\n', '{"part": "/etc/hostname"}\n', '{"kept": "@/copy.db"}\n']
)
def test_notes_that_are_not_ours_lead_to_nothing_but_the_room_itself(remnants: Remnants, notes: str) -> None:
    remnants.log("--tag", "R-1")
    copy = remnants.folder / "copy.db"
    remnants.ok("backup", copy)
    room = place_of(remnants.catalogue) / ("0" * 16)
    room.mkdir(parents=True)
    (room / "notes").write_text(notes.replace("@", str(remnants.folder)), encoding="utf-8")
    clear(remnants.catalogue)
    assert copy.exists()
    assert not place_of(remnants.catalogue).exists()
