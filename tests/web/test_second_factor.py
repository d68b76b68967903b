"""A second factor: set up by a code, asked for after the passphrase; each code taken once; lost phones; a rule for managers."""

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from os import SEEK_END
from pathlib import Path

import pyotp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from remnants.actions import doors, open_catalogue, people, second_factor, tries
from remnants.actions.bring_back import restore
from remnants.actions.door_book import page_of
from remnants.actions.keep_safe import back_up
from remnants.actions.one_time_codes import (
    address_of,
    code_at,
    digests_of,
    fitting_step,
    fresh_codes,
    fresh_secret,
    spent_code,
    step_of,
)
from remnants.errors import SignInRefused, TooManyTries
from remnants.model import Role
from remnants.store import second_factors
from remnants.store.door_book import book_files
from tests.reading import found
from tests.thorough import share
from tests.web.conftest import PASSPHRASE, Browser, Clock, House

RFC_6238_B = {
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}
"""RFC 6238, appendix B, the rows of SHA-1: seconds since 1970, and the code of eight digits; its last six are the one of six."""

RFC_SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"
"""The secret of these, `12345678901234567890`, in base 32."""


@pytest.mark.parametrize("at_s", RFC_6238_B)
def test_codes_are_those_of_the_standard(at_s: int) -> None:
    at = datetime.fromtimestamp(at_s, UTC)
    assert code_at(RFC_SECRET, step_of(at)) == RFC_6238_B[at_s][-6:]
    assert pyotp.TOTP(RFC_SECRET, digits=8).at(at_s) == RFC_6238_B[at_s]


def test_a_code_is_taken_a_step_early_or_late_and_no_further() -> None:
    now = datetime(2031, 5, 4, 9, 0, 15, tzinfo=UTC)
    here = step_of(now)
    taken = [off for off in range(-4, 5) if fitting_step(RFC_SECRET, code_at(RFC_SECRET, here + off), now=now, after=0)]
    assert taken == [-1, 0, 1]


@settings(max_examples=share(300), deadline=None)
@given(
    typed=st.one_of(st.text(max_size=100), st.from_regex(r"[0-9]{6}", fullmatch=True)),
    between=st.text(" -\t\u00a0", max_size=3),
    off=st.integers(-4, 4),
    at_s=st.integers(3_000, 4_000_000_000),
)
def test_whatever_is_typed_the_codes_of_now_are_taken_and_nothing_else(typed: str, between: str, off: int, at_s: int) -> None:
    """Letters, figures of other scripts, codes of other times; blanks and dashes are passed over."""
    now = datetime.fromtimestamp(at_s, UTC)
    codes = {code_at(RFC_SECRET, step_of(now) + near) for near in (-1, 0, 1)}

    def taken(text: str) -> bool:
        return fitting_step(RFC_SECRET, text, now=now, after=0) is not None

    assert taken(typed) == ("".join(sign for sign in typed[:80] if sign.isalnum()) in codes)
    code = code_at(RFC_SECRET, step_of(now) + off)
    assert taken(f"{between}{code[:3]}{between}{code[3:]}") == (code in codes)
    assert not taken("".join(chr(ord("\u0660") + int(figure)) for figure in code)) and not taken(code[1:])
    assert spent_code(digests_of(["k7pq-2mxd-9wtz-h4ce"]), typed) is None


def test_recovery_codes_are_drawn_kept_as_salted_digests_and_used_once() -> None:
    codes = fresh_codes()
    assert len(set(codes)) == 10 and all(re.fullmatch(r"([a-hjkmnp-z2-9]{4}-){3}[a-hjkmnp-z2-9]{4}", code) for code in codes)
    kept = digests_of(codes)
    assert len({one.partition(":")[0] for one in kept}) == 10 and not [
        code for code in codes if code.replace("-", "") in str(kept)
    ]
    left = spent_code(kept, f" {codes[3].upper().replace('-', ' ')} ")
    assert left is not None and len(left) == 9 and spent_code(left, codes[3]) is None
    assert len(fresh_secret()) == 32, "160 bits: RFC 4226, 4, R6"


