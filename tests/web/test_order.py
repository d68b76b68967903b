"""Rooms and repairs at the desk: typed without a script, or as a file; both ways side by side, on paper and as a table."""

import csv
import io
import json
import re
import time
from pathlib import Path

import pdfplumber
import pytest

from remnants_web import questions
from remnants_web.estimates import order_asked
from remnants_web.shapes import Typed
from tests.web.conftest import House
from tests.web.test_bookings import shown

ROOMS = (Path(__file__).resolve().parents[2] / "demo" / "rooms.json").read_text(encoding="utf-8")
LOUNGE = {"order": "Elm End 4", "roll_width": "12 ft", "name_1": "lounge", "width_1": "14 ft", "length_1": "16 ft"}
SHAPED = LOUNGE | {
    "style": "Velder Loop",
    "lot": "4471-B",
    "corner_1": "ur",
    "out_width_1": "4 ft",
    "out_length_1": "5 ft",
    "door_1": "upper",
    "door_from_1": "1 ft",
    "door_width_1": "32",
    "door_to_1": "hall",
    "name_2": "hall",
    "width_2": "4 ft",
    "length_2": "9 ft",
}


def figures(page: str, row: str) -> list[str]:
    """The cells of a row of the first table that has it."""
    found = re.search(rf'<th scope="row">{row}</th>(.*?)</tr>', page, re.DOTALL)
    assert found, f"no row {row!r}"
    return re.findall(r"<td[^>]*>(.*?)</td>", found[1], re.DOTALL)


def sheet(house: House, asked: dict[str, str]) -> list[list[str]]:
    return list(csv.reader(io.StringIO(house.browser("Lou").post("/order/order.csv", data=asked).text)))


def test_an_l_shaped_room_with_a_doorway_is_typed_and_laid(house: House) -> None:
    """14 x 16 ft less 4 x 5 ft: a breadth of 12 ft and the floor's 204 sq ft. The doorway is told with its room."""
    page = house.browser("Lou").get("/order", query_string=SHAPED)
    assert page.status_code == 200
    assert re.search(r"<b>door</b>\s*to hall, (<span[^>]*>)?2&#39; 8&#34;(</span>)? wide", page.text)
    covered = [line for line in sheet(house, SHAPED) if line[0] == "cut" and line[1].startswith("lounge")]
    assert sum(float(line[6]) for line in covered) >= 204 * 0.09290304


def test_what_matches_and_is_laid_is_told_where_the_roll_gives_all(house: House) -> None:
    asked = {"order": "Elm End 4", "style": "Harrow Twist", "colour": "Slate", "roll_width": "12 ft", "name_1": "den"}
    page = house.browser("Lou").get("/order", query_string=asked | {"width_1": "11 ft", "length_1": "9 ft"}).text
    assert "L-0001: not used, matches, but is laid on a floor" in page


@pytest.mark.parametrize(
    "changed", [{"out_width_1": "4 ft 1"}, {"out_length_1": "6 ft"}, {"door_from_1": "2 ft"}, {"width_2": "5 ft"}]
)
def test_a_figure_told_otherwise_is_another_question(house: House, changed: dict[str, str]) -> None:
    """Also one that only helps to work out where a corner or a doorway lies: else the first one's order would be shown."""
    with house.app.test_request_context("/order"):
        assert order_asked(Typed(SHAPED)).text == order_asked(Typed(SHAPED)).text
        assert order_asked(Typed(SHAPED)).text != order_asked(Typed(SHAPED | changed)).text


def test_a_doorway_in_the_upper_wall_is_measured_from_its_left_end(house: House) -> None:
    """An L cut at the upper left starts its upper wall 4 ft in: 32 in fit 7 ft from there, not 8."""
    asked = SHAPED | {"corner_1": "ul"}
    assert house.browser("Lou").get("/order", query_string=asked | {"door_from_1": "7 ft"}).status_code == 200
    page = house.browser("Lou").get("/order", query_string=asked | {"door_from_1": "8 ft"})
    assert page.status_code == 422 and 'href="#door_from_1"' in page.text and "off the wall" in page.text


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"out_width_1": "15 ft"}, "out_width_1"),
        ({"corner_1": "", "door_1": "up"}, "door_1"),
        ({"door_to_1": "attic"}, "door_to_1"),
        ({"pile_2": "45"}, "pile_2"),
        ({"steps": "x", "stair_width": "3 ft", "stair_tread": "10", "stair_riser": "7"}, "steps"),
        ({"use_2": "repair", "width_2": "?"}, "width_2"),
    ],
)
def test_each_fault_is_told_at_its_field_and_nothing_typed_is_lost(house: House, changes: dict[str, str], field: str) -> None:
    page = house.browser("Lou").get("/order", query_string=SHAPED | changes)
    assert page.status_code == 422 and f'href="#{field}"' in page.text and f'id="{field}-fault"' in page.text
    assert 'value="lounge"' in page.text and 'value="14 ft"' in page.text


