"""A drawing of rooms that is sent to the order page: read like the command reads it, and with care."""

import io
import json
import random
import re
import tempfile
from collections.abc import Callable, Iterator
from html import unescape
from pathlib import Path

import ezdxf
import pdfplumber
import pytest
from ezdxf.document import Drawing
from werkzeug.datastructures import FileStorage
from werkzeug.test import TestResponse, encode_multipart

from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.sent_drawing import is_drawing, rooms_of_sent
from remnants.limits import SENT_DRAWING_BYTES, SENT_OUTLINES
from remnants.units import Unit
from tests.test_plans_pdf import a_page, flat
from tests.web.conftest import House

SQUARE = [(0.0, 0.0), (3000.0, 0.0), (3000.0, 4000.0), (0.0, 4000.0)]
HEARTH = [(1000.0, 1000.0), (1500.0, 1000.0), (1500.0, 1500.0), (1000.0, 1500.0)]
ROLL = {"drawing_width": "3.66 m"}


def a_drawing(*layers: tuple[str, list[tuple[float, float]]], units: int = 4) -> Drawing:
    """A DXF drawing (the code of its unit as in the DXF reference: 4 mm, 6 m, 0 none)."""
    drawing = ezdxf.new()  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    drawing.header["$INSUNITS"] = units
    for layer, corners in layers:
        drawing.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    return drawing


def written(drawing: Drawing) -> bytes:
    out = io.StringIO()
    drawing.write(out)
    return out.getvalue().encode()


FLAT = written(a_drawing(("LOUNGE", SQUARE), ("LOUNGE", HEARTH), ("HALL", [(x + 5000, y) for x, y in SQUARE])))


def sent(house: House, data: bytes, name: str = "flat.dxf", **fields: str) -> TestResponse:
    form = {"file": FileStorage(io.BytesIO(data), name), **ROLL, **fields}
    boundary, body = encode_multipart(form)
    return house.browser("Lou").post("/order", data=body, content_type=f"multipart/form-data; boundary={boundary}")


def rooms_in(page: TestResponse) -> dict[str, list[list[float]]]:
    """The rooms as they stand in the text beside the file, from which the order is taken along."""
    text = re.search(r'<textarea id="rooms_file"[^>]*>([^<]*)<', page.text)
    assert text
    return {room["name"]: room["outline"] for room in json.loads(unescape(text[1]))["rooms"]}


def told(page: TestResponse) -> str:
    """What stands at the field of the file."""
    at = re.search(r'id="file-fault">([^<]*)<', page.text)
    assert at, page.text
    return unescape(at[1])


def test_closed_polylines_are_rooms_and_their_order_is_taken_along(house: House) -> None:
    page = sent(house, FLAT)
    assert page.status_code == 200 and "flat" in page.text
    assert sorted(rooms_in(page)) == ["HALL", "LOUNGE"]
    # with trims 3075 x 4075 mm each, both laid without a seam: two lengths of 4075 mm, cut to the next half inch, 160 1/2 in
    assert "26' 9\"" in unescape(page.text).replace("\N{NO-BREAK SPACE}", " ")
    fields = {name: unescape(text) for name, text in re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page.text)}
    printed = house.browser("Lou").post("/order/order.pdf", data=fields)
    with pdfplumber.open(io.BytesIO(printed.data)) as pdf:
        text = "\n".join(each.extract_text() for each in pdf.pages)
    assert "LOUNGE" in text and "HALL" in text


def test_a_drawing_takes_the_unit_it_states_or_the_one_that_is_said(house: House) -> None:
    metres = [(x / 1000, y / 1000) for x, y in SQUARE]
    across = 3000 / 25.4  # in the reader's inches
    for units, corners, said in ((6, metres, ""), (0, metres, "m"), (4, metres, "m"), (4, SQUARE, "")):
        page = sent(house, written(a_drawing(("DEN", corners), units=units)), drawing_unit=said)
        assert max(x for x, _ in rooms_in(page)["DEN"]) == pytest.approx(across, abs=1e-4)


def test_a_wrong_unit_is_told_with_the_room(house: House) -> None:
    page = sent(house, written(a_drawing(("DEN", [(x / 1000, y / 1000) for x, y in SQUARE]), units=4)))
    assert page.status_code == 422 and "LWPOLYLINE 2F on layer 'DEN' at 0, 0: would be 1/8 in × 3/16 in: say which unit" in told(
        page
    )
    page = sent(house, written(a_drawing(("DEN", SQUARE), units=6)))
    assert page.status_code == 422 and "on layer 'DEN': reaches further than a kilometre" in told(page)


def test_what_crosses_itself_is_told_with_its_layer_and_what_was_typed_stays(house: House) -> None:
    bow = [(0.0, 0.0), (3000.0, 4000.0), (3000.0, 0.0), (0.0, 4000.0)]
    page = sent(house, written(a_drawing(("STUDY", bow))), drawing_style="Velder Loop")
    assert page.status_code == 422 and "layer 'STUDY'" in told(page) and 'value="3.66 m"' in page.text
    assert 'value="Velder Loop"' in page.text


