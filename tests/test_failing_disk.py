"""Copies and restores on a disk that fails at their first call, their second, and so on: the stock is whole, nothing is left."""

import re
import shutil
from pathlib import Path

import pytest

from tests.commands import Done, Remnants
from tests.failing import failing
from tests.thorough import SELDOM

PIECES = 3
TO_DO = ("make room", "check the disk", "try again", "try an older copy", "remnants verify")
FIRST, MOST = 10, 3000
"""Each of the first calls fails, then one in `SELDOM`."""


@pytest.fixture
def template(remnants: Remnants) -> Path:
    """A folder with a catalogue, a copy that lacks a piece of it, and a damaged one."""
    folder = remnants.folder / "template"
    folder.mkdir()
    named = ("--catalogue", folder / "stock.db")
    for number in range(PIECES):
        remnants.ok("log", "--tag", f"R-{number}", "--style", "Velder Loop", "--width", "40", "--length", "60", *named)
    remnants.ok("backup", folder / "copy.db", *named)
    (folder / "stock.db.copies.json").unlink()
    remnants.ok("log", "--tag", "NEW", "--style", "Velder Loop", "--width", "40", "--length", "60", *named)
    return folder


def entries(remnants: Remnants, path: Path) -> int:
    told = remnants.ok("verify", "--catalogue", path)
    assert "all is well" in told
    return int(told.partition(" pieces, ")[2].partition(" ")[0])


def told_well(done: Done, hit: str) -> None:
    """What a refusal must tell: in a line what and why, and what to do; nothing of where copies lie while they are made."""
    lines = done.err.strip().splitlines()
    assert len(lines) == 1, (hit, done.err)
    assert re.search(r"stock[-\w]*\.db|copy\.db|new\.db|copies", lines[0]), (hit, lines[0])
    assert re.search(r"full|No space left|can't be read back", lines[0]), (hit, lines[0])
    assert any(words in lines[0] for words in TO_DO), (hit, lines[0])
    assert ".aside" not in lines[0], (hit, lines[0])
    assert ".part" not in lines[0], (hit, lines[0])


def each_failure(remnants: Remnants, template: Path, *words: str, warm: bool = True) -> list[tuple[Path, Done, str]]:
    """The command on a copy of the folder for each call that fails, until none does; `@` in a word stands for the folder."""
    tries = []
    for place in [*range(0 if warm else 1, FIRST), *range(FIRST, MOST, SELDOM)]:
        folder = remnants.folder / "tries" / str(place)
        shutil.copytree(template, folder)
        before = {path.name for path in folder.iterdir()}
        with failing(place) as told:
            done = remnants(*[word.replace("@", str(folder)) for word in words])
        after = {path.name for path in folder.iterdir()}
        litter = {name for name in after - before if name.startswith(".")}
        assert not litter, (told.hit, litter)
        if place:
            tries.append((folder, done, told.hit))
        if place and not told.hit:
            return tries
    raise AssertionError("it never came to its end")


def test_a_backup_that_a_disk_refuses(remnants: Remnants, template: Path) -> None:
    for folder, done, hit in each_failure(remnants, template, "backup", "@/new.db", "--catalogue", "@/stock.db"):
        made = (folder / "new.db").exists()
        assert made == (done.code == 0), hit
        if done.code:
            assert done.code == 2
            told_well(done, hit)
        else:
            assert entries(remnants, folder / "new.db") == PIECES + 1, hit
        assert entries(remnants, folder / "stock.db") == PIECES + 1, hit
        shutil.rmtree(folder)


@pytest.mark.parametrize("state", ["sound", "damaged", "gone"])
def test_a_restore_that_a_disk_refuses(remnants: Remnants, template: Path, state: str) -> None:
    if state == "gone":
        (template / "stock.db").unlink()
    elif state == "damaged":
        (template / "stock.db").write_bytes(b"burnt" * 5000)
    before = (template / "stock.db").read_bytes() if state == "damaged" else b""
    restore = ("restore", "@/copy.db", "--yes", "--older", "--catalogue", "@/stock.db")
    for folder, done, hit in each_failure(remnants, template, *restore):
        kept = list(folder.glob("stock-before-*"))
        if done.code:
            assert done.code == 2, (hit, done.err)
            told_well(done, hit)
        replaced = (folder / "stock.db").exists() and (state != "damaged" or (folder / "stock.db").read_bytes() != before)
        if state == "sound":
            replaced = entries(remnants, folder / "stock.db") == PIECES
        elif replaced:
            assert entries(remnants, folder / "stock.db") == PIECES, hit
        assert replaced or done.code, hit
        assert len(kept) == (replaced and state != "gone"), (hit, done.err, kept)
        shutil.rmtree(folder)


def test_a_schedule_that_a_disk_refuses(remnants: Remnants, template: Path) -> None:
    for folder, done, hit in each_failure(remnants, template, "backup", "@/copies", "--every", "1d", "--catalogue", "@/stock.db"):
        copies = list((folder / "copies").glob("*")) if (folder / "copies").exists() else []
        assert done.code in (0, 2), hit
        if done.code:
            told_well(done, hit)
        for copy in copies:
            assert entries(remnants, copy) == PIECES + 1, hit
        assert entries(remnants, folder / "stock.db") == PIECES + 1, hit
        shutil.rmtree(folder)
