"""Killed at any moment: what was told as done is there, and nothing is half done.

A writer in a process of its own says after each change that it is done. It is killed after a while that nobody chose.
More, by hand: `REMNANTS_KILLS=300 REMNANTS_SEED=1 python -m pytest -n 0 tests/store/contract/test_kills.py`.
"""

import os
import random
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest

from remnants.actions import Catalogue
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.keep_job import cut_job, hold_job, release_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture
from remnants.actions.undo import undo_last
from remnants.ledger import Act, Signed
from remnants.model.customer import Customer
from remnants.store import ledger, pieces
from tests.happenings import PICTURE
from tests.harmed import fitted
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store
from tests.thorough import share

KILLS = int(os.environ.get("REMNANTS_KILLS", str(share(36))))
SEED = int(os.environ.get("REMNANTS_SEED", "1"))
UNTIL = SIGNED.at.date()
STYLES = (a_style(repeat=None, row_mm=None), a_style("Heath", repeat=None, row_mm=None))

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked writer")


def let_go(catalogue: Catalogue, signed: Signed) -> None:
    """Lets go of what the writer before held and was killed before it cut: nothing else could be held or cut any more."""
    hold = pieces.standings_tagged(catalogue, ["R-1"])["R-1"].hold
    if hold:
        release_job(catalogue, hold.job, signed=signed)


def changes(catalogue: Catalogue, life: int) -> Iterator[str]:
    """Changes without end, each told once it is done: three pieces and a photograph, a hold, its cut, that taken back."""
    signed = replace(SIGNED, who=f"life {life}")
    let_go(catalogue, signed)
    for turn in range(100_000):
        name = f"{life}-{turn}"
        with catalogue.atomic():
            log_pieces(catalogue, a_stock(*(a_piece(f"B-{name}-{n}", 9, 9) for n in "abc"), styles=STYLES), signed=signed)
            keep_picture(catalogue, f"B-{name}-b", PICTURE, signed)
        yield f"came {name}"
        hold_job(catalogue, fitted(catalogue, f"House {name}", 8, 8, "Heath"), until=UNTIL, signed=signed)
        yield f"held {name}"
        cut_job(catalogue, f"House {name}", signed=signed)
        yield f"cut {name}"
        undo_last(catalogue, "R-1", signed=signed)
        yield f"undone {name}"
        if turn % 4 == 1:
            put_customer(catalogue, Customer(f"F-{name}", "Somebody"), signed=signed)
            forget_customer(catalogue, f"F-{name}", signed=signed)


def write_until_killed(store: Store, at: Any, life: int, tell: int) -> None:
    """In the process that will be killed; never returns to the test."""
    with suppress(BaseException), store.opened(at) as catalogue:
        os.write(tell, b"open\n")
        for word in changes(catalogue, life):
            os.write(tell, f"{word}\n".encode())
    os._exit(1)


def a_life(store: Store, at: Any, life: int, dice: random.Random) -> list[str]:
    """What a writer told as done before it was killed."""
    hear, tell = os.pipe()
    child = os.fork()
    if child == 0:
        write_until_killed(store, at, life, tell)
    os.close(tell)
    with os.fdopen(hear, encoding="utf-8") as told:
        assert told.readline() == "open\n", "the writer could not open the catalogue"
        done = [told.readline() for _ in range(dice.randint(0, 5))]
        time.sleep(dice.uniform(0, 0.03))
        store.strike(child, dice)
        os.waitpid(child, 0)
        return [line.strip() for line in [*done, *told] if line.endswith("\n")]


def whole(catalogue: Catalogue, done: list[str]) -> None:
    """Each told change is there, and of each change all or nothing."""
    assert verify(catalogue).faults == ()
    batches: dict[str, set[str]] = {}
    for tag in pieces.all_tags(catalogue):
        if tag.startswith("B-"):
            _, life, turn, letter = tag.split("-")
            batches.setdefault(f"{life}-{turn}", set()).add(letter)
    assert all(letters == set("abc") for letters in batches.values()), "three pieces are logged together, or none of them"
    (photos,) = catalogue.execute("SELECT count(*) FROM photo").fetchone()
    assert photos == len(batches), "and with their photograph"
    acts = [(entry.act, entry.signed.job) for entry in ledger.entries_of(catalogue, "R-1")]
    taken_back = sum(act is Act.UNDONE for act, _ in acts)
    for word in done:
        what, _, name = word.partition(" ")
        assert what != "came" or name in batches, word
        assert what != "held" or (Act.HELD, f"House {name}") in acts, word
        assert what != "cut" or (Act.CUT, f"House {name}") in acts, word
    assert taken_back >= sum(word.startswith("undone") for word in done)


def test_a_writer_that_is_killed_leaves_what_it_told_and_nothing_half_done(store: Store) -> None:
    at, done = store.new(), list[str]()
    with store.opened(at) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-1", 60, 90, style="Heath"), styles=STYLES), signed=SIGNED)
    for life in range(SEED, SEED + KILLS):
        done += a_life(store, at, life, random.Random(life))
        with store.opened(at) as catalogue:
            whole(catalogue, done)
    assert len(done) > KILLS, "the writer must have got to write, or this shows nothing"
