"""`remnants restore --rescue`: what can be read of a damaged file, and what is lost, told."""

import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from remnants.report.rescue import rescue_lines
from remnants.store.rescue import LEFT_OUT, TAKEN_OUT
from tests.commands import Remnants
from tests.damage import damaged
from tests.harmed import a_busy_catalogue
from tests.thorough import EVERY, share

DAMAGES = share(120)
PAGE = 4096


@pytest.fixture
def busy(remnants: Remnants) -> bytes:
    """The bytes of a catalogue in which much has happened, which lies where commands look for it."""
    a_busy_catalogue(remnants.catalogue)
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        catalogue.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return remnants.catalogue.read_bytes()


def page_of(path: Path, table: str) -> int:
    """Where the first page of a table begins in the file."""
    with closing(sqlite3.connect(path)) as opened:
        (number,) = opened.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", [table]).fetchone()
    return int(number - 1) * PAGE


def without(whole: bytes, start: int) -> bytes:
    """The bytes with one page gone."""
    return whole[:start] + bytes(PAGE) + whole[start + PAGE :]


def size_of(remnants: Remnants, tag: str) -> list[str]:
    """The words of the line that tells a piece's size."""
    return next(line.split() for line in remnants.ok("show", tag).splitlines() if line.startswith("size"))


def rescued(remnants: Remnants, raw: bytes) -> str:
    """What is told of taking what can be read out of these bytes, which are the catalogue."""
    remnants.catalogue.write_bytes(raw)
    told = remnants.ok("restore", remnants.catalogue, "--rescue", "--yes")
    assert "all is well" in remnants.ok("verify")
    return told


@pytest.mark.parametrize("seeds", [range(start, start + DAMAGES // 4) for start in range(0, DAMAGES, DAMAGES // 4)])
def test_whatever_became_of_the_file_what_can_be_read_is_sound_or_nothing_is_changed(
    remnants: Remnants, busy: bytes, seeds: range
) -> None:
    saved = 0
    for seed in seeds:
        raw = damaged(busy, random.Random(seed))
        remnants.catalogue.write_bytes(raw)
        done = remnants("restore", remnants.catalogue, "--rescue", "--yes")
        if done.code == 1:  # the damaged file still tells of more than can be taken out of it: that wants a plain extra word
            assert "The catalogue is as it was" in done.err and "--older" in done.err, (seed, done.err)
            assert remnants.catalogue.read_bytes() == raw, seed
            done = remnants("restore", remnants.catalogue, "--rescue", "--older", "--yes")
        if done.code == 0:
            saved += 1
            assert "all is well" in remnants.ok("verify"), seed
        else:
            assert done.code == 2
            assert "nothing was changed" in done.err or "the catalogue is as it was" in done.err, (seed, done.err)
            assert remnants.catalogue.read_bytes() == raw, seed
        for path in remnants.folder.iterdir():
            path.unlink()
    assert saved > len(seeds) / 2


def test_whichever_page_is_lost_but_the_first_ones_the_pieces_that_are_there_are_saved(remnants: Remnants, busy: bytes) -> None:
    on_hand = {"K-1", "O-0001", "R-1", "R-2", "R-5", "R-6"}
    for start in range(PAGE, len(busy), EVERY * PAGE):
        remnants.catalogue.write_bytes(without(busy, start))
        done = remnants("restore", remnants.catalogue, "--rescue", "--yes")
        if done.code == 0:
            found = {tag for tag in on_hand if remnants("show", tag).code == 0}
            lost = on_hand - found
            assert all(tag in done.out for tag in lost), (start // PAGE, done.out)
            assert len(found) >= len(on_hand) - 3, start // PAGE
        else:
            assert "nothing can be read out of it" in done.err
        for path in remnants.folder.iterdir():
            path.unlink()


def test_a_lost_page_of_styles_costs_their_descriptions_and_no_piece(remnants: Remnants, busy: bytes) -> None:
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "style")))
    assert f"{remnants.catalogue}: damaged; 8 pieces and 26 entries can be read" in told
    assert "lost: 6 descriptions of styles (Attic Weave, Fen Stripe, Harrow Twist, Marl Plain, Moss Cord, Velder Loop)" in told
    assert "taken for cut pile without a pattern until `remnants style` describes them again" in told
    assert "holds what could be read; what was there is kept in" in told
    assert "construction  cut" in remnants.ok("style", "Velder Loop")


def test_a_lost_page_of_customers_is_told_by_their_references(remnants: Remnants, busy: bytes) -> None:
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "customer")))
    assert "1 customer (F-1)" in told


def test_pieces_whose_entries_are_lost_begin_anew_as_they_stood_last(remnants: Remnants, busy: bytes) -> None:
    before = {tag: size_of(remnants, tag) for tag in ("R-1", "R-5", "K-1")}
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "entry")))
    assert "lost: 26 entries; 2 pieces that were gone already (R-3, R-4)" in told
    assert "so they begin anew as they stood last: K-1, O-0001, R-1, R-2, R-5, R-6" in told
    assert {tag: size_of(remnants, tag) for tag in before} == before
    for tag, why in (("R-5", "taken out of a damaged file"), ("O-0001", "was cut from R-6")):
        assert why in " ".join(remnants.ok("history", tag).split())


def test_pieces_whose_rows_are_lost_come_back_from_their_entries(remnants: Remnants, busy: bytes) -> None:
    before = {tag: remnants.ok("history", tag) for tag in ("R-1", "R-5", "O-0001")}
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "piece")))
    assert "8 pieces and 26 entries can be read" in told
    assert {tag: remnants.ok("history", tag) for tag in before} == before


