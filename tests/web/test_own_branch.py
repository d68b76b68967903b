"""Pages that start with the branch of who is signed in, and what is asked where a place's name is that of two branches."""

import re

import pytest

from remnants.actions import open_catalogue
from remnants.actions.branch_people import set_role_at
from remnants.actions.branches import put_branch, put_van
from remnants.actions.show_piece import show_piece
from remnants.model import Role
from remnants.model.branches import Van
from tests.stock_values import SIGNED
from tests.web.conftest import Browser, House

PIECE = {"style": "Velder Loop", "colour": "Oatmeal", "shape": "rectangle", "width": "40", "length": "50", "pile": "0"}


@pytest.fixture
def branches(house: House) -> House:
    """A shop with two branches and a van. All that is in stock lies at South, and Wim works at North."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_branch(catalogue, "South", new=True, signed=SIGNED)
        put_branch(catalogue, "North", new=True, signed=SIGNED)
        put_van(catalogue, Van("Van 3", "Wim", "North"), signed=SIGNED)
        set_role_at(catalogue, "North", "Wim", Role.WORK, signed=SIGNED)
    return house


def place_of(house: House, tag: str) -> str:
    """Where a piece lies by the books."""
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return show_piece(catalogue, tag).piece.place


def logged(browser: Browser, **told: str) -> str:
    """The tag of the piece that the form logs."""
    answer = browser.post("/log", data=PIECE | told)
    assert answer.status_code == 303, answer.text
    (tag,) = re.findall(r"logged=([^&]+)", answer.location)
    return str(tag)


PAGES = ("/log", "/dock", "/dock/move", "/dock/receive", "/racks", "/find", "/patch", "/propose", "/count")


@pytest.mark.parametrize("page", PAGES)
def test_each_page_starts_with_the_own_branch_until_another_is_chosen_on_it(branches: House, page: str) -> None:
    wim = branches.browser("Wim")
    assert "<option selected>North</option>" in wim.get(page).text
    there = wim.post("/me/branch", data={"branch": "Van 3", "back": page})
    assert (there.status_code, there.location) == (303, page)
    assert "<option selected>Van 3</option>" in branches.browser("Wim").get(page).text, "it is kept"


def test_a_shop_without_branches_sees_nothing_of_it(house: House) -> None:
    wim = house.browser("Wim")
    for page in PAGES:
        assert not re.search(r"branch|work-from|no-print own", wim.get(page).text, re.IGNORECASE), page


def test_what_is_logged_lies_at_the_branch_where_it_was_logged(branches: House) -> None:
    wim = branches.browser("Wim")
    assert 'value="North"' in wim.get("/log").text
    tag = logged(wim, branch="North", place="Bay 3", key="k1")
    assert place_of(branches, tag) == "North Bay 3"
    wim.post("/me/branch", data={"branch": "South"})
    assert logged(wim, branch="North", place="Bay 3", key="k1") == tag, "sent again it counts once, wherever one works by now"
    assert 'value="North Bay 3"' in wim.get(f"/log?logged={tag}&place=North+Bay+3").text
    kept = logged(branches.browser("Maud"), branch="North", place="attic", kind="kept")
    assert place_of(branches, kept) == "attic"


def test_a_name_of_two_branches_is_asked_about(branches: House) -> None:
    logged(branches.browser("Wim"), branch="North", place="Bay 3")
    maud = branches.browser("Maud")
    asked = maud.post("/log", data=PIECE | {"branch": "", "place": "Bay 3"})
    assert asked.status_code == 422 and "which branch is meant?" in asked.text and "South" in asked.text
    assert place_of(branches, logged(maud, branch="", place="South Bay 3")) == "Bay 3"
    moved = maud.post("/dock/move", data={"scan": "Bay 3", "branch": ""})
    assert moved.status_code == 422 and "Which branch is meant? Bay 3 is at South, North Bay 3 is at North." in moved.text
    assert 'href="/dock/move?place=North+Bay+3"' in moved.text or 'href="/dock/move?place=North%20Bay%203"' in moved.text
    assert maud.post("/dock/move", data={"scan": "Bay 3", "branch": "North"}).location == "/dock/move?place=North+Bay+3"
    counted = maud.get("/count?place=Bay+3&branch=")
    assert "Which branch is meant?" in counted.text and "North Bay 3, at North" in counted.text
    assert maud.get("/count?place=bay+3&branch=North").location == "/count/North%20Bay%203"
    refused = maud.post("/pieces/R-0001/move", data={"place": "Bay 3", "branch": ""})
    assert refused.status_code == 422 and "which branch is meant" in refused.text


def test_a_scanned_rack_of_another_branch_takes_what_is_received_there(branches: House) -> None:
    """Its label is read as it is written: South's Bay 3 for somebody who works at North as well."""
    maud = branches.browser("Maud")
    maud.post("/me/branch", data={"branch": "North"})
    form = PIECE | {"branch": "North", "place": ""}
    on = maud.post("/dock/receive", data=form | {"scan": "rack:Bay 3"})
    assert "place=South+Bay+3" in on.location
    assert maud.post("/dock/receive", data=form | {"place": "South Bay 3", "scan": "R-900"}).status_code == 303
    assert place_of(branches, "R-900") == "Bay 3"


def test_racks_stand_by_branch_the_own_one_first(branches: House) -> None:
    wim = branches.browser("Wim")
    logged(wim, branch="North", place="Bay 3")
    logged(branches.browser("Maud"), branch="Van 3", place="left shelf")
    page = wim.get("/racks").text
    assert "At North" in page and "In vans" in page and "At South" not in page and "Only what is at North." in page
    every = wim.get("/racks?branch=").text
    assert every.index("At South") < every.index("At North") < every.index("In vans") < every.index("With customers")
    assert 'name="back" value="/racks"' in every
    assert "No place is called like that at North" in wim.get("/racks?words=bay+9").text


def test_find_tells_what_is_here_first_and_leaves_nothing_out(branches: House) -> None:
    wim = branches.browser("Wim")
    tag = logged(wim, branch="North", place="Bay 3")
    page = wim.get("/find?words=velder").text
    assert page.index("At North") < page.index(tag) < page.index("Elsewhere") < page.index("R-0001")
    assert "Elsewhere" not in branches.browser("Lou").get("/find?words=velder").text


def test_a_patch_is_asked_from_there_and_the_address_says_so(branches: House) -> None:
    wim = branches.browser("Wim")
    asked = PIECE | {"job": "Alder Court 7", "branch": "North", "edge_0": "free"}
    answer = wim.post("/patch", data=asked)
    assert answer.status_code == 303 and "branch=North" in answer.location
    assert "Fetched from South" in wim.get(answer.location).text
    assert "no branch and no van is called" in wim.get(answer.location.replace("branch=North", "branch=East")).text


def test_what_is_no_branch_is_not_kept(branches: House) -> None:
    wim = branches.browser("Wim")
    refused = wim.post("/me/branch", data={"branch": "East"})
    assert refused.status_code == 422 and "no branch and no van is called" in refused.text
    assert wim.post("/me/branch", data={"branch": "", "back": "//elsewhere.example"}).location == "/"
    assert "<option selected>" not in wim.get("/find").text