def test_the_cheapest_of_several_widths_is_taken_and_the_others_stand_beside_it(house: House) -> None:
    asked = LOUNGE | {"roll_width_2": "15 ft", "amount": "20", "currency": "EUR", "per": "m2"}
    page = house.browser("Lou").get("/order", query_string=asked).text
    assert "Roll widths" in page and "roll 12&#39; 0&#34; wide" in page.replace("12&#39; wide", "12&#39; 0&#34; wide")
    prices = [float(cell) for cell in figures(page.partition("Roll widths")[2], "price EUR")]
    assert len(prices) == 2 and prices[0] == min(prices)


def test_rooms_come_from_the_rolls_that_are_typed(house: House) -> None:
    asked = LOUNGE | {"rolls_there": "A, 13 ft, 7\nB, 50 ft, 8\n", "end_loss": "2"}
    page = house.browser("Lou").get("/order", query_string=asked).text
    assert "wide: B (lot 8)" in page
    short = house.browser("Lou").get("/order", query_string=asked | {"rolls_there": "A, 13 ft"})
    assert short.status_code == 422 and "of one roll; the longest, A, gives" in short.text
    for wrong in ("13 ft", "A, 13 ft\nA, 14 ft", "A, many"):
        refused = house.browser("Lou").get("/order", query_string=asked | {"rolls_there": wrong})
        assert refused.status_code == 422 and 'id="rolls_there-fault"' in refused.text


def test_a_repair_takes_from_stock_first_and_is_told_beside_the_rooms(house: House) -> None:
    """The repair of 10 x 12 in, an inch of allowance all round, comes from stock: 168 sq in, 1.2 sq ft."""
    asked = LOUNGE | {"style": "Velder Loop", "name_2": "burn", "use_2": "repair", "width_2": "10", "length_2": "12"}
    page = house.browser("Lou").get("/order", query_string=asked).text
    assert figures(page, "repair burn")[0] == "from the roll"
    assert re.match(r"whole from R-000\d", figures(page, "repair burn")[1])
    assert "Repairs take 1.2 ft² of stock" in page
    assert "Repairs from stock" in page


def test_a_repair_alone_needs_no_roll_when_stock_makes_it(house: House) -> None:
    asked = {"roll_width": "12 ft", "style": "Velder Loop", "use_1": "repair", "width_1": "10", "length_1": "12"}
    asked |= {"amount": "20", "currency": "EUR"}
    page = house.browser("Lou").get("/order", query_string=asked).text
    assert "Stock gives all of it; order no roll" in page
    assert float(figures(page, "price EUR")[0]) > 0 and float(figures(page, "price EUR")[1]) == 0


def test_repairs_held_for_a_job_stand_beside_its_rooms(house: House) -> None:
    wim, fields = shown(house)
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    page = wim.get("/order", query_string=LOUNGE | {"held": "Alder Court 7"})
    assert page.status_code == 200 and "O-0007" in "".join(figures(page.text, "repair patch"))
    assert wim.get("/order", query_string=LOUNGE | {"held": "no such job"}).status_code == 422


