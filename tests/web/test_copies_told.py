"""The page that one starts from tells whoever works with the stock how old the newest copy of it is."""

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from remnants.actions.known_copies import note_copy
from remnants.store.copy_notes import Drill, read_notes, write_notes
from remnants.store.server_address import in_a_file
from remnants_web import Settings, create_app
from tests.web.conftest import Clock, House

NEVER = "No copy of the stock is known: if this disk fails, all of it is gone. Have one made today."


def a_copy(settings: Settings, *, days_ago: int) -> Path:
    """A copy that was made so many days ago."""
    file = in_a_file(settings.catalogue, instead="").with_name("copy.db")
    file.write_bytes(in_a_file(settings.catalogue, instead="").read_bytes())
    note_copy(in_a_file(settings.catalogue, instead=""), file, settings.now() - timedelta(days=days_ago))
    return file


def drilled(settings: Settings, *, days_ago: int, passed: bool = True) -> None:
    """A drill that was done so many days ago."""
    done = Drill(settings.now() - timedelta(days=days_ago), passed=passed)
    write_notes(
        in_a_file(settings.catalogue, instead=""), replace(read_notes(in_a_file(settings.catalogue, instead="")), drill=done)
    )


def warned(house: House, name: str = "Maud") -> str:
    """The warning on the page that this person starts from."""
    text = house.browser(name).get("/").text
    found = re.search(r'<p class="note heed">([^<]*copy[^<]*)</p>', text)
    return found[1] if found else ""


def test_a_shop_without_any_copy_is_warned(house: House) -> None:
    assert warned(house, "Maud") == NEVER
    assert warned(house, "Wim") == NEVER


def test_how_old_the_newest_copy_is_and_when_one_was_tried_out_stands_in_one_line(house: House, settings: Settings) -> None:
    a_copy(settings, days_ago=2)
    drilled(settings, days_ago=40)
    assert warned(house) == ""
    line = "The newest copy of the stock was made 2 days ago; copies were last tried out 40 days ago."
    assert f'<p class="quiet">{line}</p>' in house.browser("Wim").get("/").text


@pytest.mark.parametrize(("days", "word"), [(0, "today"), (1, "yesterday"), (7, "7 days ago")])
def test_a_copy_of_the_last_week_is_no_warning(house: House, settings: Settings, days: int, word: str) -> None:
    a_copy(settings, days_ago=days)
    assert f"was made {word}; no copy was ever tried out." in house.browser("Maud").get("/").text
    assert warned(house) == ""


def test_an_old_copy_is_warned_of(house: House, settings: Settings) -> None:
    a_copy(settings, days_ago=8)
    assert warned(house) == (
        "The newest copy of the stock was made 8 days ago: what was written down since is nowhere else."
        " Have one made today; no copy was ever tried out."
    )


def test_a_drill_that_failed_is_warned_of_until_one_passes(house: House, settings: Settings) -> None:
    a_copy(settings, days_ago=1)
    drilled(settings, days_ago=3, passed=False)
    assert "one that was tried out 3 days ago failed. Have a new one made today." in warned(house)
    drilled(settings, days_ago=0)
    assert warned(house) == ""


def test_a_copy_that_was_thrown_away_does_not_count_and_one_on_a_disk_that_is_away_does(house: House, settings: Settings) -> None:
    a_copy(settings, days_ago=1).unlink()
    assert warned(house) == NEVER
    note_copy(in_a_file(settings.catalogue, instead=""), Path("/nowhere/stick/copy.db"), settings.now())
    assert warned(house) == ""


def test_who_may_only_look_is_told_nothing_of_it_and_nobody_is_told_where_files_lie(
    house: House, settings: Settings, clock: Clock
) -> None:
    assert "copy of the stock" not in house.browser("Lou").get("/").text
    a_copy(settings, days_ago=1)
    for name in ("Maud", "Wim", "Lou"):
        text = house.browser(name).get("/").text
        assert "copy.db" not in text
        assert str(in_a_file(settings.catalogue, instead="").parent) not in text


def test_an_invented_shop_needs_no_copy(settings: Settings) -> None:
    house = House(create_app(replace(settings, demo=True)), replace(settings, demo=True))
    assert warned(house) == ""
