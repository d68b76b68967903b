"""Coming in and going out: passphrases, links, devices, keys, waits."""

import re

import pytest

from remnants.actions import doors, open_catalogue, passphrases, people
from remnants.errors import BadInput, NotAllowed, SignInRefused, TooManyTries
from remnants.model import Role
from tests.web.conftest import PASSPHRASE, Clock, House


def sign_in(browser, name="Maud", passphrase=PASSPHRASE, **more):
    return browser.post("/sign-in", data={"name": name, "passphrase": passphrase, **more})


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
    for _ in range(doors.TRIES_BEFORE_WAIT["name"]):
        assert sign_in(browser, passphrase="wrong").status_code == 401
    held = sign_in(browser)
    assert held.status_code == 429 and int(held.headers["Retry-After"]) <= 3
    clock.wait(seconds=3)
    assert sign_in(browser, passphrase="wrong").status_code == 401
    assert int(sign_in(browser).headers["Retry-After"]) > 3
    clock.wait(seconds=6)
    assert sign_in(browser).status_code == 303
    assert sign_in(house.browser(), passphrase="wrong").status_code == 401


def test_no_more_than_a_hundred_wrong_tries_an_hour_for_one_name(house: House, clock: Clock) -> None:
    """OWASP ASVS 4.0.3, 2.2.1 (from memory): at most 100 failed tries an hour on one account."""
    tried = 0
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        for _ in range(3600):
            clock.wait(seconds=1)
            try:
                doors.sign_in(catalogue, "Nobody", "x", address=f"10.0.0.{tried}", label="", now=clock.now)
            except TooManyTries:
                continue
            except SignInRefused:
                tried += 1
    assert 5 < tried < 20


def test_a_planted_session_is_not_taken_up(house: House) -> None:
    browser = house.browser()
    browser.set_cookie("remnants", "planted-by-somebody")
    sign_in(browser)
    held = browser.get_cookie("remnants")
    assert held and held.value != "planted-by-somebody"
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


def test_signing_out_ends_the_session_on_the_server_and_clears_the_device(house: House) -> None:
    browser = house.browser()
    sign_in(browser)
    secret = browser.get_cookie("remnants").value
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
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        assert people.first_manager_link(catalogue, now=house.settings.now()) is None


def test_looking_at_a_device_link_uses_nothing_up_and_using_it_does(house: House, clock: Clock) -> None:
    page = house.browser("Wim").post("/me/device")
    assert "<svg" in page.text
    address = re.search(r"http://localhost(/link/[\w-]+)", page.text)[1]
    phone = house.browser()
    assert phone.get(address).status_code == phone.get(address).status_code == 200
    assert phone.post(address).status_code == 303
    assert "Wim" in phone.get("/me").text
    assert house.browser().post(address).status_code == 401
    old = re.search(r"http://localhost(/link/[\w-]+)", house.browser("Wim").post("/me/device").text)[1]
    clock.wait(minutes=11)
    assert house.browser().get(old).status_code == 401


def test_an_invited_person_sets_a_passphrase_and_has_the_role_they_were_given(house: House) -> None:
    page = house.browser("Maud").post("/people", data={"name": "Ottoline  Field", "role": "work"})
    address = re.search(r"http://localhost(/link/[\w-]+)", page.text)[1]
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
        house.settings.catalogue.read_bytes() + house.settings.catalogue.with_name("stock.db-wal").read_bytes()
        if (house.settings.catalogue.with_name("stock.db-wal").exists())
        else house.settings.catalogue.read_bytes()
    )
    assert b"$argon2id$" in raw
    assert secret.encode() not in raw and PASSPHRASE.encode() not in raw


def test_changing_the_passphrase_signs_the_other_devices_out(house: House) -> None:
    here, there = house.browser(), house.browser()
    sign_in(here)
    sign_in(there)
    wrong = here.post("/me/passphrase", data={"old": "no", "passphrase": "four tall copper herons"})
    assert wrong.status_code == 422 and "not your passphrase" in wrong.text
    assert here.post("/me/passphrase", data={"old": PASSPHRASE, "passphrase": "four tall copper herons"}).status_code == 303
    assert here.get("/me").status_code == 200
    assert there.get("/me").status_code == 303


def test_somebody_shut_out_is_out_at_once_and_the_last_manager_stays(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    assert maud.post("/people/Wim/shut-out").status_code == 303
    assert wim.get("/me").status_code == 303
    assert maud.post("/people/Wim/let-back").status_code == 303
    for change in ("/people/Maud/shut-out", "/people/Maud/role"):
        answer = maud.post(change, data={"role": "look"})
        assert answer.status_code == 409 and "only manager" in answer.text
    with open_catalogue(house.settings.catalogue, write=True) as catalogue, pytest.raises(NotAllowed):
        people.change_role(catalogue, "Maud", Role.WORK, by=people.everybody(catalogue)[1])


def test_a_key_speaks_for_its_person_and_a_session_is_no_key(house: House) -> None:
    key, stranger = house.key_of("Wim"), house.browser()
    assert stranger.get("/me", headers={"Authorization": f"Bearer {key}"}).status_code == 200
    session = house.secret_of("Wim")
    assert stranger.get("/me", headers={"Authorization": f"Bearer {session}"}).status_code == 303
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
