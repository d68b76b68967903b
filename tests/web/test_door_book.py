"""The door book after each kind of event, the manager's page of it, and the law that no secret ever stands in it."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from remnants.actions import customers, doors, open_catalogue, tries
from remnants.actions.door_book import page_of
from remnants.actions.one_time_codes import code_at, step_of
from remnants.ledger import Signed
from remnants.model.customer import Customer
from remnants.model.door_line import DoorLine
from remnants.store.door_book import book_files
from remnants_web import Settings, create_app
from tests.commands import Remnants
from tests.reading import found
from tests.thorough import share
from tests.web.conftest import PASSPHRASE, Clock, House
from tests.web.test_bookings import shown
from tests.web.test_guard import filled
from tests.web.test_order import PRICED

NEW = "four tall copper herons"
CUSTOMER = Customer("F-77310", "Quillmark Alder", "555 0100", "Quillmark Row 12", may_call=True)


def newest(house: House) -> DoorLine:
    return page_of(house.file).lines[0]


def told(line: DoorLine) -> tuple[str, str, str, str]:
    return line.kind.value, line.who, line.whom, line.what


def link_on(page: TestResponse) -> str:
    return str(found(r"http://localhost(/link/[\w-]+)", page.text))


def sign_in(house: House, name: str = "Maud", passphrase: str = PASSPHRASE) -> TestResponse:
    return house.browser().post("/sign-in", data={"name": name, "passphrase": passphrase})


def wait_after_many(house: House) -> object:
    for _ in range(tries.LIMITS["name here"].free):
        sign_in(house, passphrase="wrong")
    return sign_in(house)


KEY = {"label": "Quillmark printer", "scope look": "yes", "scope fit": "yes", "until": "2026-04-01"}
ELSEWHERE = {"Sec-Fetch-Site": "cross-site"}
OLD_KEY = {"Authorization": "Bearer of-last-year"}
ALL_ENDED = "sessions, devices, keys, links"
OLD_WRONG = "another passphrase: the old one was wrong"
SOMEBODY, MANAGE = {"name": "Ottoline", "role": "look"}, {"role": "manage"}
WRONG, RIGHT = {"old": "no", "passphrase": NEW}, {"old": PASSPHRASE, "passphrase": NEW}
Event = tuple[Callable[[House], object], tuple[str, str, str, str]]
AT_THE_DOOR: tuple[Event, ...] = (
    (lambda h: sign_in(h, "maud"), ("sign-in", "Maud", "", "by passphrase")),
    (lambda h: h.browser().post(link_on(h.browser("Wim").post("/me/device"))), ("sign-in", "Wim", "", "a device, by its link")),
    (lambda h: sign_in(h, "MAUD", "wrong"), ("refused", "Maud", "", "sign-in")),
    (lambda h: sign_in(h, "my passphrase by mistake"), ("refused", "", "", "sign-in")),
    (wait_after_many, ("refused", "Maud", "", "too many tries")),
    (lambda h: h.browser("Lou").get("/people"), ("refused", "Lou", "", "not allowed: GET /people")),
    (lambda h: h.browser().post("/people"), ("refused", "", "", "not signed in: POST /people")),
    (lambda h: h.browser("Maud").post("/people", headers=ELSEWHERE), ("refused", "", "", "not allowed: POST /people")),
    (lambda h: h.browser().get("/link/of-yesterday"), ("refused", "", "", "a link that opens nothing: GET /link/<secret>")),
    (
        lambda h: h.browser().get("/api/pieces/R-1", headers=OLD_KEY),
        ("refused", "", "", "not signed in: GET /api/pieces/<path:tag>"),
    ),
)
DONE: tuple[Event, ...] = (
    (lambda h: h.browser("Wim").post("/me/device"), ("link", "Wim", "Wim", "made, to sign a device in")),
    (lambda h: h.browser("Wim").post("/me/key", data=KEY), ("key", "Wim", "", "made; may fit, look until 1 Apr 2026")),
    (lambda h: h.browser("Maud").post("/people", data=SOMEBODY), ("invitation", "Maud", "Ottoline", "may look")),
    (lambda h: h.browser("Maud").post("/people/Wim/link"), ("link", "Maud", "Wim", "made, to set a passphrase")),
    (lambda h: h.browser("Maud").post("/people/Wim/role", data=MANAGE), ("role", "Maud", "Wim", "from work to manage")),
    (lambda h: h.browser("Maud").post("/people/Wim/shut-out"), ("shut out", "Maud", "Wim", "")),
    (lambda h: h.browser("Maud").post("/people/Wim/let-back"), ("let back", "Maud", "Wim", "")),
    (lambda h: h.browser("Maud").post("/people/Wim/end-everything"), ("everything ended", "Maud", "Wim", ALL_ENDED)),
    (lambda h: h.browser("Wim").post("/me/end-everything"), ("everything ended", "Wim", "Wim", ALL_ENDED)),
    (lambda h: h.browser("Wim").get("/stock/stock.csv"), ("export", "Wim", "", "stock.csv")),
    (lambda h: h.browser("Maud").post("/me/passphrase", data=WRONG), ("refused", "Maud", "", OLD_WRONG)),
    (lambda h: h.browser("Maud").post("/me/passphrase", data=RIGHT), ("passphrase", "Maud", "", "changed; all else ended")),
    (
        lambda h: h.browser().post(link_on(h.browser("Maud").post("/people/Lou/link")), data={"passphrase": NEW}),
        ("passphrase", "Lou", "", "set by an invitation; signed in, and all else ended"),
    ),
)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passphrases are kept as they are, without the work of hashing them."""
    monkeypatch.setattr(doors, "hashed", lambda passphrase: passphrase)
    monkeypatch.setattr(doors, "is_right", lambda stored, passphrase: stored == passphrase)


