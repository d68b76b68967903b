"""A repair seen before it is made, on the pages: for who measured its damage, then kept with the job for its customer."""

import html
import io
import re
from functools import cache
from urllib.parse import parse_qsl, urlsplit

import numpy as np
import pdfplumber
import pytest
from numpy.typing import NDArray
from PIL import Image

from remnants.actions import open_catalogue
from remnants.actions.flat_photos import keep_flat
from remnants.actions.repair_kept import WORDS
from remnants.store import flat_photos, photos
from tests.photo.test_preview import LONG, PIECE, WIDE, flats
from tests.web.conftest import Browser, House
from tests.web.test_measured import ROOM, going_on

STRIPE = "Quern Stripe"


@cache
def rack_corners() -> str:
    """The corners of the piece on its flat picture, as the form has them."""
    left, bottom = flats()[1].flat.corner_mm
    ends = ((0.0, 0.0), (WIDE, 0.0), (WIDE, LONG), (0.0, LONG))
    return "\n".join(f"{PIECE[0] + x - left:.2f} mm, {PIECE[1] + y - bottom:.2f} mm" for x, y in ends)


@pytest.fixture
def wim(house: House) -> Browser:
    """Somebody who logged a striped piece by its photograph, and kept that picture."""
    wim = house.browser("Wim")
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        number = keep_flat(catalogue, "Wim", flats()[1], now=house.settings.now())
    answer = wim.get(f"/measure/{number}", query_string={"corners": rack_corners(), "on": "log"})
    form = dict(parse_qsl(urlsplit(answer.headers["Location"]).query))
    logged = wim.post("/log", data=form | {"style": STRIPE, "pile": "0", "new_tag": "R-0900", "keep_flat": "1"})
    assert logged.status_code == 303, logged.text
    return wim


def answered(house: House, browser: Browser) -> str:
    """The address of the answer to a burn that was measured in a photograph."""
    form = ROOM | {"style": STRIPE, "job": "Alder Court 7, hall"} | going_on(house, browser, "propose")
    page = browser.get(browser.post("/propose", data=form).headers["Location"]).text
    taken = re.search(r'href="(/patch/answer\?[^"]*)"', page)
    assert taken, page
    return html.unescape(taken[1])


def pictures(page: str) -> list[str]:
    """The addresses of repairs on a page."""
    found = re.findall(r'<svg [^>]*role="img"[^>]*>\s*<image href="([^"]*)"', page)
    return [html.unescape(each) for each in found if "preview.jpg" in each or "job-photos" in each or "/repair-" in each]


def seen(data: bytes) -> NDArray[np.float64]:
    with Image.open(io.BytesIO(data)) as image:
        assert not image.getexif()
        return np.asarray(image.convert("L"), dtype=float)


def held(house: House, wim: Browser) -> str:
    """The address of the job that was held for the burn."""
    page = wim.get(answered(house, wim)).text
    book = page.partition('id="book-1"')[2].partition("</form>")[0]
    fields = {name: html.unescape(text) for name, text in re.findall(r'name="([^"]*)" value="([^"]*)"', book)}
    answer = wim.post("/jobs/hold", data=fields)
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"].partition("?")[0]