def test_the_code_to_scan_holds_secret_person_and_shop_whatever_signs_are_in_them() -> None:
    read = pyotp.parse_uri(address_of(RFC_SECRET, "Maud Ötter & Co", "Invented: shop"))
    assert isinstance(read, pyotp.TOTP)
    assert (read.secret, read.name, read.digits, read.interval) == (RFC_SECRET, "Maud Ötter & Co", 6, 30)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passphrases are looked at without the work of hashing them."""
    monkeypatch.setattr(doors, "hashed", lambda passphrase: passphrase)
    for module in (doors, second_factor):
        monkeypatch.setattr(module, "is_right", lambda stored, passphrase: passphrase == PASSPHRASE)


class Phone:
    """A phone with a secret, and the shop's clock."""

    def __init__(self, secret: str, clock: Clock) -> None:
        self.secret, self.clock = secret, clock

    def code(self) -> str:
        return code_at(self.secret, step_of(self.clock.now))


def set_up(browser: Browser, clock: Clock) -> tuple[Phone, list[str]]:
    """Sets it up as a person would, and gives the phone and the recovery codes."""
    assert browser.post("/me/second-factor/begin", data={"passphrase": PASSPHRASE}).status_code == 303
    page = browser.get("/me/second-factor").text
    assert "<svg" in page
    phone = Phone(found(r'id="secret">([A-Z2-7 ]+)<', page).replace(" ", ""), clock)
    done = browser.post("/me/second-factor/confirm", data={"code": phone.code()})
    assert "Until yours is set up" not in done.text
    assert done.status_code == 200 and done.headers["Cache-Control"] == "no-store"
    return phone, re.findall(r'class="address">([a-z0-9-]{19})<', done.text)


def passphrase_given(house: House, browser: Browser, name: str = "Maud") -> str:
    """The secret of the sign-in that waits for its code."""
    page = browser.post("/sign-in", data={"name": name, "passphrase": PASSPHRASE, "next": "/stock"})
    assert page.status_code == 200 and "Set-Cookie" not in page.headers
    return str(found(r'name="half" value="([\w-]+)"', page.text))


def give(browser: Browser, half: str, code: str, field: str = "code") -> TestResponse:
    return browser.post("/sign-in/code", data={"half": half, field: code, "next": "/stock"})


def newest(house: House) -> tuple[str, str, str, str]:
    line = page_of(house.file).lines[0]
    return line.kind.value, line.who, line.whom, line.what


def test_once_set_up_it_is_asked_for_after_the_passphrase_and_each_code_is_taken_once(
    quick: None, house: House, clock: Clock
) -> None:
    here, elsewhere, key = house.browser("Maud"), house.browser("Maud"), house.key_of("Maud")
    phone, codes = set_up(here, clock)
    assert len(codes) == 10 and here.get("/people").status_code == 200
    assert elsewhere.get("/people").status_code == 303, "what was opened without it has ended"
    bearer = {"Authorization": f"Bearer {key}"}
    assert house.browser().get("/api/pieces/R-0001", headers=bearer).status_code == 401
    page = here.get("/me/second-factor").text
    assert phone.secret not in page.replace(" ", "") and codes[0] not in page and "10 recovery codes are left" in page

    clock.wait(seconds=60)
    browser, thief = house.browser(), house.browser()
    half, other_half = passphrase_given(house, browser), passphrase_given(house, thief)
    assert browser.get("/people").status_code == 303, "the passphrase alone opens nothing"
    assert newest(house)[3] == "the passphrase was right; a code is asked for"
    code = phone.code()
    answer = give(browser, half, f"{code[:3]} {code[3:]}")
    assert (answer.status_code, answer.location) == (303, "/stock") and browser.get("/people").status_code == 200
    assert newest(house) == ("sign-in", "Maud", "", "by passphrase and code")
    replayed = give(thief, other_half, code)
    assert replayed.status_code == 401 and "used before" in replayed.text
    assert newest(house) == ("refused", "Maud", "", "second factor")
    assert give(thief, half, phone.code()).status_code == 401, "a sign-in is finished once"
    earlier = code_at(phone.secret, step_of(clock.now) - 1)
    assert give(thief, other_half, earlier).status_code == 401, "nor a code from before the one that was used"


def test_the_code_that_set_it_up_opens_nothing_more(quick: None, house: House, clock: Clock) -> None:
    phone, _ = set_up(house.browser("Maud"), clock)
    browser = house.browser()
    assert give(browser, passphrase_given(house, browser), phone.code()).status_code == 401


def test_of_many_who_give_one_code_at_once_one_comes_in(quick: None, house: House, clock: Clock) -> None:
    phone, _ = set_up(house.browser("Maud"), clock)
    clock.wait(seconds=60)
    browsers = [house.browser() for _ in range(4)]
    halves = [passphrase_given(house, browser) for browser in browsers]
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda way: give(way[0], way[1], phone.code()).status_code, zip(browsers, halves, strict=True)))
    assert sorted(answers) == [303, 401, 401, 401]


