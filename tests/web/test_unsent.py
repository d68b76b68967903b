"""What was typed outlives the session: sent when it was over, it is there again for who typed it, and for nobody else."""

import io
from typing import Any

import pytest

from remnants.actions import doors, open_catalogue, people
from remnants.actions.rack import pieces_at
from remnants.actions.show_piece import show_piece
from remnants.actions.unsent import form_kept
from remnants.limits import LATE_CHARACTERS
from tests.web.conftest import PASSPHRASE, Browser, Clock, House

PIECE = {
    "key": "a-piece",
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "lot": "77-Q",
    "shape": "rectangle",
    "width": "21",
    "length": "22",
    "place": "Bay 90",
    "worn": "2",
    "kind": "offcut",
    "pile": "90",
    "new_tag": "X-77",
    "made_by": "Wim",
}
OVER = 15 * 24


def with_passphrase(house: House, name: str) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        maud = next(one for one in people.everybody(catalogue) if one.name == "Maud")
        link = people.invite_again(catalogue, name, by=maud, now=house.settings.now())
        doors.set_passphrase_by_link(catalogue, link, PASSPHRASE, name=name, label="desk", now=house.settings.now())


def sign_in(browser: Browser, name: str, **more: str) -> str:
    answer = browser.post("/sign-in", data={"name": name, "passphrase": PASSPHRASE} | more)
    assert answer.status_code == 303
    return answer.location


def sent_late(house: House, clock: Clock, path: str = "/log", data: dict[str, Any] | None = None) -> Browser:
    """A browser whose session was over when its form was sent."""
    with_passphrase(house, "Wim")
    browser = house.browser("Wim")
    clock.wait(hours=OVER)
    answer = browser.post(path, data=PIECE if data is None else data)
    assert (answer.status_code, answer.location) == (303, "/sign-in")
    return browser


def at_bay_90(house: House) -> list[str]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return [piece.tag for piece in (standing.piece for standing in pieces_at(catalogue, "Bay 90"))]


def test_a_piece_typed_at_the_dock_is_there_after_signing_in_and_is_logged_once(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock)
    told = browser.get("/sign-in").text
    assert "Your session was over, so nothing was done." in told and "sign in as Wim" in told and "Velder" not in told
    assert sign_in(browser, "wim") == "/unsent"
    page = browser.get("/unsent").text
    for field in ("style", "colour", "lot", "width", "length", "place", "new_tag", "key"):
        assert f'name="{field}"' in page and f'value="{PIECE[field]}"' in page, field
    assert 'value="2" selected' in page and 'value="offcut" selected' in page and 'value="90" checked' in page
    assert at_bay_90(house) == []
    for _ in range(2):
        assert browser.post("/log", data=PIECE).status_code == 303
    assert at_bay_90(house) == ["X-77"]
    assert browser.get("/unsent").location == "/", "what was sent since is not offered again"


def test_pressed_twice_before_signing_in_it_is_one_form(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock)
    browser.post("/log", data=PIECE)
    sign_in(browser, "Wim")
    browser.get("/unsent")
    browser.post("/log", data=PIECE)
    assert at_bay_90(house) == ["X-77"]


def test_whoever_signs_in_instead_is_shown_nothing_of_it(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock)
    assert sign_in(browser, "Maud") == "/"
    page = browser.get("/unsent").text
    assert "Something of Wim’s is kept here" in page and "Velder" not in page and "77-Q" not in page
    assert browser.post("/unsent/drop").status_code == 303
    browser.post("/sign-out")
    assert sign_in(browser, "Wim") == "/unsent"
    assert "77-Q" in browser.get("/unsent").text


def test_a_photograph_is_said_to_be_lost(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock, data=PIECE | {"photo": (io.BytesIO(b"as good as one"), "a.jpg")})
    sign_in(browser, "Wim")
    assert "choose it again before you log" in browser.get("/unsent").text


@pytest.mark.parametrize(
    ("path", "data", "there"),
    [
        ("/patch", {"style": "Velder Loop", "width": "19", "length": "8", "job": "Fern Row 2"}, ['value="19"', "Fern Row 2"]),
        ("/count", {"place": "Bay 3", "typed": "R-0001\nO-0007", "seen R-0001": "R-0001"}, ["R-0001\nO-0007", "Bay 3"]),
        ("/order", {"name_1": "lounge", "width_1": "12 ft"}, ["lounge", "12 ft"]),
        ("/pieces/R-0001/move", {"place": "Bay 91", "key": "m"}, ["Bay 91", "Move it", "Not sent yet"]),
        ("/jobs/J-0001/photos", {"moment": "after", "words": "seen from the door", "key": "p"}, ["after", "seen from the door"]),
        ("/jobs/hold", {"job": "Fern Row 2", "key": "h", "job_file": "{}"}, ["Hold for 14 days", "Fern Row 2"]),
    ],
)
def test_every_form_of_the_work_is_kept(house: House, clock: Clock, path: str, data: dict[str, str], there: list[str]) -> None:
    browser = sent_late(house, clock, path, data)
    assert sign_in(browser, "Wim") == "/unsent"
    page = browser.get("/unsent").text
    assert not [text for text in there if text not in page]


