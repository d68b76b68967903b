"""A program's key does what it was made for, to its day, and is never the whole person. What ends everything ends all of it."""

import json
import re
from typing import Any

import pytest
from werkzeug.test import TestResponse

from remnants.actions import doors, open_catalogue, people
from remnants.model import Role, Scope
from remnants_web.access import access_of
from tests.web.conftest import PASSPHRASE, Browser, Clock, House
from tests.web.stock import STOCK
from tests.web.test_guard import filled, methods_of

JOB = {"unit": "in", "job": "x", "style": "Harrow Twist", "patches": [{"name": "hall", "width": 40, "length": 14, "pile": 90}]}
PIECE = {"tag": "R-0100", "style": "New Fell", "width": 40, "length": 50, "kind": "remnant", "pile": 0}
NEW = json.loads(STOCK) | {"pieces": [PIECE]}
CALLS: dict[Scope, list[tuple[str, str, Any]]] = {
    Scope.LOOK: [("GET", "/api/pieces?words=velder", None), ("GET", "/api/pieces/R-0001/history", None)],
    Scope.FIT: [("POST", "/api/fit", JOB)],
    Scope.LOG: [("POST", "/api/pieces", NEW)],
    Scope.BOOK: [("POST", "/api/jobs", JOB), ("POST", "/api/jobs/x/release", None)],
}


def call(house: House, key: str, method: str, path: str, body: Any = None) -> TestResponse:
    headers = {"Sec-Fetch-Site": "", "Accept": "application/json", "Authorization": f"Bearer {key}"}
    return house.browser().open(path, method=method, headers=headers, json=body)


@pytest.mark.parametrize("scope", list(Scope))
def test_a_key_does_what_its_scope_says_and_nothing_else(house: House, scope: Scope) -> None:
    key = house.key_of("Wim", scope)
    for other, calls in CALLS.items():
        for method, path, body in calls:
            answer = call(house, key, method, path, body)
            assert answer.status_code in ((200, 201) if other is scope else (403,)), path
            if other is not scope:
                assert f"this key may {scope}, and this needs {other}" in answer.get_json()["detail"]


def test_no_key_of_anybody_opens_a_page_a_session_or_the_list_of_people(house: House) -> None:
    key = house.key_of("Maud")
    for rule in house.app.url_map.iter_rules():
        access = access_of(house.app.view_functions[rule.endpoint])
        if access is None or access.role is None or rule.rule.startswith("/api/"):
            continue
        for method in sorted(methods_of(rule) - {"OPTIONS"}):
            answer = call(house, key, method, filled(rule))
            assert answer.status_code == 403 and "Set-Cookie" not in answer.headers, f"{method} {rule}"
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert {person.name: person.role for person in people.everybody(catalogue)}["Wim"] is Role.WORK


def test_a_key_may_no_more_than_its_person(house: House) -> None:
    key = house.key_of("Wim")
    house.browser("Maud").post("/people/Wim/role", data={"role": "look"})
    assert call(house, key, "POST", "/api/pieces", NEW).status_code == 403
    assert call(house, key, "GET", "/api/pieces?words=velder").status_code == 200


def test_a_key_ends_on_its_day_however_often_it_is_used(house: House, clock: Clock) -> None:
    key = house.key_of("Wim", days=2)
    for _ in range(2):
        clock.wait(days=1)
        assert call(house, key, "GET", "/api/pieces?words=velder").status_code == 200
    clock.wait(days=1)
    assert call(house, key, "GET", "/api/pieces?words=velder").status_code == 401


def made(browser: Browser, **sent: str) -> TestResponse:
    return browser.post("/me/key", data={"label": "shelf printer", "scope look": "yes", "until": "2026-04-01"} | sent)


def test_a_key_is_made_with_what_it_may_and_its_day_and_the_page_lists_both(house: House) -> None:
    wim = house.browser("Wim")
    page = made(wim, **{"scope log": "yes"}).text
    assert "It may look, log, until the end of 1 Apr 2026 (UTC)." in page
    key = re.findall(r'id="key">([^<]+)<', page)[0]
    assert call(house, key, "POST", "/api/pieces", NEW).status_code == 201
    assert call(house, key, "POST", "/api/fit", JOB).status_code == 403
    assert "key that may log, look until 1 Apr 2026" in wim.get("/me").text


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"scope look": ""}, "say what the program may do"),
        ({"label": " "}, "say what the key is for"),
        ({"until": "2026-03-01"}, "is no end for a key: give a day from 2 Mar 2026 to 2 Mar 2027"),
        ({"until": "2027-03-03"}, "3 Mar 2027 is no end for a key"),
        ({"until": "soon"}, "is no date"),
    ],
)
def test_a_key_without_an_end_or_a_use_is_not_made(house: House, sent: dict[str, str], told: str) -> None:
    answer = made(house.browser("Wim"), **sent)
    assert answer.status_code == 422 and told in answer.text.replace("&#39;", "'")


def device_link(browser: Browser) -> str:
    return str(re.findall(r"http://localhost(/link/[\w-]+)", browser.post("/me/device").text)[0])


def test_a_link_for_a_device_dies_with_a_new_passphrase_and_with_being_shut_out(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    link = device_link(maud)
    maud.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": "four tall copper herons"})
    assert house.browser().post(link).status_code == 401
    link = device_link(wim)
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        by = next(one for one in people.everybody(catalogue) if one.name == "Maud")
        invite = people.invite_again(catalogue, "Wim", by=by, now=house.settings.now())
        doors.set_passphrase_by_link(catalogue, invite, PASSPHRASE, name="Wim", label="desk", now=house.settings.now())
    assert house.browser().post(link).status_code == 401
    link = device_link(house.browser("Wim"))
    maud = house.browser("Maud")
    maud.post("/people/Wim/shut-out")
    maud.post("/people/Wim/let-back")
    assert house.browser().post(link).status_code == 401, "let back, one makes a new one"


@pytest.mark.parametrize("by", ["Wim", "Maud"])
def test_ending_everything_takes_sessions_keys_links_and_what_was_kept(house: House, by: str) -> None:
    wim, key, late = house.browser("Wim"), house.key_of("Wim"), house.browser("Wim")
    link, phone = device_link(wim), house.browser("Wim")
    if by == "Wim":
        answer = wim.post("/me/end-everything")
        assert answer.location == "/sign-in" and "storage" in answer.headers["Clear-Site-Data"]
    else:
        assert house.browser("Maud").post("/people/Wim/end-everything").status_code == 303
    for browser in (wim, phone, late):
        assert browser.get("/find").status_code == 303
    assert call(house, key, "GET", "/api/pieces?words=velder").status_code == 401
    assert house.browser().post(link).status_code == 401
    assert house.browser("Maud").get("/find").status_code == 200


def test_only_a_manager_ends_everything_of_another(house: House) -> None:
    assert house.browser("Wim").post("/people/Maud/end-everything").status_code == 403
    assert house.browser("Maud").post("/people/Nobody/end-everything").status_code == 404
