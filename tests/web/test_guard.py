"""The guard before all views, read from the app's own list of routes."""

import http.client
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from werkzeug.datastructures import MultiDict
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

import remnants_web
from remnants.actions import doors
from remnants.model import Role
from remnants_web import Settings, create_app, pieces
from remnants_web.access import SAFE_METHODS, access_of
from remnants_web.headers import CONTENT_POLICY
from tests.stock_values import a_piece
from tests.web.conftest import House
from tests.web.served import Served

PAGES = Path(remnants_web.__file__).parent

OPEN_CHANGES = {"/sign-in", "/sign-in/code", "/link/<secret>", "/for/<secret>"}
"""The doors themselves, and the customer's own page: the only changes that need nobody signed in."""

OPEN_PAGES = OPEN_CHANGES | {
    "/away",
    "/worker.js",
    "/api/openapi.json",
    "/static/<path:filename>",
    "/for/<secret>/repair-<int:number>.jpg",
    "/for/<secret>/repair-<int:number>-seams.jpg",
}


def filled(rule: Rule) -> str:
    """A path of the rule with something in each gap."""
    return re.sub(r"<(?:\w+:)?", "{", str(rule.rule)).replace(">", "}").format_map(Gaps())


class Gaps(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "1"


def methods_of(rule: Rule) -> set[str]:
    """The methods that a rule takes; one that names none would take them all."""
    assert rule.methods, rule
    return rule.methods


def changes(app: Flask) -> Iterator[tuple[Rule, str]]:
    for rule in app.url_map.iter_rules():
        for method in sorted(methods_of(rule) - SAFE_METHODS):
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
        access = access_of(house.app.view_functions[rule.endpoint])
        assert access is not None, rule
        needed = access.role
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
    assert told.get_json().keys() == {"type", "title", "status", "detail", "faults"}


@pytest.mark.parametrize("path", ["/", "/sign-in", "/nowhere", "/static/shop.css"])
def test_every_answer_carries_the_headers(house: House, path: str) -> None:
    headers = house.browser("Maud").get(path).headers
    assert headers["Content-Security-Policy"] == CONTENT_POLICY
    assert "unsafe" not in CONTENT_POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "Server" not in headers or "Werkzeug" not in headers["Server"]


def test_an_unknown_host_is_not_answered(house: House) -> None:
    assert house.browser().get("/sign-in", headers={"Host": "elsewhere.test"}).status_code == 400


def test_over_https_cookies_are_bound_to_it(settings: Settings) -> None:
    app = create_app(replace(settings, https=True))
    house = House(app, settings)
    answer = house.browser().post("/sign-in", data={"name": "Maud", "passphrase": "ochre badger lantern five"})
    assert answer.headers["Set-Cookie"].startswith("__Host-remnants=") and "Secure" in answer.headers["Set-Cookie"]
    assert "max-age" in answer.headers["Strict-Transport-Security"]


def every_answer(house: House) -> Iterator[TestResponse]:
    """An answer of each kind: each page, refusals by role, by origin, by method, of nonsense, of what is not there."""
    for name in ("Maud", "Lou", ""):
        browser = house.browser(name)
        for rule in house.app.url_map.iter_rules():
            yield browser.get(filled(rule))
            yield browser.open(filled(rule), method="POST")
            yield browser.open(filled(rule), method="POST", headers={"Sec-Fetch-Site": "cross-site"})
        for method in ("OPTIONS", "TRACE", "PUT", "DELETE", "PATCH", "HEAD", "BREW"):
            yield browser.open("/patch", method=method)
    yield house.browser().get("/sign-in", headers={"Host": "elsewhere.test"})


def test_every_answer_whatever_it_is_carries_every_header(house: House) -> None:
    """OWASP ASVS 4.0.3, 14.4: policy, type, no sniffing, referrer, no framing; 8.2.1: kept by no cache."""
    met = set()
    for answer in every_answer(house):
        at = f"{answer.request.method} {answer.request.path} {answer.status_code}"
        met.add(answer.status_code)
        assert answer.status_code < 500, at
        assert answer.headers["Content-Security-Policy"] == CONTENT_POLICY, at
        assert answer.headers["X-Content-Type-Options"] == "nosniff", at
        assert answer.headers["X-Frame-Options"] == "DENY" and "frame-ancestors 'none'" in CONTENT_POLICY, at
        assert answer.headers["Referrer-Policy"] == "same-origin", at
        assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin", at
        assert not [name for name, _ in answer.headers if name.lower().startswith(("access-control-", "x-powered", "server"))], at
        if not answer.request.path.startswith("/static/") and answer.request.path != "/worker.js":
            assert answer.headers["Cache-Control"] == "no-store", at
        if answer.request.path.startswith("/api/"):
            assert answer.headers["Content-Disposition"] == 'attachment; filename="api.json"', at
        if answer.data:
            assert answer.headers["Content-Type"], at
    assert {200, 303, 400, 401, 403, 404, 405} <= met


def test_an_unforeseen_fault_tells_nothing_of_how_it_is_built(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("SELECT passphrase FROM person in /some/place")

    monkeypatch.setattr(pieces, "find_pieces", broken)
    for accept in ("text/html", "application/json"):
        answer = house.browser("Lou").get("/find?words=x", headers={"Accept": accept})
        assert answer.status_code == 500 and answer.headers["Content-Security-Policy"] == CONTENT_POLICY
        assert "passphrase" not in answer.text and "RuntimeError" not in answer.text and "/some/place" not in answer.text
    assert not house.app.debug


def test_a_fault_while_asking_who_it_is_lets_nobody_in(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    maud = house.browser("Maud")

    def broken(*_: object, **__: object) -> None:
        raise OSError("the disk is gone")

    monkeypatch.setattr(doors, "session_of", broken)
    assert maud.get("/people").status_code == 500


@pytest.mark.parametrize("header", ["X-HTTP-Method-Override", "X-HTTP-Method", "X-Method-Override"])
def test_a_header_makes_no_change_of_a_question(house: House, header: str) -> None:
    maud = house.browser("Maud")
    assert maud.get("/people/Wim/shut-out", headers={header: "POST"}).status_code in (404, 405)
    assert maud.get("/people?_method=POST&name=x").status_code == 200
    assert house.browser("Wim").get("/me").status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"X-Forwarded-Host": "elsewhere.test"},
        {"X-Forwarded-Proto": "https", "X-Forwarded-For": "10.9.9.9"},
        {"Forwarded": "host=elsewhere.test;proto=https"},
        {"X-Original-URL": "/people", "X-Rewrite-URL": "/people"},
    ],
)
def test_what_a_stranger_claims_about_the_way_counts_for_nothing(house: House, headers: dict[str, str]) -> None:
    page = house.browser("Wim").post("/me/device", headers=headers)
    assert "http://localhost/link/" in page.text and "elsewhere.test" not in page.text


