"""`remnants verify` on catalogues that were harmed: never a traceback, and what is no longer true is named.

More harms, by hand: `REMNANTS_HARMS=3000 REMNANTS_SEED=7 python -m pytest tests/test_cli_verify_harm.py`.
"""

import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from remnants.ledger.chain import CHAINED
from remnants.store.rows import STANDING_COLUMNS
from tests.commands import Remnants
from tests.damage import damaged
from tests.harmed import KEYS, Harm, a_busy_catalogue, done_behind, harm_to
from tests.thorough import few, some

MANY = int(os.environ.get("REMNANTS_HARMS", few(120)))
SEED = int(os.environ.get("REMNANTS_SEED", "1"))

PIECE = tuple(column for column in STANDING_COLUMNS if column != "touched")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sound") / "stock.db"
    a_busy_catalogue(path)
    return path


def told(remnants: Remnants, *harms: Harm, sound: Path) -> str:
    """What verify says of the harmed catalogue, which it must not find well."""
    done_behind(sound, remnants.catalogue, *harms)
    done = remnants("verify")
    assert done.code in (1, 2), (harms, done.out)
    assert "all is well" not in done.out and "restore" in done.out + done.err, (harms, done)
    return done.out + done.err


def look_up(path: Path, sql: str) -> list[tuple[str, ...]]:
    with closing(sqlite3.connect(path)) as look:
        return look.execute(sql).fetchall()


def test_the_busy_catalogue_is_sound(remnants: Remnants, sound: Path) -> None:
    shutil.copyfile(sound, remnants.catalogue)
    assert remnants.ok("verify").endswith("entries: all is well\n")


CHECKED = {
    "piece": PIECE,
    "entry": (*CHAINED, "salts", "digest"),
    "job": ("name", "stage", "file", "plan", "donors", "hold_until"),
    "photo": ("number", "tag", "jpeg", "who", "at", "gone_at"),
}
"""What other rows tell too: a change of it can't stay hidden."""


@pytest.mark.parametrize("table", CHECKED)
def test_a_row_that_was_changed_is_named(remnants: Remnants, sound: Path, table: str) -> None:
    for seed in range(SEED, SEED + MANY):
        harm = harm_to(sound, table, CHECKED[table], random.Random(seed))
        said = told(remnants, harm, sound=sound)
        assert any(name in said for name in harm.names), (seed, harm, said)


@pytest.mark.parametrize("table", ["piece", "entry", "photo", "job"])
def test_a_row_that_went_is_missed(remnants: Remnants, sound: Path, table: str) -> None:
    key, tag = KEYS[table], "name" if table == "job" else "tag"
    names = look_up(sound, f"SELECT {key}, {tag} FROM {table}" + (" WHERE stage <> 'released'" if table == "job" else ""))
    for name, called in names[:5] if table == "entry" else names:
        said = told(remnants, Harm(f"DELETE FROM {table} WHERE {key} = ?", (name,), ()), sound=sound)
        assert called in said


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        (
            "UPDATE job SET stage = 'cut', hold_until = NULL WHERE name = 'Beech Walk 1'",
            "Beech Walk 1: it is cut; by entry 15 (held by Ana for Beech Walk 1 on 5 May 2031, 14:20 UTC) R-1 is not cut for it",
        ),
        (
            "UPDATE job SET stage = 'released', hold_until = NULL WHERE name = 'Beech Walk 1'",
            "job Beech Walk 1: it is released; by entry 15 R-1 is still held for it",
        ),
        (
            "UPDATE job SET stage = 'held', hold_until = '2031-05-06' WHERE name = 'Oak Yard 9'",
            "job Oak Yard 9: it is held; by entry 17 R-2 was released",
        ),
        (
            "UPDATE job SET stage = 'held', hold_until = '2031-05-06', donors = '{\"R-1\": 15}' WHERE name = 'Oak Yard 9'",
            "job Oak Yard 9: it names entry 15 of R-1, which was for Beech Walk 1",
        ),
        (
            "UPDATE job SET stage = 'released' WHERE name = 'Ash Hill 4'",
            "job Ash Hill 4: it is released; by entry 13 (cut by Ana for Ash Hill 4 on 5 May 2031, 14:20 UTC) R-6 was cut for it",
        ),
        ("UPDATE job SET donors = '{}' WHERE name = 'Ash Hill 4'", "job Ash Hill 4: R-6 is cut by its plan and no donor of it"),
        (
            "UPDATE job SET hold_until = '2031-06-01' WHERE stage = 'held'",
            "its hold ends on 1 Jun 2031; by its entries it should end on 6 May 2031",
        ),
        ("DELETE FROM job WHERE name = 'Beech Walk 1'", "piece R-1: is held for the job 'Beech Walk 1', which is not there"),
        ("DELETE FROM job WHERE name = 'Ash Hill 4'", "entry 13 of R-6, cut: was for the job 'Ash Hill 4', which is not there"),
        (
            "INSERT INTO entry (number, booking, tag, act, facts, who, at, why, job) VALUES (99, 99, 'R-1', 'held',"
            " '{\"job\":\"Oak Yard 9\",\"until\":\"2031-05-06\"}', 'Ana', '2031-05-05T15:00:00Z', '', 'Oak Yard 9')",
            "R-1 is held for Beech Walk 1 until 6 May 2031 (by Ana for Beech Walk 1 on 5 May 2031, 14:20 UTC): it can't be",
        ),
        (
            "UPDATE photo SET jpeg = x'ffd8' WHERE number = 2",
            "photograph 2: its file (2 bytes) is not the one that was put there",
        ),
        (
            "UPDATE photo SET jpeg = NULL WHERE number = 2",
            "photograph 2: its file is missing, and no entry says that it was taken",
        ),
        (
            "UPDATE photo SET jpeg = x'ff', gone_at = NULL WHERE number = 1",
            "photograph 1: its file is there; by entry 22 it was tak",
        ),
        (
            "UPDATE photo SET across = 4000 WHERE number = 2",
            "photograph 2: it is 4000 x 7 pixels by its row and 9 x 7 by its file",
        ),
        ("DELETE FROM photo WHERE number = 2", "entry 21 of R-4, photographed: tells of a photograph that is not there"),
        (
            "INSERT INTO photo (number, tag, jpeg, across, down, who, at) VALUES (3, 'R-1', x'ffd8', 8, 8, 'Ana', '2031')",
            "photograph 3: no entry of R-1 tells of it",
        ),
        ("UPDATE store_change SET pieces = 2 WHERE number = 7", "style Marl Plain: 2 pieces of"),
        (
            "UPDATE piece SET place = 'Bay 7' WHERE tag = 'R-5'",
            "piece R-5: place is 'Bay 7'; by its entries it should be 'Bay 4'",
        ),
    ],
)
def test_jobs_photographs_and_places_are_held_against_their_entries(remnants: Remnants, sound: Path, sql: str, said: str) -> None:
    assert said in told(remnants, Harm(sql, (), ()), sound=sound)


