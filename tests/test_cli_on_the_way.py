"""`remnants on-the-way`: what was sent and is not there yet, late ones first."""

from datetime import timedelta

import pytest

from remnants.cli import options
from tests.commands import Remnants
from tests.test_cli_take_in import on_its_way


def plain(told: str) -> str:
    """A table without its columns."""
    return " ".join(told.split())


def test_what_is_late_is_told_first(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    then = options.now() - timedelta(days=3)
    with monkeypatch.context() as earlier:
        earlier.setattr(options, "now", lambda: then)
        on_its_way(remnants, "R-1", "R-2")
    remnants.ok("call-back", "R-1")
    remnants.ok("send", "R-1", "--to", "North", "--by", "Ana")
    told = plain(remnants.ok("on-the-way"))
    assert told.index("R-2") < told.index("R-1")
    assert f"{then.date() + timedelta(days=1)}, late" in told
    assert told.endswith("2 on the way, 1 late")
    assert "1 on the way" not in remnants.ok("on-the-way", "--to", "north")
    assert "nothing is on the way to South" in remnants.ok("on-the-way", "--to", "South")
    assert "no branch and no van is called 'Nort'" in remnants.refused("on-the-way", "--to", "Nort", code=2)
    remnants.ok("branch", "North", "--call", "Harbour")
    assert "Harbour" in remnants.ok("on-the-way", "--to", "north")


def test_of_very_many_on_the_way_the_first_are_listed(remnants: Remnants) -> None:
    on_its_way(remnants, "R-1", "R-2", "R-3")
    told = remnants.ok("on-the-way", "--most", "2")
    assert "R-2" in told and "R-3" not in told
    assert told.endswith("3 on the way, none late\nthe first 2 are listed; --most 3 lists them all\n")
    assert "lists them all" not in remnants.ok("on-the-way", "--most", "3")
