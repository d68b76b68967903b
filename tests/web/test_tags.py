"""Tags from the pages, as a PDF that a scanner reads back."""

from io import BytesIO
from zipfile import ZipFile

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from tests.web.conftest import House


def codes(pdf: bytes) -> list[str]:
    page = pypdfium2.PdfDocument(pdf)[0]
    return sorted(found.text for found in zxingcpp.read_barcodes(page.render(scale=4).to_pil()))


def test_a_pieces_tag_is_printed_and_scans_as_the_tag(house: House) -> None:
    answer = house.browser("Wim").get("/tags.pdf?tag=R-0001&paper=label-100x50")
    assert answer.mimetype == "application/pdf" and "attachment" in answer.headers["Content-Disposition"]
    assert codes(answer.data) == ["R-0001"]


def test_a_places_tags_leave_out_labels_that_are_gone(house: House) -> None:
    wim = house.browser("Wim")
    assert codes(wim.get("/tags.pdf?place=Bay 3").data) == ["R-0001", "R-0002"]
    full = wim.get("/tags.pdf?place=Bay 3&skip=23").data
    assert codes(full) == ["R-0001"]  # 3 x 8 labels: one left on the first sheet


def test_a_label_printers_picture_scans_and_its_size_is_known_the_next_time(house: House) -> None:
    wim = house.browser("Wim")
    answer = wim.get("/tags.png", query_string={"tag": "R-0001", "label": "4 x 2 in", "dots": "300"})
    assert answer.mimetype == "image/png" and "tag.png" in answer.headers["Content-Disposition"]
    picture = Image.open(BytesIO(answer.data))
    assert picture.mode == "1" and picture.size == (1200, 600)
    assert [code.text for code in zxingcpp.read_barcodes(picture.convert("L"))] == ["R-0001"]
    assert 'value="4 x 2 in"' in wim.get("/pieces/R-0001").text
    several = wim.get("/tags.png?place=Bay 3&rack=Bay 3")
    with ZipFile(BytesIO(several.data)) as archive:
        read = [zxingcpp.read_barcodes(Image.open(archive.open(name)).convert("L"))[0].text for name in archive.namelist()]
    assert read == ["rack:Bay 3", "R-0001", "R-0002"]


@pytest.mark.parametrize(
    ("query", "told"), [("tag=R-0001&label=5x5", "no label"), ("tag=R-0001&dots=72", "203, 300"), ("label=62x29", "which pieces")]
)
def test_a_picture_that_cannot_be_made_is_told(house: House, query: str, told: str) -> None:
    answer = house.browser("Wim").get(f"/tags.png?{query}")
    assert answer.status_code == 422 and told in answer.text


@pytest.mark.parametrize(
    ("query", "status", "told"),
    [
        ("", 422, "which pieces"),
        ("tag=R-0001&paper=a9", 422, "a4-3x8"),
        ("tag=R-0001&skip=-1", 422, "skip"),
        ("tag=Q-1", 404, "Q-1"),
        ("&".join(["tag=R-0001"] * 501), 422, "501 tags, and at most 500 are printed at once: print them in several goes"),
    ],
)
def test_what_cannot_be_printed_is_told(house: House, query: str, status: int, told: str) -> None:
    answer = house.browser("Wim").get(f"/tags.pdf?{query}")
    assert answer.status_code == status and told in answer.text


def test_pages_offer_the_tags_to_those_who_work(house: House) -> None:
    wim, lou = house.browser("Wim"), house.browser("Lou")
    for path in ("/pieces/R-0001", "/racks/Bay 3", "/log?logged=R-0001"):
        assert 'action="/tags.pdf"' in wim.get(path).text
    assert "/tags.pdf" not in lou.get("/pieces/R-0001").text
    assert lou.get("/tags.pdf?tag=R-0001").status_code == 403
