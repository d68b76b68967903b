"""Photographs of a job on its page: bare pixels, for who may work, on no other page and never behind the customer's link."""

import html
import io
import re
from pathlib import Path

import pytest
from PIL import Image

import remnants_web
from remnants.actions import open_catalogue
from remnants.actions.job_photos import SMALLER_SIDE, jpeg_of_job_photo
from remnants.actions.keep_safe import verify
from tests.web.conftest import Browser, House
from tests.web.test_bookings import shown
from tests.web.test_photos import a_photo, laden, markers

JOB = "/jobs/J-0001"
WORKER = Path(remnants_web.__file__).parent / "static" / "worker.js"
PAGES = (
    *("/", "/jobs", JOB, "/jobs/J-0002", "/racks/Bay 3", "/find?words=velder", "/stock"),
    *(f"/pieces/{tag}" for tag in ("R-0001", "R-0002")),
    *(f"/api/jobs/J-000{number}" for number in (1, 2)),
    *("/jobs/J-0001/job.csv", "/api/pieces/R-0001/history"),
)
"""Whatever tells of the two jobs or their carpet."""


def booked(house: House, *names: str) -> Browser:
    """Wim's browser, after he held a job of each name."""
    wim = house.browser("Wim")
    for name, lot in zip(names or ("Fern Row 2",), ("4471-B", "9002-A"), strict=False):
        asked = {"style": "Velder Loop", "colour": "Oatmeal", "lot": lot, "width": "18", "length": "12", "pile": "0", "job": name}
        assert wim.post("/jobs/hold", data=shown(house, **asked)[1]).status_code == 303
    return wim


def sent(browser: Browser, data: bytes, job: str = JOB, **fields: str) -> int:
    form = {"photo": (io.BytesIO(data), "a.jpg"), "moment": "before", **fields}
    return int(browser.post(f"{job}/photos", data=form, content_type="multipart/form-data").status_code)


def text_of(browser: Browser, path: str) -> str:
    answer = browser.get(path)
    assert answer.status_code == 200, path
    return str(answer.data, "utf-8", "replace")


