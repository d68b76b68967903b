"""Hostile input everywhere: each stored text on each page, each field of each form, each value of each body, each path.

Pages and forms are found by walking the app, so that what is added is met too.
"""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlsplit

import pytest
from werkzeug.test import TestResponse

from remnants.actions import doors, open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.customers import put_customer
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_job, read_stock
from remnants.ledger import Signed
from remnants.model.customer import Customer
from tests.thorough import some
from tests.web.conftest import Browser, Clock, House
from tests.web.crawl import PageForm, crawl, read_page
from tests.web.test_guard import filled, methods_of

SCRIPTS = (
    '"><script>hostile()</script>',
    "'><img src=x onerror=hostile()>",
    "</title></textarea></select><svg onload=hostile()>",
    "javascript:hostile()",
    "]]><!--<style>*{background:url(//elsewhere.test)}",
)
SYNTAX = (
    "{{7191*7192+391-0}}${7191*7192}#{7191*7192}<%=7191*7192%>{%raw%}%s%n{0.__class__}",
    "'; DROP TABLE piece; --",
    "\" OR 1=1 UNION SELECT passphrase, 1 FROM person --' AND (SELECT load_extension('x'))",
    "../../../../etc/passwd",
    "x\r\nSet-Cookie: hostile=1\r\n\r\n<script>hostile()</script>\x00.png",
    "9" * 400,
    "1e999",
    "NaN",
    "\u202ekramen\u0000\uffff😀",
    "",
)  # fmt: skip


def told_by(page: TestResponse) -> str:
    return page.text if (page.mimetype or "").startswith(("text/", "application/json", "application/problem")) else ""


def check(path: str, answer: TestResponse) -> None:
    """What must hold of every answer, whatever was asked."""
    assert answer.status_code < 500, f"{path}: {answer.status_code}"
    assert "hostile" not in str(answer.headers.get("Set-Cookie", "")), path
    location = answer.headers.get("Location", "/")
    assert location.startswith("/") and not location.startswith("//"), f"{path} leads to {location}"
    text = told_by(answer)
    assert str(7191 * 7192) not in text and str(7191 * 7192 + 391) not in text, f"{path}: a template worked on it"
    assert "root:x:" not in text and "$argon2" not in text, path
    if answer.mimetype == "text/html":
        foreign = read_page(path, text).foreign
        assert not foreign, f"{path}: {foreign}"


@pytest.fixture(scope="module")
def stained(modules_house: House) -> House:
    """A shop whose every stored text is a script. It is only asked."""
    house, clock = modules_house, modules_house.settings
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        for number, script in enumerate(SCRIPTS):
            signed = Signed(f"who {script}", clock.now(), f"why {script}")
            texts = {key: f"{key} {number} {script}" for key in ("tag", "style", "colour", "lot", "place", "room")}
            piece = texts | {"kind": "remnant", "width": 40, "length": 60, "pile": 0}
            style = {"name": piece["style"], "construction": "cut", "roll_width": 144}
            log_pieces(catalogue, read_stock(json.dumps({"unit": "in", "styles": [style], "pieces": [piece]})), signed=signed)
            put_customer(catalogue, Customer(f"K{script}", f"N{script}", f"555{script}", f"A{script}"), signed=signed)
            move_piece(catalogue, texts["tag"], texts["place"], room=f"R2{script}", customer=f"K{script}", signed=signed)
            patch = {"name": f"hall{script}", "width": 20, "length": 10, "pile": 0}
            job = {"unit": "in", "job": f"J{script}", "customer": f"K{script}", "style": piece["style"], "patches": [patch]}
            fitted = fit_job(catalogue, read_job(json.dumps(job)), today=clock.now().date())
            hold_job(catalogue, fitted, until=clock.now().date(), signed=signed)
    maud = house.browser("Maud")
    for script in SCRIPTS:
        assert maud.post("/people", data={"name": f"B{script}"[:80], "role": "look"}).status_code == 200
        key = {"label": script, "scope look": "yes", "until": "2026-04-01"}
        assert maud.post("/me/key", data=key).status_code == 200
    return house


Walk = list[tuple[str, TestResponse]]


@pytest.fixture(scope="module")
def walked(stained: House) -> Callable[[str], Walk]:
    """What somebody met who followed every link of the stained shop: followed once for all tests."""
    return cache(lambda name: list(crawl(stained.browser(name))))


@pytest.mark.parametrize("name", ["Maud", "Wim", "Lou"])
def test_no_stored_text_runs_on_any_page(walked: Callable[[str], Walk], name: str) -> None:
    met: Counter[str] = Counter()
    for path, answer in walked(name):
        check(path, answer)
        met[path.split("/")[1].partition("?")[0]] += 1
        if name == "Lou":
            assert "555&#34;" not in told_by(answer) and "K&#34;&gt;" not in told_by(answer), f"{path} tells Lou of a customer"
    assert met["pieces"] >= len(SCRIPTS) and met["jobs"] > len(SCRIPTS) and met["racks"] > len(SCRIPTS), met


