"""A spreadsheet by the page: sent, its questions answered, looked at, logged in one go; nothing sent or typed is lost."""

import re
from collections.abc import Sequence
from datetime import date
from io import BytesIO

import openpyxl
import pytest
from werkzeug.datastructures import FileStorage
from werkzeug.test import TestResponse, encode_multipart

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of, show_piece
from remnants.exchange.sheet_text import SENT_SHEET_ROWS
from remnants.model import Piece
from remnants.store import pieces
from tests.web.conftest import Browser, House
from tests.web.crawl import read_page

CLEAR = """Tag,Style,Colour,Dye lot,Width,Length,Pile,Bay
T-1,Harrow Twist,Slate,771,36,50,up,Bay 8
T-2,Harrow Twist,Slate,771,20,30,up,Bay 8
"""


def a_workbook(rows: Sequence[Sequence[object]]) -> bytes:
    made = openpyxl.Workbook()
    for row in rows:
        made.worksheets[0].append(list(row))
    out = BytesIO()
    made.save(out)
    return out.getvalue()


def send(browser: Browser, text: str | bytes, name: str = "racks.csv", **more: str) -> TestResponse:
    raw = text.encode() if isinstance(text, str) else text
    boundary, body = encode_multipart({"file": FileStorage(BytesIO(raw), name), "unit": "in", **more})
    return browser.post("/log/sheet", data=body, content_type=f"multipart/form-data; boundary={boundary}")


def go_on(browser: Browser, page: TestResponse, **more: str) -> TestResponse:
    """Sends the form of the page as it stands, with what is said otherwise."""
    (form,) = (form for form in read_page("/log/sheet", page.text).forms if "dated" in form.fields)
    fields = {name: text for name, text in form.fields.items() if name != "log"}
    fields["table"] = table_of(page)
    for column, chosen in re.findall(r'<select id="[^"]+" name="([^"]+)">(.*?)</select>', page.text, re.DOTALL):
        marked = re.search(r'<option selected(?: value="([^"]*)")?>([^<]*)', chosen)
        fields[column] = (marked[1] or marked[2]) if marked else ""
    return browser.post("/log/sheet", data=fields | {"unit": "in"} | more)


def table_of(page: TestResponse) -> str:
    found = re.search(r'<textarea id="table"[^>]*>(.*?)</textarea>', page.text, re.DOTALL)
    return found[1].replace("&#34;", '"').replace("&#39;", "'") if found else ""


def tags_of(house: House) -> tuple[str, ...]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return pieces.all_tags(catalogue)


def piece_of(house: House, tag: str) -> Piece:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return show_piece(catalogue, tag).piece


def test_what_is_clear_is_shown_and_logged_in_one_go_after_a_look(house: House) -> None:
    wim = house.browser("Wim")
    before = tags_of(house)
    looked = send(wim, CLEAR)
    assert looked.status_code == 200 and "2 pieces to log" in looked.text and tags_of(house) == before
    logged = go_on(wim, looked, log="all")
    assert "2 pieces are logged, T-1 to T-2" in logged.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        (first,), (second,) = (history_of(catalogue, tag).entries for tag in ("T-1", "T-2"))
    assert first.booking == second.booking and first.signed.who == "Wim"
    assert piece_of(house, "T-2").outline.bounds == pytest.approx((0, 0, 20 * 25.4, 30 * 25.4))


def test_a_workbook_is_read_as_a_text_is(house: House) -> None:
    raw = a_workbook([row.split(",") for row in CLEAR.splitlines()])
    assert "2 pieces to log" in send(house.browser("Wim"), raw, "racks.xlsx").text


def test_a_guess_and_the_width_of_a_roll_are_asked_about_before_anything_is_shown_to_log(house: House) -> None:
    wim = house.browser("Wim")
    asked = send(wim, "Carpet,Roll width,Lenght,Pile\nHarrow Twist,12,60,up\n")
    assert "to log" not in asked.text and asked.text.count("is this right?") == 2
    looked = go_on(wim, asked)
    assert "1 piece to log" in looked.text
    go_on(wim, looked, log="all")
    assert piece_of(house, "R-0003").outline.bounds == pytest.approx((0, 0, 144 * 25.4, 60 * 25.4)), "12 ft as it was shown"


def test_a_column_nobody_knows_can_be_said_and_left_out(house: House) -> None:
    wim = house.browser("Wim")
    asked = send(wim, "Zzz,Width,Length,Pile\nHarrow Twist,40,60,up\n")
    assert asked.status_code == 422 and "say which column tells the style" in asked.text
    assert "1 piece to log" in go_on(wim, asked, **{"column Zzz": "style"}).text


