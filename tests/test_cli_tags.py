"""`remnants tags`: labels whose code an independent reader reads back."""

import math
import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from remnants.actions.make_sheet import fonts
from remnants.cli import tags
from remnants.errors import BadInput
from remnants.model import Piece
from remnants.report.dots import read_label_size
from remnants.report.labels import SHEETS, LabelSheet, labels_pdf, one_label
from tests.commands import Remnants
from tests.stock_values import IN, a_piece
from tests.thorough import share


def codes(path: Path, dpi: int = 300) -> list[str]:
    """Every QR code on the pages, as read by zxing at a label printer's resolution."""
    found = []
    with pypdfium2.PdfDocument(path) as document:
        for page in document:
            image = page.render(scale=dpi / 72).to_pil()
            found += [code.text for code in zxingcpp.read_barcodes(image)]
    return found


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    for number in range(10):
        remnants.log("--tag", f"R-{number:04d}", "--colour", "Oatmeal", "--lot", "4471-B", "--place", "Bay 3")
    return remnants


@pytest.mark.parametrize("sheet", list(SHEETS))
def test_each_code_reads_back_its_tag(remnants: Remnants, sheet: str) -> None:
    out = remnants.folder / "tags.pdf"
    remnants.ok("tags", "--place", "Bay 3", "-o", out, "--sheet", sheet)
    assert sorted(codes(out)) == [f"R-{number:04d}" for number in range(10)]


@pytest.mark.parametrize("size", ["40x25", "62x29", "100x50", "100x150"])
def test_a_label_printers_page_is_one_label(remnants: Remnants, size: str) -> None:
    out = remnants.folder / "tags.pdf"
    assert remnants.ok("tags", "R-0003", "R-0001", "-o", out, "--label", size) == f"labels of 2 pieces in {out}\n"
    assert codes(out) == ["R-0003", "R-0001"]
    with pdfplumber.open(out) as document:
        width, height = (float(side) * 72 / 25.4 for side in size.split("x"))
        assert [(page.width, page.height) for page in document.pages] == [pytest.approx((width, height), abs=0.01)] * 2


def test_a_label_tells_style_colour_lot_and_size_in_both_units(remnants: Remnants) -> None:
    out = remnants.folder / "tags.pdf"
    remnants.ok("tags", "R-0001", "-o", out, "--label", "100x50", "--link", "https://shop.example/pieces/")
    with pdfplumber.open(out) as document:
        text = document.pages[0].extract_text()
    for part in ("R-0001", "Velder Loop", "Oatmeal, lot 4471-B", "40 in × 60 in", "1016 mm × 1524 mm"):
        assert part in text
    assert codes(out) == ["https://shop.example/pieces/R-0001"]


def test_a_begun_sheet_is_gone_on_with_and_nothing_lies_off_the_label(remnants: Remnants) -> None:
    out = remnants.folder / "tags.pdf"
    remnants.ok("tags", "--latest", "2", "-o", out, "--skip", "23")
    with pdfplumber.open(out) as document:
        assert len(document.pages) == 2
        for page in document.pages:
            assert all(
                c["x0"] >= 0 and c["x1"] <= page.width and c["top"] >= 0 and c["bottom"] <= page.height for c in page.chars
            )
    assert codes(out) == ["R-0009", "R-0008"]


def test_what_is_asked_for_wrongly_is_told(remnants: Remnants) -> None:
    out = remnants.folder / "tags.pdf"
    assert "say which pieces" in remnants.refused("tags", "-o", out, code=2)
    assert "no piece has the tag 'R-9', 'R-8'" in remnants.refused("tags", "R-9", "R-8", "-o", out, code=1)
    assert "no label" in remnants.refused("tags", "R-0001", "-o", out, "--label", "5x5", code=2)
    assert "nothing lies at" in remnants.refused("tags", "--place", "Bay 9", "-o", out, code=1)
    assert not out.exists()


def piece_of(width_mm: float, length_mm: float, **more: Any) -> Piece:
    return a_piece("R-0007", width_mm / IN, length_mm / IN, **more)


