"""A shop that is taken from a file to a store and back is the same in every row, works on in both, or was not moved at all."""

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
from remnants.actions.change_piece import move_piece
from remnants.actions.find_pieces import find_pieces
from remnants.actions.keep_job import every_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.move_catalogue import MovedShop, move_catalogue
from remnants.actions.photos import keep_picture
from remnants.errors import CatalogueUnusable, NotAllowed
from remnants.model import Person, Role
from remnants.store import people, pieces
from remnants.store.moving import copy_table, count_all, holds_rows, tables_in_order
from tests.full_shop import a_full_catalogue
from tests.happenings import PICTURE, Shop
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.store.contract.stores import FileStore, Store, rows_of
from tests.thorough import share


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> FileStore:
    return FileStore(tmp_path_factory.mktemp("files"))


@pytest.fixture(scope="module")
def full(files: FileStore) -> Path:
    """Where a file is with rows in every table; never written to."""
    at = files.new()
    a_full_catalogue(at)
    return at


@contextmanager
def quietly(words: str, rows: int) -> Iterator[Callable[[int], None]]:
    """Nobody watches; what is told must add up all the same."""
    left = [rows]

    def passed(more: int) -> None:
        left[0] -= more

    yield passed
    assert left == [0] or words.endswith("proved"), (words, left)


def moved(source: tuple[Store, Any], target: tuple[Store, Any]) -> MovedShop:
    with source[0].opened(source[1]) as one, target[0].opened(target[1]) as other:
        return move_catalogue(one, other, watch=quietly)


def test_there_and_back_every_row_of_every_table_is_the_same(store: Store, files: FileStore, full: Path) -> None:
    there, back = store.new(), files.new()
    before = rows_of(files, full)
    assert sum(map(bool, before.values())) >= 25, "tables must have rows, or this shows nothing of them"
    out = moved((files, full), (store, there))
    assert rows_of(store, there) == before
    assert (out.pieces, out.photographs, out.tables) == (8, 3, len(before))
    assert moved((store, there), (files, back)) == out
    assert rows_of(files, back) == before == rows_of(files, full)


def test_names_that_were_kept_of_the_empty_catalogue_are_not_taken_for_its_names(
    store: Store, files: FileStore, full: Path
) -> None:
    there = store.new()
    with store.opened(there) as catalogue:
        before = pieces.names_mark(catalogue)
        assert find_pieces(catalogue, "velder").standings == ()
        moved((files, full), (store, there))
        assert pieces.names_mark(catalogue) != before
        assert find_pieces(catalogue, "velder").standings


def test_whose_rows_others_refer_to_goes_first(files: FileStore, full: Path) -> None:
    with files.opened(full) as catalogue:
        order = tables_in_order(catalogue)
        for place, name in enumerate(order):
            named = {row["table"] for row in catalogue.query(f"PRAGMA foreign_key_list({name})")}
            assert named <= set(order[: place + 1]), name


def test_a_shop_works_on_where_it_came_to_and_nothing_is_numbered_twice(store: Store, files: FileStore, full: Path) -> None:
    there = store.new()
    moved((files, full), (store, there))
    with store.opened(there) as catalogue:
        seals = {row["name"]: row["seal"] for row in catalogue.query("SELECT name, seal FROM person")}
        counted = count_all(catalogue)
        log_pieces(catalogue, a_stock(a_piece("R-900")), signed=SIGNED)
        move_piece(catalogue, "R-900", "Bay 9", signed=SIGNED)
        with catalogue.atomic():
            assert keep_picture(catalogue, "R-900", PICTURE, SIGNED) == counted["photo"] + 1
            people.add_person(catalogue, Person("Newt", Role.LOOK))
        assert [found.piece.tag for found in pieces.latest(catalogue, 1)] == ["R-900"]
        assert {
            row["name"]: row["seal"] for row in catalogue.query("SELECT name, seal FROM person WHERE name <> 'Newt'")
        } == seals
        assert next(catalogue.query("SELECT length(seal) AS letters FROM person WHERE name = 'Newt'"))["letters"] == 32
        assert count_all(catalogue)["entry"] == counted["entry"] + 3
        assert verify(catalogue).faults == ()


