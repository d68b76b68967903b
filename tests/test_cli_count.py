"""`remnants count`: what lies at a place against what should."""

import io

import pytest

from remnants.cli import count
from tests.commands import Remnants


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    for tag, place in (("R-1", "Bay 3"), ("R-2", "Bay 3"), ("R-3", "Bay 4"), ("R-4", "Bay 3")):
        remnants.log("--tag", tag, "--place", place)
    remnants.ok("discard", "R-4")
    return remnants


def test_missing_misplaced_and_unexpected_are_told_and_booked(remnants: Remnants) -> None:
    told = remnants.ok("count", "Bay 3", "r-1", "R-3", "R-4", "X-9", "R-1", "--yes")
    assert "Bay 3: 1 of 2 seen" in told
    missing, misplaced = told.index("missing:"), told.index("elsewhere by the book:")
    assert missing < told.index("R-2") < misplaced < told.index("R-3")
    assert "not in stock: X-9, R-4" in told
    assert "booked: 3 entries" in told
    assert "missing" in remnants.ok("show", "R-2")
    assert "Bay 3" in remnants.ok("show", "R-3")
    assert "R-2" not in remnants.ok("find", "velder")


def test_a_missing_piece_that_is_seen_is_stock_again(remnants: Remnants) -> None:
    remnants.ok("count", "Bay 3", "R-1", "--yes")
    remnants.ok("count", "Bay 4", "R-2", "R-3", "--yes")
    assert "R-2" in remnants.ok("find", "velder")
    assert "Bay 4" in remnants.ok("show", "R-2")


def test_nothing_is_booked_without_a_yes(remnants: Remnants) -> None:
    done = remnants("count", "Bay 3", "R-1")
    assert done.code == 2
    assert "missing:" in done.out
    assert "give --yes" in done.err
    assert "missing" not in remnants.ok("show", "R-2")


def test_tags_come_from_a_file_or_as_they_are_scanned(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "2 of 2 seen" in remnants.ok("count", "Bay 3", "--file", remnants.file("seen.txt", "R-1\nR-2\n"), "--yes")
    monkeypatch.setattr("sys.stdin", io.StringIO("R-1\nR-2\n\nR-3\n"))
    assert "2 of 2 seen" in remnants.ok("count", "Bay 3", "--yes")


def test_a_misspelt_place_is_told(remnants: Remnants) -> None:
    assert "is one of Bay 3" in remnants.refused("count", "Bay3", "X", "--yes", code=2)


def test_of_very_many_missing_or_misplaced_pieces_the_first_are_listed(remnants: Remnants) -> None:
    for number in range(5, 9):
        remnants.log("--tag", f"R-{number}", "--place", "Bay 3" if number < 7 else "Bay 4")
    told = remnants.ok("count", "Bay 3", "R-7", "R-8", "R-3", "X-1", "X-2", "--most", "1", "--yes")
    assert "missing:" in told and "R-1" in told and "R-2" not in told
    assert "and 3 more; --most 4 lists them all" in told and "and 2 more; --most 3 lists them all" in told
    assert "not in stock: X-1 and 1 more; log or undo them if they are" in told
    assert "booked: 7 entries" in told
    assert "all is well" in remnants.ok("verify")


def test_who_books_a_count_of_thousands_is_told_that_it_takes_some_seconds(
    remnants: Remnants, monkeypatch: pytest.MonkeyPatch
) -> None:
    remnants.log("--tag", "R-9", "--place", "Bay 3")
    assert "seconds" not in remnants("count", "Bay 3", "R-1", "R-9", "--yes").err
    monkeypatch.setattr(count, "LONG", 2)
    told = remnants("count", "Bay 3", "R-1", "--yes")
    assert told.code == 0 and told.err == "booking 2 entries, all or none: that takes some seconds\n"