def test_without_a_roll_width_it_is_asked_for_and_a_style_may_know_it(house: House) -> None:
    page = sent(house, FLAT, drawing_width="")
    assert page.status_code == 422 and "say how wide the roll is" in page.text
    assert sent(house, FLAT, drawing_width="wide").status_code == 422
    assert sent(house, FLAT, drawing_width="", drawing_style="Velder Loop").status_code == 200


def binary() -> bytes:
    out = io.BytesIO()
    a_drawing(("DEN", SQUARE)).write(out, fmt="bin")
    return out.getvalue()


def blocks_in_blocks() -> bytes:
    """Each of twenty blocks holds the one before ten times: 10^20 rooms, were they followed."""
    drawing = a_drawing()
    drawing.blocks.new("B0").add_lwpolyline(SQUARE, close=True)
    for level in range(1, 20):
        block = drawing.blocks.new(f"B{level}")
        for _ in range(10):
            block.add_blockref(f"B{level - 1}", (0, 0))
    drawing.modelspace().add_blockref("B19", (0, 0))
    return written(drawing)


def bulging(bulge: float) -> bytes:
    drawing = a_drawing()
    points = [(0, 0, bulge), (3000, 0, 0), (3000, 4000, 0)]
    drawing.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "DEN"})
    return written(drawing)


def many() -> bytes:
    squares = [("DEN", [(x + 4000 * step, y) for x, y in SQUARE]) for step in range(SENT_OUTLINES + 1)]
    return written(a_drawing(*squares))