def test_a_style_that_looks_misspelt_is_asked_about(house: House) -> None:
    wim = house.browser("Wim")
    looked = send(wim, CLEAR.replace("Harrow Twist", "Harow Twist"))
    assert "Is Harow Twist the style Harrow Twist?" in looked.text
    assert 'name="log"' not in looked.text, "nothing is logged before it is answered"
    answered = {"style Harow Twist": "Harrow Twist"}
    fields = read_page("/", looked.text).forms[0].fields
    unanswered = {name: text for name, text in fields.items() if not name.startswith("style ")}
    assert wim.post("/log/sheet", data=unanswered | {"table": table_of(looked), "log": "all"}).status_code == 422
    agreed = go_on(wim, looked, **answered)
    go_on(wim, agreed, log="all", **answered)
    assert piece_of(house, "T-1").style == "Harrow Twist"


def test_bad_rows_are_told_the_good_ones_may_be_logged_and_the_rest_stays_to_be_mended(house: House) -> None:
    wim = house.browser("Wim")
    looked = send(wim, CLEAR + "T-3,Harrow Twist,Slate,771,zz,30,up,Bay 8\nR-0001,Harrow Twist,Slate,771,9,9,up,Bay 8\n")
    assert "2 rows can’t be used" in looked.text and "row 4" in looked.text and "R-0001" in looked.text
    assert go_on(wim, looked, log="all").status_code == 422 and "T-1" not in tags_of(house), "all or none"
    logged = go_on(wim, looked, log="good")
    assert "2 pieces are logged" in logged.text and "T-3,Harrow Twist,Slate,771,zz" in table_of(logged)
    mended = go_on(wim, logged, table=table_of(logged).replace("zz", "12").replace("R-0001", "T-4"))
    assert "2 pieces to log" in mended.text
    assert {"T-3", "T-4"} <= set(tags_of(house)) if go_on(wim, mended, log="all").status_code == 200 else False


def test_what_was_told_otherwise_since_it_was_shown_is_not_logged(house: House) -> None:
    wim = house.browser("Wim")
    looked = send(wim, CLEAR)
    again = go_on(wim, looked, log="all", **{"column Width": "length", "column Length": "width"})
    assert again.status_code == 422 and "look again, then log it" in again.text and "T-1" not in tags_of(house)


def test_a_date_that_a_spreadsheet_made_of_a_lot_is_still_told_as_one(house: House) -> None:
    raw = a_workbook([["Style", "Lot", "Width", "Length", "Pile"], ["Harrow Twist", date(2026, 10, 5), 36, 50, "up"]])
    wim = house.browser("Wim")
    looked = send(wim, raw, "racks.xlsx")
    assert "holds the date" in looked.text and "holds the date" in go_on(wim, looked).text


@pytest.mark.parametrize(
    ("raw", "name", "told"),
    [
        (b"", "", "choose a spreadsheet"),
        (b"PK\x03\x04 no workbook", "a.xlsx", "Spreadsheet"),
        (b"%PDF-1.4", "a.pdf", "Spreadsheet"),
        (b"Style\n", "a.csv", "no pieces"),
        (b"Style,Width,Length\n" + b"a,1,1\n" * (SENT_SHEET_ROWS + 1), "a.csv", "rows, and a page takes"),
        (b"x" * (2 * 2**20 + 1), "a.csv", "over 2 MB"),
    ],
)
def test_what_is_no_table_or_too_large_is_told(house: House, raw: bytes, name: str, told: str) -> None:
    answer = send(house.browser("Wim"), raw, name)
    assert answer.status_code == 422 and told in answer.text


def test_no_option_of_a_command_is_told_on_the_page(house: House) -> None:
    wim = house.browser("Maud")
    for text in ("Style,Cost,Width,Length\nHarrow Twist,many,3,4\n", "A,B\n1,2\n"):
        assert "--" not in send(wim, text).text.replace("<!--", "")


def test_costs_are_told_by_those_who_may_see_them_alone(house: House) -> None:
    text = "Style,Cost (EUR),Width,Length,Pile\nHarrow Twist,9.50,36,50,up\n"
    refused = send(house.browser("Wim"), text)
    assert refused.status_code == 422 and "people who may manage" in refused.text
    assert "1 piece to log" in send(house.browser("Maud"), text).text
    assert house.browser("Lou").get("/log/sheet").status_code == 403
