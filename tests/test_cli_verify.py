"""`remnants verify`: soundness, replay and balance."""

import re
import sqlite3
from pathlib import Path

import pdfplumber
import pytest

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import Verified, rows_to_verify, verify
from remnants.actions.log_pieces import log_pieces
from remnants.store.chaining import chain_what_is_there
from remnants.store.file_catalogue import FileCatalogue
from tests.commands import Remnants
from tests.jobs import a_hall, hold
from tests.memory import most_memory
from tests.stock_values import SIGNED, a_piece, a_stock


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    holes = ["--cutout", "0,40", "30,40", "30,41", "0,41"]
    remnants.log("--tag", "R-2")
    hold(remnants, "Fir Lane 2")
    remnants.log("--tag", "R-1", "--width", "30", "--length", "116", *holes)
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes")
    remnants.ok("undo", "R-1")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", length=28), "--yes", "--job", "J-0002")
    remnants.ok("count", "", "R-2", "--yes")
    return remnants


def test_a_sound_catalogue_is_told_so(remnants: Remnants) -> None:
    assert "all is well" in remnants.ok("verify")


@pytest.mark.parametrize(
    ("harm", "told"),
    [
        ("UPDATE piece SET worn = 3 WHERE tag = 'R-2'", "piece R-2: wear is 3; by its entries it should be 0"),
        (
            "UPDATE piece SET lent_until = '2031-06-01' WHERE tag = 'R-2'",
            "piece R-2: day until which it is lent is 1 Jun 2031; by its entries it should be nothing",
        ),
        ("UPDATE piece SET largest_short_mm = 9 WHERE tag = 'R-2'", "R-2: shorter side of the largest rectangle within is 9"),
        ("UPDATE piece SET largest_long_mm = 999 WHERE tag = 'R-1'", "R-1: longer side of the largest rectangle within is 999"),
        ("UPDATE entry SET facts = json_set(facts, '$.waste_mm2', 1e6) WHERE act = 'cut'", "are neither taken, left nor waste"),
        ("DELETE FROM entry WHERE act = 'received' AND tag = 'R-2'", "don't follow from one another"),
        ("DELETE FROM entry WHERE tag = 'R-2'", "piece R-2: has no entries: nothing says where it came from"),
        ("UPDATE piece SET style = 'nobody'", "piece R-2: refers to the style 'nobody', which is not there"),
    ],
)
def test_what_was_changed_behind_the_ledger_is_found(remnants: Remnants, harm: str, told: str) -> None:
    with sqlite3.connect(remnants.catalogue) as behind:
        behind.executescript("DROP TRIGGER entries_stay; DROP TRIGGER entries_stand;")
        behind.execute(harm)
    behind.close()
    done = remnants("verify")
    assert done.code == 1
    assert told in done.out


def test_a_job_from_before_a_rule_of_files_is_sound_and_counts(remnants: Remnants) -> None:
    """An unseen mark in its name, or parts of no width: taken then, refused today, and no harm in the catalogue."""
    with sqlite3.connect(remnants.catalogue) as catalogue:
        catalogue.execute("UPDATE job SET file = json_set(file, '$.min_part', 0, '$.patches[0].name', 'hall' || char(8206))")
    assert "all is well" in remnants.ok("verify")
    assert "hold_days" in remnants.ok("rules")


def test_the_ledger_itself_lets_nothing_be_changed(remnants: Remnants) -> None:
    behind = sqlite3.connect(remnants.catalogue)
    for harm in ("DELETE FROM entry", "UPDATE entry SET who = 'somebody'", "UPDATE entry SET erased = 1, tag = 'R-2'"):
        with pytest.raises(sqlite3.IntegrityError):
            behind.execute(harm)
    behind.close()


def words_in(pdf: Path) -> list[str]:
    with pdfplumber.open(pdf) as opened:
        return [page.extract_text() for page in opened.pages]


def head_on(text: str) -> str:
    found = re.search(r"ledger (\d+-[0-9A-F]{8})", text)
    assert found, text
    return found[1]


