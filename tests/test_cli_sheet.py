"""`remnants sheet`: from files and the catalogue to a PDF, and what is refused without leaving half a file."""

import json
from pathlib import Path

import pytest

from remnants.actions.fitted import Fitted
from remnants.actions.make_sheet import SheetWish, make_sheet
from remnants.report.sheet import Sheet
from tests.commands import Remnants
from tests.report.sheets import pages
from tests.sheet_files import HALL, STOCK, a_job


def text_of(path: Path) -> str:
    return " ".join(" ".join(page.text for page in pages(path.read_bytes())).split())


@pytest.fixture
def given(remnants: Remnants) -> tuple[str, str, str]:
    """Job and stock as options."""
    return str(remnants.file("job.json", HALL)), "--stock", str(remnants.file("stock.json", STOCK))


def test_a_sheet_tells_cuts_seam_materials_and_backfill(remnants: Remnants, given: tuple[str, str, str]) -> None:
    out = remnants.folder / "sheet.pdf"
    job = remnants.file("edges.json", a_job(edges=["seam", "transition", "seam", "wall"]))
    assert str(out) in remnants.ok("sheet", job, *given[1:], "-o", out)
    text = text_of(out)
    assert "Yes, joined from parts" in text
    # Seam tape: 60 in along the patch and 12 in between its parts, three runs with 2 in past both ends: 84 in.
    assert "seam tape 84 in" in text
    assert "2 in past both ends" in text
    # Strip: the wall's run of 12 in from one length of 48, none in the doorway. Staples along 12 in: at 0, 2, ... 12.
    assert "one length: 12 in, 36 in left" in text
    assert "No strip across a doorway: none is counted at the transitions." in text
    assert "staples at transitions 7" in text
    assert "use class D" in text  # 6 mm of carpet: pins of 3/16 in stay under by a millimetre
    assert "Backfill of the laid donor" in text
    assert "hole of cuts 1 and 2 in L-1: yes, in one piece" in text
    assert "R-7: Velder Loop, Slate, lot 9" in text


def test_a_cross_seam_in_loop_pile_is_told_to_show(remnants: Remnants, given: tuple[str, str, str]) -> None:
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", *given, "-o", out)
    customer = " ".join(pages(out.read_bytes())[-1].text.split())
    assert "cross seam" in customer
    assert "will show" in customer


def test_a_side_seam_in_dense_cut_pile_is_not(remnants: Remnants) -> None:
    style = {"name": "Velder Plush", "construction": "cut"}
    piece = {"tag": "R-1", "kind": "remnant", "style": "Velder Plush", "colour": "Oatmeal", "lot": "1", "pile": 0}
    stock = {"unit": "in", "styles": [style], "pieces": [piece | {"width": 10, "length": 80}]}
    # 12 in across the pile and 30 along it from a strip 10 in wide: two parts side by side, the seam with the pile.
    job = {"style": "Velder Plush", "lot": "1"} | {key: HALL[key] for key in HALL if key not in ("style", "lot")}
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", remnants.file("job.json", job), "--stock", remnants.file("stock.json", stock), "-o", out)
    customer = " ".join(pages(out.read_bytes())[-1].text.split())
    assert "side seam" in customer
    assert "should hardly show" in customer
    assert "seam will show" not in customer


def test_the_catalogue_serves_as_well_as_a_stock_file(remnants: Remnants, given: tuple[str, str, str]) -> None:
    remnants.ok("log", given[2])
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", given[0], "-o", out, "--paper", "letter")
    assert "Cut L-1" in text_of(out)


def test_a_card_is_mirrored_for_who_cuts_from_the_back(remnants: Remnants, given: tuple[str, str, str]) -> None:
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", *given, "-o", out, "--side", "back")
    assert "BACK UP: mirrored" in pages(out.read_bytes())[0].text


