"""`remnants lend`: pieces lent to a customer until a day, what is late told first, and what becomes of it."""

from datetime import timedelta

import pytest

from remnants.cli import options
from remnants.days import day_words
from tests.commands import Remnants
from tests.jobs import hold


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    for tag in ("R-1", "R-2", "R-3"):
        remnants.log("--tag", tag, "--place", "Bay 3")
    remnants.ok("customer", "F-7", "--name", "Ida Invented", "--address", "Fern Row 2")
    return remnants


def plain(told: str) -> str:
    """A table without its columns."""
    return " ".join(told.split())


def test_what_is_lent_is_the_customers_until_it_is_moved_back(remnants: Remnants) -> None:
    until = (options.now() + timedelta(days=5)).date()
    assert remnants.ok("lend", "R-1", "r-2", "--to", "F-7", "--until", str(until)) == "lent to F-7: R-1, R-2\n"
    assert f"lent until {day_words(until)}" in plain(remnants.ok("show", "R-1"))
    assert plain(remnants.ok("lend")).endswith("2 lent, none late")
    assert f"On loan, customer F-7, lent until {day_words(until)}" in plain(remnants.ok("history", "R-1"))
    remnants.ok("move", "R-1", "Bay 3")
    assert plain(remnants.ok("lend")).endswith("1 lent, none late") and "lent" not in remnants.ok("show", "R-1")
    remnants.ok("undo", "R-1")
    assert plain(remnants.ok("lend")).endswith("2 lent, none late"), "taken back, the loan is as it was"
    assert remnants("verify").code == 0


def test_what_is_back_is_lent_no_more_all_of_it_or_none(remnants: Remnants) -> None:
    remnants.ok("lend", "R-1", "R-2", "--to", "F-7")
    assert "R-3 is not lent" in remnants.refused("lend", "R-1", "R-3", "--back", "Bay 4", code=1)
    assert plain(remnants.ok("lend")).endswith("2 lent, none late")
    assert remnants.ok("lend", "r-1", "R-2", "--back", "Bay 4", "--key", "k") == "back from loan: R-1, R-2\n"
    assert remnants.ok("lend", "r-1", "R-2", "--back", "Bay 4", "--key", "k") == "back from loan: R-1, R-2\n"
    assert "moved back from loan, to Bay 4" in plain(remnants.ok("history", "R-1"))
    remnants.ok("undo", "R-2")
    assert plain(remnants.ok("lend")).endswith("1 lent, none late")
    assert remnants("verify").code == 0


def test_what_is_late_is_told_first(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    then = options.now() - timedelta(days=20)
    with monkeypatch.context() as earlier:
        earlier.setattr(options, "now", lambda: then)
        remnants.ok("lend", "R-2", "--to", "F-7")
    remnants.ok("lend", "R-1", "--to", "F-7")
    told = plain(remnants.ok("lend"))
    assert told.index("R-2") < told.index("R-1") and ", late" in told and told.endswith("2 lent, 1 late")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("R-1", "--to", "F-9"), 1, "no customer has the reference 'F-9'"),
        (("R-1",), 2, "say to which customer"),
        (("--to", "F-7"), 2, "say which pieces are lent"),
        (("--back", "Bay 3"), 2, "say which pieces are lent"),
        (("R-1", "--back", "Bay 3"), 1, "R-1 is not lent, so it can't be taken back: it lies at Bay 3"),
        (("R-1", "--back", " "), 2, "say where they lie now"),
        (("R-1", "--back", "Bay 3", "--to", "F-7"), 2, "goes without --to and --until"),
        (("R-1", "--to", "F-7", "--until", "2001-01-01"), 2, "1 Jan 2001 is no day until which it is lent"),
        (("R-1", "--to", "F-7", "--until", "2999-01-01"), 2, "within two years"),
        (("R-1", "R-9", "--to", "F-7"), 1, "no piece has the tag 'R-9'"),
    ],
)
def test_what_cannot_be_lent_is_told_and_nothing_is(remnants: Remnants, words: tuple[str, ...], code: int, told: str) -> None:
    assert told in remnants.refused("lend", *words, code=code)
    assert remnants.ok("lend") == "nothing is lent\n", "all of them or none"


def test_a_loan_ends_where_the_piece_is_seen_in_a_bay_or_thrown_away(remnants: Remnants) -> None:
    remnants.ok("lend", "R-1", "R-2", "--to", "F-7")
    remnants.ok("count", "Bay 3", "R-1", "R-3", "--yes")
    remnants.ok("discard", "R-2")
    assert remnants.ok("lend") == "nothing is lent\n"


def test_forgetting_the_customer_leaves_nothing_of_them_in_what_is_lent(remnants: Remnants) -> None:
    remnants.ok("lend", "R-1", "--to", "F-7", "--why", "Ida Invented asked for it")
    remnants.ok("forget", "F-7", "--yes")
    told = remnants.ok("lend") + remnants.ok("history", "R-1") + remnants.ok("show", "R-1")
    assert "F-7" not in told and "Ida" not in told and "erased-1" in told
    assert remnants("verify").code == 0


def test_what_is_held_for_one_customer_goes_to_no_other_before_the_hold_is_let_go(remnants: Remnants) -> None:
    remnants.ok("customer", "F-8", "--name", "Otto Invented")
    held = hold(remnants, "Fern Row 2, hall", "--customer", "F-8", "--until", "2131-06-01").rsplit(": ", 1)[1].strip()
    for words in (("lend", held, "--to", "F-7"), ("move", held, "attic", "--customer", "F-7")):
        told = remnants.refused(*words, code=1)
        assert f"{held} is held for Fern Row 2, hall until 1 Jun 2131 (by Bo" in told
        assert "it can't go to another customer; let the hold go first" in told
    assert remnants.ok("lend") == "nothing is lent\n"
    remnants.ok("lend", held, "--to", "F-8")
    assert f"cut: {held}" in remnants.ok("cut", "Fern Row 2, hall"), "it went to the customer that it is held for"
    hold(remnants, "Fern Row 2, stairs", "--use", "R-3", "--until", "2131-06-01")
    remnants.ok("release", "Fern Row 2, stairs")
    remnants.ok("lend", "R-3", "--to", "F-7")


def test_no_job_is_cut_from_what_is_with_another_customer_by_then(remnants: Remnants) -> None:
    hold(remnants, "Fir Lane 2", "--use", "R-1", "--until", "2021-06-01")
    remnants.ok("lend", "R-1", "--to", "F-7")
    told = remnants.refused("cut", "Fir Lane 2", code=1)
    assert "R-1 is kept with another customer by now, who must be asked first" in told and "Fit the job anew" in told
    assert "1 lent" in remnants.ok("lend") and remnants("verify").code == 0
    remnants.ok("lend", "R-1", "--back", "Bay 3")
    assert "cut: R-1" in remnants.ok("cut", "Fir Lane 2")


def test_what_is_on_loan_is_at_no_rack_of_the_shops(remnants: Remnants) -> None:
    """Counted like a rack, what is lent was missing, and on loan no more."""
    remnants.ok("lend", "R-1", "R-2", "--to", "F-7")
    told = "is where what is lent stands, with customers"
    assert told in remnants.refused("count", "on  loan", "R-1", "--yes", code=2)
    assert told in remnants.refused("move", "R-3", "On loan", code=2)
    assert told in remnants.refused("lend", "R-1", "--back", "On loan", code=2)
    assert plain(remnants.ok("lend")).endswith("2 lent, none late")
    assert "On loan with customers 2" in plain(remnants.ok("racks"))