def test_what_is_held_for_a_job_is_let_go_where_the_job_is_lost_and_cuts_for_it_stay(remnants: Remnants, busy: bytes) -> None:
    tags = ("K-1", "O-0001", "R-1", "R-2", "R-5", "R-6")
    (held,) = [tag for tag in tags if f"{tag} is held for Beech Walk 1" in remnants.ok("history", tag)]
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "job")))
    assert "4 jobs (Alder Court 7, Ash Hill 4, Beech Walk 1, Fir Lane 2)" in told
    history = " ".join(remnants.ok("history", held).split())
    assert "the job Beech Walk 1 could not be read" in history
    assert history.endswith(f"{held} is in stock")
    assert "was cut already" in remnants("cut", "Fir Lane 2", "--yes").err


def test_a_photograph_that_is_lost_is_told_and_its_piece_keeps_its_entries(remnants: Remnants, busy: bytes) -> None:
    told = rescued(remnants, without(busy, page_of(remnants.catalogue, "photo")))
    assert "8 pieces and 26 entries can be read" in told
    assert "photograph" in told
    assert "begin anew" not in told


def test_a_file_whose_start_is_lost_is_read_by_what_it_must_have_been(remnants: Remnants, busy: bytes) -> None:
    told = rescued(remnants, bytes(96) + busy[96:])
    assert "8 pieces and 26 entries can be read" in told
    assert "nothing is known to be lost" in told


def test_a_damaged_copy_is_told_and_asked_about_before_it_takes_the_place_of_a_sound_catalogue(
    remnants: Remnants, busy: bytes
) -> None:
    copy = remnants.folder / "copy.db"
    copy.write_bytes(without(busy, page_of(remnants.catalogue, "entry")))
    assert "this copy is not sound" in remnants.refused("restore", copy, "--yes", code=2)
    done = remnants("restore", copy, "--rescue", "--yes")
    assert (done.code, "give --older" in done.err) == (1, True)
    assert (remnants("restore", copy, "--rescue", "--older").code, remnants.catalogue.read_bytes()) == (2, busy)
    assert "holds what could be read" in remnants.ok("restore", copy, "--rescue", "--older", "--yes")


def test_of_a_sound_copy_nothing_needs_to_be_taken_out(remnants: Remnants, busy: bytes) -> None:
    remnants.ok("backup", remnants.folder / "copy.db")
    told = remnants.ok("restore", remnants.folder / "copy.db", "--rescue", "--yes")
    assert "damaged" not in told


@pytest.mark.parametrize("content", [b"", b"burnt" * 5000, bytes(40_000)])
def test_where_nothing_can_be_read_nothing_is_changed(remnants: Remnants, busy: bytes, content: bytes) -> None:
    copy = remnants.folder / "copy.db"
    copy.write_bytes(content)
    done = remnants("restore", copy, "--rescue", "--yes")
    assert done.code == 2
    assert len(done.err.strip().splitlines()) == 1
    assert remnants.catalogue.read_bytes() == busy
    assert {path.name for path in remnants.folder.iterdir()} <= {"copy.db", "stock.db", "stock.db-wal", "stock.db-shm"}


def test_another_programs_sound_database_is_not_searched(remnants: Remnants, busy: bytes) -> None:
    other = remnants.folder / "books.db"
    with closing(sqlite3.connect(other)) as theirs:
        theirs.execute("CREATE TABLE style (name TEXT)")
        theirs.execute("INSERT INTO style VALUES ('baroque')")
        theirs.commit()
    assert "holds no catalogue" in remnants.refused("restore", other, "--rescue", "--yes", code=2)


def test_the_rules_of_the_shop_and_its_people_are_taken_over_and_no_table_is_forgotten(remnants: Remnants, busy: bytes) -> None:
    with closing(sqlite3.connect(remnants.catalogue)) as opened:
        opened.execute("INSERT INTO shop_rule VALUES ('hold-days', 21.0, 'Ana', '2031-05-03T14:20:00Z')")
        opened.execute("INSERT INTO style_rule SELECT name, 'keep-long', 21.5, 'Ana', '2031-05-03T14:20:00Z' FROM style LIMIT 1")
        opened.execute("INSERT INTO person (name, role) VALUES ('Maud', 'manage')")
        opened.commit()
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        tables = {name for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert tables == {*TAKEN_OUT, *LEFT_OUT}
    start = page_of(remnants.catalogue, "customer")
    rescued(remnants, without(remnants.catalogue.read_bytes(), start))
    with closing(sqlite3.connect(remnants.catalogue)) as opened:
        assert opened.execute("SELECT value, who FROM shop_rule").fetchall() == [(21.0, "Ana")]
        assert opened.execute("SELECT value, who FROM style_rule").fetchall() == [(21.5, "Ana")]
        assert opened.execute("SELECT name, role FROM person").fetchall() == [("Maud", "manage")]


def test_what_is_lost_is_told_in_sentences() -> None:
    lines = rescue_lines(
        "old.db",
        pieces=1,
        entries=1,
        lost_entries=1,
        anew=(),
        unsure=[f"R-{n}" for n in range(14)],
        lost={"piece": ("R-9",)},
        broken=("photo", "job"),
    )
    assert lines == (
        "old.db: damaged; 1 piece and 1 entry can be read",
        "lost: 1 entry; 1 piece (R-9)",
        "more may be lost than can be told: photographs, jobs",
        "what happened to them last may be lost; look whether they are there, and measure them: "
        "R-0, R-1, R-2, R-3, R-4, R-5, R-6, R-7, R-8, R-9, R-10, R-11 and 2 more",
    )