def test_reflected_texts_dont_run_either(stained: House, walked: Callable[[str], Walk]) -> None:
    """Each page by each way of its rule, with a script wherever the rule has a gap and as each query that forms send: one script
    a rule, each rule the next one; all on all where all is asked for."""
    maud = stained.browser("Maud")
    names = {name for _, answer in walked("Maud") if answer.mimetype == "text/html" for form in read_page("/", answer.text).forms
             for name in form.fields} | {"next", "logged", "tag", "words", "laid", "unit", "most"}  # fmt: skip
    assert len(names) > 30
    rules = [rule for rule in stained.app.url_map.iter_rules() if "GET" in methods_of(rule) and rule.endpoint != "static"]
    for number, rule in enumerate(rules):
        for script in some(SCRIPTS, of=len(SCRIPTS), begin=number):
            query = dict.fromkeys(sorted(names), script)
            path = filled(rule)
            check(path, maud.get(path, query_string=query))
            path = str(rule.rule).split("<")[0] + quote(script, safe="") if "<" in rule.rule else path
            check(path, maud.get(path))


Forms = dict[tuple[str, str, tuple[str, ...]], PageForm]
_forms: Forms = {}


def forms_of(browser: Browser) -> Forms:
    """One form of each kind: those whose addresses differ in a tag or name alone are the same.

    `browser` is of a new shop's manager: every new shop has the same, so that a run walks to them once.
    """
    if not _forms:
        _forms.update(walk_to_forms(browser))
    return _forms


def walk_to_forms(browser: Browser) -> Forms:
    found: Forms = {}
    starts = ("/", "/patch/answer?style=Harrow+Twist&width=40&length=14&pile=90&job=Elm+End", "/log?logged=R-0001", "/sign-in")
    for path, answer in crawl(browser, *starts, most=90):
        if answer.mimetype == "text/html":
            for form in read_page(path, answer.text).forms:
                way = "/".join(urlsplit(form.action).path.split("/")[:2:] + urlsplit(form.action).path.split("/")[-1:])
                found.setdefault((form.method, way, tuple(sorted((*form.fields, *form.files)))), form)
    return found


def send(house: House, form: PageForm, given: dict[str, str], browser: Browser) -> Browser:
    """Sends a form, looks at the answer, and gives a browser that is signed in: some forms end the session."""
    way = {"query_string": given} if form.method == "get" else {"data": given}
    check(form.action, browser.open(form.action, method=form.method.upper(), **way))
    may_end = form.method == "post" and form.action.startswith(("/me", "/people", "/sign", "/link"))
    return browser if not may_end or browser.get("/me").status_code == 200 else house.browser("Maud")