def test_what_should_be_and_what_to_do_are_told(remnants: Remnants, sound: Path) -> None:
    harm = Harm("UPDATE piece SET place = 'Bay 9', worn = NULL WHERE tag = 'R-1'", (), ())
    said = told(remnants, harm, sound=sound).splitlines()
    assert said[1:4] == [
        "piece R-1: `worn` is missing",
        "piece R-1: place is 'Bay 9'; by its entries it should be 'Bay 3'",
        "piece R-1: wear is nothing; by its entries it should be 0",
    ]
    assert said[-1].startswith("What to do: restore the newest sound backup with `remnants restore FILE`")


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("UPDATE entry SET facts = '{' WHERE number = 3", "entry 3 of R-3, received: can't be read"),
        ("UPDATE entry SET who = NULL WHERE number = 3", "entry 3: `who` is missing"),
        (
            "UPDATE entry SET booking = 'x' WHERE number = 3",
            "entry 3: `booking` is 'x', a TEXT where an INTEGER belongs",
        ),
        ("UPDATE entry SET act = 'stolen' WHERE number = 3", "entry 3: `act` is 'stolen' against the rule"),
        ("UPDATE entry SET tag = 'R-99' WHERE number = 3", "entry 3: refers to the piece 'R-99', which is not there"),
        ("UPDATE style SET construction = 'felt'", "style Velder Loop: `construction` is 'felt' against the rule"),
        ("UPDATE customer SET may_call = 7", "customer F-1: `may_call` is 7 against the rule"),
        ("UPDATE piece SET tag = NULL WHERE tag = 'R-2'", "piece R-2: has entries and is not there: it should be in stock"),
        ("DROP TRIGGER IF EXISTS entries_stay", "the guard entries_stay"),
        ("DROP TABLE photo", "table photo: is missing from the file"),
        ("DROP INDEX entry_by_tag", "index entry_by_tag: is missing from the file"),
        ("DELETE FROM migration", "tables are not those"),
        ("DELETE FROM migration WHERE number = 3", "step 3: is not recorded"),
        ("UPDATE migration SET number = 99 WHERE number = 3", "newer version"),
    ],
)
def test_each_kind_of_harm_is_told_in_words(remnants: Remnants, sound: Path, sql: str, said: str) -> None:
    shutil.copyfile(sound, remnants.catalogue)
    if "TRIGGER" in sql:
        with closing(sqlite3.connect(remnants.catalogue, isolation_level=None)) as file:
            file.execute(sql)
        assert "guard entries_stay: is missing from the file" in remnants("verify").out
        return
    done_behind(sound, remnants.catalogue, Harm(sql, (), ()))
    done = remnants("verify")
    assert done.code in (1, 2)
    assert said in done.out + done.err


def test_pages_that_were_lost_or_flipped_end_in_words(remnants: Remnants, sound: Path) -> None:
    """Whatever bytes are harmed, the answer is words and an exit code; a page full of zeros is never found well."""
    whole = sound.read_bytes()
    for seed in range(SEED, SEED + MANY):
        remnants.catalogue.write_bytes(damaged(whole, random.Random(seed)))
        assert remnants("verify").code in (0, 1, 2), seed
    for page in some(range(1, len(whole) // 4096)):
        raw = bytearray(whole)
        raw[page * 4096 : (page + 1) * 4096] = bytes(4096)
        remnants.catalogue.write_bytes(raw)
        done = remnants("verify")
        assert done.code in (1, 2), (page, done)
        assert "restore" in done.out + done.err, (page, done)


def test_more_faults_than_anybody_reads_are_counted(remnants: Remnants, sound: Path) -> None:
    said = told(remnants, Harm("UPDATE piece SET " + ", ".join(f"{column} = NULL" for column in PIECE[1:]), (), ()), sound=sound)
    assert "piece R-1: `kind` is missing" in said
