"""A program that is killed at any moment of a change leaves the whole change or nothing of it, and the ledger to be trusted.

Each kind of change is first made in peace, so that the whole of it is known. Then it is begun again and again by another process,
which is killed: by its own count of what SQLite did so far, or from outside after a while. More kills, by hand:
`REMNANTS_KILLS=1000 REMNANTS_SEED=1 python -m pytest -s tests/actions/test_kills.py -n 0`.
"""

import os
import random
import shutil
import signal
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.customers import forget_customer
from remnants.actions.job_photos import add_job_photo, take_job_photo_away
from remnants.actions.keep_job import cut_job, cut_plan, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.undo import undo_last
from remnants.model import Person, Role
from remnants.store.file_catalogue import of_file
from tests.harmed import a_busy_catalogue, a_picture, fitted
from tests.stock_values import SIGNED, a_piece, a_stock

KILLS = int(os.environ.get("REMNANTS_KILLS", "40"))
SEED = int(os.environ.get("REMNANTS_SEED", "1"))

LATER = replace(SIGNED, at=SIGNED.at + timedelta(days=1))
PINE = "Pine Court 5"
CHANGES: dict[str, Callable[[Catalogue], object]] = {
    "log": lambda stock: log_pieces(stock, a_stock(*[a_piece(f"B-{n}") for n in range(3)]), signed=LATER),
    "hold": lambda stock: hold_job(stock, fitted(stock, PINE, 9, 9, "Harrow Twist"), until=LATER.at.date(), signed=LATER),
    "cut": lambda stock: cut_job(stock, "Beech Walk 1", signed=LATER),
    "cut at once": lambda stock: cut_plan(stock, fitted(stock, PINE, 9, 9, "Harrow Twist"), signed=LATER),
    "undo": lambda stock: undo_last(stock, "R-6", signed=LATER),
    "photograph the job": lambda stock: add_job_photo(
        stock, "Beech Walk 1", b"", moment="before", signed=LATER, key="k", read=lambda _: a_picture(9, 9)
    ),
    "take its photograph away": lambda stock: take_job_photo_away(stock, 1, by=Person("Maud", Role.MANAGE), signed=LATER),
    "forget": lambda stock: forget_customer(stock, "F-1", signed=LATER),
}
EVERY_STEPS = 10
"""Of SQLite's virtual machine, a killed program counts its own so many at a time."""

ROWS = {
    "entry": "number, booking, tag, act, facts, who, at, why, job, erased",
    "piece": "tag, rings, place, room, customer, stage, version, hold_job, hold_until, parent, by_who, by_at, by_why",
    "job": "name, stage, file, plan, donors, hold_until, who, at",
    "photo": "number, tag, jpeg, gone_at",
    "job_photo": "number, job, moment, sha256, jpeg, gone_at",
    "request": "key, answer",
    "customer": "reference, name, forgotten_at",
    "store_change": "number, style, pieces, area_mm2",
}
"""What tells whether a change was made; marks and salts are drawn anew each time."""


@dataclass(frozen=True)
class Made:
    """A change made in peace: what the rows say then, how many steps of SQLite's and how many seconds it took."""

    rows: tuple[object, ...]
    steps: int
    seconds: float


def told(path: Path) -> tuple[object, ...]:
    with open_catalogue(path, write=True) as catalogue:
        reads = (f"SELECT {columns} FROM {table} ORDER BY 1, 2" for table, columns in ROWS.items())
        return tuple(tuple(catalogue.execute(read).fetchall()) for read in reads)


def in_peace(name: str, sound: Path, folder: Path) -> Made:
    path = folder / "peace.db"
    shutil.copyfile(sound, path)
    counted = 0

    def count() -> int:
        nonlocal counted
        counted += 1
        return 0

    with open_catalogue(path, write=True) as catalogue:
        of_file(catalogue, instead="").conn.set_progress_handler(count, EVERY_STEPS)
        start = time.monotonic()
        CHANGES[name](catalogue)
        seconds = time.monotonic() - start
        of_file(catalogue, instead="").conn.set_progress_handler(None, 0)
    return Made(told(path), counted, seconds)


def begin(name: str, path: Path, ready: int, left: int) -> None:
    """In the process that will be killed: makes the change, and kills itself after `left` counts (0: waits to be killed)."""
    try:
        with open_catalogue(path, write=True) as catalogue:

            def count() -> int:
                nonlocal left
                left -= 1
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                return 0

            of_file(catalogue, instead="").conn.set_progress_handler(count, EVERY_STEPS)
            os.write(ready, b".")
            CHANGES[name](catalogue)
    finally:
        os._exit(0)


def killed(name: str, path: Path, made: Made, dice: random.Random) -> None:
    ready, tell = os.pipe()
    by_itself = dice.random() < 0.5
    child = os.fork()
    if child == 0:
        early = int(made.steps ** dice.random())  # what takes longest may come last, as writing the file anew does
        begin(name, path, tell, dice.choice([early, dice.randint(1, made.steps)]) if by_itself else 0)
    os.close(tell)
    os.read(ready, 1)
    os.close(ready)
    if not by_itself:
        time.sleep(dice.uniform(0, 1.2 * made.seconds))
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked process")
def test_whoever_is_killed_within_a_change_leaves_all_of_it_or_nothing(tmp_path: Path) -> None:
    sound, path = tmp_path / "sound.db", tmp_path / "stock.db"
    a_busy_catalogue(sound)
    before = told(sound)
    made = {name: in_peace(name, sound, tmp_path) for name in CHANGES}
    assert all(each.rows != before for each in made.values())
    came_to: Counter[tuple[str, bool]] = Counter()
    for seed in range(SEED, SEED + KILLS):
        dice = random.Random(seed)
        name = dice.choice(list(CHANGES))
        for left_over in tmp_path.glob("stock.db*"):
            left_over.unlink()
        shutil.copyfile(sound, path)
        killed(name, path, made[name], dice)
        now = told(path)
        assert now in (before, made[name].rows), f"{name} was half done, seed {seed}"
        with open_catalogue(path, write=False) as catalogue:
            assert verify(catalogue).faults == (), f"{name}, seed {seed}"
        came_to[name, now != before] += 1
    print(f"{KILLS} kills from seed {SEED}: {dict(came_to)}")
    assert any(not done for _, done in came_to), "somebody must have been killed before the end, or this shows nothing"