def quick_passphrases(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without argon2id's work, which is tested elsewhere and would take most of the time here."""
    monkeypatch.setattr(doors, "is_right", lambda _stored, _passphrase: False)


def test_no_field_of_any_form_breaks_or_runs(house: House, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> None:
    """A form takes each fifth text, and the next form the next ones; each takes all where all is asked for."""
    quick_passphrases(monkeypatch)
    maud = house.browser("Maud")
    forms = forms_of(maud)
    assert len(forms) > 14
    for number, form in enumerate(forms.values()):
        for text in some((*SCRIPTS, *SYNTAX), of=5, begin=number):
            clock.wait(minutes=1)
            maud = send(house, form, dict.fromkeys(form.fields, text), maud)
    sound(house)


@pytest.mark.parametrize(("at", "text"), list(enumerate((SCRIPTS[0], SYNTAX[1], "9" * 400))), ids=["script", "sql", "long"])
def test_no_single_field_of_a_form_breaks_it(house: House, at: int, text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each field takes one of the texts; all of them where all is asked for."""
    quick_passphrases(monkeypatch)
    maud = house.browser("Maud")
    fields = [(form, name) for form in forms_of(maud).values() for name in form.fields]
    for form, name in some(fields, of=5, begin=at):
        maud = send(house, form, form.fields | {name: text}, maud)
    sound(house)


def sound(house: House) -> None:
    """The catalogue holds its tables, every entry and every person of before."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        tables = {row["name"] for row in catalogue.query("SELECT name FROM sqlite_master")}
        assert tables >= {"piece", "entry", "person", "session", "job"}
        assert not verify(catalogue).faults
        assert {"Maud", "Wim", "Lou"} <= {row["name"] for row in catalogue.query("SELECT name FROM person")}
        assert (
            next(catalogue.query("SELECT count(*) AS n FROM piece WHERE tag IN ('R-0001', 'R-0002', 'L-0001', 'O-0007')"))["n"]
            == 4
        )


JOB = {
    "unit": "in", "job": "x", "style": "Harrow Twist", "allowance": {"seam": 1}, "max_parts": 2, "turns": [0],
    "patches": [{"name": "hall", "width": 40, "length": 14, "pile": 90, "edges": ["seam"] * 4, "motif": [1, 2]}],
}  # fmt: skip
PIECE = {"tag": "N-1", "kind": "remnant", "style": "New", "colour": "c", "lot": "l", "width": 40, "length": 60, "pile": 0,
         "place": "p", "worn": 0}  # fmt: skip
STOCK = {"unit": "in", "styles": [{"name": "New", "construction": "cut", "roll_width": 144}], "pieces": [PIECE]}


Place = tuple[str | int, ...]
"""Keys and numbers from the whole of a body down to a value in it."""


def bodies() -> Iterator[tuple[str, dict[str, Any], Place]]:
    """Job and stock files, and each place in them."""
    for path, body in (("/api/fit", JOB), ("/api/pieces", STOCK)):
        for place in places_in(body):
            yield path, body, place


def places_in(value: Any, at: Place = ()) -> Iterator[Place]:
    if at:
        yield at
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            yield from places_in(value[key], (*at, key))


def replaced(value: Any, at: Place, new: Any) -> Any:
    if not at:
        return new
    copy = value.copy()
    copy[at[0]] = replaced(value[at[0]], at[1:], new)
    return copy


HOSTILE_TEXTS = (*SYNTAX[:3], SCRIPTS[0], "\ud800", "\x00", "9" * 5000)
HOSTILE_VALUES: tuple[Any, ...] = (*HOSTILE_TEXTS, 1e308, -1, 10**40, None, True, [], {}, [[[[]]]])


def test_no_value_of_any_body_breaks_the_programs_interface(house: House) -> None:
    """A place takes each third value, and the next place the next ones; each takes all where all is asked for."""
    headers = {"Authorization": f"Bearer {house.key_of('Wim')}", "Accept": "application/json", "Sec-Fetch-Site": ""}
    browser = house.browser()
    for number, (path, body, place) in enumerate(bodies()):
        for value in some(HOSTILE_VALUES, begin=number):
            sent = replaced(body, place, value)
            answer = browser.post(path, data=json.dumps(sent), content_type="application/json", headers=headers)
            assert answer.status_code in (200, 201, 409, 413, 422), (
                f"{path} {place} {value!r}: {answer.status_code} {answer.text}"
            )
            assert str(7191 * 7192) not in answer.text
        assert number < 100
    sound(house)


PATHS = """
/static/../settings.py /static/..%2fsettings.py /static/%2e%2e/access.py /static//etc/passwd /static/ /static/..\\app.py
/static/shop.css.bak /.git/config /.env /stock.db /pieces/../../etc/passwd /pieces/..%2f..%2fetc%2fpasswd
/jobs/..%2f..%2fx/sheet.pdf /racks/%00 /templates/base.html /api/pieces/%2e%2e%2f%2e%2e%2fstock.db
"""


@pytest.mark.parametrize("path", PATHS.split())
def test_no_path_leads_to_a_file_that_is_no_page(house: House, path: str) -> None:
    answer = house.browser("Maud").get(path, follow_redirects=True)
    assert answer.status_code in (404, 200)
    assert answer.status_code == 404 or (path.startswith("/racks/") and "Nothing lies here" in answer.text)
    check(path, answer)


BEGIN = {"application/pdf": b"%PDF-", "image/png": b"\x89PNG\r\n\x1a\n"}
"""How files that are no text begin (ISO 32000-1, 7.5.2; ISO/IEC 15948, 5.2)."""


def test_each_page_and_file_is_of_the_type_that_it_says_and_kept_by_nobody_else(
    stained: House, walked: Callable[[str], Walk]
) -> None:
    """No answer with the shop's data may be stored on the way (RFC 9111, 5.2.2.5), and each says its type and charset."""
    for path, answer in walked("Maud"):
        if answer.status_code in (301, 302, 303, 308):
            continue
        assert answer.headers["Cache-Control"] == "no-store", path
        assert answer.headers["X-Content-Type-Options"] == "nosniff", path
        assert answer.mimetype, path
        if answer.mimetype.startswith("text/"):
            assert answer.mimetype_params.get("charset") == "utf-8", path
        elif answer.mimetype in BEGIN:
            assert answer.data.startswith(BEGIN[answer.mimetype]), path
        else:
            assert answer.mimetype == "application/json" and json.loads(answer.text) is not None, path
    for file in (Path(stained.app.root_path) / "static").iterdir():
        kind = stained.browser().get(f"/static/{file.name}").headers["Content-Type"]
        expected = {
            ".js": "text/javascript",
            ".css": "text/css",
            ".svg": "image/svg+xml",
            ".webmanifest": "application/manifest+json",
        }
        assert kind.partition(";")[0] == expected[file.suffix], file.name
