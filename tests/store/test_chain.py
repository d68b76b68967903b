"""The chain of entries: what was changed, taken out, put in or elsewhere is named by its place; forgetting leaves it whole."""

import hashlib
import json
import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.customers import forget_customer
from remnants.actions.keep_safe import verify
from remnants.ledger.chain import CHAINED, digest_of, erased_salts, linked
from remnants.store import chaining, migrations
from remnants.store.file_catalogue import FileCatalogue, of_file
from tests.harmed import Harm, a_busy_catalogue, done_behind
from tests.stock_values import SIGNED
from tests.thorough import some

MOVED = {
    "number": 7,
    "booking": 7,
    "tag": "R-1",
    "act": "moved",
    "facts": '{"place":"attic","room":"","customer":"F-1"}',
    "who": "Ana",
    "at": "2031-05-03T14:20:00Z",
    "why": "lent",
    "job": "",
}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sound") / "stock.db"
    a_busy_catalogue(path)
    return path


@pytest.fixture
def catalogue(sound: Path, tmp_path: Path) -> Iterator[Catalogue]:
    shutil.copyfile(sound, tmp_path / "stock.db")
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        yield opened


def faults(path: Path) -> list[str]:
    with open_catalogue(path, write=False) as catalogue:
        return [str(fault) for fault in verify(catalogue).faults]


def after(sound: Path, tmp_path: Path, sql: str, *values: object) -> list[str]:
    done_behind(sound, tmp_path / "harmed.db", Harm(sql, values, ()))
    return faults(tmp_path / "harmed.db")


def numbers(sound: Path) -> list[int]:
    with closing(sqlite3.connect(sound)) as look:
        return [number for (number,) in look.execute("SELECT number FROM entry ORDER BY number")]


def test_the_digest_of_an_entry_is_the_same_for_ever() -> None:
    """Worked out apart, by the words of docs/explanation/ledger.md: a change of it would break every chain there is."""
    salts = {path: letter * 32 for path, letter in (("place", "a"), ("customer", "b"), ("why", "c"))}
    covers = {
        path: {"salted": hashlib.sha256(f'{salts[path]}"{word}"'.encode()).hexdigest()}
        for path, word in (("place", "attic"), ("customer", "F-1"), ("why", "lent"))
    }
    facts = {"customer": covers["customer"], "place": covers["place"], "room": ""}
    content = ["ab", 7, 7, "R-1", "moved", facts, "Ana", "2031-05-03T14:20:00Z", covers["why"], ""]
    said = json.dumps(content, separators=(",", ":")).encode()
    assert digest_of("ab", MOVED, salts) == hashlib.sha256(said).hexdigest()
    assert digest_of("ab", MOVED, salts) == "7e2124845029d72d9295cce486090d741b4f09b86d71e9a41a5fef4420109fb5"


def test_each_salt_is_new_and_what_is_empty_has_none() -> None:
    letters = iter("abc")
    salts, digest = linked("ab", MOVED, lambda: next(letters) * 32)
    assert salts == {"place": "a" * 32, "customer": "b" * 32, "why": "c" * 32}
    assert digest == digest_of("ab", MOVED, salts)


def test_erasing_words_keeps_the_digest_and_drops_their_salts_alone() -> None:
    salts = {"place": "a" * 32, "customer": "b" * 32, "why": "c" * 32}
    facts = '{"place":"erased","room":"","customer":"F-1"}'
    left = erased_salts(MOVED, salts, facts=facts, why="")
    assert left["customer"] == salts["customer"]
    assert {len(left["place"]), len(left["why"])} == {64}
    assert digest_of("ab", {**MOVED, "facts": facts, "why": ""}, left) == digest_of("ab", MOVED, salts)
    assert erased_salts({**MOVED, "facts": facts, "why": ""}, left, facts=facts, why="") == left, "erased once is erased"


@pytest.mark.parametrize("column", CHAINED)
def test_whatever_of_an_entry_is_changed_its_place_is_named(sound: Path, tmp_path: Path, column: str) -> None:
    changes = {
        "number": "number + 100",
        "booking": "1",
        "tag": "'R-1'",
        "act": "'discarded'",
        "facts": "json_set(facts, '$.more', 1)",
        "at": "'2031-05-03T14:21:00Z'",
    }
    for number in some(numbers(sound)[7:], begin=CHAINED.index(column)):
        changed = changes.get(column, f"{column} || 'x'")
        told = after(sound, tmp_path, f"UPDATE entry SET {column} = {changed} WHERE number = ? AND {column} <> {changed}", number)
        named = number + 100 if column == "number" else number
        with closing(sqlite3.connect(tmp_path / "harmed.db")) as look:
            (same,) = look.execute("SELECT count(*) FROM entry WHERE number = ?", [named]).fetchone()
        if not told:
            with closing(sqlite3.connect(tmp_path / "harmed.db")) as look, closing(sqlite3.connect(sound)) as was:
                assert look.execute("SELECT * FROM entry").fetchall() == was.execute("SELECT * FROM entry").fetchall()
            continue
        assert same and any(line.startswith(f"entry {named} of ") and "not as it was written" in line for line in told), told