@pytest.mark.parametrize("events", [AT_THE_DOOR, DONE], ids=["at the door", "done"])
def test_after_each_event_the_book_tells_time_kind_person_and_address(
    quick: None, house: House, clock: Clock, events: tuple[Event, ...]
) -> None:
    for event, line in events:
        clock.wait(minutes=1)
        event(house)
        written = newest(house)
        assert told(written) == line
        assert (written.address, written.at) == ("127.0.0.1", house.settings.now())


HELD = ("/jobs/J-0001/sheet.pdf", "/jobs/J-0001/customer.pdf", "/jobs/J-0001/tags.pdf", "/jobs/J-0001/job.csv")
ORDER = urlencode({"order": "Quillmark Row 12", "roll_width": "12 ft", "name_1": "den", "width_1": "9 ft", "length_1": "9 ft"})
PAPERS = {
    **{path: f"{path.rpartition('/')[2]}, J-0001" for path in HELD},
    "/tags.pdf?tag=R-0001&tag=R-0002": "tags.pdf, 2 pieces",
    "/tags.png?tag=R-0001": "tag.png, 1 piece",
    "/stock/stock.csv": "stock.csv",
    f"/order/order.pdf?{ORDER}": "order.pdf",
    **{f"/order/{paper}.pdf?{ORDER}": f"{paper}.pdf" for paper in ("ticket", "supplier", "floors", "house")},
    f"/order/quote.pdf?{ORDER}&{urlencode(PRICED)}": "quote.pdf",
    f"/order/order.csv?{ORDER}": "order.csv",
}