def test_what_is_in_use_is_never_written_over(store: Store, files: FileStore, full: Path) -> None:
    there = store.new()
    with store.opened(there) as catalogue:
        people.add_person(catalogue, Person("Maud", Role.MANAGE))
    before = rows_of(store, there)
    with pytest.raises(NotAllowed, match="is in use: its table person holds rows already"):
        moved((files, full), (store, there))
    with pytest.raises(NotAllowed, match="in use"):
        moved((store, there), (store, there))
    assert rows_of(store, there) == before
    with pytest.raises(NotAllowed, match="holds nothing that could be moved"):
        moved((store, store.new()), (store, store.new()))


def test_what_is_not_sound_stays_where_it_is(store: Store, files: FileStore, full: Path) -> None:
    harmed, there = files.copy(full), store.new()
    with files.opened(harmed) as catalogue:
        catalogue.execute("UPDATE piece SET place = 'Bay 77' WHERE tag = 'R-1'")
    with pytest.raises(CatalogueUnusable, match=r"is not sound \(1 faults, such as piece R-1.*nothing was moved"):
        moved((files, harmed), (store, there))
    with store.opened(there) as catalogue:
        assert holds_rows(catalogue) == ""


def test_what_came_otherwise_than_it_was_sent_is_not_kept(
    store: Store, files: FileStore, full: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = store.new()

    def spoilt(source: Catalogue, target: Catalogue, table: str, **told: Any) -> str:
        digest = copy_table(source, target, table, **told)
        if table == "photo":
            target.execute("UPDATE photo SET across = across + 1 WHERE number = 2")
        return digest

    monkeypatch.setattr("remnants.store.moving.copy_table", spoilt)
    with pytest.raises(CatalogueUnusable, match="the table photo is not what was sent; nothing was kept"):
        moved((files, full), (store, there))
    monkeypatch.undo()
    with store.opened(there) as catalogue:
        assert holds_rows(catalogue) == ""
    moved((files, full), (store, there))
    assert rows_of(store, there) == rows_of(files, full)


@pytest.mark.parametrize("seed", [51])
def test_whatever_happened_in_a_shop_it_can_be_moved(store: Store, files: FileStore, seed: int) -> None:
    at, there, back = files.new(), store.new(), files.new()
    with files.opened(at) as catalogue:
        shop = Shop(catalogue, random.Random(seed))
        for _ in range(40):
            shop.step()
        jobs = every_job(catalogue)
    moved((files, at), (store, there))
    with store.opened(there) as catalogue:
        assert every_job(catalogue) == jobs
        shop.catalogue = catalogue
        for _ in range(15):
            shop.step()
        assert verify(catalogue).faults == ()
    moved((store, there), (files, back))
    assert rows_of(files, back) == rows_of(store, there)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked process")
def test_a_move_that_is_killed_left_nothing_or_all_and_can_be_made_again(store: Store, files: FileStore, full: Path) -> None:
    before, dice, ended = rows_of(files, full), random.Random(9), set()
    start = time.monotonic()
    moved((files, full), (store, store.new()))
    took = time.monotonic() - start
    for _ in range(share(18)):
        there = store.new()
        child = os.fork()
        if child == 0:
            with suppress(BaseException):
                moved((files, full), (store, there))
            os._exit(0)
        time.sleep(dice.uniform(0, 1.1 * took))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with store.opened(there) as catalogue:
            whole = bool(holds_rows(catalogue))
        ended.add(whole)
        if not whole:
            moved((files, full), (store, there))
        assert rows_of(store, there) == before
        assert rows_of(files, full) == before
    assert False in ended, "one must have been killed before its end, or this shows nothing"