def test_an_entry_that_was_taken_out_is_named(sound: Path, tmp_path: Path) -> None:
    all_numbers = numbers(sound)
    for number in all_numbers[:-1]:
        told = after(sound, tmp_path, "DELETE FROM entry WHERE number = ?", number)
        gone = f"entry {number}: is not there, and what comes after doesn't go on from what comes before"
        assert gone in told, (number, told)
    told = after(sound, tmp_path, "DELETE FROM entry WHERE number BETWEEN 4 AND 6")
    assert "each entry from 4 to 6: is not there, and what comes after doesn't go on from what comes before" in told


def test_the_last_entry_is_missed_by_the_piece_that_it_was_of(sound: Path, tmp_path: Path) -> None:
    last = numbers(sound)[-1]
    told = after(sound, tmp_path, "DELETE FROM entry WHERE number = ?", last)
    assert any(f"last entry is {last}; by its entries it should be" in line for line in told)


def test_an_entry_that_was_put_in_is_named(sound: Path, tmp_path: Path) -> None:
    put = (
        "INSERT INTO entry (number, booking, tag, act, facts, who, at, why, job) SELECT max(number) + 1, max(number) + 1, 'R-2',"
        " 'counted', '{\"place\":\"Bay 3\",\"seen\":true}', 'Ana', '2031-06-01T10:00:00Z', '', '' FROM entry"
    )
    told = after(sound, tmp_path, put)
    number = numbers(sound)[-1] + 1
    assert f"entry {number} of R-2, counted: has no digest: it was put in from outside, or its digest was taken out" in told


def test_entries_that_changed_places_are_named(sound: Path, tmp_path: Path) -> None:
    swap = "UPDATE entry SET number = CASE number WHEN 18 THEN -19 ELSE -18 END WHERE number IN (18, 19)"
    done_behind(
        sound, tmp_path / "harmed.db", Harm(swap, (), ()), Harm("UPDATE entry SET number = -number WHERE number < 0", (), ())
    )
    told = faults(tmp_path / "harmed.db")
    assert {line.split(" of ")[0] for line in told if "not as it was written" in line} >= {"entry 18", "entry 19"}


def test_who_writes_a_digest_anew_too_is_found_at_the_next_entry(sound: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(sound)) as look:
        look.row_factory = sqlite3.Row
        (before,) = look.execute("SELECT hex(digest) FROM entry WHERE number = 17").fetchone()
        row = dict(look.execute("SELECT * FROM entry WHERE number = 18").fetchone())
    forged = digest_of(before.lower(), {**row, "who": "Bo"}, json.loads(row["salts"]))
    told = after(sound, tmp_path, "UPDATE entry SET who = 'Bo', digest = ? WHERE number = 18", bytes.fromhex(forged))
    assert [line for line in told if "written" in line] == [
        "entry 19 of R-5, moved: is not as it was written, or what stood before it is not"
    ]


def words_of(row: sqlite3.Row) -> set[str]:
    return set(re.findall(r"attic|north|cellar|south|F-1|reason \d+", row["facts"] + row["why"]))


def test_forgetting_leaves_the_chain_whole_and_nothing_to_guess_the_words_by(catalogue: Catalogue, tmp_path: Path) -> None:
    of_file(catalogue, instead="").conn.row_factory = sqlite3.Row
    before = {row["number"]: row for row in catalogue.execute("SELECT * FROM entry").fetchall()}
    digests = {number: row["digest"] for number, row in before.items()}
    forget_customer(catalogue, "F-1", signed=replace(SIGNED, who="Bo"))
    now = {row["number"]: row for row in catalogue.execute("SELECT * FROM entry").fetchall()}
    of_file(catalogue, instead="").conn.row_factory = None
    assert verify(catalogue).faults == ()
    assert {number: now[number]["digest"] for number in before} == digests
    erased = [number for number in before if now[number]["erased"]]
    assert len(erased) >= 3
    raw = (tmp_path / "stock.db").read_bytes()
    for number in erased:
        was, salts = json.loads(before[number]["salts"]), json.loads(now[number]["salts"])
        went = [path for path in salts if len(salts[path]) == 64]
        assert went
        for path in went:
            assert was[path].encode() not in raw, "the salt is erased with the words"
        guesses = {salt for row in now.values() for salt in json.loads(row["salts"]).values()} | {"", "salt"}
        for word in words_of(before[number]):
            tried = {
                hashlib.sha256(f"{salt}{said}".encode()).hexdigest() for salt in guesses for said in (word, json.dumps(word))
            }
            assert not tried & {salts[path] for path in went}
            assert not tried & {now[number]["digest"].hex()}