def test_a_recovery_code_opens_once_without_the_phone_and_new_ones_end_the_old(quick: None, house: House, clock: Clock) -> None:
    here = house.browser("Maud")
    phone, codes = set_up(here, clock)
    browser = house.browser()
    assert give(browser, passphrase_given(house, browser), codes[4].upper(), "recovery").status_code == 303
    assert newest(house)[3] == "by passphrase and recovery code; 9 left"
    assert give(browser, passphrase_given(house, browser), codes[4], "recovery").status_code == 401
    clock.wait(seconds=60)
    fresh = here.post("/me/second-factor/codes", data={"code": phone.code()})
    again = re.findall(r'class="address">([a-z0-9-]{19})<', fresh.text)
    assert len(again) == 10 and not set(again) & set(codes)
    assert give(browser, passphrase_given(house, browser), codes[5], "recovery").status_code == 401
    assert give(browser, passphrase_given(house, browser), again[0], "recovery").status_code == 303


@pytest.mark.parametrize("rescued", [False, True])
def test_a_recovery_code_that_was_used_is_not_brought_back_by_a_copy(
    quick: None, house: House, clock: Clock, tmp_path: Path, *, rescued: bool
) -> None:
    """Nor by what can be read of a copy that is damaged; the phone opens as before, and draws new ones."""
    phone, codes = set_up(house.browser("Maud"), clock)
    path, copy = house.file, tmp_path / "copy.db"
    with open_catalogue(path, write=False) as catalogue:
        back_up(catalogue, copy)
    browser = house.browser()
    assert give(browser, passphrase_given(house, browser), codes[4], "recovery").status_code == 303
    if rescued:
        with copy.open("r+b") as file:
            file.seek(-4096, SEEK_END)
            file.write(b"\xff" * 4096)
    restored = restore(copy, path, now=clock.now, older=True, damaged_too=rescued)
    assert restored and (restored.rescue is not None) is rescued
    for code in codes:
        clock.wait(hours=1)
        assert give(browser, passphrase_given(house, browser), code, "recovery").status_code == 401
    clock.wait(hours=1)
    assert give(browser, passphrase_given(house, browser), phone.code()).status_code == 303
    assert "0 recovery codes are left" in browser.get("/me/second-factor").text


def test_wrong_codes_are_slowed_as_wrong_passphrases_and_a_sign_in_waits_five_minutes(
    quick: None, house: House, clock: Clock
) -> None:
    phone, _ = set_up(house.browser("Maud"), clock)
    clock.wait(seconds=60)
    browser = house.browser()
    half = passphrase_given(house, browser)
    for _ in range(tries.LIMITS["name here"].free):
        assert give(browser, half, "000000").status_code == 401
    assert give(browser, half, phone.code()).status_code == 429
    assert newest(house) == ("refused", "Maud", "", "too many tries")
    clock.wait(seconds=3)
    assert give(browser, half, phone.code()).status_code == 303, "and a right one forgets them"
    late = passphrase_given(house, browser)
    clock.wait(minutes=5, seconds=1)
    answer = give(browser, late, phone.code())
    assert answer.status_code == 401 and "longer than five minutes" in answer.text
    assert newest(house) == ("refused", "", "", "second factor"), "whose it was is known no more"


def test_no_more_than_a_hundred_wrong_codes_an_hour_from_everywhere(quick: None, house: House, clock: Clock) -> None:
    set_up(house.browser("Maud"), clock)
    tried = 0
    with open_catalogue(house.file, write=True, now=clock) as catalogue:
        catalogue.execute("PRAGMA synchronous = OFF")
        for second in range(0, 3600, 5):
            clock.wait(seconds=5)
            if second % 240 == 0:
                opened = doors.sign_in(catalogue, "Maud", PASSPHRASE, address="10.0.0.1", label="", now=clock.now)
            try:
                second_factor.finish_sign_in(catalogue, opened.secret, "x", address=f"10.0.1.{second % 250}", now=clock.now)
            except SignInRefused:
                tried += 1
            except TooManyTries:
                pass
    assert 40 < tried <= 100


