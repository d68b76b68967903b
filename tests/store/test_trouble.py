"""A full disk, a file that may not be written, a damaged one: told in plain words, and nothing is lost."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.cli import main
from remnants.errors import CatalogueUnusable
from tests.commands import Remnants
from tests.stock_values import SIGNED, a_piece, a_stock

NOBODY = 65534
ROOT = hasattr(os, "geteuid") and os.geteuid() == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 1 MB."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = (
        ROOT
        and shutil.which("mount")
        and subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", folder], capture_output=True, check=False
        ).returncode
        == 0
    )
    if not mounted:
        pytest.skip("a small disk can't be mounted here")
    yield folder
    subprocess.run(["umount", folder], check=True)


def fill(path: Path) -> int:
    """Logs pieces, ten at a time, until the disk is full; gives how many are in."""
    done = 0
    with (
        pytest.raises(CatalogueUnusable, match="the disk is full; nothing was changed"),
        open_catalogue(path, write=True) as catalogue,
    ):
        while True:
            log_pieces(catalogue, a_stock(*[a_piece(f"A-{done}-{n}") for n in range(10)]), signed=SIGNED)
            done += 1
    return done * 10


def test_a_full_disk_is_told_and_every_change_before_it_stands(small_disk: Path) -> None:
    path = small_disk / "stock.db"
    logged = fill(path)
    assert logged > 100
    with open_catalogue(path, write=False) as catalogue:
        verified = verify(catalogue)
        assert (verified.pieces, verified.faults) == (logged, ())
    with pytest.raises(CatalogueUnusable, match="full"), open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(*[a_piece(f"B-{n}") for n in range(3000)]), signed=SIGNED)
    with open_catalogue(path, write=False) as catalogue:
        assert verify(catalogue) == verified


def test_a_catalogue_whose_pages_are_used_up_is_told_as_a_full_disk(tmp_path: Path) -> None:
    path = tmp_path / "stock.db"
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1")), signed=SIGNED)
        (pages,) = catalogue.execute("PRAGMA page_count").fetchone()
    with pytest.raises(CatalogueUnusable, match="disk is full"), open_catalogue(path, write=True) as catalogue:
        catalogue.execute(f"PRAGMA max_page_count = {pages}")
        log_pieces(catalogue, a_stock(*[a_piece(f"B-{n}") for n in range(500)]), signed=SIGNED)
    with open_catalogue(path, write=False) as catalogue:
        assert (verify(catalogue).pieces, verify(catalogue).faults) == (1, ())


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users can look into, which a test's own is not."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def as_nobody(*words: str | Path) -> tuple[int, str]:
    """Runs a command as a user who owns nothing; gives its exit code and standard error."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            sys.stderr = os.fdopen(write, "w", encoding="utf-8")
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            code = main([str(word) for word in words])
            sys.stderr.flush()
            os._exit(code)
        finally:
            os._exit(99)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as told:
        text = told.read()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), text


@pytest.mark.skipif(not ROOT, reason="becomes another user")
def test_a_catalogue_that_may_only_be_read_can_be_read_and_nothing_more(open_folder: Path, remnants: Remnants) -> None:
    path = open_folder / "stock.db"
    log = ("log", "--style", "Velder Loop", "--width", "4", "--length", "5", "--by", "Ana", "--catalogue", path)
    remnants.ok(*log)
    remnants.ok("show", "R-0001", "--catalogue", path)  # all that it loads is loaded now: nobody may not read our source
    for file in open_folder.iterdir():
        file.chmod(0o644)
    before = path.read_bytes()
    assert as_nobody("show", "R-0001", "--catalogue", path) == (0, "")
    code, told = as_nobody(*log)
    assert code == 2
    assert "may not be written to" in told or "can't be opened" in told
    assert path.read_bytes() == before
    path.chmod(0o600)
    code, told = as_nobody("show", "R-0001", "--catalogue", path)
    assert (code, "can't be opened" in told) == (2, True)


@pytest.mark.parametrize("harm", ["half", "noise in the middle", "zeros at the start"])
def test_a_damaged_catalogue_is_told_and_left_as_it_is(remnants: Remnants, harm: str) -> None:
    stock = {
        "unit": "in",
        "pieces": [
            {"tag": f"R-{n}", "kind": "remnant", "style": "Velder", "width": 9, "length": 9, "pile": 0} for n in range(400)
        ],
    }
    remnants.ok("log", remnants.file("stock.json", stock))
    raw = bytearray(remnants.catalogue.read_bytes())
    if harm == "half":
        raw = raw[: len(raw) // 2]
    elif harm == "noise in the middle":
        raw[4096 : len(raw) - 4096] = os.urandom(len(raw) - 8192)
    else:
        raw[:200] = bytes(200)
    remnants.catalogue.write_bytes(raw)
    for words in (("verify",), ("find", "velder"), ("log", "--style", "V", "--width", "1", "--length", "1")):
        done = remnants(*words)
        assert done.code in (1, 2), (words, done)
        assert "Traceback" not in done.err
        assert done.code == 1 or "catalogue" in done.err
    assert remnants.catalogue.read_bytes()[4096:8192] == raw[4096:8192]