def test_words_that_were_erased_and_are_told_again_are_named(catalogue: Catalogue, tmp_path: Path) -> None:
    forget_customer(catalogue, "F-1", signed=SIGNED)
    harm = "UPDATE entry SET facts = json_set(facts, '$.place', 'Bay 1') WHERE number = 18"
    assert "entry 18 of R-5, moved: its place was erased, and is 'Bay 1' now" in after(tmp_path / "stock.db", tmp_path, harm)
    unmarked = after(tmp_path / "stock.db", tmp_path, "UPDATE entry SET erased = 0 WHERE number = 18")
    assert "entry 18 of R-5, moved: `erased` is 0, and something of it was erased" in unmarked


def test_a_digest_is_never_changed_by_who_erases(catalogue: Catalogue) -> None:
    for change in ("digest = x''", "who = 'Bo'", "job = 'Fir Lane 2'"):
        with pytest.raises(sqlite3.IntegrityError, match="never changed"):
            catalogue.execute(f"UPDATE entry SET erased = 1, {change} WHERE number = 18")


def test_entries_from_before_the_chain_are_chained_a_few_at_a_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Their numbers may have gaps, since pieces from before the ledger gave theirs."""
    monkeypatch.setattr(chaining, "_AT_ONCE", 3)
    steps = [step.name for step in migrations.MIGRATIONS]
    with closing(sqlite3.connect(tmp_path / "old.db", isolation_level=None)) as file:
        migrations.migrate(FileCatalogue(file), upto=steps.index("entries are chained"))
        file.execute("INSERT INTO style (name, construction) VALUES ('Velder', 'cut')")
        for number in (1, 2, 5, 6, 9, 10, 11):
            known = {"kind": "remnant", "style": "Velder", "colour": "", "lot": "", "place": "Bay 1", "room": "", "worn": 0}
            told = {"tag": f"R-{number}", "rings": "[[[0,0],[9,0],[9,9],[0,9]]]", "pile_deg": 0.0, **known}
            signed = {"by_who": "Ana", "by_at": "2031-05-03T14:20:00Z", "seen_at": "2031-05-03T14:20:00Z", "version": number}
            row = {**told, "across_mm": 9.0, "along_mm": 9.0, "area_mm2": 81.0, **signed}
            file.execute(f"INSERT INTO piece ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})", list(row.values()))
            entry = (number, number, row["tag"], "received", json.dumps({"parent": "", "piece": told}), "Ana", row["by_at"])
            file.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, '', '', 0)", entry)
    assert faults(tmp_path / "old.db") == []
    with closing(sqlite3.connect(tmp_path / "old.db")) as file:
        assert {len(digest) for (digest,) in file.execute("SELECT digest FROM entry")} == {32}


def test_entries_that_a_later_step_adds_are_chained_to_the_last_one(catalogue: Catalogue) -> None:
    before = [row["digest"] for row in catalogue.query("SELECT digest FROM entry ORDER BY number")]
    (guard,) = catalogue.execute("SELECT sql FROM sqlite_master WHERE name = 'entries_stand'").fetchone()
    catalogue.execute("DROP TRIGGER entries_stand")
    added = "'photograph taken away', json_object('photo', number), 'catalogue', '2031-06-01T10:00:00Z', '', ''"
    catalogue.execute(
        "INSERT INTO entry (number, booking, tag, act, facts, who, at, why, job)"
        f" SELECT (SELECT max(number) + 1 FROM entry), 1, tag, {added} FROM photo WHERE jpeg IS NOT NULL"
    )
    catalogue.execute("UPDATE photo SET jpeg = NULL, gone_at = '2031-06-01T10:00:00Z' WHERE jpeg IS NOT NULL")
    with catalogue.atomic():
        chaining.chain_what_is_there(catalogue)
    catalogue.execute(guard)
    assert [str(fault) for fault in verify(catalogue).faults] == []
    assert [row["digest"] for row in catalogue.query("SELECT digest FROM entry ORDER BY number")][:-1] == before