@pytest.mark.parametrize("ended", ["/people/Maud/shut-out", "/people/Maud/end-everything", "/people/Maud/reset-second-factor"])
def test_what_ends_a_persons_sessions_ends_the_sign_in_that_waits_for_its_code(
    quick: None, house: House, clock: Clock, ended: str
) -> None:
    house.browser("Maud").post("/people/Wim/role", data={"role": "manage"})
    link = found(r"http://localhost(/link/[\w-]+)", house.browser("Maud").post("/people/Wim/link").text)
    assert house.browser().post(link, data={"passphrase": PASSPHRASE}).status_code == 303
    phone, _ = set_up(house.browser("Maud"), clock)
    clock.wait(seconds=60)
    browser = house.browser()
    half = passphrase_given(house, browser)
    assert house.browser("Wim").post(ended).status_code == 303
    assert give(browser, half, phone.code()).status_code == 401


def test_a_link_that_sets_a_passphrase_asks_for_the_code_too(quick: None, house: House, clock: Clock) -> None:
    maud = house.browser("Maud")
    phone, _ = set_up(maud, clock)
    clock.wait(seconds=60)
    link = found(r"http://localhost(/link/[\w-]+)", maud.post("/people/Maud/link").text)
    finder = house.browser()
    page = finder.post(link, data={"passphrase": "four tall copper herons"})
    assert page.status_code == 200 and "Your code" in page.text and finder.get("/me").status_code == 303
    assert give(finder, found(r'name="half" value="([\w-]+)"', page.text), phone.code()).status_code == 303


def test_setting_up_and_taking_away_need_the_passphrase_and_a_code(quick: None, house: House, clock: Clock) -> None:
    """Whoever finds a phone unlocked neither locks its owner out nor opens the door wider."""
    maud = house.browser("Maud")
    assert maud.post("/me/second-factor/begin", data={"passphrase": "no"}).status_code == 422
    assert 'id="secret"' not in maud.get("/me/second-factor").text
    assert maud.post("/me/second-factor/confirm", data={"code": "000000"}).status_code == 409
    phone, codes = set_up(maud, clock)
    assert maud.post("/me/second-factor/begin", data={"passphrase": PASSPHRASE}).status_code == 409
    clock.wait(seconds=60)
    taken = "/me/second-factor/remove"
    assert maud.post(taken, data={"passphrase": "no", "last_code": phone.code()}).status_code == 422
    wrong = maud.post(taken, data={"passphrase": PASSPHRASE, "last_code": "000000"})
    assert wrong.status_code == 422 and 'id="last_code-fault"' in wrong.text
    assert maud.post(taken, data={"passphrase": PASSPHRASE, "last_code": codes[0]}).status_code == 303
    assert house.browser().post("/sign-in", data={"name": "Maud", "passphrase": PASSPHRASE}).status_code == 303


def test_a_wrong_first_code_sets_nothing_up(quick: None, house: House, clock: Clock) -> None:
    maud = house.browser("Maud")
    maud.post("/me/second-factor/begin", data={"passphrase": PASSPHRASE})
    wrong = maud.post("/me/second-factor/confirm", data={"code": "000000"})
    assert wrong.status_code == 422 and "wait for the next one" in wrong.text and 'id="secret"' in wrong.text
    assert house.browser().post("/sign-in", data={"name": "Maud", "passphrase": PASSPHRASE}).status_code == 303


def test_another_manager_resets_it_and_nobody_their_own(quick: None, house: House, clock: Clock) -> None:
    maud = house.browser("Maud")
    set_up(maud, clock)
    assert maud.post("/people/Maud/reset-second-factor").status_code == 409
    assert house.browser("Wim").post("/people/Maud/reset-second-factor").status_code == 403
    maud.post("/people/Wim/role", data={"role": "manage"})
    wim = house.browser("Wim")
    assert "Reset second factor" in wim.get("/people").text and "has a passphrase and a second factor" in wim.get("/people").text
    clock.wait(seconds=1)
    asked = wim.get("/people/Maud/reset-second-factor")
    assert (
        "Reset the second factor of Maud?" in asked.text
        and "Maud may manage" in asked.text
        and maud.get("/me").status_code == 200
    )
    assert 'href="/people/Maud/reset-second-factor"' in wim.get("/people").text, "it asks first"
    assert maud.get("/people/Maud/reset-second-factor").status_code == 409
    assert wim.post("/people/Maud/reset-second-factor").status_code == 303
    assert newest(house) == ("second factor", "Wim", "Maud", "reset; all else ended")
    assert maud.get("/me").status_code == 303
    assert wim.post("/people/Maud/reset-second-factor").status_code == 409, "there is none any more"
    assert wim.get("/people/Maud/reset-second-factor").status_code == 409
    nobody = wim.get("/people/Ida/reset-second-factor")
    assert nobody.status_code == 404 and "obody here is called" in nobody.text