def test_cookies_are_kept_from_scripts_and_other_sites_and_hold_nothing_but_a_secret(house: House) -> None:
    answer = house.browser().post("/sign-in", data={"name": "Maud", "passphrase": "ochre badger lantern five"})
    (cookie,) = answer.headers.getlist("Set-Cookie")
    value = cookie.partition("=")[2].partition(";")[0]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie and "Path=/" in cookie and "Domain" not in cookie
    assert len(value) >= 43 and len({house.secret_of("Maud")[at] for at in range(43)}) > 10  # 256 bits as base64


PARTED = b'--b\r\nContent-Disposition: form-data; name="style"\r\n\r\n' + b"x" * 600_000 + b"\r\n--b--\r\n"


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/log", {"data": {"style": "x" * 600_000}}),
        ("/sign-in", {"data": {"passphrase": "x" * 600_000}}),
        ("/log", {"data": {f"f{number}": "x" for number in range(700)}, "content_type": "multipart/form-data"}),
        ("/log", {"data": b"x" * (13 * 1024 * 1024), "content_type": "application/octet-stream"}),
        ("/log", {"data": PARTED, "content_type": "multipart/form-data; boundary=b"}),
    ],
    ids=["form", "passphrase", "parts", "body", "multipart"],
)
def test_what_is_too_large_is_not_read(house: House, path: str, sent: dict[str, Any]) -> None:
    assert house.browser("Wim").post(path, **sent).status_code == 413


