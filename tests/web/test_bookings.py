"""Holding and cutting from a page: signed, once, refused when stock changed; two people at one donor."""

import csv
import html
import io
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pdfplumber
import pytest

from remnants.actions import open_catalogue
from remnants.actions.fitted import Fitted
from remnants.actions.keep_job import every_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.make_sheet import SheetWish, make_sheet
from remnants.actions.show_piece import history_of
from remnants.actions.style_sizes import change_sizes
from remnants.exchange import Stock, read_stock
from remnants.report.sheet import Sheet
from remnants.units import Unit
from remnants_web import bookings
from tests.reading import found
from tests.stock_values import SIGNED, a_piece, a_style
from tests.web.conftest import Browser, Clock, House
from tests.web.test_patch import ASKED


def shown(house: House, name: str = "Wim", **changes: str) -> tuple[Browser, dict[str, str]]:
    """A browser, and the hidden fields of the first answer on its page."""
    browser = house.browser(name)
    page = browser.get("/patch/answer", query_string=ASKED | changes)
    form = page.text.partition('action="/jobs/hold"')[2].partition("</form>")[0]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return browser, {name: html.unescape(text) for name, text in fields.items()}


DEMO = Path(__file__).resolve().parents[2] / "demo"
HALLWAY = {
    "style": "Aldern Twist", "colour": "Wheat", "lot": "7703", "shape": "rectangle", "width": "36 in", "length": "33 in",
    "pile": "90", "job": "Tollgate Yard 3, hall", "edge_0": "wall", "edge_1": "transition", "edge_2": "wall", "edge_3": "seam",
}  # fmt: skip


@pytest.mark.parametrize("kept", [True, False])
def test_the_second_way_is_held_from_its_own_form(house: House, monkeypatch: pytest.MonkeyPatch, *, kept: bool) -> None:
    """As it was kept, and made anew where it is kept no longer."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock(DEMO / "stock.json"), signed=SIGNED)
    wim = house.browser("Wim")
    page = wim.get("/patch/answer", query_string=HALLWAY).text
    second = page.split('action="/jobs/hold"')[2].partition("</form>")[0]
    fields = {name: html.unescape(text) for name, text in re.findall(r'name="(\w+)" value="([^"]*)"', second)}
    assert fields["way"] == "2"
    if not kept:
        monkeypatch.setattr("remnants_web.bookings.shown_to_them", lambda _job, _digest: None)
    held = wim.post("/jobs/hold", data=fields | {"why": "the closet is in use"})
    assert held.status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        (kept_job,) = every_job(catalogue)
    assert set(kept_job.versions) == {"O-0140"}
    told = "way 2 of 2: nothing to lift and nobody to ask; the closet is in use"
    assert kept_job.why == told
    for address in (held.location, "/pieces/O-0140"):
        assert f"<dt>Why</dt><dd>{told}</dd>" in wim.get(address).text
    assert told not in house.browser("Lou").get(held.location).text, "a reason may name a customer"


SHORT = {
    "style": "Fen Loop", "shape": "rectangle", "width": "30 in", "length": "40 in", "pile": "0", "job": "Fen Row 4",
    "edge_0": "seam", "edge_1": "seam", "edge_2": "seam", "edge_3": "seam", "seam": "1 in",
}  # fmt: skip
SHAVED = "Shave the patch 2&#34; on its right side (seam), and R-0188 makes it whole."


def test_after_a_no_a_change_that_helps_is_held_from_its_own_form(house: House) -> None:
    """An inch at each seam makes 32 in of the 30; the piece is 30 in wide."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        stock = Stock((a_style("Fen Loop", repeat=None),), (a_piece("R-0188", 30, 60, style="Fen Loop"),))
        log_pieces(catalogue, stock, signed=SIGNED)
    wim = house.browser("Wim")
    page = wim.get("/patch/answer", query_string=SHORT).text
    assert "No, nothing fits" in page
    assert SHAVED in page
    assert "ways-wide" not in page, "what is missing comes first, what would help below it, at every width"
    form = page[page.index(f"<p>{SHAVED}</p>") :].split('action="/jobs/hold"')[1].partition("</form>")[0]
    fields = {name: html.unescape(text) for name, text in re.findall(r'name="(\w+)" value="([^"]*)"', form)}
    held = wim.post("/jobs/hold", data=fields)
    assert held.status_code == 303
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        (kept_job,) = every_job(catalogue)
    assert set(kept_job.versions) == {"R-0188"}
    assert max(x for x, _ in kept_job.job.patches[0].ring) == pytest.approx(28 * 25.4)