ONE_EACH = {name: one_label(*sheet.label_mm) for name, sheet in SHEETS.items()} | {
    f"{width}x{height}": one_label(width, height) for width, height in ((40, 25), (57, 32), (62, 29), (62, 40), (100, 50))
}


@pytest.mark.parametrize(("dpi", "per_mm"), [(203, 8.0), (300, 300 / 25.4)])
@pytest.mark.parametrize(("size", "size_mm"), [("40x25", (40, 25)), ("62 x 29 mm", (62, 29)), ("4 x 2 in", (101.6, 50.8))])
def test_a_picture_for_a_label_printer_is_black_and_white_dots_whose_code_reads_back(
    remnants: Remnants, size: str, size_mm: tuple[float, float], dpi: int, per_mm: float
) -> None:
    out = remnants.folder / "tag.png"
    remnants.ok("tags", "R-0003", "-o", out, "--label", size, "--dpi", str(dpi))
    with Image.open(out) as picture:
        assert picture.mode == "1", "no grey that a thermal head would guess at"
        assert picture.size == tuple(math.floor((side + 0.01) * per_mm) for side in size_mm)
        assert picture.info["dpi"] == pytest.approx((per_mm * 25.4, per_mm * 25.4), abs=0.05)
        assert [code.text for code in zxingcpp.read_barcodes(picture.convert("L"))] == ["R-0003"]
        assert corner_dots(picture) % 7 == 0 and corner_dots(picture) >= 14, "each square of the code is as many whole dots"


def corner_dots(picture: Image.Image) -> int:
    """How many dots wide the dark square in the code's upper left corner is: its side is seven of the code's squares."""
    (found,) = zxingcpp.read_barcodes(picture.convert("L"))
    left, row = found.position.top_left.x, found.position.top_left.y + 1
    while picture.getpixel((left - 1, row)) == 0:
        left -= 1
    right = left
    while picture.getpixel((right, row)) == 0:
        right += 1
    return right - left


def test_several_labels_are_numbered_pictures_and_a_racks_own_says_that_it_is_one(remnants: Remnants) -> None:
    out = remnants.folder / "labels.png"
    told = remnants.ok("tags", "R-0001", "R-0002", "--rack", "Bay 3", "-o", out, "--label", "100x50")
    assert told == f"labels of 1 rack and 2 pieces in {out}\n" and not out.exists()
    read = [zxingcpp.read_barcodes(Image.open(out.with_name(f"labels-{number}.png")).convert("L")) for number in (1, 2, 3)]
    assert [code.text for (code,) in read] == ["rack:Bay 3", "R-0001", "R-0002"]
    pdf = remnants.folder / "racks.pdf"
    remnants.ok("tags", "--rack", "Bay 3", "--rack", "Van 1", "-o", pdf)
    assert codes(pdf) == ["rack:Bay 3", "rack:Van 1"]


@pytest.mark.parametrize(
    "size", ["", "62", "62x", "x29", "39x25", "40x24", "301x50", "1 x 1 in", "-62x29", "nanxnan", "4x2x1", "axb"]
)
def test_what_is_no_label_is_told_with_what_one_types(size: str) -> None:
    with pytest.raises(BadInput) as refusal:
        read_label_size(size)
    assert "is no label" in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "size_mm"),
    [
        *(("62x29", (62, 29)), ("62 × 29 mm", (62, 29)), ('4" x 2"', (101.6, 50.8)), ("10 cm x 5 cm", (100, 50))),
        ("2 1/4 x 1 1/4 in", (57.15, 31.75)),
    ],
)
def test_a_label_is_measured_in_mm_or_inches(text: str, size_mm: tuple[float, float]) -> None:
    assert read_label_size(text) == pytest.approx(size_mm)


def test_a_picture_needs_the_size_of_the_label_and_a_code_that_its_dots_can_hold(remnants: Remnants) -> None:
    out = remnants.folder / "tag.png"
    assert "such as --label 62x29" in remnants.refused("tags", "R-0001", "-o", out, code=2)
    long = "https://shop.example/" + "a" * 900 + "/"
    assert "too fine" in remnants.refused("tags", "R-0001", "-o", out, "--label", "40x25", "--link", long, code=2)
    assert not out.exists()


