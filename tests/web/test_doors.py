"""Coming in and going out: passphrases, links, devices, keys, waits."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from werkzeug.test import TestResponse

from remnants.actions import doors, open_catalogue, passphrases, people, tries
from remnants.errors import BadInput, NotAllowed, SignInRefused, TooManyTries
from remnants.model import Role
from tests.reading import found
from tests.thorough import EVERY
from tests.web.conftest import PASSPHRASE, Browser, Clock, House


def sign_in(browser: Browser, name: str = "Maud", passphrase: str = PASSPHRASE, **more: str) -> TestResponse:
    return browser.post("/sign-in", data={"name": name, "passphrase": passphrase, **more})


def session_in(browser: Browser) -> str:
    """The secret that a browser was given."""
    held = browser.get_cookie("remnants")
    assert held
    return held.value


def test_a_passphrase_opens_the_door_and_the_cookie_is_kept_from_scripts(house: House) -> None:
    browser = house.browser()
    answer = sign_in(browser, next="/me")
    assert (answer.status_code, answer.location) == (303, "/me")
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie
    assert browser.get("/me").status_code == 200


@pytest.mark.parametrize("name, passphrase", [("Maud", "wrong"), ("Nobody", PASSPHRASE), ("", ""), ("Wim", "")])
def test_a_refusal_does_not_tell_which_was_wrong(house: House, name: str, passphrase: str) -> None:
    answer = sign_in(house.browser(), name, passphrase)
    assert answer.status_code == 401
    assert "that name and passphrase" in answer.text


def test_wrong_tries_make_one_wait_longer_each_time_and_a_right_one_forgets_them(house: House, clock: Clock) -> None:
    browser = house.browser()
    for _ in range(tries.LIMITS["name here"].free):
        assert sign_in(browser, passphrase="wrong").status_code == 401
    held = sign_in(browser)
    assert held.status_code == 429 and int(held.headers["Retry-After"]) <= 3
    clock.wait(seconds=3)
    assert sign_in(browser, passphrase="wrong").status_code == 401
    assert int(sign_in(browser).headers["Retry-After"]) > 3
    clock.wait(seconds=6)
    assert sign_in(browser).status_code == 303
    assert sign_in(house.browser(), passphrase="wrong").status_code == 401


def wrong_tries(house: House, clock: Clock, *, name: str = "Maud{}", address: str = "10.0.0.1{}") -> int:
    """How many wrong tries an hour of one a second comes to; {} stands for the number of the try.

    One that is refused waits half as long as it is told to; with all asked for, a second.
    """
    tried, ends = 0, clock.now + timedelta(hours=1)
    with open_catalogue(house.file, write=True) as catalogue:
        wait_s = 1
        while clock.now + timedelta(seconds=wait_s) <= ends:
            clock.wait(seconds=wait_s)
            wait_s = 1
            try:
                doors.sign_in(catalogue, name.format(tried), "x", address=address.format(tried), label="", now=clock.now)
            except TooManyTries as refused:
                wait_s = max(1, refused.wait_s // 2) if EVERY > 1 else 1
            except SignInRefused:
                tried += 1
    clock.now = ends
    return tried


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passphrases are found wrong without the work of finding out, for tests that count tries."""
    monkeypatch.setattr(doors, "is_right", lambda _stored, passphrase: passphrase == PASSPHRASE)


def test_no_more_than_a_hundred_wrong_tries_an_hour_for_one_name_from_everywhere(house: House, clock: Clock, quick: None) -> None:
    """OWASP ASVS 4.0.3, 2.2.1: at most 100 failed tries an hour on one account."""
    assert 40 < wrong_tries(house, clock, name="Maud") <= 100


def test_one_name_from_one_address_is_slowed_far_more(house: House, clock: Clock, quick: None) -> None:
    assert wrong_tries(house, clock, name="Maud", address="10.0.0.1") < 20