def test_a_shop_s_figures_and_texts_are_taken(remnants: Remnants, given: tuple[str, str, str]) -> None:
    remnants.ok("texts", remnants.folder / "ours")
    (remnants.folder / "ours" / "care.txt").write_text("- Żadnych obcasów przez dobę.", encoding="utf-8")
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", *given, "-o", out, "--texts", remnants.folder / "ours", "--rule", "tape_run_out=100")
    text = text_of(out)
    assert "Żadnych obcasów przez dobę." in text
    assert "100 mm: set by the shop" in text


def test_an_answer_made_before_is_printed_as_it_is(remnants: Remnants, given: tuple[str, str, str]) -> None:
    answer = remnants.folder / "answer.json"
    answer.write_text(remnants.ok("fit", *given, "--json"), encoding="utf-8")
    out = remnants.folder / "sheet.pdf"
    remnants.ok("sheet", *given, "--answer", answer, "-o", out)
    assert "Cut L-1" in text_of(out)


def refused(remnants: Remnants, *words: str | Path, code: int) -> str:
    out = remnants.folder / "sheet.pdf"
    before = sorted(path.name for path in remnants.folder.iterdir())
    told = remnants.refused("sheet", *words, "-o", out, code=code)
    assert sorted(path.name for path in remnants.folder.iterdir()) == before, "nothing is half written"
    return told


def test_a_plan_that_no_longer_holds_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    answer = remnants.folder / "answer.json"
    answer.write_text(remnants.ok("fit", *given, "--json"), encoding="utf-8")
    smaller = json.loads(json.dumps(STOCK))
    smaller["pieces"][0]["width"] = 20
    told = refused(remnants, given[0], "--stock", remnants.file("less.json", smaller), "--answer", answer, code=1)
    assert "no longer holds" in told
    assert "Fit the job again" in told
    gone = {**STOCK, "pieces": STOCK["pieces"][1:]}
    told = refused(remnants, given[0], "--stock", remnants.file("gone.json", gone), "--answer", answer, code=1)
    assert "L-1" in told


def test_a_job_with_no_plan_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    big = remnants.file("big.json", a_job(outline=[[0, 0], [300, 0], [300, 120], [0, 120]]))
    assert "no sheet to make" in refused(remnants, big, *given[1:], code=1)


def test_a_missing_template_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    folder = remnants.folder / "ours"
    folder.mkdir()
    (folder / "customer.txt").write_text("$care")
    told = refused(remnants, *given, "--texts", folder, code=2)
    assert "care.txt" in told
    assert "agreement.txt" in told
    assert "customer.txt" not in told


def test_what_fills_holes_is_weighed_by_the_styles_own_size(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    kept: list[float] = []

    def seen(fitted: Fitted, wish: SheetWish) -> Sheet:
        kept.append(wish.keep.of("Velder Loop").short_mm)
        return make_sheet(fitted, wish)

    monkeypatch.setattr("remnants.cli.sheet_options.make_sheet", seen)
    remnants.log("--tag", "R-1")
    remnants.ok("rules", "--style", "Velder Loop", "keep_short=10 in")
    patch = {"name": "hall", "width": 20, "length": 20, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": "Fir Lane 2", "style": "Velder Loop", "patches": [patch]}
    remnants.ok("sheet", remnants.file("job.json", asked), "-o", remnants.folder / "sheet.pdf")
    assert kept == [254.0]


def test_a_template_that_names_what_there_is_not_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    remnants.ok("texts", remnants.folder / "ours")
    (remnants.folder / "ours" / "customer.txt").write_text("It costs $price.")
    assert "$price" in refused(remnants, *given, "--texts", remnants.folder / "ours", code=2)


@pytest.mark.parametrize("rule", ["glue=3", "blade", "blade=dull", "blade=-1", "lift=nan"])
def test_what_is_no_rule_is_refused(remnants: Remnants, given: tuple[str, str, str], rule: str) -> None:
    assert rule.partition("=")[0] in refused(remnants, *given, "--rule", rule, code=2)


def test_a_place_that_can_not_be_written_is_refused(remnants: Remnants, given: tuple[str, str, str]) -> None:
    told = remnants.refused("sheet", *given, "-o", remnants.folder / "no" / "such" / "sheet.pdf", code=2)
    assert "can't be written" in told
    assert not (remnants.folder / "no").exists()