@pytest.mark.parametrize("label", ONE_EACH.values(), ids=list(ONE_EACH))
def test_half_a_millimetre_and_half_an_inch_stand_on_the_least_label(label: LabelSheet) -> None:
    """445.5 mm stood as 445 on 57 x 32 mm; 40 x 25 mm lost the millimetres and the half inch."""
    piece = piece_of(445.5, 1562.1, style="Aldern Twist", colour="Wheat", lot="L-2231-B/7")
    with pdfplumber.open(BytesIO(labels_pdf([piece], fonts(), sheet=label))) as document:
        text = "".join("".join(page.extract_text().split()) for page in document.pages)
    for fact in ("R-0007", "AldernTwist", "Wheat,lotL-2231-B/7", "611/2in", "445.5mm×1562.1mm"):
        assert fact in text


@given(
    names=st.tuples(
        st.text("abcdefghij klmnop", min_size=1, max_size=120).filter(str.strip),
        st.text("abcdefghij", max_size=40),
        st.text("0123456789-", max_size=30),
    ),
    width_mm=st.integers(2, 80_000).map(lambda halves: halves / 2),
    label=st.sampled_from(list(ONE_EACH.values())),
    note=st.sampled_from(["", "Invented data, to try things out"]),
)
@settings(max_examples=share(60))
def test_a_label_never_tells_less(names: tuple[str, str, str], width_mm: float, label: LabelSheet, note: str) -> None:
    """Smaller, on a second label, or refused with the size that would do: but nothing is left out, and nothing unreadable."""
    style, colour, lot = names
    piece = piece_of(width_mm, 1234.5, style=style, colour=colour, lot=lot)
    try:
        made = labels_pdf([piece], fonts(), sheet=label, note=note)
    except BadInput as refusal:
        size = re.search(r"of (\d+) × (\d+) mm or larger", str(refusal))
        assert size
        made = labels_pdf([piece], fonts(), sheet=one_label(int(size[1]), int(size[2])), note=note)
    with pdfplumber.open(BytesIO(made)) as document:
        text = "".join("".join(page.extract_text().split()) for page in document.pages)
        assert len(document.pages) <= 2
        assert all(char["size"] >= 4.9 for page in document.pages for char in page.chars if char["text"] not in note + "pile")
    for fact in (piece.tag, style, colour, lot, f"{width_mm:g}mm×1234.5mm"):
        assert "".join(fact.split()) in text


def test_of_a_place_whole_sheets_are_written_at_a_time_and_the_rest_is_told(remnants: Remnants) -> None:
    out = remnants.folder / "tags.pdf"
    told = remnants.ok("tags", "--place", "Bay 3", "-o", out, "--most", "4", "--after", "4")
    assert "labels of 4 pieces" in told and "10 lie at Bay 3: these are 5 to 8 by tag; --after 8 writes the next" in told
    assert sorted(codes(out)) == [f"R-{number:04d}" for number in range(4, 8)]
    assert "lie at" not in remnants.ok("tags", "--place", "Bay 3", "-o", out, "--after", "8")
    assert sorted(codes(out)) == ["R-0008", "R-0009"]
    assert "no more than 10 pieces lie at 'Bay 3'" in remnants.refused(
        "tags", "--place", "Bay 3", "-o", out, "--after", "10", code=1
    )


def test_at_first_it_is_whole_sheets(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tags, "MOST", 9)
    out = remnants.folder / "tags.pdf"
    assert "these are 1 to 8 by tag; --after 8" in remnants.ok("tags", "--place", "Bay 3", "-o", out, "--sheet", "a4-2x4")
    assert "these are 1 to 9 by tag" in remnants.ok("tags", "--place", "Bay 3", "-o", out, "--label", "62x29")
    assert "these are 1 to 9 by tag" in remnants.ok("tags", "--place", "Bay 3", "-o", out, "--sheet", "letter-3x10"), "never none"