def test_where_the_rule_asks_managers_for_one_who_has_none_may_work_and_not_manage(
    quick: None, house: House, clock: Clock
) -> None:
    maud = house.browser("Maud")
    assert maud.post("/rules", data={"second_factor": "perhaps"}).status_code == 422
    assert maud.post("/rules", data={"second_factor": "yes"}).status_code == 303
    answer = maud.get("/people")
    assert (answer.status_code, answer.location) == (303, "/me/second-factor")
    assert maud.post("/people/Wim/role", data={"role": "look"}).status_code == 403
    assert maud.post("/rules", data={"second_factor": "no"}).status_code == 403, "nor take the rule away"
    assert maud.get("/log").status_code == 200 and "Until yours is set up you may work" in maud.get("/").text
    assert house.browser("Wim").get("/log").status_code == 200, "others aren't asked"
    phone, codes = set_up(maud, clock)
    assert maud.get("/people").status_code == 200 and "Until yours" not in maud.get("/").text
    kept = maud.post("/me/second-factor/remove", data={"passphrase": PASSPHRASE, "last_code": codes[0]})
    assert kept.status_code == 409 and "by the shop" in kept.text and phone


def test_neither_secret_nor_code_stands_in_the_door_book_and_no_recovery_code_in_the_catalogue(
    quick: None, house: House, clock: Clock
) -> None:
    maud = house.browser("Maud")
    phone, codes = set_up(maud, clock)
    clock.wait(seconds=60)
    browser = house.browser()
    given = [phone.code(), "123456"]
    half = passphrase_given(house, browser)
    give(browser, half, given[1])
    give(browser, half, given[0])
    give(browser, passphrase_given(house, browser), codes[1], "recovery")
    book = "".join(file.read_text(encoding="utf-8") for file in book_files(house.file))
    assert not [secret for secret in (*codes, *given, phone.secret, half) if secret in book]
    raw = b"".join(file.read_bytes() for file in house.file.parent.glob("stock.db*"))
    assert not [code for code in (*codes, half) if code.encode() in raw or code.replace("-", "").encode() in raw]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A catalogue whose manager has a second factor with the secret of the standard."""
    path = tmp_path_factory.mktemp("factor") / "stock.db"
    now = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
    with open_catalogue(path, write=True) as catalogue:
        first = people.first_manager_link(catalogue, now=now)
        assert first
        doors.set_passphrase_by_link(catalogue, first, PASSPHRASE, name="Maud", label="desk", now=now)
        second_factors.put_pending(catalogue, "Maud", RFC_SECRET)
        second_factors.confirm_factor(catalogue, "Maud", now=now)
    yield path


@settings(max_examples=share(60), deadline=None)
@given(steps=st.lists(st.tuples(st.integers(0, 3), st.integers(-2, 2)), min_size=1, max_size=12))
def test_however_the_clock_runs_no_code_is_ever_taken_twice_nor_one_from_before_the_last(
    kept: Path, steps: list[tuple[int, int]]
) -> None:
    """The law of replay: steps whose codes were taken only ever grow."""
    with open_catalogue(kept, write=True) as catalogue:
        catalogue.execute("PRAGMA synchronous = OFF")
        catalogue.execute("UPDATE person SET factor_step = 0")
        here, taken = 70_000_000, list[int]()
        for forward, off in steps:
            here += forward
            now = datetime.fromtimestamp(here * 30 + 7, UTC)
            factor = second_factors.factor_of(catalogue, "Maud")
            assert factor
            before = factor.step
            how = second_factor._spend(catalogue, "Maud", factor, code_at(RFC_SECRET, here + off), now=now)
            assert bool(how) == (abs(off) <= 1 and here + off > before)
            taken += [here + off] if how else []
        assert taken == sorted(set(taken))


def test_whoever_may_only_look_may_have_one_too(quick: None, house: House, clock: Clock) -> None:
    set_up(house.browser("Lou"), clock)
    with open_catalogue(house.file, write=False) as catalogue:
        lou = next(one for one in people.everybody(catalogue) if one.name == "Lou")
    assert lou.doubled and lou.role is Role.LOOK
