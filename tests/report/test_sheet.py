"""The sheet read back by an independent PDF reader: what it says, and that what it draws has the size that it claims."""

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import pypdfium2
import pytest
import zxingcpp

from remnants.errors import BadFile, NoPlan
from remnants.geometry.outline import Ring, outline_of, rectangle, round_outline
from remnants.model import Asking, Kind, MayUse, Seam, SeamKind, Show
from remnants.report.customer import Texts
from remnants.report.page import PageSize
from remnants.report.sheet import sheet_pdf
from remnants.units import Unit
from tests.report.plans import FT, IN, Layout, a_joined_layout, a_layout, a_patch, a_piece, a_style
from tests.report.sheets import FONTS, TEXTS, Page, a_sheet, pages, the_pdf
from tests.thorough import some

CLOSE_MM = 0.5


def page_with(made: list[Page], words: str) -> Page:
    return next(page for page in made if words in page.text)


def length_beside(page: Page, figure: str, scale: float = 1.0) -> float:
    """Length on paper of the level line that has the figure on it or at its end, times the scale."""
    for text, x, y in page.words:
        if text != figure.split(maxsplit=1)[0]:
            continue
        lines = [(a, b) for a, b, at in page.level if abs(at - y) < 1.5 and b - a > 5 and a - 12 < x < b + 12]
        if lines:
            a, b = max(lines, key=lambda line: line[1] - line[0])
            return (b - a) * scale
    raise AssertionError(f"no line beside {figure}")


@pytest.mark.parametrize("size", PageSize)
def test_the_scale_bars_are_as_long_as_they_say(size: PageSize) -> None:
    for page in pages(the_pdf(a_joined_layout(), size)):
        assert length_beside(page, "100 mm") == pytest.approx(100, abs=CLOSE_MM)
        assert length_beside(page, "4 in") == pytest.approx(101.6, abs=CLOSE_MM)


@pytest.mark.parametrize("size", PageSize)
def test_a_dimension_line_is_as_long_as_its_figure_at_the_scale_told(size: PageSize) -> None:
    donor = page_with(pages(the_pdf(a_joined_layout(), size, unit=Unit.MM)), "K-0031: Velder")
    scale = float(donor.text.split("scale 1:")[1].split()[0])
    # The closet piece is 34 in = 863.6 mm wide, which reads 864 mm; half a millimetre on paper is all that is allowed.
    assert length_beside(donor, "864 mm") == pytest.approx(34 * IN / scale, abs=CLOSE_MM)


@pytest.mark.parametrize("size", some(tuple(PageSize), of=2))
def test_pages_have_the_size_asked_for_and_nothing_runs_off_them(size: PageSize) -> None:
    pdf = many_parts(size)
    read = pypdfium2.PdfDocument(pdf)
    try:
        for page in read:
            width, height = (side * 25.4 / 72 for side in page.get_size())
            assert (width, height) == pytest.approx(size.value, abs=0.1)
    finally:
        read.close()
    assert all(not page.outside for page in pages(pdf))