def test_hold_and_cut_stand_after_what_to_tell_and_above_what_is_looked_up_and_the_other_ways_are_folded(house: House) -> None:
    """On a telephone the page was 9,000 points long with three ways; then Hold stood above what to tell the customer."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock(DEMO / "stock.json"), signed=SIGNED)
    page = house.browser("Wim").get("/patch/answer", query_string=HALLWAY).text
    first, compared, second = re.split(r'<(?:section|li) class="sheet (?:card )?way"', page)[1:]
    for way in (first, second):
        told = [way.index(text) for text in ('class="pictures"', "Tell the customer", 'action="/jobs/hold"', "Order of work")]
        assert told == sorted(told)
    for way in (compared, second):
        assert "<dt>For it</dt>" in way and "<dt>Against it</dt>" in way, "ways compare line by line"
    assert '<details class="drawn"><summary>What to cut, and book it' in second and 'action="/jobs/hold"' not in compared
    assert '<details class="others">' in first and "Other ways: yes, joined, from O-0140" in first


def test_an_answer_is_held_shown_printed_and_cut_in_the_persons_name(house: House) -> None:
    wim, fields = shown(house)
    held = wim.post("/jobs/hold", data=fields)
    assert (held.status_code, held.location) == (303, "/jobs/J-0001")
    page = wim.get(held.location).text
    assert "Held" in page and 'role="img"' in page
    for what in ("sheet", "customer", "tags"):
        printed = wim.get(f"{held.location}/{what}.pdf")
        assert printed.status_code == 200 and printed.data.startswith(b"%PDF-")
    assert wim.get(f"{held.location}/other.pdf").status_code == 404
    assert wim.post(f"{held.location}/cut", data={"key": "k1"}).status_code == 303
    page = wim.get(held.location).text
    assert "Cut" in page and 'role="img"' in page and "Order of work" in page, "what is booked can still be worked from"
    assert wim.get(f"{held.location}/sheet.pdf").data.startswith(b"%PDF-")
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        entries = history_of(catalogue, "O-0007").entries
    assert [(entry.act.value, entry.signed.who) for entry in entries[-2:]] == [("held", "Wim"), ("cut", "Wim")]
    assert "Wim" in wim.get("/pieces/O-0007").text


def test_what_fills_holes_is_weighed_by_the_styles_own_size(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    kept: list[float] = []

    def seen(fitted: Fitted, wish: SheetWish) -> Sheet:
        kept.append(wish.keep.of("Velder Loop").short_mm)
        return make_sheet(fitted, wish)

    monkeypatch.setattr("remnants_web.bookings.make_sheet", seen)
    wim, fields = shown(house)
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        change_sizes(catalogue, "Velder Loop", {"keep_short": "10 in"}, unit=Unit.IN, signed=SIGNED)
    assert wim.get(f"{wim.post('/jobs/hold', data=fields).location}/sheet.pdf").status_code == 200
    assert kept == [254.0]


def test_what_the_rule_would_keep_is_thrown_away_where_the_person_says_so(house: House) -> None:
    """O-0007 is an L; 16 x 42 in out of it leave more than 12 x 18 in, which a tick throws away."""
    wim, fields = shown(house)
    page = wim.get(wim.post("/jobs/hold", data=fields).location).text
    names = re.findall(r'value="(O-0007[^"]*)" name="discard"', page)
    assert names and "Throw it away all the same" in page
    refused = wim.post("/jobs/Alder Court 7/cut", data={"discard": "O-9999"})
    assert refused.status_code == 422 and "no leftover is called" in html.unescape(refused.text)
    assert wim.post("/jobs/Alder Court 7/cut", data={"discard": names}).status_code == 303
    assert "used up" in wim.get("/pieces/O-0007").text
    assert wim.get("/jobs/Alder Court 7/sheet.pdf").status_code == 200, "the plan is proved with what the person chose"


def test_many_jobs_are_listed_leaf_by_leaf(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bookings, "A_LEAF", 1)
    wim, fields = shown(house)
    first = wim.post("/jobs/hold", data=fields).location
    page = wim.get("/jobs").text
    assert "Alder Court 7" in page and "Those after" not in page
    wim.post(f"{first}/release", data={"key": "let go"})
    wim, fields = shown(house)
    assert wim.post("/jobs/hold", data={**fields, "again": "yes"}).location != first
    newest, older = wim.get("/jobs").text, wim.get("/jobs?leaf=2").text
    assert "Jobs 1 to 1 of 2." in newest and "Jobs 2 to 2 of 2." in older
    assert 'href="/jobs/J-0002"' in newest and 'href="/jobs/J-0001"' in older and 'href="/jobs/J-0001"' not in newest


def test_a_lapsed_hold_is_told_as_such_on_every_page_and_can_still_be_cut(house: House, clock: Clock) -> None:
    wim, fields = shown(house)
    page = wim.post("/jobs/hold", data=fields).location
    assert "held for Alder Court 7" in wim.get("/pieces/O-0007").text
    assert "Alder Court 7" in wim.get("/").text
    clock.wait(days=15)
    wim = house.browser("Wim")
    assert "The hold has lapsed" in wim.get(page).text
    assert "lapsed on" in wim.get("/jobs").text
    assert "Alder Court 7" not in wim.get("/").text
    for address in ("/pieces/O-0007", "/racks/Bay 1"):
        assert "held" not in wim.get(address).text.partition("What happened")[0], address
    done = wim.post(f"{page}/cut", data={"key": "late"})
    assert done.status_code == 303
    assert "Its hold had lapsed. The pieces were still free" in wim.get(done.location).text


def test_a_second_job_of_a_name_is_asked_about_and_lets_go_of_nothing(house: House) -> None:
    wim, fields = shown(house)
    wim.post("/jobs/hold", data=fields)
    page = wim.get("/patch/answer", query_string=ASKED | {"style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B"})
    form = page.text.partition('action="/jobs/hold"')[2].partition("</form>")[0]
    other = {name: html.unescape(text) for name, text in re.findall(r'name="(\w+)" value="([^"]*)"', form)}
    asked = wim.post("/jobs/hold", data=other)
    assert asked.status_code == 409 and "A job is called Alder Court 7 already" in asked.text
    assert "This one: plan J-0001 anew" in asked.text and "Another job" in asked.text
    done = wim.post("/jobs/hold", data=other | {"again": "yes"})
    assert (done.status_code, done.location) == (303, "/jobs/J-0002")
    assert "held for Alder Court 7 until" in wim.get("/pieces/O-0007").text
    assert "held for Alder Court 7 (J-0002) until" in wim.get("/pieces/R-0001").text
    told = wim.get("/jobs/Alder Court 7")
    assert told.status_code == 404 and "2 jobs are called" in html.unescape(told.text) and "J-0002" in told.text


def test_a_key_that_booked_another_job_is_told_and_books_nothing(house: House) -> None:
    wim, fields = shown(house)
    wim.post("/jobs/hold", data=fields | {"key": "k"})
    wim, fields = shown(house, job="Fern Row 2")
    assert wim.post("/jobs/hold", data=fields | {"key": "k"}).status_code in (409, 422)
    assert wim.get("/jobs/Fern Row 2").status_code == 404


def test_a_job_of_that_name_is_planned_anew_where_the_person_says_so(house: House) -> None:
    wim, fields = shown(house)
    wim.post("/jobs/hold", data=fields)
    done = wim.post("/jobs/hold", data=fields | {"key": "k2", "number": "J-0001"})
    assert (done.status_code, done.location) in ((303, "/jobs/J-0001"), (409, None)), done.text


def test_an_answer_without_a_name_is_named_as_it_is_booked(house: House) -> None:
    wim, fields = shown(house, job="")
    refused = wim.post("/jobs/hold", data=fields)
    assert refused.status_code == 422 and "give the job a name" in refused.text
    assert wim.post("/jobs/hold", data=fields | {"job": "Fern Row 2"}).location == "/jobs/J-0001"
    assert "Held" in wim.get("/jobs/Fern Row 2").text


def test_a_jobs_cuts_are_lines_for_a_spreadsheet_at_every_stage(house: House) -> None:
    """40 x 14 in and an inch all round is cut 42 x 16 in out of O-0007, an area of 672 sq in or 0.4335 m²."""
    wim, fields = shown(house)
    page = wim.post("/jobs/hold", data=fields).location
    for _ in range(2):
        answer = wim.get(f"{page}/job.csv")
        assert answer.mimetype == "text/csv" and "job.csv" in answer.headers["Content-Disposition"]
        first = next(csv.DictReader(io.StringIO(answer.text)))
        assert (first["line"], first["piece"], first["area m2"]) == ("cut", "O-0007", "0.4335")
        assert sorted((float(first["width in"]), float(first["length in"]))) == [16, 42]
        assert "/job.csv" in wim.get(page).text
        wim.post(f"{page}/cut", data={"key": "k9"})
    assert house.browser().get(f"{page}/job.csv").status_code in (303, 401)
    assert wim.get("/jobs/none such/job.csv").status_code == 404


def test_a_cut_sent_twice_is_one_cut(house: House) -> None:
    wim, fields = shown(house)
    first = wim.post("/jobs/cut", data=fields)
    assert first.status_code == 303
    again = wim.post("/jobs/cut", data=fields)
    assert (again.status_code, again.location) == (303, first.location), "the answer that the first one got"
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [entry.act.value for entry in history_of(catalogue, "O-0007").entries].count("cut") == 1


@pytest.mark.parametrize(("way", "done"), [("cut", "cut"), ("hold", "held")])
@pytest.mark.parametrize("lost_way", ["cut", "hold"])
def test_of_two_people_at_one_donor_one_wins_and_the_other_sees_why(
    house: House, clock: Clock, way: str, done: str, lost_way: str
) -> None:
    wim, his = shown(house)
    maud, hers = shown(house, "Maud", job="Fern Row 2")
    assert wim.post(f"/jobs/{way}", data=his).status_code == 303
    clock.wait(minutes=20)
    lost = maud.post(f"/jobs/{lost_way}", data=hers)
    assert lost.status_code == 409 and "Somebody was first" in lost.text
    assert f"O-0007 was {done} by Wim for Alder Court 7 on 2 Mar 2026, 09:00 UTC" in lost.text
    assert "Nothing was booked for Fern Row 2" in lost.text
    again = found(r'href="(/patch/answer[^"]+)"', lost.text)
    assert "Fern Row 2" in maud.get(html.unescape(again)).text
    told = maud.post(f"/jobs/{lost_way}", data=hers, headers={"Accept": "application/json"})
    assert told.status_code == 409 and "by Wim for Alder Court 7" in told.get_json()["detail"]


@pytest.mark.parametrize("lost_way", ["cut", "hold"])
def test_who_asked_anew_meanwhile_and_sends_the_older_page_is_told_who_was_first(house: House, lost_way: str) -> None:
    """Today's answer tells to ask for the piece back, by the plan of the older page: a device asks by itself to keep it."""
    wim, his = shown(house)
    maud, hers = shown(house, "Maud", job="Fern Row 2")
    assert wim.post("/jobs/hold", data=his).status_code == 303
    newer = maud.get("/patch/answer", query_string=ASKED | {"job": "Fern Row 2"}).text
    assert "Ask for O-0007" in newer and hers["digest"] not in newer, "told, and not to be booked"
    assert "<summary>What to cut</summary>" in newer and "What to cut, and book it" not in newer.partition("Ask for O-0007")[2]
    lost = maud.post(f"/jobs/{lost_way}", data=hers)
    assert lost.status_code == 409 and "Somebody was first" in lost.text
    assert "O-0007 was held by Wim for Alder Court 7 on 2 Mar 2026, 09:00 UTC" in lost.text
    assert "Ask again with today" in lost.text


