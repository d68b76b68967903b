"""`remnants second-factor`: who comes in with one, and taking it away at the machine itself."""

from datetime import UTC, datetime

import pytest

from remnants.actions import doors, open_catalogue, people
from remnants.actions.door_book import page_of
from remnants.errors import SignInRefused
from remnants.store import second_factors
from tests.commands import Remnants

NOW = datetime.now(UTC)
PASSPHRASE = "ochre badger lantern five"


@pytest.fixture
def shop(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> Remnants:
    """A manager with a second factor."""
    monkeypatch.setattr(doors, "hashed", lambda passphrase: passphrase)
    monkeypatch.setattr(doors, "is_right", lambda stored, passphrase: stored == passphrase)
    monkeypatch.setenv("REMNANTS_BY", "Ana")
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        first = people.first_manager_link(catalogue, now=NOW)
        assert first
        doors.set_passphrase_by_link(catalogue, first, PASSPHRASE, name="Maud", label="desk", now=NOW)
        second_factors.put_pending(catalogue, "Maud", "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")
        second_factors.confirm_factor(catalogue, "Maud", now=NOW)
    return remnants


def test_who_comes_in_with_one_is_listed_without_any_secret(shop: Remnants) -> None:
    assert shop.ok("second-factor") == "Maud, may manage: set up\n"


def test_a_lost_phone_is_reset_at_the_machine_and_the_door_book_says_by_whom(shop: Remnants) -> None:
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        link = doors.device_link(catalogue, people.everybody(catalogue)[0], now=NOW)
    assert "comes in by their passphrase now" in shop.ok("second-factor", "--reset", "maud", "--yes")
    line = page_of(shop.catalogue).lines[0]
    assert (line.who, line.whom, line.what, line.address) == ("Ana", "Maud", "reset; all else ended", "this machine")
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        assert doors.sign_in(catalogue, "Maud", PASSPHRASE, address="", label="", now=NOW).whole
        with pytest.raises(SignInRefused):
            doors.link_of(catalogue, link, now=NOW)
    assert shop.ok("second-factor") == "Maud, may manage: none\n"
    assert "has no second factor" in shop.refused("second-factor", "--reset", "Maud", "--yes", code=1)


def test_nobody_of_that_name_and_nobody_there_to_ask_are_told(shop: Remnants) -> None:
    assert "nobody here is called 'Wim'" in shop.refused("second-factor", "--reset", "Wim", "--yes", code=1)
    assert "nobody here is called 'Wim'" in shop.refused("second-factor", "--reset", "Wim", code=1), "before anybody is asked"
    told = shop.refused("second-factor", "--reset", "maud", code=2)
    assert "Take the second factor of Maud, who may manage, away?" in told and "--yes" in told
    assert shop.ok("second-factor") == "Maud, may manage: set up\n"


def test_where_nobody_has_come_in_it_says_so(remnants: Remnants) -> None:
    remnants.log()
    assert remnants.ok("second-factor") == "nobody has come in yet\n"
