"""`remnants racks`: places by branch, and what lies at one of them."""

import pytest

from tests.commands import Remnants


@pytest.fixture
def shop(remnants: Remnants) -> Remnants:
    """A Bay 3 at South and one at North, a van of North, and carpet with a customer."""
    for tag, place in (("R-1", "Bay 3"), ("R-2", "Bay 10"), ("N-1", "North Bay 3"), ("N-2", "Van 3, left shelf")):
        remnants.log("--tag", tag, "--place", place)
    remnants.log("--tag", "K-1", "--place", "Elm End 4, attic", "--kind", "kept")
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    remnants.ok("van", "Van 3", "--with", "Ana", "--of", "North")
    return remnants


def lines(told: str) -> list[str]:
    """The rows of a table, each without its columns."""
    return [" ".join(line.split()) for line in told.splitlines()]


def test_places_stand_by_branch(shop: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    every = [
        "branch place where pieces",
        "South Bay 3 in store 1",
        "South Bay 10 in store 1",
        "North North Bay 3 in store 1",
        "North Van 3, left shelf in vans 1",
        "Elm End 4, attic with customers 1",
    ]
    assert lines(shop.ok("racks")) == every
    assert lines(shop.ok("racks", "--branch", "north")) == [every[0], *every[3:5]]
    assert lines(shop.ok("racks", "--branch", "Van 3")) == [every[0], every[4]]
    monkeypatch.setenv("REMNANTS_BRANCH", "South")
    assert lines(shop.ok("racks")) == every[:3]
    assert lines(shop.ok("racks", "--branch", "")) == every


def test_a_name_of_two_branches_is_asked_about_by_each_command(shop: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = "which branch is meant? 'Bay 3' is at South ('Bay 3') and at North ('North Bay 3')"
    assert asked in shop.refused("racks", "bay 3", code=2).replace("'bay 3' is", "'Bay 3' is")
    assert asked in shop.refused("count", "Bay 3", "R-1", "--yes", code=2)
    assert asked in shop.refused("move", "R-2", "Bay 3", code=2)
    assert asked in shop.refused("tags", "--place", "Bay 3", "-o", shop.folder / "tags.pdf", code=2)
    assert "R-1" in shop.ok("racks", "South Bay 3") and "N-1" in shop.ok("racks", "Bay 3", "--branch", "North")
    monkeypatch.setenv("REMNANTS_BRANCH", "North")
    assert shop.ok("move", "R-2", "Bay 3") == "R-2 is at North Bay 3 now\n"
    assert "N-1" in shop.ok("racks", "Bay 3") and "2 at North Bay 3" in shop.ok("racks", "Bay 3")


def test_what_is_not_there_is_told(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    assert lines(remnants.ok("racks")) == ["place where pieces", "Bay 3 in store 1"], "no word of branches where there are none"
    assert "nothing lies at 'Bay 4'" in remnants("racks", "Bay 4").out and remnants("racks", "Bay 4").code == 1
    assert "no branch and no van is called 'East'" in remnants.refused("racks", "--branch", "East", code=2)


def test_of_very_many_places_and_pieces_the_first_are_listed_and_the_rest_summed(shop: Remnants) -> None:
    shop.log("--tag", "K-2", "--place", "Elm End 5, attic", "--kind", "kept")
    told = lines(shop.ok("racks", "--most", "2"))
    assert told[-4:] == [
        "the first 2 of 6 places are listed; --words finds others by their name, --most 6 lists them all; not listed:",
        "North, in store: 1 place, 1 piece",
        "North, in vans: 1 place, 1 piece",
        "with customers: 2 places, 2 pieces",
    ]
    assert "North Bay 3" not in "".join(told) and len(lines(shop.ok("racks", "--most", "6"))) == 7
    assert [line.split()[:2] for line in lines(shop.ok("racks", "--words", "elm 5"))[1:]] == [["Elm", "End"]]
    assert "no place has 'oak' in its name" in shop.ok("racks", "--words", "oak")
    shop.log("--tag", "R-3", "--place", "Bay 3")
    there = shop.ok("racks", "South Bay 3", "--most", "1")
    assert "R-1" in there and "R-3" not in there
    assert lines(there)[-2:] == ["2 at Bay 3", "the first 1 by tag are listed; --most 2 lists them all"]
