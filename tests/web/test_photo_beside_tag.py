"""A piece's photograph beside its tag: wherever the piece is named, small, and only for whom the photograph is."""

import io
import random
import re
from dataclasses import replace
from datetime import timedelta

import pytest
from PIL import Image

from remnants.actions import open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.customers import put_customer
from remnants.actions.photos import SMALL_SIDE, keep_picture, newest_shown, photos_shown
from remnants.errors import BadFile
from remnants.exchange.keepsake import kept_picture, small_picture
from remnants.model import Role
from remnants.model.customer import Customer
from tests.stock_values import SIGNED
from tests.thorough import share
from tests.web.conftest import Browser, House
from tests.web.test_bookings import shown
from tests.web.test_photos import a_photo, laden, markers, sent

SMALL = re.compile(r'<img[^>]*src="/photos/(\d+)-small\.jpg"[^>]*>')


def pictures(browser: Browser, address: str) -> list[str]:
    """The small pictures on a page, as its text has them; none of its pictures lies in the page itself or is whole."""
    page = browser.get(address).text
    assert "data:image" not in page and 'src="/photos/' not in SMALL.sub("", page)
    return [found[0] for found in SMALL.finditer(page)]


def test_wherever_a_piece_is_named_its_photograph_stands_beside_its_tag(house: House) -> None:
    wim = house.browser("Wim")
    sent(wim, a_photo())
    held = wim.post("/jobs/hold", data=shown(house, style="Velder Loop", colour="Oatmeal", lot="4471-B")[1]).location
    for address in (
        "/patch/answer?style=Velder+Loop&lot=4471-B&width=36&length=33&pile=0&edge_0=wall",
        "/find?words=velder",
        "/racks/Bay 3",
        "/count/Bay 3",
        held,
    ):
        found = pictures(wim, address)
        assert found, address
        for picture in found:
            assert 'alt="Photograph of R-0001"' in picture and 'loading="lazy"' in picture
            assert re.search(r'width="(\d+)" height="\1"', picture), "its room is kept before it is there"
    counted = wim.post("/count", data={"place": "Bay 3", "typed": "R-0001"}).text
    assert len(SMALL.findall(counted)) == 1


def test_the_small_one_weighs_a_few_kilobytes_and_tells_nothing_but_its_pixels(house: House) -> None:
    wim = house.browser("Wim")
    sent(wim, laden("JPEG"))
    answer = wim.get("/photos/1-small.jpg")
    made = Image.open(io.BytesIO(answer.data))
    assert answer.mimetype == "image/jpeg" and made.size == (SMALL_SIDE, SMALL_SIDE * 400 // 600)
    assert len(answer.data) < 8_000 and b"SECRET" not in answer.data and not made.getexif()
    assert set(markers(answer.data)) == {0xD8, 0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert house.browser().get("/photos/1-small.jpg").status_code in (302, 303)


@pytest.mark.parametrize("size", [(1280, 200), (200, 1280), (640, 480)])
def test_a_long_one_stays_within_its_side(size: tuple[int, int]) -> None:
    made = Image.open(io.BytesIO(small_picture(kept_picture(a_photo(size)).jpeg, side=96)))
    assert max(made.size) == 96


def test_a_damaged_one_is_told_in_our_own_words(house: House) -> None:
    whole = kept_picture(a_photo()).jpeg
    for jpeg in (b"\xff\xd8 nothing", whole[:300]):
        with pytest.raises(BadFile, match="damaged"):
            small_picture(jpeg, side=96)
    wim = house.browser("Wim")
    sent(wim, a_photo())
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        catalogue.execute("UPDATE photo SET jpeg = x'ffd8'")
    assert wim.get("/photos/1-small.jpg").status_code == 422 and "R-0001" in wim.get("/racks/Bay 3").text


def test_one_taken_away_is_beside_no_tag_any_more(house: House) -> None:
    wim = house.browser("Wim")
    sent(wim, a_photo())
    sent(wim, a_photo((700, 400)))
    wim.post("/photos/2/take-away")
    assert SMALL.findall(wim.get("/racks/Bay 3").text)[0] == "1", "the older one stands there again"
    wim.post("/photos/1/take-away")
    assert pictures(wim, "/racks/Bay 3") == pictures(wim, "/find?words=velder") == []
    assert wim.get("/photos/1-small.jpg").status_code == 404


@pytest.mark.parametrize("seed", range(share(18)))
def test_none_taken_at_a_customers_is_ever_shown_to_who_may_only_look(house: House, seed: int) -> None:
    """A piece goes to customers and back by chance, and is photographed on the way."""
    dice = random.Random(seed)
    picture = kept_picture(a_photo((200, 200)))
    in_store: list[int] = []
    at_customers: list[int] = []
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        for reference in ("F-1", "F-2"):
            put_customer(catalogue, Customer(reference, "Invented Person"), signed=SIGNED)
        customer, at = "", SIGNED.at
        for _ in range(10):
            at += timedelta(hours=1)
            signed = replace(SIGNED, at=at)
            if dice.random() < 0.5:
                customer = dice.choice(["", "F-1", "F-2"])
                move_piece(catalogue, "R-0001", dice.choice(["Bay 3", "attic"]), customer=customer, signed=signed)
            elif len(in_store) + len(at_customers) < 6:
                with catalogue.atomic():
                    (at_customers if customer else in_store).append(keep_picture(catalogue, "R-0001", picture, signed))
        move_piece(catalogue, "R-0001", "Bay 3", signed=replace(SIGNED, at=at + timedelta(hours=1)))
        assert [kept.number for kept in photos_shown(catalogue, "R-0001", Role.LOOK)] == in_store
        assert newest_shown(catalogue, "R-0001", Role.WORK) == max([*in_store, *at_customers], default=None)
    lou = house.browser("Lou")
    assert [int(number) for number in SMALL.findall(lou.get("/find?words=4471-B").text)] == in_store[-1:]
    assert {lou.get(f"/photos/{number}-small.jpg").status_code for number in at_customers} <= {403}
    assert {lou.get(f"/photos/{number}-small.jpg").status_code for number in in_store} <= {200}
