"""The guard before all views, read from the app's own list of routes."""

import re
from dataclasses import replace

import pytest
from flask import Flask

from remnants.model import Role
from tests.web.conftest import House
from web import create_app
from web.access import SAFE_METHODS, access_of
from web.headers import CONTENT_POLICY

OPEN_CHANGES = {"/sign-in", "/link/<secret>"}
"""The doors themselves: the only changes that need nobody signed in."""

OPEN_PAGES = OPEN_CHANGES | {"/away", "/worker.js", "/api/openapi.json", "/static/<path:filename>"}


def filled(rule) -> str:
    """A path of the rule with something in each gap."""
    return re.sub(r"<(?:\w+:)?", "{", str(rule.rule)).replace(">", "}").format_map(Gaps())


class Gaps(dict):
    def __missing__(self, key: str) -> str:
        return "1"


def changes(app: Flask):
    for rule in app.url_map.iter_rules():
        for method in sorted(set(rule.methods) - SAFE_METHODS):
            yield rule, method


def test_every_change_needs_a_role(app: Flask) -> None:
    listed = list(changes(app))
    assert len(listed) > 10
    for rule, _method in listed:
        access = access_of(app.view_functions[rule.endpoint])
        assert access is not None, rule
        assert (access.role is None) == (rule.rule in OPEN_CHANGES), f"{rule} says {access}"


def test_only_the_doors_are_open(app: Flask) -> None:
    for rule in app.url_map.iter_rules():
        access = access_of(app.view_functions[rule.endpoint])
        if access is None or access.role is None:
            assert rule.rule in OPEN_PAGES, f"{rule} is open to anyone"


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
        {"Sec-Fetch-Site": "", "Origin": "https://elsewhere.test"},
        {"Sec-Fetch-Site": "", "Origin": "null"},
        {"Sec-Fetch-Site": "", "Origin": "http://localhost:81"},
        {"Sec-Fetch-Site": ""},
    ],
)
def test_no_change_is_taken_from_elsewhere(house: House, headers: dict[str, str]) -> None:
    maud = house.browser("Maud")
    for rule, method in changes(house.app):
        answer = maud.open(filled(rule), method=method, headers=headers)
        assert answer.status_code == 403, f"{method} {rule} from {headers}"
        assert "not sent by a page of this shop" in answer.text


def test_a_page_of_ours_may_send_where_browsers_name_only_the_origin(house: House) -> None:
    maud = house.browser("Maud")
    sent = {"Sec-Fetch-Site": "", "Origin": "http://localhost"}
    assert maud.post("/me/preferences", data={"unit": "m", "theme": "light"}, headers=sent).status_code == 303


def test_every_change_is_refused_to_strangers_and_to_lesser_roles(house: House) -> None:
    stranger, lou, wim = house.browser(), house.browser("Lou"), house.browser("Wim")
    for rule, method in changes(house.app):
        needed = access_of(house.app.view_functions[rule.endpoint]).role
        if needed is None:
            continue
        assert stranger.open(filled(rule), method=method).status_code == 401, rule
        if needed is not Role.LOOK:
            assert lou.open(filled(rule), method=method).status_code == 403, rule
        if needed is Role.MANAGE:
            assert wim.open(filled(rule), method=method).status_code == 403, rule


def test_pages_send_strangers_to_the_door_and_programs_a_refusal(house: House) -> None:
    answer = house.browser().get("/me?x=1")
    assert (answer.status_code, answer.location) == (303, "/sign-in?next=%2Fme%3Fx%3D1")
    told = house.browser().get("/me", headers={"Accept": "application/json"})
    assert told.status_code == 401 and told.mimetype == "application/problem+json"
    assert told.json.keys() == {"type", "title", "status", "detail", "faults"}


@pytest.mark.parametrize("path", ["/", "/sign-in", "/nowhere", "/static/shop.css"])
def test_every_answer_carries_the_headers(house: House, path: str) -> None:
    headers = house.browser("Maud").get(path).headers
    assert headers["Content-Security-Policy"] == CONTENT_POLICY
    assert "unsafe" not in CONTENT_POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "Server" not in headers or "Werkzeug" not in headers["Server"]


def test_an_unknown_host_is_not_answered(house: House) -> None:
    assert house.browser().get("/sign-in", headers={"Host": "elsewhere.test"}).status_code == 400


def test_over_https_cookies_are_bound_to_it(settings, clock) -> None:

    app = create_app(replace(settings, https=True))
    house = House(app, settings)
    answer = house.browser().post("/sign-in", data={"name": "Maud", "passphrase": "ochre badger lantern five"})
    assert answer.headers["Set-Cookie"].startswith("__Host-remnants=") and "Secure" in answer.headers["Set-Cookie"]
    assert "max-age" in answer.headers["Strict-Transport-Security"]
