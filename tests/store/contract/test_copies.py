"""A copy of any store is a file that holds the same in every row, of one moment, and appears whole or not at all."""

import os
import random
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import Catalogue
from remnants.actions.keep_safe import back_up, verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.move_catalogue import move_catalogue
from remnants.errors import CatalogueUnusable
from remnants.store import pieces
from remnants.store.moving import copy_table
from tests.full_shop import a_full_catalogue
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.store.contract.stores import FileStore, Store, rows_of
from tests.thorough import share


@pytest.fixture(scope="module")
def full(store: Store) -> Any:
    """Where a catalogue is with rows in every table; never written to."""
    at = store.new()
    a_full_catalogue(at)
    return at


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where this machine keeps what belongs to a server's catalogue."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state"


def copied(store: Store, at: Any, path: Path, **told: Any) -> int:
    with store.opened(at, write=False) as catalogue:
        return back_up(catalogue, path, **told)


def test_a_copy_holds_every_row_is_sound_and_goes_back_into_a_new_catalogue(store: Store, full: Any, tmp_path: Path) -> None:
    files, copy, again = FileStore(tmp_path), tmp_path / "copy.db", store.new()
    seen: dict[str, int] = {}

    @contextmanager
    def watch(words: str, total: int) -> Iterator[Callable[[int], None]]:
        left = [total]

        def passed(more: int) -> None:
            left[0] -= more

        yield passed
        seen[words] = left[0]

    assert copied(store, full, copy, watch=watch) == copy.stat().st_size
    assert seen and not any(seen.values()), "what is told of it must add up"
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["copy.db"]
    assert copy.stat().st_mode & 0o077 == 0
    before = rows_of(store, full)
    assert sum(map(bool, before.values())) >= 25, "tables must have rows, or this shows nothing of them"
    assert rows_of(files, copy) == before
    with files.opened(copy) as opened:
        assert verify(opened).faults == ()
        with store.opened(again) as other:
            move_catalogue(opened, other, watch=watch)
    assert rows_of(store, again) == before == rows_of(store, full)


def test_a_copy_is_of_one_moment_whoever_writes_meanwhile(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    at, files = store.new(), FileStore(tmp_path)
    wrote: list[str] = []
    with store.opened(at) as catalogue:
        log_pieces(catalogue, a_stock(*[a_piece(f"A-{number}") for number in range(300)]), signed=SIGNED)

    def write(source: Catalogue, target: Catalogue, table: str, **told: Any) -> str:
        if table in ("style", "piece", "entry"):
            with store.opened(at) as other:
                log_pieces(other, a_stock(a_piece(f"B-{len(wrote)}")), signed=SIGNED)
            wrote.append(table)
        return copy_table(source, target, table, **told)

    monkeypatch.setattr("remnants.store.moving.copy_table", write)
    copied(store, at, tmp_path / "copy.db")
    assert len(wrote) == 3 or isinstance(store, FileStore), "of a file SQLite's own copy sees to it"
    with files.opened(tmp_path / "copy.db") as copy:
        assert verify(copy).faults == ()
        assert len(pieces.all_tags(copy)) == 300
    with store.opened(at, write=False) as catalogue:
        assert len(pieces.all_tags(catalogue)) == 300 + len(wrote)


def test_what_came_otherwise_than_it_was_sent_or_finds_no_place_leaves_nothing(
    store: Store, full: Any, tmp_path: Path, state: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(CatalogueUnusable, match=r"the folder .* does not exist; make it first"):
        copied(store, full, tmp_path / "none" / "copy.db")
    if isinstance(store, FileStore):
        return

    def spoilt(source: Catalogue, target: Catalogue, table: str, **told: Any) -> str:
        digest = copy_table(source, target, table, **told)
        if table == "style":
            target.execute("UPDATE style SET backing_material = 'another'")
        return digest

    monkeypatch.setattr("remnants.store.moving.copy_table", spoilt)
    with pytest.raises(CatalogueUnusable, match=r"copy\.db: what came in the table style is not what was sent; nothing was kept"):
        copied(store, full, tmp_path / "copy.db")
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked process")
def test_a_copy_that_is_killed_is_whole_or_not_there_and_leaves_nothing_for_long(store: Store, full: Any, tmp_path: Path) -> None:
    before, dice, ended, files = rows_of(store, full), random.Random(7), set(), FileStore(tmp_path)
    start = time.monotonic()
    copied(store, full, tmp_path / "timed.db")
    took = time.monotonic() - start
    for number in range(share(24)):
        path = tmp_path / f"copy-{number}.db"
        child = os.fork()
        if child == 0:
            with suppress(BaseException):
                copied(store, full, path)
            os._exit(0)
        time.sleep(dice.uniform(0, 0.9 * took))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        ended.add(path.exists())
        if path.exists():
            assert rows_of(files, path) == before
    assert False in ended, "one must have been killed before its end, or this shows nothing"
    copied(store, full, tmp_path / "last.db")
    assert rows_of(files, tmp_path / "last.db") == before
    assert not list(tmp_path.glob(".*")), "what the killed ones left is cleared"