def test_what_is_sent_as_it_was_is_done(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock, "/pieces/R-0001/move", {"place": "Bay 91", "key": "m", "made_by": "Wim"})
    sign_in(browser, "Wim")
    assert '<textarea name="place" hidden aria-hidden="true">\nBay 91</textarea>' in browser.get("/unsent").text
    assert browser.post("/pieces/R-0001/move", data={"place": "Bay 91", "key": "m", "made_by": "Wim"}).status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert show_piece(catalogue, "R-0001").piece.place == "Bay 91"


def test_it_stays_a_day_and_no_longer(house: House, clock: Clock) -> None:
    browser = sent_late(house, clock)
    clock.wait(hours=24, minutes=1)
    assert sign_in(browser, "Wim") == "/"
    assert browser.get("/unsent").location == "/"


@pytest.mark.parametrize(
    ("path", "data", "headers"),
    [
        ("/log", PIECE, {"Sec-Fetch-Site": "cross-site"}),
        ("/log", PIECE, {"Sec-Fetch-Mode": "cors"}),
        ("/log", PIECE, {"Accept": "application/json"}),
        ("/log", PIECE | {"made_by": "Maud"}, {}),
        ("/log", {"style": "x" * LATE_CHARACTERS}, {}),
        ("/me/passphrase", {"old": PASSPHRASE, "passphrase": PASSPHRASE}, {}),
        ("/people", {"name": "Ana", "role": "manage"}, {}),
    ],
    ids=["from elsewhere", "by a script", "by a program", "of another", "too large", "passphrase", "people"],
)
def test_some_things_are_never_kept(house: House, clock: Clock, path: str, data: dict[str, str], headers: dict[str, str]) -> None:
    browser = house.browser("Wim")
    clock.wait(hours=OVER)
    answer = browser.post(path, data=data, headers=headers)
    assert answer.status_code in (401, 403) and "Set-Cookie" not in answer.headers


def test_of_a_stranger_or_one_who_was_shut_out_nothing_is_kept(house: House, clock: Clock) -> None:
    assert house.browser().post("/log", data=PIECE).status_code == 401
    guessing = house.browser()
    guessing.set_cookie("remnants", "no session ever")
    assert guessing.post("/log", data=PIECE).status_code == 401
    wim = house.browser("Wim")
    house.browser("Maud").post("/people/Wim/shut-out")
    assert wim.post("/log", data=PIECE).status_code == 401


def test_after_signing_out_elsewhere_it_is_kept_too_and_the_old_session_opens_nothing(house: House) -> None:
    with_passphrase(house, "Wim")
    browser = house.browser("Wim")
    cookie = browser.get_cookie("remnants")
    assert cookie
    other = house.browser()
    other.set_cookie("remnants", cookie.value)
    other.post("/sign-out")
    assert browser.get("/log").status_code == 303
    assert browser.post("/log", data=PIECE).location == "/sign-in"
    assert sign_in(browser, "Wim") == "/unsent"


def test_the_cookie_is_kept_from_scripts_and_finds_the_form_by_a_digest(house: House, clock: Clock) -> None:
    with_passphrase(house, "Wim")
    browser = house.browser("Wim")
    clock.wait(hours=OVER)
    cookie = browser.post("/log", data=PIECE).headers["Set-Cookie"]
    assert cookie.startswith("remnants-form=") and "HttpOnly" in cookie and "SameSite=Lax" in cookie and "Path=/" in cookie
    secret = cookie.partition("=")[2].partition(";")[0]
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert form_kept(catalogue, secret, now=clock.now) is not None
        assert not list(catalogue.query("SELECT * FROM unsent WHERE digest = ?", [secret]))


def test_only_the_latest_few_of_one_person_are_kept(house: House, clock: Clock) -> None:
    browser = house.browser("Wim")
    clock.wait(hours=OVER)
    for number in range(5):
        browser.post("/log", data=PIECE | {"key": f"k{number}"})
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert len(list(catalogue.query("SELECT * FROM unsent"))) == 3
