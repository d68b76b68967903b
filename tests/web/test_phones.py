"""A phone is calibrated on a page: photographs one by one, what is still wanted, kept by who may work, used, taken away."""

import html
import io
import json
import re
from dataclasses import replace
from datetime import timedelta
from functools import cache

import numpy as np
import pytest

from remnants.actions import open_catalogue
from remnants.actions.phone_calibrations import drop_calibration, keep_calibration, known_phones
from tests.photo.phones import A_LENS, a_calibration, a_phone, moved, photo_in, shots_of
from tests.photo.photographs import Shot, as_jpeg, photographed
from tests.stock_values import SIGNED
from tests.web.conftest import Browser, House

PHONE = replace(A_LENS, across=1280, down=960)
SHOT = Shot(width=1280, height=960, tilt_deg=12.0, away=1000.0, looks_at=(60.0, 20.0))


@cache
def jpeg(told: bool = True) -> bytes:
    return as_jpeg(photographed(SHOT), phone=PHONE if told else None)


@cache
def told_before(count: int = 8) -> str:
    """What a form holds after so many photographs."""
    chance = np.random.default_rng(700_002)
    shots = list(shots_of(a_phone(700_002), chance))[:count]
    return json.dumps([photo_in(moved(shot, chance), chance).told() for shot in shots])


def sent(browser: Browser, *photos: bytes, **fields: str) -> tuple[int, str]:
    form: dict[str, object] = dict(fields)
    form["photo"] = [(io.BytesIO(photo), f"{at}.jpg") for at, photo in enumerate(photos)]
    answer = browser.post("/measure/phone", data=form, content_type="multipart/form-data")
    return answer.status_code, html.unescape(answer.text)


def seen_in(page: str) -> str:
    found = re.search(r'name="seen" value="([^>]*)">', page)
    assert found
    return found[1]


@pytest.fixture
def wim(house: House) -> Browser:
    return house.browser("Wim")


def test_photographs_are_added_and_what_is_wanted_is_said(wim: Browser) -> None:
    status, page = sent(wim, jpeg())
    assert status == 200 and "1 of 8 good; tilt the phone more" in page
    assert "S-0042" not in page and len(json.loads(seen_in(page))) == 1
    status, again = sent(wim, jpeg(), jpeg(told=False), seen=seen_in(page), wanted="tilt the phone more")
    assert status == 422 and "0.jpg: is there already" in again and "1.jpg: the picture does not tell its phone" in again
    assert "1 of 8 good" in again and seen_in(again) == seen_in(page)
    status, fewer = sent(wim, seen=seen_in(page), drop="0")
    assert status == 200 and "0 of 8 good" in fewer and seen_in(fewer) == ""
    assert "take or choose a photograph first" in sent(wim)[1]


def test_programs_are_told_the_same(wim: Browser) -> None:
    form = {"photo": [(io.BytesIO(jpeg()), "a.jpg")]}
    told = wim.post(
        "/measure/phone", data=form, content_type="multipart/form-data", headers={"Accept": "application/json"}
    ).get_json()
    assert told["good"] == 1 and told["told"].startswith("1 of 8 good; tilt")


def test_enough_are_kept_as_one_calibration_that_can_be_taken_away(house: House, wim: Browser) -> None:
    answer = wim.post("/measure/phone/keep", data={"seen": told_before(), "key": "k-1"})
    assert answer.status_code == 303
    page = html.unescape(wim.get(answer.headers["Location"]).text)
    assert "Invented Two, lens of 5.4 mm, pictures of 4000 x 3000</strong> is calibrated" in page
    assert "From 8 photographs, Wim" in page and "in a usual photograph is told ±" in page and "no real phone" in page
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [each.lens for each in known_phones(catalogue)] == [A_LENS]
    assert wim.post("/measure/phone/1/remove", data={"key": "k-2"}).status_code == 303
    assert "None yet." in wim.get("/measure/phone").text
    assert wim.post("/measure/phone/1/remove", data={"key": "k-3"}).status_code == 404


def test_a_page_from_before_takes_away_no_other_calibration(house: House, wim: Browser) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        keep_calibration(catalogue, a_calibration(), signed=SIGNED)
        (made,) = re.findall(r'name="made" value="([^"]+)"', wim.get("/measure/phone").text)
        anew = a_calibration(replace(A_LENS, model="Three"))
        drop_calibration(catalogue, 1, signed=SIGNED)
        assert keep_calibration(catalogue, anew, signed=replace(SIGNED, at=SIGNED.at + timedelta(hours=1))) == 1
    answer = wim.post("/measure/phone/1/remove", data={"made": made})
    assert answer.status_code == 409 and "alibration 1 is another one now, so nothing" in answer.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert known_phones(catalogue) == (anew,)
    (made,) = re.findall(r'name="made" value="([^"]+)"', wim.get("/measure/phone").text)
    for _ in range(2):
        assert wim.post("/measure/phone/1/remove", data={"made": made, "key": "tap"}).status_code == 303


def test_too_few_are_refused_and_stay_in_the_form(wim: Browser) -> None:
    answer = wim.post("/measure/phone/keep", data={"seen": told_before(3), "key": "k-1"})
    page = html.unescape(answer.text)
    assert answer.status_code == 422 and "3 usable photographs and 6 are the least" in page and "3 of 8 good" in page
    twice = json.dumps([*json.loads(told_before(3)), json.loads(told_before(3))[0]])
    refused = html.unescape(wim.post("/measure/phone/keep", data={"seen": twice, "key": "k-2"}).text)
    assert "photograph 4 is there already" in refused


@pytest.mark.parametrize("seen", ["{", "7", "[7]", '[{"lens": 3}]', "[" * 5000, json.dumps([{}] * 21)])
def test_what_a_form_can_not_have_held_is_refused(wim: Browser, seen: str) -> None:
    assert sent(wim, seen=seen)[0] == 422
    assert wim.post("/measure/phone/keep", data={"seen": seen, "key": "k"}).status_code == 422


def test_who_may_only_look_sees_what_is_kept_and_changes_nothing(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.get("/measure/phone")
    assert page.status_code == 200 and "data-phone" not in page.text
    assert sent(lou, jpeg())[0] == 403
    for address in ("/measure/phone/keep", "/measure/phone/1/remove"):
        assert lou.post(address, data={"seen": told_before(), "key": "k"}).status_code == 403


def test_a_picture_that_is_measured_in_says_whether_the_calibration_was_used(house: House, wim: Browser) -> None:
    def measured(photo: bytes) -> str:
        form = {"photo": (io.BytesIO(photo), "a.jpg"), "page": "7", "bar": "150"}
        answer = wim.post("/measure", data=form, content_type="multipart/form-data")
        return html.unescape(wim.get(answer.headers["Location"]).text)

    assert "calibration" not in measured(jpeg())
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        keep_calibration(catalogue, a_calibration(PHONE), signed=SIGNED)
    assert "This phone's calibration was used." in measured(jpeg())
    assert "The picture does not tell its phone, so no calibration was used." in measured(jpeg(told=False))