def test_what_is_printed_bears_the_head_of_the_ledger_and_verify_finds_its_entry(remnants: Remnants) -> None:
    remnants.log("--tag", "R-7", "--width", "60", "--length", "90", "--by", "Ana")
    remnants.ok("tags", "R-7", "-o", remnants.folder / "tags.pdf")
    remnants.ok("sheet", a_hall(remnants, "Elm Row 3"), "-o", remnants.folder / "sheet.pdf")
    (label,) = words_in(remnants.folder / "tags.pdf")
    pages = words_in(remnants.folder / "sheet.pdf")
    head = head_on(label)
    assert {head_on(page) for page in pages} == {head}, "on every page of the sheet"
    number = head.partition("-")[0]
    remnants.ok("move", "R-7", "Bay 4")
    for written in (head, f"ledger {head.lower()}", head.partition("-")[2]):
        told = remnants.ok("verify", "--head", written).splitlines()[-1]
        assert told.startswith(f"{head} is entry {number} (R-7 received by Ana on ")
        assert told.endswith("UTC): up to there the ledger is the one that the paper was printed from")


def test_a_head_that_the_ledger_does_not_have_is_told_with_what_stands_there(remnants: Remnants) -> None:
    done = remnants("verify", "--head", "3-00000000")
    assert done.code == 1
    assert re.search(r"entry 3 has the head 3-[0-9A-F]{8}, and not 00000000: the ledger is not the one", done.out)
    done = remnants("verify", "--head", "99-00000000")
    assert (done.code, "there is no entry 99, the newest is 8: the ledger is not" in done.out) == (1, True)
    done = remnants("verify", "--head", "00000000")
    assert (done.code, "no entry has the head 00000000: the ledger is not" in done.out) == (1, True)
    refused = remnants.refused("verify", "--head", "today", code=2)
    assert refused == "remnants: --head: 'today' is no head: give it as it stands on paper, such as 214-7C1F90AB\n"


def test_a_ledger_that_was_written_anew_no_longer_has_the_head_on_paper(remnants: Remnants) -> None:
    """Who has the file can chain it anew: paper tells."""
    remnants.ok("tags", "R-1", "-o", remnants.folder / "tags.pdf")
    head = head_on(words_in(remnants.folder / "tags.pdf")[0])
    with sqlite3.connect(remnants.catalogue) as behind:
        guards = [sql for (sql,) in behind.execute("SELECT sql FROM sqlite_master WHERE name = 'entries_stand'")]
        behind.execute("DROP TRIGGER entries_stand")
        behind.execute("UPDATE entry SET who = 'Somebody' WHERE number = 1")
        behind.execute("UPDATE entry SET digest = x''")
        chain_what_is_there(FileCatalogue(behind))
        behind.execute(guards[0])
    behind.close()
    assert "all is well" in remnants.ok("verify")
    done = remnants("verify", "--head", head)
    assert done.code == 1
    assert "the ledger is not the one that the paper was printed from. It was written anew" in done.out


def test_a_head_that_is_in_a_faulty_ledger_is_no_good_news(remnants: Remnants) -> None:
    remnants.ok("tags", "R-1", "-o", remnants.folder / "tags.pdf")
    head = head_on(words_in(remnants.folder / "tags.pdf")[0])
    with sqlite3.connect(remnants.catalogue) as behind:
        behind.execute("DROP TRIGGER entries_stand")
        behind.execute("UPDATE entry SET who = 'Somebody' WHERE number = 1")
    behind.close()
    done = remnants("verify", "--head", head)
    assert done.code == 1
    assert "entry 1 of R-2, received: is not as it was written" in done.out
    assert done.out.endswith("the ledger is the one that the paper was printed from, but for the faults above\n")


def test_a_sheet_from_a_stock_file_bears_no_head(remnants: Remnants) -> None:
    remnants.ok("export", remnants.folder / "stock.json")
    job = a_hall(remnants, "Elm Row 3", length=8)
    remnants.ok("sheet", job, "--stock", remnants.folder / "stock.json", "-o", remnants.folder / "sheet.pdf")
    assert not any("ledger" in page for page in words_in(remnants.folder / "sheet.pdf"))


def peak_of_verifying(path: Path) -> int:
    with open_catalogue(path, write=False) as catalogue:
        passed, verified = list[int](), list[Verified]()
        peak = most_memory(lambda: verified.append(verify(catalogue, passed=passed.append)))
        assert verified[0].faults == ()
        assert sum(passed) == rows_to_verify(catalogue), "who looks on sees it reach its end"
    return peak


def test_a_catalogue_ten_times_as_large_takes_no_more_memory_to_verify(tmp_path: Path) -> None:
    peaks = []
    for pieces in (60, 600, 6_000):
        path = tmp_path / f"{pieces}.db"
        with open_catalogue(path, write=True) as catalogue:
            log_pieces(catalogue, a_stock(*[a_piece(f"R-{n}") for n in range(pieces)]), signed=SIGNED)
        peaks.append(peak_of_verifying(path))
    assert peaks[2] < 1.3 * peaks[1], peaks