def test_before_stands_beside_after_with_words_and_who(house: House) -> None:
    wim = booked(house)
    assert "None yet" not in wim.get(JOB).text
    assert sent(wim, a_photo(), words="Burn <b>beside</b> the window") == 303
    assert sent(house.browser("Maud"), a_photo((300, 400)), moment="after") == 303
    page = wim.get(JOB).text
    before, after = page.partition("<h3>Before</h3>")[2].split("<h3>After</h3>")
    assert 'width="600" height="400" loading="lazy"' in before and 'alt="Before the repair, photograph 1"' in before
    assert "Burn &lt;b&gt;beside&lt;/b&gt; the window" in before and "By Wim" in before
    assert 'alt="After the repair, photograph 1"' in after and "By Maud" in after
    assert "data:image" not in page
    assert page.count(">Take away<") == 1, "one's own; a manager takes both"
    assert house.browser("Maud").get(JOB).text.count(">Take away<") == 2


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_what_is_kept_holds_pixels_and_nothing_else(house: House, form: str) -> None:
    wim = booked(house)
    assert sent(wim, laden(form)) == 303
    with open_catalogue(house.file, write=False) as catalogue:
        kept = jpeg_of_job_photo(catalogue, 1)
        assert verify(catalogue).faults == ()
    smaller = wim.get("/job-photos/1-smaller.jpg")
    for file in (kept, smaller.data, house.file.read_bytes()):
        assert b"SECRET" not in file
    assert set(markers(kept)) == set(markers(smaller.data)) == {0xD8, 0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert wim.get("/job-photos/1.jpg").data == kept and smaller.headers["Cache-Control"] == "no-store"


def test_a_large_one_is_kept_as_small_as_a_pieces(house: House) -> None:
    wim = booked(house)
    assert sent(wim, a_photo((3000, 2000))) == 303
    sizes = [Image.open(io.BytesIO(wim.get(f"/job-photos/1{more}.jpg").data)).size for more in ("", "-smaller")]
    assert sizes == [(1280, 854), (SMALLER_SIDE, 427)]


@pytest.mark.parametrize(
    ("data", "fields", "told"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", {}, "no picture"),
        (a_photo((60, 60)), {}, "at least 200 pixels"),
        (b"", {}, "take or choose a photograph first"),
        (a_photo(), {"moment": ""}, "before the repair or after it"),
        (a_photo(), {"words": "x" * 201}, "at most 200"),
    ],
)
def test_what_can_not_be_kept_is_refused_with_the_reason(house: House, data: bytes, fields: dict[str, str], told: str) -> None:
    wim = booked(house)
    form = {"photo": (io.BytesIO(data), "a.jpg"), "moment": "before", **fields}
    answer = wim.post(f"{JOB}/photos", data=form, content_type="multipart/form-data")
    assert answer.status_code == 422 and told in html.unescape(answer.text)
    assert "/job-photos/" not in wim.get(JOB).text


def test_sent_again_from_a_phone_it_is_kept_once(house: House) -> None:
    wim = booked(house)
    assert [sent(wim, a_photo(), key="photo-1") for _ in range(2)] == [303, 303]
    assert wim.get("/job-photos/2.jpg").status_code == 404


def test_who_put_it_there_or_a_manager_takes_it_away(house: House) -> None:
    wim, maud = booked(house), house.browser("Maud")
    sent(maud, a_photo())
    sent(wim, a_photo())
    assert wim.post("/job-photos/1/take-away").status_code == 409
    assert [maud.post(f"/job-photos/{number}/take-away").status_code for number in (1, 2)] == [303, 303]
    page = wim.get(JOB).text
    assert page.count("taken away (Maud)") == 2 and "<img" not in page.partition("Before and after")[2]
    assert wim.get("/job-photos/1-smaller.jpg").status_code == 404


def test_it_stands_on_its_own_jobs_page_alone_and_is_seen_by_nobody_who_may_only_look(house: House) -> None:
    wim = booked(house, "Fern Row 2", "Alder Court 7")
    assert sent(wim, a_photo(), words="Quillmark") == sent(wim, a_photo(), "/jobs/Alder Court 7", words="Bramblemark") == 303
    link = re.search(r"/for/[\w-]{43}", wim.post(f"{JOB}/customer-link").text)
    assert link
    found = {path: text_of(wim, path) for path in (*PAGES, link[0], f"{JOB}/customer.pdf", "/count/Bay 3")}
    assert {path for path, text in found.items() if "job-photos/1" in text or "Quillmark" in text} == {JOB}
    assert {path for path, text in found.items() if "job-photos/2" in text or "Bramblemark" in text} == {"/jobs/J-0002"}
    lou, nobody = house.browser("Lou"), house.browser()
    seen = "".join(text_of(lou, path) for path in PAGES) + text_of(nobody, link[0])
    assert not re.findall("job-photos|Quillmark|Bramblemark|Before and after", seen)
    for path in ("/job-photos/1.jpg", "/job-photos/1-smaller.jpg"):
        assert (lou.get(path).status_code, nobody.get(path).status_code) == (403, 303)
    assert sent(lou, a_photo()) == lou.post("/job-photos/1/take-away").status_code == 403
    assert nobody.post("/job-photos/1/take-away").status_code == 401


def test_a_job_whose_customer_was_forgotten_shows_none_and_takes_none(house: House) -> None:
    wim = booked(house)
    sent(wim, a_photo())
    with open_catalogue(house.file, write=True) as catalogue:
        catalogue.execute("INSERT INTO job_photos_closed (job, at) VALUES (1, '2031-05-03T14:20:00Z')")
    assert sent(wim, a_photo()) == 409
    page = wim.get(JOB).text
    assert "so it takes no photographs" in page and 'action="/jobs/J-0001/photos"' not in page


def test_no_device_keeps_one_where_nobody_erases_it() -> None:
    """Pages that were opened are kept on the device for times without signal; these are not."""
    told = re.search(r"function mayKeep\(address\) \{ return !/(.+?)/\.test", WORKER.read_text(encoding="utf-8"))
    assert told
    never = re.compile(told[1].replace("\\/", "/"))
    job = "/jobs/J-0001"
    photographs = ("/job-photos/1.jpg", "/job-photos/1-smaller.jpg", f"{job}/preview.jpg", f"{job}/repair-1-seams.jpg")
    assert all(map(never.search, photographs)) and not never.search(job) and not never.search(f"{job}/sheet.pdf")