def printed(data: bytes) -> list[tuple[str, int]]:
    """Each page's text as one line, and how many curves stand on it: arrows, marks and numbers."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [(" ".join(page.extract_text().split()), len(page.curves)) for page in pdf.pages]


def test_the_paper_draws_the_repairs_as_the_jobs_sheet_does(house: House) -> None:
    """A page for the donor with its cuts and one for the patch with its part, marks and strokes as on the sheet."""
    wim, fields = shown(house)
    assert wim.post("/jobs/hold", data=fields).status_code == 303
    sheet_pages = printed(wim.get("/jobs/Alder Court 7/sheet.pdf").data)
    donor, patch = (page for page in sheet_pages if "Hatched: allowance" in page[0] or "Edges drawn" in page[0])
    paper = printed(wim.post("/order/order.pdf", data=LOUNGE | {"held": "Alder Court 7"}).data)
    repairs = [page for page in paper if "Repair from stock: Alder Court 7" in page[0]]
    assert [marks for _, marks in repairs] == [donor[1], patch[1]]
    strokes = re.search(r"K1 along.*Seen from the pile side", donor[0])
    laid = re.search(r"1 from O-0007 .*sizes are net", patch[0])
    assert strokes and strokes[0] in repairs[0][0] and laid and laid[0] in repairs[1][0]
    assert "O-0007: Harrow Twist" in repairs[0][0] and "patch: yes, in one piece" in repairs[1][0]
    assert not any("Repair from stock" in text for text, _ in printed(wim.post("/order/order.pdf", data=LOUNGE).data))


def test_the_cut_ticket_tells_the_lengths_and_the_strokes_on_a_page(house: House) -> None:
    data = house.browser("Lou").get("/order/ticket.pdf", query_string=LOUNGE).data
    with pdfplumber.open(io.BytesIO(data)) as read:
        (told,) = [page.extract_text() for page in read.pages]
    for words in ("Cut ticket", "Lengths off the roll, in order", "The knife, stroke by stroke", "A long roll is never a lift"):
        assert words in told


PRICED = {"price_list": "carpet, 20, m2\nstairs, 11, each", "currency": "EUR", "margin_percent": "10", "tax_percent": "19"}


def test_the_papers_are_handed_out_each_for_its_reader(house: House) -> None:
    asked = LOUNGE | PRICED
    page = house.browser("Lou").get("/order", query_string=asked).text
    told = {}
    for name in ("quote", "supplier", "floors"):
        assert f'action="/order/{name}.pdf"' in page
        with pdfplumber.open(io.BytesIO(house.browser("Lou").get(f"/order/{name}.pdf", query_string=asked).data)) as read:
            told[name] = " ".join(word.extract_text() for word in read.pages)
    assert "22.00 EUR" in told["quote"] and "Tax, 19 %" in told["quote"] and "Not in this price: underlay" in told["quote"]
    assert "EUR" not in told["supplier"] + told["floors"]
    assert "Name the dye lot" in told["supplier"] and "numbers are those on the backs" in told["floors"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"price_list": "carpet 20"}, "price_list"), ({"currency": "XXQ"}, "currency"), ({"tax_percent": "x"}, "tax_percent")],
)
def test_prices_that_cannot_be_are_told_at_their_field(house: House, changes: dict[str, str], field: str) -> None:
    refused = house.browser("Lou").get("/order/quote.pdf", query_string=LOUNGE | PRICED | changes)
    assert refused.status_code == 422 and not refused.data.startswith(b"%PDF")


def test_a_rooms_file_is_sent_and_its_order_taken_along(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.post("/order", data={"file": (io.BytesIO(ROOMS.encode()), "rooms.json")})
    assert page.status_code == 200 and "Roll widths" in page.text and "Alder Court 9" in page.text
    printed = lou.post("/order/order.pdf", data={"rooms_file": ROOMS})
    assert printed.mimetype == "application/pdf" and "order.pdf" in printed.headers["Content-Disposition"]
    with pdfplumber.open(io.BytesIO(printed.data)) as pdf:
        text = "\n".join(each.extract_text() for each in pdf.pages)
    assert "Lounge" in text and "All from the roll" in text and "Caution." in text and "Room for" not in text
    lines = sheet(house, {"rooms_file": ROOMS})
    assert {line[0] for line in lines[1:]} >= {"cut", "order"}


NONE = ("[", "[]", "{}", '{"unit": "mm", "rooms": 3}', "[" * 4000)
A_SERVERS = '{"unit": "mm", "drawing": "/etc/passwd", "rooms": [{"layer": "a"}]}'


@pytest.mark.parametrize("text", [*NONE, A_SERVERS])
def test_a_file_that_is_none_is_told_and_names_no_file_of_the_server(house: House, text: str) -> None:
    page = house.browser("Lou").post("/order", data={"rooms_file": text})
    assert page.status_code == 422 and "can&#39;t be read" not in page.text
    assert house.browser("Lou").post("/order", data={"file": (io.BytesIO(b"\xff\xfe\x00"), "x")}).status_code == 422


def test_names_that_look_like_formulas_stay_names_in_the_spreadsheet(house: House) -> None:
    lines = sheet(house, LOUNGE | {"name_1": '=HYPERLINK("x")'})
    assert next(line[1] for line in lines if line[0] == "cut").startswith("'=")


def test_only_people_signed_in_from_a_page_of_ours_may_ask(house: House) -> None:
    assert house.browser().get("/order/order.pdf", query_string=LOUNGE).status_code in (303, 401)
    foreign = house.browser("Lou").post("/order/order.csv", data=LOUNGE, headers={"Sec-Fetch-Site": "cross-site"})
    assert foreign.status_code == 403


def test_what_was_shown_is_what_is_downloaded_and_is_not_searched_twice(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    lou = house.browser("Lou")
    assert lou.get("/order", query_string=LOUNGE).status_code == 200

    def never(*_args: object, **_more: object) -> None:
        raise AssertionError("searched again")

    monkeypatch.setattr(questions, "estimate_house", never)
    assert lou.post("/order/order.csv", data=LOUNGE).status_code == 200
    assert lou.get("/order", query_string=LOUNGE | {"width_1": "15 ft"}).status_code == 500


def test_the_choices_stand_on_the_page_and_on_paper(house: House) -> None:
    """A corridor with a door at each end: one length, or three seams that people cross for 3.4 m less."""
    ends = [{"edge": edge, "from": 600, "width": 900} for edge in (0, 2)]
    rooms = [{"name": "corridor", "width": 2100, "length": 12000, "doorways": ends}]
    asked = {"rooms_file": json.dumps({"unit": "mm", "roll": {"width": 4000}, "rooms": rooms})}
    lou = house.browser("Lou")
    page = lou.post("/order", data=asked).text
    assert "3 of them are crossed by people who walk" in page
    assert page.count("<summary>") and re.search(r"<summary>[^<]*of roll for 3 seams more</summary>", page)
    with pdfplumber.open(io.BytesIO(lou.post("/order/order.pdf", data=asked).data)) as paper:
        assert "Choices, all from the roll" in (paper.pages[0].extract_text() or "")


def test_a_hard_order_ends_by_the_watch(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve L-shaped rooms with a pattern: the search is handed its seconds, and the page says how far it came."""
    monkeypatch.setattr(questions, "ORDER_SECONDS", 1)
    rooms = [
        {"name": f"r{i}", "outline": [[0, 0], [5000 + i * 130, 0], [5000 + i * 130, 2100], [3300, 2100], [3300, 4100], [0, 4100]]}
        for i in range(12)
    ]
    file = {"unit": "mm", "roll": {"widths": [3660, 4000], "repeat": {"across": 300, "along": 450, "drop": 0.5}}, "rooms": rooms}
    ticks = iter(range(10**9))
    monkeypatch.setattr(time, "monotonic", lambda: next(ticks) * 0.001)
    page = house.browser("Lou").post("/order", data={"rooms_file": json.dumps(file)})
    assert page.status_code == 200 and "at least" in page.text and "% open" in page.text


