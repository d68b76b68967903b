"""A catalogue in which much has happened, and harm done to its rows behind the ledger's back."""

import random
import re
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

from remnants.actions import CatalogueAt, open_catalogue
from remnants.actions.booking import standing_of
from remnants.actions.change_piece import correct_piece, discard_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import put_customer
from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.job_photos import keep_job_picture
from remnants.actions.keep_job import cut_job, cut_plan, hold_job, release_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import keep_picture, take_photo_away
from remnants.actions.undo import undo_last
from remnants.geometry import rectangle
from remnants.model import Allowance, Finish, Job, Kind, Patch, Wanted
from remnants.model.customer import Customer
from remnants.model.patch import MayUse
from remnants.model.picture import Moment, Picture
from remnants.store import Catalogue
from tests.stock_values import IN, SIGNED, a_piece, a_stock, a_style

__all__ = ["KEYS", "Harm", "a_busy_catalogue", "a_picture", "done_behind", "fitted", "harm_to"]

BROKEN = re.compile(r"(?<!IS) NOT NULL|\bSTRICT\b,?")


def a_picture(across: int, down: int) -> Picture:
    """A plain photograph of that size in pixels."""
    file = BytesIO()
    Image.new("RGB", (across, down)).save(file, "JPEG")
    return Picture(file.getvalue(), across, down)


def a_busy_catalogue(path: CatalogueAt) -> None:
    """Entries of every kind: odd pieces, a loan, holds, cuts, one taken back, photographs, a count.

    Each job has a carpet of its own, so that its plan cuts a known piece.
    """
    day = timedelta(days=1)
    later = [replace(SIGNED, at=SIGNED.at + n * day, why=f"reason {n}") for n in range(12)]
    notched = [(0, 0), (90, 0), (90, 70), (50, 70), (50, 100), (0, 100)]
    forked = [(0, 0), (80, 0), (80, 80), (56, 80), (56, 20), (24, 20), (24, 80), (0, 80)]
    with open_catalogue(path, write=True) as catalogue:
        put_customer(catalogue, Customer("F-1", "A person of the tests"), signed=SIGNED)
        known = [
            a_piece("R-1", 60, 120),
            a_piece("R-2", outline=notched, pile_deg=90, worn=1, style="Moss Cord"),
            a_piece("R-3", 30, 30, place="Bay 4", lot="9", motif=(30.0, 40.0), style="Fen Stripe"),
            a_piece("K-1", 50, 50, kind=Kind.KEPT, place="attic", room="north", customer="F-1", style="Attic Weave"),
            a_piece("R-4", 45, 61, place="Bay 4", style="Harrow Twist"),
            a_piece("R-5", 45, 45, place="Bay 5", style="Harrow Twist"),
            a_piece("R-6", outline=forked, style="Marl Plain"),
        ]
        plain = [a_style(name, repeat=None, row_mm=None) for name in dict.fromkeys(piece.style for piece in known)]
        log_pieces(catalogue, a_stock(*known, styles=plain), signed=SIGNED)
        until = SIGNED.at.date() + 3 * day
        hold_job(catalogue, fitted(catalogue, "Fir Lane 2", 20, 20, "Fen Stripe"), until=until, signed=later[0])
        cut_job(catalogue, "Fir Lane 2", signed=later[1])
        cut_plan(catalogue, fitted(catalogue, "Alder Court 7", 30, 30, "Attic Weave"), signed=later[1])
        (donor,) = fitted(catalogue, "Elm Row 3", 26, 26).versions
        cut_plan(catalogue, fitted(catalogue, "Elm Row 3", 26, 26), signed=later[2])
        undo_last(catalogue, donor, signed=later[2])
        cut_plan(catalogue, fitted(catalogue, "Ash Hill 4", 80 - 50 / IN, 20 - 50 / IN, "Marl Plain"), signed=later[2])
        hold_job(catalogue, fitted(catalogue, "Beech Walk 1", 12, 12), until=until, signed=later[2])
        hold_job(catalogue, fitted(catalogue, "Oak Yard 9", 40, 40, "Moss Cord"), until=until, signed=later[2])
        release_job(catalogue, "Oak Yard 9", signed=later[3])
        move_piece(catalogue, "R-5", "cellar", room="south", customer="F-1", signed=later[4])
        move_piece(catalogue, "R-5", "Bay 5", signed=later[5])
        with catalogue.atomic():
            first = keep_picture(catalogue, "R-5", a_picture(8, 6), later[5])
            keep_picture(catalogue, "R-4", a_picture(9, 7), later[5])
            keep_job_picture(catalogue, 5, a_picture(7, 9), moment=Moment.BEFORE, words="as it was", signed=later[5])
        take_photo_away(catalogue, first, signed=later[6])
        book_count(catalogue, count_place(catalogue, "Bay 4", ["R-5"]), signed=later[6])
        four = standing_of(catalogue, "R-4")
        correct_piece(catalogue, replace(four.piece, colour="Slate"), expected=four.version, signed=later[7])
        discard_piece(catalogue, "R-4", signed=later[8])


