"""`remnants take-in`: what was sent is there, or never came."""

from tests.commands import Remnants


def on_its_way(remnants: Remnants, *tags: str) -> None:
    """The pieces are on the way from South to North."""
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    for tag in tags:
        remnants.log("--tag", tag, "--place", "Bay 3")
    remnants.ok("send", *tags, "--to", "North")


def test_what_came_lies_where_it_is_told_as_it_is_called_there(remnants: Remnants) -> None:
    on_its_way(remnants, "R-1", "R-2")
    told = remnants.ok("take-in", "R-1", "R-2", "--place", "Bay 3")
    assert told == "R-1 is at North Bay 3 now\nR-2 is at North Bay 3 now\n"
    assert "taken in at North Bay 3" in " ".join(remnants.ok("history", "R-1").split())
    assert "it can't be taken in" in remnants.refused("take-in", "R-1", code=1)


def test_what_never_came_is_missing_until_somebody_sees_it(remnants: Remnants) -> None:
    on_its_way(remnants, "R-1", "R-2")
    assert remnants.ok("take-in", "R-1", "--not-there") == "R-1 is missing; it lay at Bay 3\n"
    assert "what never came lies nowhere there" in remnants.refused("take-in", "R-2", "--not-there", "--place", "Bay 3", code=2)
    assert "R-1 is missing" in remnants.refused("take-in", "R-1", "--not-there", code=1)
    remnants.ok("count", "Bay 3", "R-1", "--yes")
    assert "in stock" in remnants.ok("show", "R-1")


def test_what_is_counted_or_moved_somewhere_came_there(remnants: Remnants) -> None:
    """Who scans it at its new place needs no other word for it."""
    on_its_way(remnants, "R-1", "R-2")
    remnants.log("--tag", "N-1", "--place", "North Bay 9")
    remnants.ok("count", "North Bay 9", "N-1", "R-1", "--yes")
    remnants.ok("move", "R-2", "North Bay 9")
    assert "nothing is on the way" in remnants.ok("on-the-way")
    assert "all is well" in remnants.ok("verify")


def test_another_branchs_place_is_refused(remnants: Remnants) -> None:
    on_its_way(remnants, "R-1")
    told = remnants.refused("take-in", "R-1", "--place", "South Bay 1", code=2)
    assert "'South Bay 1' is a place of South; this was sent to North: take it in there, then send it on" in told
