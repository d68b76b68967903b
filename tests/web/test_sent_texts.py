"""Texts of forms: those as long as the limit are kept whole, longer ones are refused with it; none is cut off."""

from remnants.actions import open_catalogue
from remnants.actions.rack import pieces_at
from remnants.actions.show_piece import history_of
from remnants.limits import KEY_CHARACTERS, TEXT_CHARACTERS, WHY_CHARACTERS
from tests.web import test_bookings, test_count
from tests.web.conftest import House

WHY = ("moth along the wall and in the closet, " * 20)[:WHY_CHARACTERS].strip().ljust(WHY_CHARACTERS, "!")
PLACE = ("behind the wide rolls in the shed at the yard; " * 20)[:TEXT_CHARACTERS].strip().ljust(TEXT_CHARACTERS, "!")


def reasons(house: House, tag: str) -> list[str]:
    """The reasons in the history of a piece."""
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return [entry.signed.why for entry in history_of(catalogue, tag).entries if entry.signed.why]


def test_a_reason_is_kept_whole_or_refused_and_then_nothing_is_done(house: House) -> None:
    """It was cut after two hundred characters, so that the ledger said half of what was meant."""
    wim = house.browser("Wim")
    told = wim.post("/pieces/R-0001/discard", data={"why": WHY + "."})
    assert told.status_code == 422 and "201 characters, and at most 200 are taken: say it shorter" in told.text
    assert not reasons(house, "R-0001")
    assert wim.post("/pieces/R-0001/discard", data={"why": f"  {WHY} "}).status_code == 303
    assert reasons(house, "R-0001") == [WHY]


def test_why_a_plan_was_taken_is_kept_whole_or_refused(house: House) -> None:
    wim, fields = test_bookings.shown(house)
    refused = wim.post("/jobs/hold", data=fields | {"why": WHY + "."})
    assert refused.status_code == 422 and wim.get("/jobs/J-0001").status_code == 404
    held = wim.post("/jobs/hold", data=fields | {"why": WHY})
    assert held.status_code == 303 and WHY in wim.get(held.location).text


def test_pieces_that_are_counted_at_a_place_with_a_long_name_stay_there(house: House) -> None:
    """Its name was cut after two hundred characters, and what was counted went to a place that nobody has."""
    wim = house.browser("Wim")
    assert wim.post("/pieces/R-0001/move", data={"place": PLACE}).status_code == 303
    asked = {"place": PLACE, "typed": "R-0001\nR-0002"}
    form = asked | {"shown": test_count.shown(wim, asked), "key": "long"}
    assert wim.post("/count/book", data=form).status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [each.piece.tag for each in pieces_at(catalogue, PLACE)] == ["R-0001", "R-0002"]
    refused = wim.post("/count/book", data=form | {"place": PLACE + "."})
    assert refused.status_code == 422 and "501 characters" in refused.text


def test_two_requests_are_never_taken_for_one_as_their_keys_begin_alike(house: House) -> None:
    """Each was cut after a hundred characters: the second was answered as the first, and not done."""
    maud, fields = test_bookings.shown(house, "Maud")
    key = "k" * KEY_CHARACTERS
    sent = {name: text for name, text in fields.items() if name != "seen"} | {"place": "Bay 3"}
    for path in ("/pieces/R-0001/move", "/pieces/R-0001/discard", "/count/book", "/jobs/hold", "/rules"):
        refused = maud.post(path, data=sent | {"key": key + "1"})
        assert refused.status_code == 422 and "101 characters, and at most 100 are taken" in refused.text, path
    assert maud.post("/pieces/R-0001/move", data={"place": "Bay 9", "key": key}).status_code == 303