def test_the_answer_shows_the_repair_to_who_measured_it_with_its_seams_once_ticked(house: House, wim: Browser) -> None:
    path = answered(house, wim)
    page = wim.get(path).text
    (address,) = pictures(page)
    assert "A drawing, not a promise" in page and "the new carpet laid into the photograph of the floor" in page
    assert re.search(r'<input type="checkbox" id="seams-1" class="seams-too">', page), "off at first"
    assert page.count("<circle") == 3 and "0 hard to find, 1 seen when looked for, 2 seen, 3 plain" in page
    answer = wim.get(address)
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    drawn = seen(answer.data)
    box = re.search(r'<svg viewBox="0 0 (\d+) (\d+)"[^>]*role="img" aria-label="\w+ from above', page)
    assert box and drawn.shape == (int(box[2]), int(box[1]))
    middle = drawn[drawn.shape[0] // 2 - 40 : drawn.shape[0] // 2 + 40, drawn.shape[1] // 2 - 40 : drawn.shape[1] // 2 + 40]
    assert middle.std() > 3 * drawn[:60, -60:].std(), "stripes, where plain carpet lay"
    maud = house.browser("Maud")
    assert pictures(maud.get(path).text) == [] and maud.get(address).status_code == 404
    assert house.browser().get(address).status_code == 303


def test_it_is_gone_with_the_photograph(house: House, wim: Browser) -> None:
    path = answered(house, wim)
    (address,) = pictures(wim.get(path).text)
    for wrong in (address.replace("of=0", "of=7"), address.replace("of=0", "of=x"), address.replace("digest=", "digest=0")):
        assert wim.get(wrong).status_code == 404
    with open_catalogue(house.settings.catalogue, write=True) as catalogue, catalogue.atomic():
        flat_photos.drop_all(catalogue, "Wim")
    assert pictures(wim.get(path).text) == [] and wim.get(address).status_code == 404


def test_where_no_piece_has_a_picture_to_scale_one_line_tells_why(house: House, wim: Browser) -> None:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        (kept,) = photos.every_of(catalogue, "R-0900")
    assert wim.post(f"/photos/{kept.number}/take-away").status_code == 303
    page = wim.get(answered(house, wim)).text
    assert pictures(page) == []
    assert "R-0900 has no picture to scale: log it by a photograph, and keep that picture" in page


def test_kept_with_the_job_it_is_a_photograph_of_before_and_its_customers_to_see(house: House, wim: Browser) -> None:
    job = held(house, wim)
    page = wim.get(job).text
    (live,) = pictures(page)
    assert "Only you see it" in page and wim.get(live).mimetype == "image/jpeg"
    link = re.search(r"/for/[\w-]{43}", wim.post(f"{job}/customer-link").text)
    assert link
    customer = house.browser()
    assert pictures(customer.get(link[0]).text) == [], "nothing is kept yet"
    for _ in range(2):
        assert wim.post(f"{job}/preview", data={"of": "0"}).status_code == 303
    page = wim.get(job).text
    (kept,) = pictures(page)
    assert kept == "/job-photos/1.jpg" and page.count(html.escape(WORDS)) == 1, "kept once"
    assert np.abs(seen(wim.get(kept).data) - seen(wim.get(live).data)).max() == 0
    (shown,) = pictures(customer.get(link[0]).text)
    answer = customer.get(shown)
    assert answer.data == wim.get(kept).data and answer.headers["Cache-Control"] == "no-store"
    assert "A drawing, not a promise" in customer.get(link[0]).text and "R-0900" not in shown
    assert customer.get(shown.replace("repair-1", "repair-2")).status_code == 404
    assert house.browser().get(f"/for/{'A' * 43}/repair-1.jpg").status_code == 404
    with open_catalogue(house.settings.catalogue, write=True) as catalogue, catalogue.atomic():
        flat_photos.drop_all(catalogue, "Wim")
    maud, lou = house.browser("Maud"), house.browser("Lou")
    assert pictures(maud.get(job).text) == [kept], "who may work sees it when the photograph is gone"
    assert pictures(lou.get(job).text) == [] and lou.post(f"{job}/preview", data={"of": "0"}).status_code == 403
    assert wim.post(f"{job}/preview", data={"of": "0"}).status_code == 404
    assert wim.post("/job-photos/1/take-away").status_code == 303
    assert pictures(customer.get(link[0]).text) == pictures(wim.get(job).text) == []
    assert customer.get(shown).status_code == 404


def test_a_plain_photograph_of_the_job_stands_behind_no_link_whatever_is_written_to_it(house: House, wim: Browser) -> None:
    job = held(house, wim)
    out = io.BytesIO()
    Image.new("RGB", (400, 300), (90, 80, 70)).save(out, "JPEG", comment=b'{"kind": "remnants repair drawn"}')
    form = {"photo": (io.BytesIO(out.getvalue()), "a.jpg"), "moment": "before", "words": WORDS}
    assert wim.post(f"{job}/photos", data=form, content_type="multipart/form-data").status_code == 303
    link = re.search(r"/for/[\w-]{43}", wim.post(f"{job}/customer-link").text)
    assert link and pictures(house.browser().get(link[0]).text) == []
    assert house.browser().get(f"{link[0]}/repair-1.jpg").status_code == 404


def with_seams(page: str) -> str:
    """The address behind the plain link to the picture with its seams."""
    found = re.search(r'<a href="([^"]*)">The picture with its seams</a>', page)
    assert found
    return html.unescape(found[1])


def dark(browser: Browser, address: str) -> int:
    """How many pixels of a picture are as dark as the seams are drawn."""
    answer = browser.get(address)
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    return int((seen(answer.data) < 40).sum())


def test_a_plain_link_leads_to_the_picture_with_its_seams_and_paper_shows_it_bare(house: House, wim: Browser) -> None:
    path = answered(house, wim)
    page = wim.get(path).text
    assert dark(wim, with_seams(page)) > dark(wim, pictures(page)[0]) + 200
    assert house.browser("Maud").get(with_seams(page)).status_code == 404
    job = held(house, wim)
    assert dark(wim, with_seams(wim.get(job).text)) > 200
    assert printed_pictures(wim, f"{job}/customer.pdf") == [], "nothing is kept yet"
    assert wim.post(f"{job}/preview", data={"of": "0"}).status_code == 303
    page = wim.get(job).text
    assert with_seams(page) == f"{job}/repair-1-seams.jpg" and dark(wim, with_seams(page)) > dark(wim, pictures(page)[0]) + 200
    link = re.search(r"/for/[\w-]{43}", wim.post(f"{job}/customer-link").text)
    assert link
    customer, seamed = house.browser(), f"{link[0]}/repair-1-seams.jpg"
    assert with_seams(customer.get(link[0]).text) == seamed and dark(customer, seamed) > 200
    for nothing in (seamed.replace("-1-", "-2-"), f"/for/{'A' * 43}/repair-1-seams.jpg"):
        assert customer.get(nothing).status_code == 404
    lou = house.browser("Lou")
    assert lou.get(f"{job}/repair-1-seams.jpg").status_code == 403 and wim.get(f"{job}/repair-2-seams.jpg").status_code == 404
    drawn = seen(wim.get(pictures(page)[0]).data)
    assert printed_pictures(wim, f"{job}/customer.pdf") == printed_pictures(wim, f"{job}/sheet.pdf") == [drawn.shape[::-1]]
    assert printed_pictures(lou, f"{job}/customer.pdf") == printed_pictures(wim, f"{job}/tags.pdf") == []
    assert wim.get(f"{job}/repair-1-seams.jpg").headers["Cache-Control"] == "no-store", "it is erased with the job's photograph"
    assert wim.get(f"{job}/customer.pdf").headers["Remnants-Keep"] == "no", "nobody erases it on a device"
    fetched = wim.get(f"{job}/sheet.pdf", headers={"Remnants-Keep": "yes"})
    assert pictures_in(fetched.data) == [] and "Remnants-Keep" not in fetched.headers, "what lies there for times without signal"


def printed_pictures(browser: Browser, address: str) -> list[tuple[int, int]]:
    """The pixels of each picture in a PDF."""
    return pictures_in(browser.get(address).data)


def pictures_in(data: bytes) -> list[tuple[int, int]]:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [(int(each["srcsize"][0]), int(each["srcsize"][1])) for page in pdf.pages for each in page.images]