def test_of_many_at_one_donor_at_once_exactly_one_wins(house: House) -> None:
    asked = [shown(house, name, job=f"Fern Row {number} {name}") for number in range(3) for name in ("Wim", "Maud")]
    ready = threading.Barrier(len(asked))

    def book(one: tuple[Browser, dict[str, str]]) -> tuple[int, str]:
        browser, fields = one
        ready.wait(60)
        answer = browser.post("/jobs/cut", data=fields)
        return answer.status_code, answer.text

    with ThreadPoolExecutor(len(asked)) as pool:
        answers = list(pool.map(book, asked))
    assert sorted(status for status, _ in answers) == [303, *[409] * (len(asked) - 1)]
    assert all("was cut by" in text for status, text in answers if status == 409)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [entry.act.value for entry in history_of(catalogue, "O-0007").entries].count("cut") == 1


NONSENSE = ("", "{", "[1]", '{"O-0007": "1"}', '{"O-0007": true}', '{"none": 1}', '{"O-0007": 1e999}', '{"\\ud800": 1}')


@pytest.mark.parametrize("seen", [*NONSENSE, f'{{"O-0007": {10**40}}}', "[" * 9000])
def test_nonsense_about_what_was_seen_books_nothing_and_breaks_nothing(house: House, seen: str) -> None:
    wim, fields = shown(house)
    told = wim.post("/jobs/cut", data=fields | {"seen": seen, "digest": "0"})
    assert told.status_code == 409 and "nothing was booked" in told.text