def test_each_paper_and_table_that_is_handed_out_stands_in_it_without_the_name_of_its_job(house: House, clock: Clock) -> None:
    wim, fields = shown(house, job="Quillmark Row 12")
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    for path, line in PAPERS.items():
        clock.wait(seconds=1)
        assert wim.get(path).status_code == 200, path
        assert told(newest(house)) == ("export", "Wim", "", line)
    assert wim.get("/jobs/J-0002/sheet.pdf").status_code == 404 and told(newest(house))[3] == "order.csv", "nothing went out"
    ways = {str(rule).replace("<path:name>", "J-0001") for rule in house.app.url_map.iter_rules()}
    files = {way for way in ways if way.endswith((".pdf", ".csv", ".png"))} - {"/jobs/J-0001/<what>.pdf"}
    assert files - {"/measure/page.pdf"} <= {path.partition("?")[0] for path in PAPERS}, (
        "each way to a file is tried, but to the bare marker page"
    )


def test_signing_out_stands_in_it(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/sign-out")
    assert told(newest(house)) == ("sign-out", "Wim", "", "session 2")


def test_the_first_managers_link_and_its_use_stand_in_it(house: House) -> None:
    first = page_of(house.file).lines[::-1]
    assert told(first[0]) == ("link", "", "", "made, for the first manager") and first[0].address == "this machine"
    assert told(first[1]) == ("passphrase", "Maud", "", "set by the first manager's link; signed in, and all else ended")


def test_what_commands_do_with_the_whole_stock_stands_in_it(
    remnants: Remnants, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("REMNANTS_BY", "Ana")
    remnants.log()

    def line() -> tuple[str, str, str, str]:
        written = page_of(remnants.catalogue).lines[0]
        assert written.address == "this machine"
        return told(written)

    remnants.ok("export", tmp_path / "of Quillmark.csv")
    assert line() == ("export", "Ana", "", "1 pieces, .csv")
    remnants.ok("backup", tmp_path / "copy.db")
    assert line()[:3] == ("copy", "Ana", "") and line()[3].endswith(" MB")
    remnants.ok("restore", tmp_path / "copy.db", "--yes")
    assert line() == ("restore", "Ana", "", "a copy: 1 pieces, 1 entries")
    remnants.ok("backup", tmp_path / "copies", "--every", "1d")
    assert line()[3].endswith("MB, by schedule")
    remnants.ok("customer", "F-2031", "--name", "Quillmark Alder")
    remnants.ok("forget", "F-2031", "--yes")
    assert line() == ("customer erased", "Ana", "", "0 pieces of theirs stay")
    assert len(page_of(remnants.catalogue).lines) == 5, "it outlives the catalogue that was replaced"


def test_the_page_is_for_managers_and_filters_by_person_and_kind_newest_first_in_pages(house: House, clock: Clock) -> None:
    maud = house.browser("Maud")
    assert house.browser("Wim").get("/door-book").status_code == 403
    for role in ("look", "work") * 30:
        clock.wait(seconds=1)
        maud.post("/people/Wim/role", data={"role": role})
    page = maud.get("/door-book").text
    assert page.index("9:01:00 UTC") < page.index("9:00:59 UTC") and page.count("<time ") == 50
    assert maud.get("/door-book?page=2").text.count("<time ") > 10 and "Newer" in maud.get("/door-book?page=2").text
    refused = maud.get("/door-book?kind=refused").text
    assert "not allowed: GET /door-book" in refused and "from look to work" not in refused
    lou = maud.get("/door-book?person=lou").text
    assert "Invitation" in lou and "Role" not in found(r"(?s)<ol.*</ol>", lou)
    assert "Nothing of that stands in the book" in maud.get("/door-book?person=Nobody&kind=key&page=99999999999999999999").text


def test_a_book_that_cant_be_written_stops_nobody_and_says_so(
    quick: None, house: House, caplog: pytest.LogCaptureFixture
) -> None:
    for file in book_files(house.file):
        file.unlink()
    blocked = house.file.with_name("stock.db.doors.log")
    blocked.mkdir()
    assert sign_in(house).status_code == 303
    assert "the door book can't be written" in caplog.text
    assert "can’t be read" in house.browser("Maud").get("/door-book").text


class Secrets:
    """Everything that must never stand in the book: what was handed out, typed, or is a customer's."""

    def __init__(self, house: House) -> None:
        self.house = house
        of_second_factor = self._of_second_factor()
        page = house.browser("Wim").post("/me/device")
        invite = house.browser("Maud").post("/people/Lou/link")
        self.session, self.key = house.secret_of("Maud"), house.key_of("Wim")
        links = [link_on(page).removeprefix("/link/"), link_on(invite).removeprefix("/link/")]
        self.every = [PASSPHRASE, NEW, "a wrong passphrase", self.session, self.key, *links]
        self.every += of_second_factor
        self.every += [CUSTOMER.reference, CUSTOMER.name, CUSTOMER.phone, CUSTOMER.address]

    def _of_second_factor(self) -> list[str]:
        """The manager's: its secret, a code, recovery codes, and the secret of a sign-in that waits for one."""
        maud, now = self.house.browser("Maud"), self.house.settings.now()
        maud.post("/me/second-factor/begin", data={"passphrase": PASSPHRASE})
        secret = str(found(r'id="secret">([A-Z2-7 ]+)<', maud.get("/me/second-factor").text)).replace(" ", "")
        done = maud.post("/me/second-factor/confirm", data={"code": code_at(secret, step_of(now))})
        waits = sign_in(self.house).text
        half = str(found(r'name="half" value="([\w-]+)"', waits))
        return [secret, code_at(secret, step_of(now) + 1), half, *re.findall(r'class="address">([a-z0-9-]{19})<', done.text)]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Secrets:
    """A shop with a customer, and secrets of each kind; passphrases in it are looked at without the work of it."""
    clock = Clock()
    made = Settings(tmp_path_factory.mktemp("kept") / "stock.db", now=clock)
    with open_catalogue(made.catalogue, write=True) as catalogue:
        customers.put_customer(catalogue, CUSTOMER, signed=Signed("Maud", clock.now))
    return Secrets(House(create_app(made), made))


FIELDS = (
    *("name", "passphrase", "old", "role", "label", "until", "made_by", "next", "key", "reference"),
    *("customer", "tag", "words", "person", "kind", "page", "half", "code", "recovery", "last_code"),
)


@settings(max_examples=share(150), deadline=None)
@given(data=st.data())
def test_no_secret_ever_stands_in_it_whatever_is_sent_where(kept: Secrets, data: st.DataObject) -> None:
    """Any way, by anybody, with secrets in the path, the fields, the names of fields, and the headers."""
    secret = st.sampled_from(kept.every)
    rules = sorted(kept.house.app.url_map.iter_rules(), key=str)
    rule = data.draw(st.sampled_from(rules))
    path = filled(rule).replace("1", data.draw(secret)) if data.draw(st.booleans()) else filled(rule)
    sent = {name: data.draw(secret) for name in data.draw(st.lists(st.sampled_from(FIELDS), max_size=5))}
    if rule.rule == "/people":
        sent.pop("name", None)  # whom the manager calls so is called so
    headers = {name: data.draw(secret) for name in ("User-Agent", "Referer", "X-Forwarded-For")}
    if data.draw(st.booleans()):
        headers |= {"Authorization": f"Bearer {data.draw(secret)}", "Sec-Fetch-Site": data.draw(st.sampled_from(["", "none"]))}
    browser = kept.house.browser(data.draw(st.sampled_from(["", "Maud", "Wim"])))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(doors, "is_right", lambda stored, passphrase: bool(stored) and passphrase == PASSPHRASE)
        patched.setattr(doors, "hashed", lambda passphrase: "not asked about here")
        browser.open(path, method=data.draw(st.sampled_from(["GET", "POST"])), data=sent, query_string=sent, headers=headers)
    book = "".join(file.read_text(encoding="utf-8") for file in book_files(kept.house.file))
    assert book.count("\n") > 5
    assert not [one for one in kept.every if one in book or json.dumps(one)[1:-1] in book]
