"""`remnants photo-page`: the page as printed is found again by its marks, at the scale that it was printed to."""

from io import BytesIO

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import ImageFilter

from remnants.errors import NotMeasured
from remnants.photo import there
from remnants.photo.detect import pages_in
from remnants.photo.marker_page import CORNERS, corners_mm
from remnants.photo.refusals import WhyNot
from tests.commands import Remnants

PX_PER_MM = 4.0


def printed(remnants: Remnants, *options: str) -> bytes:
    """The PDF of a page."""
    out = remnants.folder / "page.pdf"
    remnants.ok("photo-page", "-o", out, *options)
    return out.read_bytes()


def scanned(pdf: bytes, px_per_mm: float = PX_PER_MM) -> NDArray[np.uint8]:
    """The page as a grey picture."""
    with pypdfium2.PdfDocument(BytesIO(pdf)) as document:
        drawn = document[0].render(scale=px_per_mm * 25.4 / 72, grayscale=True).to_pil()
        return np.array(drawn.filter(ImageFilter.GaussianBlur(1.0)), dtype=np.uint8)  # as a lens does


@pytest.mark.parametrize(("paper", "across_mm", "up_mm"), [("a4", 210.0, 297.0), ("letter", 215.9, 279.4)])
def test_the_page_fits_the_paper_and_is_found_at_its_size(remnants: Remnants, paper: str, across_mm: float, up_mm: float) -> None:
    pdf = printed(remnants, "--paper", paper, "--page", "7")
    with pdfplumber.open(BytesIO(pdf)) as document:
        page = document.pages[0]
        assert (page.width, page.height) == pytest.approx((across_mm * 72 / 25.4, up_mm * 72 / 25.4), abs=0.01)
        inked = [*page.rects, *page.curves, *page.lines, *page.chars]
        edges = [min(mark["x0"] for mark in inked), page.width - max(mark["x1"] for mark in inked)]
        edges += [min(mark["top"] for mark in inked), page.height - max(mark["bottom"] for mark in inked)]
        assert min(edges) * 25.4 / 72 >= 5.0, "what lies nearer to the edge is not printed"
        bar = max(page.lines, key=lambda line: float(line["x1"] - line["x0"]))
        assert (bar["x1"] - bar["x0"]) * 25.4 / 72 == pytest.approx(150.0, abs=0.01)
    picture = scanned(pdf)
    (found,) = pages_in(picture)
    assert (found.page, len(found.corners)) == (7, CORNERS)
    # Lengths between corners on paper are those of the board: 46 mm a square, seen at four pixels a mm.
    own, seen = corners_mm()[found.corners], found.pixels / (np.array(picture.shape[::-1]) / (across_mm, up_mm))
    for one in range(CORNERS):
        assert np.hypot(*(seen[one] - seen[0])) == pytest.approx(np.hypot(*(own[one] - own[0])), abs=0.05)


def test_each_page_is_told_from_every_other(remnants: Remnants) -> None:
    assert [pages_in(scanned(printed(remnants, "--page", page), 2.0))[0].page for page in ("1", "42", "99")] == [1, 42, 99]


def test_a_mirrored_page_is_found_out(remnants: Remnants) -> None:
    picture = scanned(printed(remnants), 2.0)
    with pytest.raises(NotMeasured, match="mirrored: switch that off") as refusal:
        pages_in(np.ascontiguousarray(picture[:, ::-1]))
    assert refusal.value.why == WhyNot.MIRRORED


def test_a_page_of_which_too_little_is_seen_is_found_out(remnants: Remnants) -> None:
    picture = scanned(printed(remnants), 2.0)
    picture[: picture.shape[0] // 2] = 128
    with pytest.raises(NotMeasured, match=r"only \d of the 12 corners") as refusal:
        pages_in(picture)
    assert refusal.value.why == WhyNot.FEW_CORNERS


def test_a_picture_without_a_page_says_what_to_print() -> None:
    with pytest.raises(NotMeasured, match="lay one from `remnants photo-page`") as refusal:
        pages_in(np.full((300, 400), 128, np.uint8))
    assert refusal.value.why == WhyNot.NO_PAGE


def test_the_true_length_of_the_bar_is_kept_by_page(remnants: Remnants) -> None:
    remnants.log()
    assert "no page's bar was told yet" in remnants.ok("photo-page")
    assert "page 3: its check bar is 149.5 mm" in remnants.ok("photo-page", "--page", "3", "--bar", "149.5", "--by", "Ana")
    remnants.ok("photo-page", "--page", "1", "--bar", "15.02 cm", "--by", "Ana")
    remnants.ok("photo-page", "--page", "3", "--bar", "149.75 mm", "--by", "Ben")
    told = remnants.ok("photo-page").splitlines()
    assert [line.rpartition(", ")[0] for line in told] == [
        "page 1: bar 150.2 mm, told by Ana",
        "page 3: bar 149.75 mm, told by Ben",
    ]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--bar", "12 mm"), "--bar: the bar was drawn 150 mm long and can't be 12 mm"),
        (("--bar", "6 in"), ""),
        (("--bar", "long"), "--bar: 'long' is no length"),
        (("--page", "100", "--bar", "150"), "--page: 100 is no number of a marker page: give 1 to 99"),
    ],
)
def test_a_bar_that_cannot_be_is_refused(remnants: Remnants, words: tuple[str, ...], told: str) -> None:
    remnants.log()
    if told:
        assert told in remnants.refused("photo-page", *words, code=2)
    else:
        remnants.ok("photo-page", *words)  # 152.4 mm: printed larger, and measured by that


def test_without_what_reads_marks_one_sentence_says_what_to_install(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(there, "find_spec", lambda name: None)
    told = remnants.refused("photo-page", "-o", remnants.folder / "page.pdf", code=2)
    assert "`pip install 'remnants[photo]'` brings it" in told
