"""After the repair what is seen is told on the job's page, one tap a sight, and stands on no page that names nobody."""

import html
import re

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from tests.web.conftest import Browser, House
from tests.web.test_bookings import shown
from tests.web.test_job_photos import JOB, booked

STEP = "R-0001 0.8 ± 0.3 (graded 0.9 ± 0.3)"


def cut(house: House) -> Browser:
    """Wim's browser, after he cut what he held for a job."""
    wim = booked(house)
    assert wim.post(f"{JOB}/cut").status_code == 303
    return wim


def section(page: str) -> str:
    return html.unescape(page.partition('id="looked-back"')[2].partition("</section>")[0])


def unkeyed(page: str) -> str:
    return re.sub(r'name="key" value="[^"]*"', "", page)


def tell(browser: Browser, **fields: str) -> int:
    return int(browser.post(f"{JOB}/looked-back", data=fields).status_code)


def test_one_tap_keeps_what_is_seen_and_another_mends_it(house: House) -> None:
    wim = booked(house)
    assert "looked-back" not in wim.get(JOB).text, "nothing is seen before the cut"
    wim = house.browser("Wim")
    assert wim.post(f"{JOB}/cut").status_code == 303
    before = section(wim.get(JOB).text)
    assert before.count("which-seam") >= 1 and "Patch, left side." in before
    assert before.count("<form") == before.count("<li") >= 2 and "pressed" not in before
    assert wim.post(f"{JOB}/looked-back", data={"sight": "2", "seen": "hard to find"}).location.endswith(f"{JOB}#sight-2")
    assert tell(house.browser("Maud"), sight="2", seen="plain") == 303
    after = section(wim.get(JOB).text)
    assert after.count('aria-pressed="true">Plain') == 1 and "By eye: plain, worse than foretold (Maud, " in after
    assert "hard to find, better" not in after, "the later one stands in for the earlier"
    assert tell(wim, sight="2", take_back="eye") == 303 and unkeyed(section(wim.get(JOB).text)) == unkeyed(before)
    with open_catalogue(house.file, write=False) as catalogue:
        assert verify(catalogue).faults == ()


def test_a_step_measured_afterwards_is_kept_with_its_bar(house: House) -> None:
    wim = cut(house)
    page = section(wim.get(JOB, query_string={"step": STEP}).text)
    assert f'value="{STEP}"' in page and "<details open>" in page
    assert tell(wim, sight="1", measured="yes", step=STEP) == 303
    assert "By photograph: hard to find, ΔE00 0.8 ± 0.3, as foretold (Wim" in section(wim.get(JOB).text)
    refused = wim.post(f"{JOB}/looked-back", data={"sight": "1", "measured": "yes", "step": "2"})
    assert refused.status_code == 422 and "no step that was measured" in refused.text


def test_what_is_no_look_is_refused(house: House) -> None:
    wim = cut(house)
    for sight, seen in (("", ""), ("x", "seen"), ("99", "seen"), ("1", "<b>")):
        answer = wim.post(f"{JOB}/looked-back", data={"sight": sight, "seen": seen})
        assert answer.status_code == 422 and "<b>" not in answer.text.partition("<main")[2], sight


def test_who_may_only_look_reads_it_and_tells_nothing(house: House) -> None:
    wim, lou = cut(house), house.browser("Lou")
    tell(wim, sight="2", seen="plain")
    page = section(lou.get(JOB).text)
    assert "plain, worse than foretold" in page and "<form" not in page
    assert tell(lou, sight="2", seen="seen") == 403 and tell(house.browser(), sight="2", seen="seen") == 401
    assert house.browser().get("/foretold").status_code == 303


def test_sent_twice_from_a_phone_it_is_one_look(house: House) -> None:
    wim = cut(house)
    assert [tell(wim, sight="1", seen="seen", key="tap") for _ in range(2)] == [303, 303]
    assert wim.get("/pieces/R-0001").text.count("by eye: seen") == 1


def test_how_well_is_foretold_is_told_with_its_count_and_names_nobody(house: House) -> None:
    wim = cut(house)
    assert "Nobody has told yet" in wim.get("/foretold").text and "How well we foretell" in wim.get("/jobs").text
    tell(wim, sight="1", seen="plain")
    page = house.browser("Lou").get("/foretold").text
    main = re.sub(r"<[^>]+>", " ", page.partition("<main")[2].partition("</main>")[0])
    assert "Looked at in 1 of 1 jobs" in main and "Shades, by eye" in main and "1 looked at, " in main
    assert not re.search(r"Fern Row|Wim|R-0001|J-0001", main)


def test_the_customers_page_says_nothing_of_it(house: House) -> None:
    wim = cut(house)
    tell(wim, sight="2", seen="plain")
    link = re.search(r"/for/[\w-]{43}", wim.post(f"{JOB}/customer-link").text)
    assert link and "foretold" not in house.browser().get(link[0]).text


def test_a_plan_that_is_held_anew_asks_nothing(house: House) -> None:
    _, fields = shown(house)
    wim = house.browser("Wim")
    assert wim.post("/jobs/hold", data=fields | {"job": "Elm End 5"}).status_code == 303
    assert wim.post(f"{JOB}/looked-back", data={"sight": "1", "seen": "seen"}).status_code == 409