def test_one_address_is_slowed_over_many_names_but_never_shut(house: House, clock: Clock, quick: None) -> None:
    """A shop behind one address: with somebody guessing there all the time, others still come in after ten seconds."""
    assert wrong_tries(house, clock, address="10.0.0.1") < 500
    clock.wait(seconds=11)
    with open_catalogue(house.file, write=True) as catalogue:
        assert doors.sign_in(catalogue, "Maud", PASSPHRASE, address="10.0.0.1", label="", now=clock.now)


def test_whoever_guesses_from_elsewhere_keeps_nobody_out(house: House, clock: Clock, quick: None) -> None:
    assert wrong_tries(house, clock, name="Maud", address="10.0.0.66") < 20
    with open_catalogue(house.file, write=True) as catalogue:
        with pytest.raises(TooManyTries):
            doors.sign_in(catalogue, "Maud", PASSPHRASE, address="10.0.0.66", label="", now=clock.now)
        assert doors.sign_in(catalogue, "Maud", PASSPHRASE, address="10.0.0.7", label="", now=clock.now)


@pytest.mark.parametrize("name", ["Maud", "Nobody", "Wim"])
def test_an_unknown_name_takes_the_same_work_as_a_known_one(
    full_work: None, house: House, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Not timed: the work itself is counted, one argon2id check of full cost each (Wim has no passphrase)."""
    checks = []
    verify = passphrases._hasher.verify

    class Counting:
        def verify(self, stored: str, passphrase: str) -> bool:
            checks.append(stored.split("$")[1:4])
            return verify(stored, passphrase)

        hash = passphrases._hasher.hash

    passphrases._nobodys()
    monkeypatch.setattr(passphrases, "_hasher", Counting())
    assert sign_in(house.browser(), name, "wrong").status_code == 401
    assert checks == [["argon2id", "v=19", "m=65536,t=3,p=4"]]


def test_a_planted_session_is_not_taken_up(house: House) -> None:
    browser = house.browser()
    browser.set_cookie("remnants", "planted-by-somebody")
    sign_in(browser)
    assert session_in(browser) != "planted-by-somebody"
    thief = house.browser()
    thief.set_cookie("remnants", "planted-by-somebody")
    assert thief.get("/me").status_code == 303


def test_sessions_end_when_unused_and_at_last_anyway(house: House, clock: Clock) -> None:
    browser = house.browser()
    sign_in(browser)
    for _ in range(20):
        clock.wait(hours=8)
        assert browser.get("/me").status_code == 200
    clock.wait(hours=13)
    assert browser.get("/me").status_code == 303
    sign_in(browser)
    for _ in range(30):
        clock.wait(hours=8)
        browser.get("/me")
    assert browser.get("/me").status_code == 303, "a week is the most, however busy"


def test_a_linked_device_comes_in_anew_after_thirty_days(house: House, clock: Clock) -> None:
    """OWASP ASVS 4.0.3, 3.3.2: 30 days at most at level 1, used or not."""
    phone = house.browser("Wim")
    for _ in range(29):
        clock.wait(days=1)
        assert phone.get("/me").status_code == 200
    clock.wait(days=1, minutes=1)
    assert phone.get("/me").status_code == 303
    idle = house.browser("Wim")
    clock.wait(days=14, minutes=1)
    assert idle.get("/me").status_code == 303


def test_signing_out_ends_the_session_on_the_server_and_clears_the_device(house: House) -> None:
    browser = house.browser()
    sign_in(browser)
    secret = session_in(browser)
    answer = browser.post("/sign-out")
    assert "storage" in answer.headers["Clear-Site-Data"]
    thief = house.browser()
    thief.set_cookie("remnants", secret)
    assert thief.get("/me").status_code == 303


@pytest.mark.parametrize("path", ["https://elsewhere.test/", "//elsewhere.test", "/\\elsewhere.test", "javascript:x", "\x00"])
def test_the_way_on_stays_in_the_house(house: House, path: str) -> None:
    assert sign_in(house.browser(), next=path).location == "/"


def test_the_first_managers_link_works_once_and_only_while_there_is_nobody(house: House) -> None:
    assert house.browser().get(f"/link/{house.manager_secret}").status_code == 401
    with open_catalogue(house.file, write=True) as catalogue:
        assert people.first_manager_link(catalogue, now=house.settings.now()) is None


def test_looking_at_a_device_link_uses_nothing_up_and_using_it_does(house: House, clock: Clock) -> None:
    page = house.browser("Wim").post("/me/device")
    assert "<svg" in page.text
    address = found(r"http://localhost(/link/[\w-]+)", page.text)
    phone = house.browser()
    assert phone.get(address).status_code == phone.get(address).status_code == 200
    assert phone.post(address).status_code == 303
    assert "Wim" in phone.get("/me").text
    assert house.browser().post(address).status_code == 401
    old = found(r"http://localhost(/link/[\w-]+)", house.browser("Wim").post("/me/device").text)
    clock.wait(minutes=11)
    assert house.browser().get(old).status_code == 401


def test_an_invited_person_sets_a_passphrase_and_has_the_role_they_were_given(house: House) -> None:
    page = house.browser("Maud").post("/people", data={"name": "Ottoline  Field", "role": "work"})
    address = found(r"http://localhost(/link/[\w-]+)", page.text)
    new = house.browser()
    assert new.post(address, data={"passphrase": "short"}).status_code == 422
    assert new.post(address, data={"passphrase": "four tall copper herons"}).status_code == 303
    assert "Ottoline Field" in new.get("/me").text
    assert new.get("/people").status_code == 403


@pytest.mark.parametrize("weak", ["short", "x" * 129, "password1234", "aaaaaaaaaaaaaaaa", "remnantscarpet"])
def test_weak_passphrases_are_refused_with_the_reason(weak: str) -> None:
    with pytest.raises(BadInput, match=r"characters|easy to guess"):
        passphrases.checked(weak, name="Maud")


@pytest.mark.parametrize("good", ["ochre badger lantern five", "ðŸ¦”  zwölf Hähne krähen", "x;'--<b>{{7*7}} mauve"])
def test_any_character_may_stand_in_a_passphrase(good: str) -> None:
    assert passphrases.is_right(passphrases.hashed(passphrases.checked(good, name="Maud")), good)
    assert not passphrases.is_right(passphrases.hashed(good), good + " ")


def test_passphrases_are_kept_as_argon2id_and_secrets_as_digests(house: House) -> None:
    secret = house.secret_of("Wim")
    raw = (
        house.file.read_bytes() + house.file.with_name("stock.db-wal").read_bytes()
        if (house.file.with_name("stock.db-wal").exists())
        else house.file.read_bytes()
    )
    assert b"$argon2id$" in raw
    assert secret.encode() not in raw and PASSPHRASE.encode() not in raw


def test_signing_in_and_changing_the_passphrase_begin_a_new_session_and_the_old_one_is_dead(house: House) -> None:
    browser, other, thief = house.browser(), house.browser(), house.browser()
    seen = []
    steps: tuple[Callable[[], TestResponse], ...] = (
        lambda: sign_in(browser),
        lambda: sign_in(browser),
        lambda: browser.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": "four tall copper herons"}),
    )
    for step in steps:
        sign_in(other)
        assert step().status_code == 303
        seen.append(session_in(browser))
        assert browser.get("/me").status_code == 200
    assert len(set(seen)) == 3
    for old in (*seen[:2], session_in(other)):
        thief.set_cookie("remnants", old)
        assert thief.get("/me").status_code == 303, "every session from before the change is over"


def test_a_wrong_old_passphrase_changes_nothing_and_is_slowed(house: House, clock: Clock, quick: None) -> None:
    here = house.browser("Maud")
    new = {"old": "no", "passphrase": "four tall copper herons"}
    for _ in range(tries.LIMITS["name here"].free):
        wrong = here.post("/me/passphrase", data=new)
        assert wrong.status_code == 422 and "not your passphrase" in wrong.text
    assert here.post("/me/passphrase", data=new | {"old": PASSPHRASE}).status_code == 429
    clock.wait(seconds=3)
    assert here.post("/me/passphrase", data=new | {"old": PASSPHRASE}).status_code == 303


def test_a_key_changes_no_passphrase(house: House) -> None:
    headers = {"Authorization": f"Bearer {house.key_of('Maud')}"}
    new = {"old": PASSPHRASE, "passphrase": "four tall copper herons"}
    assert house.browser().post("/me/passphrase", data=new, headers=headers).status_code == 403


def test_nothing_is_cut_off_a_long_passphrase(house: House) -> None:
    longest = ("ochre badger lantern five " * 9)[:128]
    stored = passphrases.hashed(passphrases.checked(longest, name="Maud"))
    assert passphrases.is_right(stored, longest)
    assert not passphrases.is_right(stored, longest + "x")


def test_the_log_holds_no_secret_and_names_the_way_not_the_link(
    house: House, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    caplog.set_level("DEBUG")
    sign_in(house.browser())
    sign_in(house.browser(), passphrase="my wrong secret words")
    link = found(r"/link/([\w-]+)", house.browser("Wim").post("/me/device").text)

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of the program")

    monkeypatch.setattr(doors, "link_of", broken)
    assert house.browser().get(f"/link/{link}").status_code == 500
    assert "/link/<secret>" in caplog.text
    assert not [secret for secret in (PASSPHRASE, "my wrong secret words", link) if secret in caplog.text]


@pytest.mark.parametrize("use", ["invite", "device"])
def test_a_link_opened_by_many_at_once_lets_in_one(house: House, use: str) -> None:
    maud, wim = house.browser("Maud"), house.browser("Wim")
    page = maud.post("/people/Wim/link") if use == "invite" else wim.post("/me/device")
    address = found(r"http://localhost(/link/[\w-]+)", page.text)
    ready = threading.Barrier(4)

    def go_in(_: int) -> int:
        ready.wait(60)
        return house.browser().post(address, data={"passphrase": "four tall copper herons"}).status_code

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(go_in, range(4))) == [303, 401, 401, 401]


def test_somebody_shut_out_is_out_at_once_and_the_last_manager_stays(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    assert maud.post("/people/Wim/shut-out").status_code == 303
    assert wim.get("/me").status_code == 303
    assert maud.post("/people/Wim/let-back").status_code == 303
    for change in ("/people/Maud/shut-out", "/people/Maud/role"):
        answer = maud.post(change, data={"role": "look"})
        assert answer.status_code == 409 and "only manager" in answer.text
    with open_catalogue(house.file, write=True) as catalogue, pytest.raises(NotAllowed):
        people.change_role(catalogue, "Maud", Role.WORK, by=people.everybody(catalogue)[1])


def test_a_key_speaks_for_its_person_and_a_session_is_no_key(house: House) -> None:
    key, stranger = house.key_of("Wim"), house.browser()
    found = "/api/pieces/R-0001"
    assert stranger.get(found, headers={"Authorization": f"Bearer {key}"}).status_code == 200
    session = house.secret_of("Wim")
    assert stranger.get(found, headers={"Authorization": f"Bearer {session}"}).status_code == 401
    stranger.set_cookie("remnants", key)
    assert stranger.get("/me").status_code == 303


def test_one_can_end_ones_own_sessions_but_not_anothers(house: House) -> None:
    wim = house.browser("Wim")
    wim.get("/me")
    for number in range(1, 9):
        answer = house.browser("Lou").post(f"/me/sessions/{number}/end")
        assert answer.status_code in (303, 404)
    assert wim.get("/me").status_code == 200


def test_preferences_hold_and_nonsense_is_refused(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/me/preferences", data={"unit": "cm", "theme": "dark"}).status_code == 303
    assert 'data-theme="dark"' in wim.get("/").text
    assert wim.post("/me/preferences", data={"unit": "furlong", "theme": "dark"}).status_code == 422