def test_a_role_taken_away_is_gone_with_the_next_request(house: House) -> None:
    maud, wim = house.browser("Maud"), house.browser("Wim")
    assert wim.get("/log").status_code == 200
    maud.post("/people/Wim/role", data={"role": "look"})
    assert wim.get("/log").status_code == 403
    assert wim.post("/pieces/R-0001/discard", data={"role": "manage"}).status_code == 403


def test_no_view_reads_a_role_from_what_is_sent_but_the_managers_page() -> None:
    """A role in a form counts only where managers give it."""
    root = PAGES
    reading = {
        path.name
        for path in root.glob("*.py")
        if re.search(r"(form|args|values|cookies|headers)[^\n]*[\"']role", path.read_text())
    }
    assert reading == {"people.py"}


def test_no_script_builds_code_or_markup_from_texts() -> None:
    """OWASP ASVS 4.0.3, 5.2.4, 5.3.3, 5.5.4: texts stay texts in the browser too."""
    forbidden = re.compile(
        r"\beval\(|new Function|innerHTML|outerHTML|insertAdjacentHTML|document\.write|javascript:|setTimeout\(\s*[\"']"
    )
    scripts = list((PAGES / "static").glob("*.js"))
    assert len(scripts) > 5
    assert not [path.name for path in scripts if forbidden.search(path.read_text(encoding="utf-8"))]


def test_templates_escape_and_only_drawings_made_here_are_taken_as_markup() -> None:
    templates = list((PAGES / "templates").glob("*"))
    assert len(templates) > 15 and {path.suffix for path in templates} == {".html"}, "only .html is escaped by itself"
    for path in templates:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"\|\s*safe\b|autoescape|<script(?![^>]*src=)|\s(?:on\w+|style)=[\"']", text), path.name
    marking = {path.name for path in PAGES.rglob("*.py") if re.search(r"\bMarkup\(", path.read_text())}
    looked_at = {"figures.py", "me.py", "words.py"}
    assert marking <= looked_at, "drawings and swatches whose texts were escaped, codes"


@pytest.mark.parametrize(
    "word", ["eval(", "exec(", "pickle", "marshal", "yaml", "os.system", "subprocess", "shell=True", "urlopen", "requests."]
)
def test_the_pages_run_load_and_fetch_nothing_that_was_sent(word: str) -> None:
    """OWASP ASVS 4.0.3, 5.2.4, 5.2.6, 5.3.8, 5.5.3, 12.6.1."""
    assert not [path.name for path in PAGES.rglob("*.py") if word in path.read_text(encoding="utf-8")]


def test_a_field_sent_twice_counts_once(house: House) -> None:
    """The first one: what is looked at is what is done."""
    maud = house.browser("Maud")
    maud.post("/people/Wim/role", data=MultiDict([("role", "look"), ("role", "manage")]))
    assert house.browser("Wim").get("/log").status_code == 403
    assert maud.post("/people/Wim/role?role=manage").status_code == 422


def test_the_real_server_tells_no_version(house: House) -> None:
    served = Served(house.app, threads=1)
    try:
        asked = http.client.HTTPConnection("127.0.0.1", served.server.effective_port, timeout=60)
        for path in ("/sign-in", "/nowhere", "/static/shop.css"):
            asked.request("GET", path)
            answer = asked.getresponse()
            told = str(answer.headers).lower() + answer.read().decode(errors="replace").lower()
            assert not [word for word in ("waitress", "werkzeug", "python", "flask", "server:") if word in told], path
        asked.close()
    finally:
        served.end()


def test_what_is_told_with_a_swatch_is_escaped(house: House) -> None:
    with house.app.test_request_context("/"):
        swatch = str(house.app.jinja_env.filters["swatch"](a_piece(colour='oatmeal"><script>')))
        assert "<script" not in swatch
