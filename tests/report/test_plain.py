"""The answer at a terminal: what it says, on a wide page, on a phone, in a pipe."""

from dataclasses import replace

import pytest

from remnants.fitting.telling.passed import with_most_telling
from remnants.geometry.outline import rectangle
from remnants.model import PassedOver
from remnants.report.plain import fit_text
from remnants.units import Unit
from tests.report.plans import IN, a_joined_layout, a_layout, a_patch, a_piece, a_style

STYLES = {"Velder Loop": a_style()}


def an_answer(width: int = 100, *, styled: bool = False, passed: int = 0) -> str:
    layout = a_joined_layout().none(a_patch("landing [north]", rectangle(200 * IN, 200 * IN).ring))
    over = tuple(PassedOver(f"R-{index:04}", f"{index} 1/2 in short along the pile") for index in range(1, passed + 1))
    plan = replace(layout.plan, passed_over=over)
    return fit_text(plan, layout.job, layout.pieces, STYLES, width=width, styled=styled)


def test_the_verdict_comes_first_in_plain_words() -> None:
    lines = an_answer().splitlines()
    assert lines[0] == "Alder Court 7: ONLY PARTLY"
    assert lines[1] == "1 of 2 patches can be made."


def test_each_part_tells_what_to_cut_and_how_to_lay_it() -> None:
    text = " ".join(an_answer(width=180).split())
    assert (
        "2 K-0031 laid on a floor, Alder Court 7, back bedroom closet Velder Loop, Oatmeal, lot 4471-B, loop pile 16 in × 24 in"
        in text
    )
    assert "with a quarter turn clockwise" in text


def test_a_seam_tells_its_kind_length_and_how_it_will_show() -> None:
    assert "Seam between 1 and 2: cross seam, 14 in. The loops stop at this seam" in " ".join(an_answer().split())


def test_what_can_not_be_made_tells_why_and_the_nearest_miss() -> None:
    text = an_answer()
    assert "landing [north]: NO\nNothing is long enough.\nNearest: R-0009, 8 1/2 in short.\n" in text


def test_leftovers_tell_their_largest_rectangle() -> None:
    # The donor is 34 x 70 in; both cuts take 16 in of its width: 18 in × 70 in stay whole.
    assert "K-0031   18 in × 70 in" in an_answer()


def test_the_first_pieces_passed_over_are_listed_and_the_rest_counted() -> None:
    text = an_answer(passed=20)
    assert "R-0008   8 1/2 in short along the pile" in text
    assert "R-0009 " not in text
    assert "and 12 more" in text
    assert "more;" not in an_answer(passed=8)


def test_of_a_plan_that_was_kept_with_the_most_telling_the_others_are_counted_too() -> None:
    over = [PassedOver(f"R-{index:04}", "another colour ('Oatmeal', asked 'Wheat')") for index in range(1, 21)]
    over.insert(7, PassedOver("R-0099", "11 1/2 in short along the pile"))
    layout = a_joined_layout()
    kept = with_most_telling(replace(layout.plan, passed_over=tuple(over)), 10)
    assert [passed.piece for passed in kept.passed_over] == [
        *(f"R-{index:04}" for index in range(1, 8)),
        "R-0099",
        "R-0008",
        "R-0009",
    ]
    assert kept.more_passed == 11 and with_most_telling(kept, 10) == kept
    text = fit_text(kept, layout.job, layout.pieces, STYLES, width=100, styled=False)
    assert "and 13 more; the answer as JSON lists 10 of them" in text


@pytest.mark.parametrize("width", [24, 40, 71, 72, 100, 200])
def test_no_line_is_wider_than_the_page(width: int) -> None:
    assert max(len(line) for line in an_answer(width, passed=20).splitlines()) <= width


def test_a_narrow_page_keeps_every_figure_whole() -> None:
    text = an_answer(46)
    assert "16 in × 24 in" in text
    assert "K-0031" in text


def test_a_pipe_gets_no_control_codes_and_a_terminal_bold() -> None:
    assert "\x1b" not in an_answer()
    assert "\x1b[1mhall: YES, joined from parts\x1b[0m" in an_answer(styled=True)


def test_a_name_from_a_file_can_not_steer_the_terminal() -> None:
    layout = a_layout(a_piece("R-1", place="[bold]Bay\x1b[2J 3"))
    layout.whole(a_patch(), "R-1")
    text = fit_text(layout.plan, layout.job, layout.pieces, STYLES, width=180)
    assert "\x1b" not in text
    assert "[bold]Bay\ufffd[2J 3" in text


def test_lengths_follow_the_unit_asked_for() -> None:
    layout = a_joined_layout()
    text = fit_text(layout.plan, layout.job, layout.pieces, STYLES, unit=Unit.MM)
    assert "406 mm × 610 mm" in text  # 16 in = 406.4 mm, 24 in = 609.6 mm