@cache
def many_parts(size: PageSize) -> bytes:
    """Two dozen small patches on a long donor, and a round one: keys run over to further pages."""
    layout = a_layout(a_piece("R-9", rectangle(12 * FT, 40 * FT)))
    for index in range(24):
        patch = a_patch(f"tread number {index + 1}", rectangle(30 * IN, 10 * IN).ring)
        layout.whole(patch, "R-9", (index % 4 * 34 * IN, index // 4 * 13 * IN))
    layout.whole(a_patch("round", round_outline((0, 0), 200, outside=True).ring), "R-9", (0, 30 * FT))
    return the_pdf(layout, size)


def test_every_cut_of_a_long_list_is_told() -> None:
    text = "\n".join(page.text for page in pages(many_parts(PageSize.A4)))
    for index in range(24):
        assert f"tread number {index + 1}, cut" in text


def test_all_fonts_are_embedded_and_accents_print() -> None:
    layout = a_layout(a_piece("R-1", place="Łódź, naïve Øre, Ελλάδα"))
    made = pages(the_pdf(layout.whole(a_patch("Flur süd"), "R-1")))
    assert all("DejaVuSans" in name and "+" in name for page in made for name in page.fonts)
    text = "\n".join(page.text for page in made)
    assert "Łódź, naïve Øre, Ελλάδα" in text
    assert "Flur süd" in text


@pytest.mark.parametrize("size", PageSize)
def test_page_one_is_all_that_the_bench_needs_and_a_patch_takes_three_pages(size: PageSize) -> None:
    card, lay, work, customer = pages(the_pdf(a_joined_layout(), size))
    assert card.first == "Alder Court 7"
    assert "K-0031: Velder Loop, Oatmeal, lot 4471-B" in card.text
    assert "2 hall, cut 1' 4\" × 2'; on A, 2' 2\" from B; both diagonals 2' 4 7/8\"" in " ".join(card.text.split())
    assert "Cut away from your hand and body" in card.text
    assert lay.first == "hall: yes, joined from parts"
    assert "Order of work" in lay.text
    assert work.text.index("Materials") < work.text.index("Sources of the figures")
    assert customer.first == "Your carpet repair: Alder Court 7"


def a_hall_with_all_there_is_to_do() -> Layout:
    """36 x 33 in joined from a closet's carpet, stretched, with walls, a doorway and a seam: the most steps that a patch has."""
    layout = a_layout(a_piece("L-0101", rectangle(31.5 * IN, 84 * IN), kind=Kind.LAID, place="Tollgate Yard 3, hall closet"))
    patch = a_patch("hall", rectangle(36 * IN, 33 * IN).ring, pile_deg=90, edges=["wall", "transition", "wall", "seam"])
    first, second = (
        ((left * IN, 0.0), (right * IN, 0.0), (right * IN, 33 * IN), (left * IN, 33 * IN))
        for left, right in ((0, 10.5), (10.5, 36))
    )
    parts = (
        layout.part(patch, "L-0101", (0.0, 0.0), first, ["wall", "seam", "wall", "seam"]),
        layout.part(patch, "L-0101", (0.0, 42 * IN), second, ["wall", "transition", "wall", "seam"]),
    )
    line = ((10.5 * IN, 0.0), (10.5 * IN, 33 * IN))
    said = "This cross seam will show slightly: it runs across the pile."
    why = (
        "Laid piece L-0101 (Tollgate Yard 3, hall closet) runs across the patch: laid with the pile it is 31 1/2 in long, "
        "8 1/2 in short of the 40 in needed; two parts end to end make it, with a seam across the pile."
    )
    return layout.joined(patch, parts, (Seam(SeamKind.CROSS, line, 33 * IN, (0, 1), Show.SLIGHTLY, said),), why)


def one_patch(outline: Ring, edges: Sequence[str], **more: Any) -> Layout:
    layout = a_layout(a_piece("R-0142", rectangle(12 * FT, 12 * FT)))
    return layout.whole(replace(a_patch("bay", outline, edges=edges), **more), "R-0142")


ELL = ((0.0, 0.0), (70 * IN, 0.0), (70 * IN, 35 * IN), (30 * IN, 35 * IN), (30 * IN, 80 * IN), (0.0, 80 * IN))
PATCHES = {
    "whole": one_patch(rectangle(38 * IN, 14 * IN).ring, ["wall", "seam", "transition", "seam"]),
    "joined": a_hall_with_all_there_is_to_do(),
    "L": one_patch(ELL, ["wall", "seam", "seam", "seam", "seam", "wall"]),
    "circle": one_patch(round_outline((200, 200), 180, outside=True).ring, ["seam"] * 64),
    "patterned": one_patch(rectangle(60 * IN, 40 * IN).ring, ["wall", "seam", "seam", "wall"], motif=(3 * IN, 4 * IN)),
}


@pytest.mark.parametrize("size", PageSize)
@pytest.mark.parametrize("patch", PATCHES)
def test_a_patch_takes_three_pages_and_one_for_its_customer(patch: str, size: PageSize) -> None:
    """The joined hall's list of sources alone stood on a fourth page of Letter."""
    sheet = a_sheet(PATCHES[patch], unit=Unit.IN)
    bare = {"Velder Loop": a_style(row_mm=6.35)}  # neither its pile nor its backing is told: a line more
    made = pages(sheet_pdf(replace(sheet, setting=replace(sheet.setting, styles=bare)), FONTS, size=size))
    told = [page for page in made if "Full-size template" not in page.text]
    assert len(told) == 4, [page.first for page in made]
    card, lay, work, customer = told
    assert "scale 1:" in card.text and "K1" in card.text
    assert "Edges drawn" in lay.text and "Order of work" in lay.text, "the picture's key stands with it"
    assert "Leave it right" in lay.text + work.text and "Sources of the figures" in work.text
    assert customer.first.startswith("Your carpet repair")
    assert not [page.outside for page in made if page.outside]


@pytest.mark.parametrize("size", PageSize)
def test_the_donor_is_drawn_as_large_as_its_page_lets_it(size: PageSize) -> None:
    for outline in (rectangle(34 * IN, 70 * IN), rectangle(12 * FT, 5 * FT), rectangle(20 * IN, 9 * FT)):
        layout = a_layout(a_piece(outline=outline)).whole(a_patch("burn", rectangle(12 * IN, 12 * IN).ring), "R-0142")
        card, lay, *_ = pages(the_pdf(layout, size))
        assert lay.first == "burn: yes, in one piece", "the whole card stands on one page"
        scale = float(card.text.split("scale 1:")[1].split()[0])
        width, height = (side / scale for side in (outline.bounds[2], outline.bounds[3]))
        assert width > 110 or height > 110, f"{width:.0f} by {height:.0f} mm"


@pytest.mark.parametrize("size", PageSize)
def test_carpet_that_is_long_and_narrow_has_its_key_beside_it_and_is_drawn_larger_so(size: PageSize) -> None:
    card, lay, *_ = pages(the_pdf(a_joined_layout(), size))
    # 34 x 70 in: with the key under it there is room for 1:17 on Letter, 15 cm of carpet need its whole height.
    assert float(card.text.split("scale 1:")[1].split()[0]) <= 12
    assert lay.first == "hall: yes, joined from parts", "the card still is one page"
    carpet = max(right for word, right, _ in card.words if word in ("hall", "wall", "seam", "transition"))
    assert min(x for word, x, _ in card.words if word.startswith("K") and word[1:].isdigit() and x > carpet) > carpet
    assert card.text.index("K1 along") < card.text.index("Cut away from your hand and body")


def test_a_caution_stands_in_full_where_its_danger_is_met_first_and_is_called_to_mind_again() -> None:
    text = " ".join(" ".join(page.text.split()) for page in pages(the_pdf(a_joined_layout()))[1:])
    assert text.count("Kneel on pads") == 1
    assert "As before: old floors (step 1), the knife (step 3)." in text


def test_who_must_be_asked_stands_on_the_card() -> None:
    layout = a_layout(a_piece(kind=Kind.LAID)).whole(a_patch(), "R-0142")
    sheet = a_sheet(layout)
    asked = replace(sheet, plan=replace(sheet.plan, asking=(Asking("R-0142", MayUse.IN_VIEW),)))
    card = " ".join(pages(sheet_pdf(asked, FONTS))[0].text.split())
    assert "Ask first: R-0142 lies in view in this house, so the customer must be asked first" in card


def test_materials_stand_with_their_sums_and_the_sources_in_one_list() -> None:
    text = " ".join(pages(the_pdf(a_joined_layout()))[2].text.split())
    # 94 in of seam and 12 in of run-out: 106 in = 8' 10".
    assert "seam tape 8' 10\"" in text
    assert "one length: 1' 2\", 2' 10\" left" in text
    materials, sources = text.split("Materials")[1].split("Sources of the figures")
    assert "75 mm: CRI 105 (2015), 10.3.1" in sources
    assert "common practice" in sources
    assert "common practice" not in materials


def test_the_code_holds_the_link_to_the_job() -> None:
    read = pypdfium2.PdfDocument(the_pdf(a_joined_layout(), link="https://shop.example/jobs/7"))
    try:
        image = read[0].render(scale=3).to_pil()
    finally:
        read.close()
    assert [code.text for code in zxingcpp.read_barcodes(image)] == ["https://shop.example/jobs/7"]


def test_a_small_patch_gets_a_full_size_template_on_tiles_that_meet() -> None:
    patch = a_patch("burn", outline_of([(0, 0), (280, 0), (280, 120), (150, 280), (0, 280)]).ring)
    made = pages(the_pdf(a_layout().whole(patch, "R-0142")))
    tiles = [page for page in made if "Full-size template for burn" in page.text]
    assert len(tiles) == 4  # the cut is 331 x 331 mm: two by two on A4 (182 x 243 mm of room, 12 mm of overlap)
    crosses = [{word for word, _, _ in tile.words if len(word) == 2 and word[0] in "ABC" and word[1] in "123"} for tile in tiles]
    assert crosses[0] == {"A1", "B1", "A2", "B2"}
    assert crosses[0] & crosses[3] == {"B2"}


def test_templates_are_at_full_size() -> None:
    made = pages(the_pdf(a_layout().whole(a_patch("burn", rectangle(100, 80).ring), "R-0142")))
    (tile,) = [page for page in made if "Full-size template" in page.text]
    # Net 100 mm, cut 100 + 2 x 25.4 mm.
    lengths = {b - a for a, b, _ in (*tile.level, *tile.boxes)}
    assert any(abs(length - 100) < CLOSE_MM for length in lengths)
    assert any(abs(length - 150.8) < CLOSE_MM for length in lengths)


def test_a_traced_shape_gets_its_template_however_large_on_the_pages_that_its_outline_crosses() -> None:
    waves = [(600 + (500 + 60 * math.sin(5 * t)) * math.cos(t), 600 + (500 + 60 * math.sin(5 * t)) * math.sin(t)) for t in ROUND]
    layout = a_layout(a_piece(outline=rectangle(1500, 1500))).whole(a_patch("bay", outline_of(waves).ring), "R-0142", (100, 100))
    made = pages(the_pdf(layout, unit=Unit.MM))
    assert "trace its shape from the paper template" in " ".join(made[0].text.split())
    tiles = [page for page in made if "Full-size template for bay" in page.text]
    # About 1.2 m across on paper of 170 x 231 mm a step: seven columns by six rows, of which those in the middle stay blank.
    assert 20 < len(tiles) < 7 * 6
    assert all(page.boxes for page in tiles)
    circle = a_layout(a_piece(outline=rectangle(1500, 1500))).whole(
        a_patch("bay", round_outline((0, 0), 500, outside=True).ring), "R-0142", (100, 100)
    )
    assert "Full-size template" not in "\n".join(page.text for page in pages(the_pdf(circle)))


ROUND = tuple(math.tau * index / 40 for index in range(40))


def test_a_card_for_cutting_from_the_back_says_so_in_words_and_by_its_sign() -> None:
    card = pages(the_pdf(a_joined_layout(), back=True))[0].text
    assert "BACK UP. This card is mirrored: turn the piece over sideways, so that edge A lies at your right." in card
    assert "BACK UP: mirrored" in card
    assert "PILE UP" in pages(the_pdf(a_joined_layout()))[0].text


def test_a_large_patch_gets_no_template() -> None:
    layout = a_layout(a_piece(outline=rectangle(3000, 3000))).whole(a_patch("floor", rectangle(1000, 1000).ring), "R-0142")
    assert "Full-size template" not in "\n".join(page.text for page in pages(the_pdf(layout)))


def test_the_customer_reads_what_shows_what_was_used_and_what_stays() -> None:
    text = " ".join(pages(the_pdf(a_joined_layout()))[-1].text.split())
    assert "filled in 2 parts from carpet from your own floor, Alder Court 7, back bedroom closet (K-0031" in text
    assert "a cross seam of 1' 2\", 1' 8\" from the edge of the other floor. The loops stop at this seam" in text
    assert "The rest of K-0031 stays on your floor: it holds 1' 6\" × 5' 10\"" in text
    assert "Name and signature" in text


def test_the_page_says_what_settles_and_what_stays_and_whose_times_those_of_care_are() -> None:
    text = " ".join(pages(the_pdf(a_joined_layout()))[-1].text.split())
    assert "New pile stands higher than worn pile and may look different until it has been walked on." in text
    assert "What light has faded, feet have worn or another dye lot has coloured stays different." in text
    assert "The times are the trade's habit. What the maker of your carpet says comes first." in text
    assert "as drawn" not in text


def test_a_shop_changes_the_text() -> None:
    texts = Texts("# Dear customer of $job\n$care", "Tread lightly.", "")
    page = pages(the_pdf(a_joined_layout(), texts=texts))[-1]
    assert page.first == "Dear customer of Alder Court 7"
    assert "Tread lightly." in page.text


@pytest.mark.parametrize("wrong", ["$price", "it costs 5$"])
def test_a_template_that_names_what_there_is_not_is_refused(wrong: str) -> None:
    with pytest.raises(BadFile, match=r"customer\.txt"):
        the_pdf(a_joined_layout(), texts=Texts(wrong, TEXTS.care, TEXTS.agreement))


def test_without_a_cut_there_is_no_sheet() -> None:
    with pytest.raises(NoPlan, match="cuts nothing"):
        the_pdf(a_layout().none(a_patch()))


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert the_pdf(a_joined_layout()) == the_pdf(a_joined_layout())


def test_a_kept_donor_s_rest_stays_with_the_customer_and_a_remnant_s_does_not() -> None:
    kept = a_layout(a_piece(kind=Kind.KEPT)).whole(a_patch(), "R-0142")
    assert "The rest of R-0142 (kept with the customer)" in pages(the_pdf(kept))[-1].text
    ours = a_layout().whole(a_patch(), "R-0142")
    assert "what is left goes back to where we had it from" in pages(the_pdf(ours))[-1].text


def test_the_card_of_what_was_measured_from_a_photograph_says_to_check_with_a_tape() -> None:
    layout = a_layout().whole(a_patch(), "R-0142")
    layout.pieces = {tag: replace(piece, photo_bar_mm=4.7625) for tag, piece in layout.pieces.items()}
    layout.patches = [replace(patch, photo_bar_mm=3.175) for patch in layout.patches]
    told = " ".join(" ".join(page.text.split()) for page in pages(the_pdf(layout, unit=Unit.IN)))
    (name,) = (patch.name for patch in layout.patches)
    assert f"Check with a tape: measured from a photograph, R-0142 within 3/16 in, {name} within 1/8 in." in told
