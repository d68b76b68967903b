"""`remnants tags`: labels whose code an independent reader reads back."""

from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
import zxingcpp

from remnants.report.labels import SHEETS
from tests.commands import Remnants


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
    assert remnants.ok("tags", "R-0003", "R-0001", "-o", out, "--label", size) == f"2 labels in {out}\n"
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