def fitted(catalogue: Catalogue, job: str, width: float, length: float, style: str = "Velder Loop") -> Fitted:
    """A plan for one patch (in), from whatever carpet there is."""
    ring = rectangle(width * IN, length * IN).ring
    patch = Patch("hall", ring, 0.0, (Finish.SEAM,) * 4, Wanted(style))
    asked = Job(job, (patch,), Allowance(25.0), 50.0, may_use=frozenset(MayUse))
    return fit_job(catalogue, asked, today=SIGNED.at.date())


@dataclass(frozen=True)
class Harm:
    """Done to a row; the row is called by any of `names`."""

    sql: str
    values: tuple[Any, ...]
    names: tuple[str, ...]


KEYS = {"piece": "tag", "entry": "number", "photo": "number", "job": "name"}
WORDS = {"photo": "photograph"}
NONSENSE: tuple[Any, ...] = (None, "nonsense", "", "{", '{"a":', "[[", -7, 0, 10**15, 3.25, 1e300, b"\x00\xff", "1e999", "\u0000")


def harm_to(path: Path, table: str, columns: tuple[str, ...], dice: random.Random) -> Harm:
    """One of these columns of a random row is something else: nothing, nonsense, of another type, another row's value."""
    key = KEYS[table]
    with closing(sqlite3.connect(path)) as look:
        rows = look.execute(f"SELECT {key}, tag FROM {table}" if table != "job" else "SELECT name, name FROM job").fetchall()
        name, tag = dice.choice(rows)
        column = dice.choice(columns)
        (now,) = look.execute(f"SELECT {column} FROM {table} WHERE {key} = ?", [name]).fetchone()
        others = [other for (other,) in look.execute(f"SELECT DISTINCT {column} FROM {table}") if column != key]
    likely = [*NONSENSE, *others, *others, *([now[: len(now) // 2], now + "x"] if isinstance(now, str) else [])]
    if (table, column) in {("photo", "number"), ("entry", "number")}:
        likely = [-7, 0, 10**15]  # SQLite itself keeps such a column to whole numbers
    value = dice.choice([other for other in likely if not same(other, now)])
    names = (f"{WORDS.get(table, table)} {name}", str(tag))
    return Harm(f"UPDATE {table} SET {column} = ? WHERE {key} = ?", (value, name), names)


def same(one: object, other: object) -> bool:
    """Whether two values of rows tell the same: an area to the square millimetre."""
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= 1
    return (type(one), one) == (type(other), other)


def done_behind(sound: Path, harmed: Path, *harms: Harm) -> None:
    """A copy of a catalogue with harm done to it that no rule of its tables held back; the rules stand as before."""
    shutil.copyfile(sound, harmed)
    with closing(sqlite3.connect(harmed, isolation_level=None)) as file:
        plan = file.execute("SELECT rowid, type, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
        guards = [sql for _, kind, sql in plan if kind == "trigger"]
        for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            file.execute(f"DROP TRIGGER {name}")
        _write_plan(file, [(BROKEN.sub("", sql), number) for number, kind, sql in plan if kind == "table"])
    with closing(sqlite3.connect(harmed, isolation_level=None)) as file:
        file.execute("PRAGMA ignore_check_constraints = ON")
        for harm in harms:
            file.execute(harm.sql, harm.values)
        _write_plan(file, [(sql, number) for number, kind, sql in plan if kind == "table"])
    with closing(sqlite3.connect(harmed, isolation_level=None)) as file:
        for guard in guards:
            file.execute(guard)
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _write_plan(file: sqlite3.Connection, texts: list[tuple[str, int]]) -> None:
    file.execute("PRAGMA writable_schema = ON")
    file.executemany("UPDATE sqlite_master SET sql = ? WHERE rowid = ?", texts)
    file.execute("PRAGMA writable_schema = RESET")