def test_room_for_more_rooms_keeps_what_was_typed_and_searches_nothing(house: House) -> None:
    page = house.browser("Lou").get("/order", query_string=SHAPED | {"more": "1"}).text
    assert 'id="width_7"' in page and 'value="lounge"' in page and "All from the roll" not in page


def test_a_side_below_nothing_is_told_as_it_was_typed(house: House) -> None:
    sent = {"name_1": "hall", "width_1": "-4", "length_1": "9", "roll_width": "12 ft"}
    page = house.browser("Wim").post("/order", data=sent).text.replace("&#39;", "'")
    assert "'-4' is no size: give a length above zero" in page
    assert "mm'" not in page


TWO_CARPETS = LOUNGE | {
    "other_carpets": "bedrooms, Ambry Plain, Slate, 13' 6\", 31",
    "currency": "USD",
    "amount": "24.50",
    "per": "yd2",
    "name_2": "bed",
    "width_2": "11 ft",
    "length_2": "9 ft",
    "carpet_2": "Bedrooms",
}


def test_a_house_in_two_carpets_is_typed_and_comes_with_one_sum(house: House) -> None:
    """Papers and table hold both, each cut's number once."""
    lou = house.browser("Lou")
    page = lou.get("/order", query_string=TWO_CARPETS)
    assert page.status_code == 200 and "<h2>bedrooms</h2>" in page.text and "In all" in page.text
    total = figures(page.text.partition("In all")[2], "in all")
    carpets = [figures(page.text.partition("In all")[2], name)[-1] for name in ("carpet", "bedrooms")]
    assert float(total[-1]) == round(sum(map(float, carpets)), 2)
    lines = sheet(house, TWO_CARPETS)
    numbers = [line[-1] for line in lines if line[0] == "cut"]
    assert numbers == [str(number) for number in range(1, len(numbers) + 1)]
    for name in ("order", "ticket", "supplier", "floors", "house"):
        told = " ".join(text for text, _ in printed(lou.get(f"/order/{name}.pdf", query_string=TWO_CARPETS).data))
        assert "Ambry Plain" in told or "bedrooms" in told


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"carpet_2": "attic"}, "carpet_2"),
        ({"other_carpets": "bedrooms"}, "other_carpets"),
        ({"other_carpets": "bedrooms, x, y, wide"}, "other_carpets"),
    ],
)
def test_a_carpet_that_cannot_be_is_told_at_its_field(house: House, changes: dict[str, str], field: str) -> None:
    page = house.browser("Lou").get("/order", query_string=TWO_CARPETS | changes)
    assert page.status_code == 422 and f'href="#{field}"' in page.text and f'id="{field}-fault"' in page.text