def test_what_is_held_for_one_job_is_passed_over_for_another(house: House) -> None:
    wim, fields = shown(house)
    wim.post("/jobs/hold", data=fields)
    page = wim.get("/patch/answer", query_string=ASKED | {"job": "Fern Row 2"}).text
    assert "held for another job until" in page


def test_a_hold_can_be_let_go(house: House) -> None:
    wim, fields = shown(house)
    where = wim.post("/jobs/hold", data=fields).location
    assert wim.post(f"{where}/release", data={"key": "k2"}).status_code == 303
    assert "Released" in wim.get(where).text
    assert wim.post(f"{where}/release", data={"key": "k3"}).status_code == 409


def test_a_job_without_a_name_is_not_held(house: House) -> None:
    wim, fields = shown(house, job="")
    told = wim.post("/jobs/hold", data=fields)
    assert told.status_code == 422 and "give the job a name" in told.text


@pytest.mark.parametrize("changes", [{"digest": "0" * 32}, {"job_file": "{"}, {"job_file": ""}, {"job_file": "x" * 70_000}])
def test_a_tampered_booking_books_nothing(house: House, changes: dict[str, str]) -> None:
    wim, fields = shown(house)
    assert wim.post("/jobs/cut", data=fields | changes).status_code in (409, 422)
    assert "in stock" in wim.get("/pieces/O-0007").text