SWELLING = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><a>&b;</a>'
SWELLING_TEXT = b"0\nSECTION\n2\nENTITIES\n0\nTEXT\n1\n" + SWELLING + b"\n0\nENDSEC\n0\nEOF\n"
HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    "huge": (lambda: FLAT + b"999\nmore\n" * 300_000, "over 2 MB"),
    "binary": (binary, "save it as DXF text"),
    "DWG": (lambda: b"AC1032" + bytes(range(256)) * 20, "save it as DXF text"),
    "breaks off": (lambda: FLAT[: len(FLAT) // 2], "breaks off"),
    "no rooms": (lambda: written(a_drawing()), "no outline of a room is in it"),
    "blocks in blocks": (blocks_in_blocks, "over 16 blocks, one in the other"),
    "entities that swell": (lambda: SWELLING_TEXT, "no outline of a room is in it"),
    "swelling alone": (lambda: SWELLING, "breaks off"),
    "an arc to the moon": (lambda: bulging(1e12), "on layer 'DEN': reaches further than a kilometre"),
    "an arc without end": (lambda: bulging(1e308), "'DEN'"),
    "no places": (lambda: FLAT.replace(b"3000.0", b"nan"), "'"),
    "far away": (lambda: FLAT.replace(b"3000.0", b"1e300"), "on layer 'LOUNGE': reaches further than a kilometre"),
    "too many": (many, f"over {SENT_OUTLINES} rooms"),
    "no drawing": (lambda: b"\0\xff" * 900, "breaks off"),
    "nothing": (lambda: b"", "breaks off"),
}  # fmt: skip


@pytest.fixture
def written_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    folder = tmp_path / "passing"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    yield folder
    assert not list(folder.iterdir())


@pytest.mark.parametrize("kind", list(HOSTILE))
@pytest.mark.usefixtures("written_here")
def test_a_hostile_drawing_is_refused_with_the_reason_and_leaves_nothing(house: House, kind: str) -> None:
    made, reason = HOSTILE[kind]
    page = sent(house, made())
    assert page.status_code == 422
    assert reason in told(page)


@pytest.mark.usefixtures("written_here")
def test_a_drawing_damaged_anywhere_is_read_or_refused(house: House) -> None:
    chance = random.Random(7)
    lou, form = house.browser("Lou"), {"drawing_width": "3.66 m"}
    for _ in range(40):
        at, length = chance.randrange(len(FLAT)), chance.choice((1, 30, 3000))
        damaged = FLAT[:at] + bytes(chance.choice(b"0189-.eE\n \xff") for _ in range(length)) + FLAT[at + length :]
        try:
            rooms_of_sent(damaged, "flat.dxf", PlanSaid(), Unit.MM)
        except ValueError:  # a refusal of ours; anything else fails here
            answer = lou.post("/order", data=form | {"file": (io.BytesIO(damaged), "flat.dxf")})
            assert answer.status_code == 422


def test_a_drawing_is_known_by_what_it_holds_and_a_rooms_file_too(house: House) -> None:
    assert sent(house, FLAT, "flat.json").status_code == 200
    assert sent(house, FLAT, "../../flat").status_code == 200
    page = sent(house, b'{"unit": "m"', "flat.dxf")
    assert page.status_code == 422 and "not JSON" in page.text and 'id="file-fault"' not in page.text
    page = sent(house, b'{"unit": "' + b"m" * SENT_DRAWING_BYTES, "rooms.json")
    assert page.status_code == 422 and "over 2 MB" in told(page)
    assert is_drawing(b"\xef\xbb\xbf  0\r\nSECTION\r\n", "x") and is_drawing(b"999\nby hand\n0\nSECTION\n", "x")
    assert not is_drawing(b'{"unit": "m", "rooms": []}', "rooms.json") and not is_drawing(b"", "rooms.json")


def test_a_table_of_rooms_is_sent_too_and_told_by_its_cells(house: House) -> None:
    page = sent(house, b"Room,Width (m),Length (m)\nDen,3.5,4\n", "rooms.csv")
    assert page.status_code == 200 and '"name": "Den"' in unescape(page.text)
    page = sent(house, b"Room,Width (m),Length (m)\nDen,wide,4\n", "rooms.csv")
    assert page.status_code == 422 and told(page).startswith("row 2, column \"Width (m)\": Den: 'wide'")
    page = sent(house, b"PK\x03\x04" + bytes(80), "rooms.xlsx")
    assert page.status_code == 422 and "a workbook can't be sent here: save the sheet as CSV and send that" in told(page)


def test_a_plan_as_pdf_is_sent_with_its_scale(house: House) -> None:
    plan = a_page(flat)
    page = sent(house, plan, "flat.pdf", drawing_scale="1:50")
    assert page.status_code == 200 and sorted(rooms_in(page)) == ["Hall", "Lounge"]
    assert "From the drawing: 1 outline lies inside a room" in unescape(page.text)
    page = sent(house, plan, "flat.pdf")
    assert page.status_code == 422 and "a PDF tells no scale" in told(page)
    page = sent(house, plan, "flat.pdf", drawing_scale="half")
    assert page.status_code == 422 and "'half' is no scale" in unescape(page.text)


def test_the_layers_of_a_drawing_are_shown_to_be_ticked_and_then_alone_are_read(house: House) -> None:
    plan = a_drawing(("ROOMS", SQUARE), ("SHEET", [(x - 900, y - 9000) for x, y in SQUARE]), ("SHEET", HEARTH))
    plan.layers.add("SHEET").off()
    page = sent(house, written(plan), look="1")
    assert page.status_code == 200
    ticks = re.findall(r'name="layer_\d" value="(\w+)"> ([^<]*)<', page.text)
    assert ticks == [("ROOMS", "ROOMS: 1 entity, 1 closed"), ("SHEET", "SHEET: 2 entities, 2 closed, off")]
    assert list(rooms_in(sent(house, written(plan), layer_1="ROOMS"))) == ["ROOMS"]
    assert list(rooms_in(sent(house, written(plan), drawing_layers="sheet"))) == ["SHEET 1", "SHEET 2"]
    page = sent(house, a_page(flat), "flat.pdf", look="1")
    assert re.findall(r'value="([\d.]+ pt)"', page.text) == ["0.28 pt", "2 pt"]
    assert "has no layers" in told(sent(house, b"{}", "rooms.json", look="1"))


def test_a_pdf_is_shown_with_its_lines_numbered_and_one_of_known_length_tells_its_scale(house: House) -> None:
    """At 1:50: the lounge's right wall is 100 mm on paper, 5 m as built. The reader's unit is inches."""
    plan = a_page(flat)
    page = sent(house, plan, "flat.pdf", look="1")
    assert page.status_code == 200 and page.text.count('class="plan-line"') == 12
    told = re.findall(r'data-told="(\d+)">\d+: 3 15/16 in long on the page, upright', unescape(page.text))
    asked = {"drawing_width": "4 m", "drawing_line": told[0]}
    page = sent(house, plan, "flat.pdf", drawing_known="5 m", **asked)
    assert page.status_code == 200
    across = [x for x, _ in rooms_in(page)["Lounge"]]
    assert max(across) - min(across) == pytest.approx(4000 / 25.4, abs=0.01)
    assert "makes the scale 1:50; on the page stands 1:50" in unescape(page.text)
    for more, field, words in (
        ({"drawing_line": told[0]}, "drawing_known", "say how long line"),
        ({"drawing_known": "5 m"}, "drawing_line", "say of which line"),
        ({"drawing_known": "long", "drawing_line": "1"}, "drawing_known", ""),
        ({"drawing_known": "5 m", "drawing_line": "1", "drawing_scale": "1:50"}, "drawing_scale", "one tells the other"),
        ({"drawing_page": "x"}, "drawing_page", "is no number of a page"),
    ):
        page = sent(house, plan, "flat.pdf", **more)
        at = re.search(rf'id="{field}-fault">([^<]*)<', page.text)
        assert page.status_code == 422 and at and words in unescape(at[1]), more
    page = sent(house, plan, "flat.pdf", drawing_known="5 in", **asked)
    assert page.status_code == 422 and "look at the length that was told, as it makes the scale 1:1.27" in unescape(page.text)
