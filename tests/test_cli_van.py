"""`remnants van`: places with somebody who answers for what lies in them."""

from tests.commands import Remnants


def plain(told: str) -> str:
    """A table without its columns."""
    return " ".join(told.split())


def test_a_van_is_put_in_with_who_answers_for_it(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Van 3, left shelf")
    assert "no vans" in remnants.ok("van")
    assert "Van 3 is stored" in remnants.ok("van", "Van 3", "--with", "Ana")
    assert "Van 3 Ana 1" in plain(remnants.ok("van"))
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    assert "Van 3 Ana South 1" in plain(remnants.ok("van"))
    remnants.ok("van", "van 3", "--of", "north")
    remnants.ok("van", "van 3", "--with", "Maud")
    assert "Van 3 Maud North 1" in plain(remnants.ok("van"))


def test_what_is_wrong_is_told_at_once(remnants: Remnants) -> None:
    remnants.ok("branch", "South", "--new")
    told = remnants.refused("van", "south", "--of", "East", code=2)
    assert "name: 'south' is the branch South already" in told
    assert "--with: say who answers for what lies in it" in told
    assert "--of: no branch is called 'East'" in told
    assert "say which van is meant" in remnants.refused("van", "--with", "Ana", code=2)
    assert "goes with nothing else" in remnants.refused("van", "Van 3", "--with", "Ana", "--close", code=2)
    assert "no van is called 'Van 3'" in remnants.refused("van", "Van 3", "--close", code=1)


def test_a_van_is_taken_away_when_nothing_lies_in_it(remnants: Remnants) -> None:
    remnants.ok("van", "Van 3", "--with", "Ana")
    remnants.log("--tag", "R-1", "--place", "van 3")
    remnants.log("--tag", "R-2", "--place", "Van 3, roof")
    assert "2 pieces lie in Van 3; send or move what is there first" in remnants.refused("van", "Van 3", "--close", code=1)
    remnants.ok("move", "R-1", "Bay 3")
    remnants.ok("move", "R-2", "Bay 3")
    assert "Van 3 is closed" in remnants.ok("van", "van 3", "--close")