def test_a_piece_is_moved_taken_back_and_discarded(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/pieces/R-0002/move", data={"place": "Bay 12", "key": "m"}).status_code == 303
    assert "Bay 12" in wim.get("/pieces/R-0002").text
    assert "R-0002" in wim.get("/racks/Bay 12").text
    assert wim.post("/pieces/R-0002/undo", data={"key": "u"}).status_code == 303
    assert "Nothing lies here" in wim.get("/racks/Bay 12").text
    assert wim.post("/pieces/R-0002/move", data={"place": " "}).status_code == 422
    assert wim.post("/pieces/R-0002/discard", data={"why": "moth", "key": "d"}).status_code == 303
    page = wim.get("/pieces/R-0002").text
    assert "discarded" in page and "moth" in page
    assert wim.post("/pieces/R-0002/move", data={"place": "Bay 1"}).status_code == 409


def test_racks_show_what_lies_where_and_how_much_of_each_style(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.get("/racks").text
    assert "Bay 1" in page and "Velder Loop" in page
    rack = lou.get("/racks/Bay 3").text
    assert "<svg" in rack and "R-0001" in rack and "R-0002" in rack


ORDER = {"order": "Elm End 4", "roll_width": "12 ft", "name_1": "lounge", "width_1": "14 ft", "length_1": "16 ft"}


def test_rooms_are_ordered_side_by_side_with_pictures_and_a_table(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.get("/order", query_string=ORDER | {"style": "Velder Loop"})
    assert page.status_code == 200 and "of roll" in page.text and "<svg" in page.text
    sheet = lou.get("/order/order.csv", query_string=ORDER)
    assert sheet.mimetype == "text/csv" and "lounge" in sheet.text


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"width_1": "zz"}, "width_1"),
        ({"width_4": "3 ft", "length_4": "", "name_4": "hall"}, "length_4"),
        ({"roll_width": "0"}, "roll_width"),
        ({"amount": "x", "currency": "EUR"}, "amount"),
    ],
)
def test_what_cant_be_read_of_an_order_is_told_at_its_field(house: House, changes: dict[str, str], field: str) -> None:
    page = house.browser("Lou").get("/order", query_string=ORDER | changes)
    assert page.status_code == 422 and f'href="#{field}"' in page.text
    assert house.browser("Lou").get("/order/order.csv", query_string=ORDER | changes).status_code == 422


def test_the_sheet_is_printed_for_cutting_from_the_back_too(house: House) -> None:
    wim, fields = shown(house, job="Elm End 4")
    number = wim.post("/jobs/hold", data=fields).location.rpartition("/")[2]
    page = wim.get(f"/jobs/{number}").text
    (link,) = re.findall(r'href="([^"]*side=back)"', page)
    with pdfplumber.open(io.BytesIO(wim.get(html.unescape(link)).data)) as pdf:
        assert "BACK UP" in (pdf.pages[0].extract_text() or "")
