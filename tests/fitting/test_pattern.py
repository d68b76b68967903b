"""Patterned and row-cut goods, worked by hand. Every plan passes the check, which has its own lattice sum."""

import itertools
import random

import pytest

from remnants.fitting import FitRules
from remnants.fitting.telling.sights import pattern_words
from remnants.geometry import outline_of
from remnants.model import Candidate, Construction, Finish, Plan, Repeat, SeamKind, Style, Verdict
from remnants.units import Unit
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan
from tests.thorough import some


def patterned(drop: float) -> Style:
    """300 across, 400 along."""
    return Style("Velder Trellis", Construction.CUT, repeat=Repeat(300, 400, drop))


def a_patterned_piece(tag: str, width: float, length: float, drop: float, motif: tuple[float, float] = (0, 300)) -> Candidate:
    return a_piece(tag, width, length, style=patterned(drop), motif=motif)


def whole(drop: float, width: float, length: float) -> Plan:
    return a_plan(a_job(a_patch(500, 400, motif=(0, 0), parts=1)), a_patterned_piece("R-1", width, length, drop))


def test_set_match_needs_the_motif_level() -> None:
    """Moves of the patch onto the piece: x in 0 + 300 i, y in 300 + 400 j. On 1000 x 520 y may be 0 to 120: none of them.
    On 1000 x 700 y may be 300."""
    assert whole(0, 1000, 520).verdict is Verdict.NONE
    assert whole(0, 1000, 700).verdict is Verdict.WHOLE


def test_half_drop_finds_it_one_repeat_across() -> None:
    """x 300: y in 300 + 200 + 400 j, so 100, which lies in 0 to 120; on 799 wide x can't be 300 (300 + 500 = 800)."""
    assert whole(0.5, 1000, 520).verdict is Verdict.WHOLE
    assert whole(0.5, 799, 520).verdict is Verdict.NONE


def test_quarter_drop_finds_it_one_repeat_across_at_the_edge() -> None:
    """x 300: y in 300 + 100 + 400 j, so 0: the part lies at the piece's edge. At drop 0.75: 300 + 300 - 400 = 200, past 120;
    x 600 is past the piece."""
    assert whole(0.25, 1000, 520).verdict is Verdict.WHOLE
    assert whole(0.75, 1000, 520).verdict is Verdict.NONE


def test_a_lattice_place_is_met_exactly_at_the_edge_and_lost_by_a_hair() -> None:
    """y 300 + 400 = 700: a piece 700 long does, one of 699.9 doesn't."""
    assert whole(0, 500, 700).verdict is Verdict.WHOLE
    assert whole(0, 500, 699.9).verdict is Verdict.NONE


def test_a_pattern_without_a_recorded_motif_point_is_passed_over() -> None:
    piece = a_piece("R-1", 1000, 1000, style=patterned(0))
    plan = a_plan(a_job(a_patch(500, 400, motif=(0, 0), parts=1)), piece)
    assert plan.verdict is Verdict.NONE
    assert "motif point isn't recorded" in plan.passed_over[0].reason


def test_both_parts_of_a_joined_patch_meet_the_room_and_one_another() -> None:
    """800 x 400 from two of 600 x 400 whose motif points lie level with the patch's: side by side."""
    pieces = [a_patterned_piece("R-1", 600, 400, 0, (0, 0)), a_patterned_piece("R-2", 600, 400, 0, (100, 0))]
    plan = a_plan(a_job(a_patch(800, 400, motif=(0, 0))), *pieces)
    assert plan.verdict is Verdict.JOINED
    assert "The pattern repeats" in plan.patches[0].seams[0].sentence
    off = [pieces[0], a_patterned_piece("R-2", 600, 400, 0, (100, 50))]
    assert a_plan(a_job(a_patch(800, 400, motif=(0, 0))), *off).verdict is Verdict.NONE


@pytest.mark.parametrize("drop", [0, 0.25, 0.5])
def test_without_a_motif_in_the_room_parts_still_meet_one_another(drop: float) -> None:
    """The check takes the first part's pattern as the room's."""
    pieces = [a_patterned_piece("R-1", 600, 900, drop), a_patterned_piece("R-2", 700, 900, drop, (120, 35))]
    plan = a_plan(a_job(a_patch(800, 400)), *pieces)
    assert plan.verdict is Verdict.JOINED


def meets(patch: tuple[float, float], one: Candidate, two: Candidate, drop: float) -> bool:
    """In sums: side by side, low part from `one`, high part from `two`, nothing on the room's pattern.

    With the seam at s the low part's move is in [0, w1 - s] x [0, h1 - H], the high one's in [-s, w2 - W] x [0, h2 - H].
    Over all s their difference is in [-w1, w2 - W] x [H - h1, h2 - H]. It must be the difference of the motif points plus a
    translation of the repeat; and s lies from W - w2 to w1, 50 at least from either side.
    """
    width, length = patch
    (_, _, w1, h1), (_, _, w2, h2) = one.piece.outline.bounds, two.piece.outline.bounds
    if max(50, width - w2) > min(width - 50, w1) or min(h1, h2) < length or not (one.piece.motif and two.piece.motif):
        return False
    dx, dy = (b - a for a, b in zip(one.piece.motif, two.piece.motif, strict=True))
    return any(
        -w1 <= dx + 300 * i <= w2 - width and length - h1 <= dy + 400 * (i * drop + j) <= h2 - length
        for i, j in itertools.product(range(-9, 10), range(-9, 10))
    )


@pytest.mark.parametrize("drop", [0, 0.25, 0.5])
@pytest.mark.parametrize("seed", some(range(12)))
def test_without_a_motif_in_the_room_a_yes_and_a_no_are_exact(seed: int, drop: float) -> None:
    """Every piece is smaller than the patch and shorter than twice its length: only side by side will do."""
    rng = random.Random(seed)
    patch = (800.0, 600.0)
    pieces = [
        a_patterned_piece(
            f"R-{index}", rng.randint(380, 560), rng.randint(600, 700), drop, (rng.randint(0, 299), rng.randint(0, 399))
        )
        for index in range(rng.randint(2, 3))
    ]
    due = any(meets(patch, one, two, drop) for one, two in itertools.permutations(pieces, 2))
    plan = a_plan(a_job(a_patch(*patch)), *pieces)
    assert (plan.verdict is Verdict.JOINED) is due
    assert plan.bound == "best possible"


def test_the_sums_above_know_both_answers() -> None:
    """So that the test of them can fail either way."""
    one = a_patterned_piece("R-1", 500, 650, 0, (0, 0))
    assert meets((800, 600), one, a_patterned_piece("R-2", 500, 650, 0, (0, 50)), 0)
    assert not meets((800, 600), one, a_patterned_piece("R-2", 500, 650, 0, (0, 51)), 0)


def test_odd_donors_and_one_donor_for_both_meet_without_a_motif_in_the_room() -> None:
    """One donor 800 wide, set match, gives both parts of 1200 x 400 as 600 + 600, one above the other: the step along must be a
    whole repeat. Of 400 it fits 900 (400 + 400); of 500 it just does (500 + 400); on 899 it doesn't."""
    for along, length, verdict in ((400, 900, Verdict.JOINED), (500, 900, Verdict.JOINED), (500, 899, Verdict.NONE)):
        style = Style("Velder Trellis", Construction.CUT, repeat=Repeat(300, along))
        piece = a_piece("R-1", 800, length, style=style, motif=(17, 23))
        assert a_plan(a_job(a_patch(1200, 400), min_part=450), piece).verdict is verdict
    corner = outline_of([(0, 0), (600, 0), (600, 500), (500, 600), (0, 600)])
    pieces = [a_piece(f"R-{i}", outline=corner, style=patterned(0.5), motif=(10 * i, 7 * i)) for i in range(2)]
    assert a_plan(a_job(a_patch(700, 450)), *pieces).verdict is Verdict.JOINED


def test_the_seam_falls_between_rows() -> None:
    """Rows every 6 mm from the donor's edge: the net seam, 25 inside the cut, lies on a whole number of them on both donors."""
    rows = Style("Velder Loop", Construction.LOOP, row_mm=6)
    pieces = [a_piece("R-1", 610, 500, style=rows), a_piece("R-2", 640, 500, style=rows)]
    patch = a_patch(1000, 400, edges="free")
    plan = a_plan(a_job(patch), *pieces)
    assert plan.verdict is Verdict.JOINED
    (line,) = plan.patches[0].seams
    for part in plan.patches[0].parts:
        at = line.line[0][0] - part.shift[0]  # the seam on the donor: unturned, so room x less the shift
        assert at / 6 == pytest.approx(round(at / 6), abs=0.002)
        assert Finish.SEAM in part.finishes


def test_how_far_a_repeat_may_be_off_is_told() -> None:
    """144 in along a repeat of 18 in: 8 repeats (published count, fcimag.com article 84561). 1/4 in over 8 repeats: 1/32 in each.

    In 12 ft skew may be 2 in and bow 1 in (fcimag.com articles 84177 and 84184), elongation to 1 1/4 in (93402). Over 12 of 144
    in, 12 / 144 of them: skew 1/6 in, which is 3/16 to the sixteenth, bow 1/12 in, which is 1/16.
    """
    style = Style("Velder Trellis", repeat=Repeat(12 * 25.4, 18 * 25.4))
    words = pattern_words(style, SeamKind.SIDE, 144 * 25.4, Unit.IN, FitRules())
    assert "repeats 8.0 times" in words
    assert "differ by 1/32 in at most" in words
    assert "skew can put it out by 2 in, stretch by 1 1/4 in" in words
    assert "skew can put it out by 2 in, bow by 1 in" in pattern_words(style, SeamKind.CROSS, 144 * 25.4, Unit.IN, FitRules())
    assert "skew can put it out by 3/16 in, bow by 1/16 in" in pattern_words(
        style, SeamKind.CROSS, 12 * 25.4, Unit.IN, FitRules()
    )


@pytest.mark.parametrize(("length_in", "filled"), [(144, 8), (142, 7)])
def test_so_many_patches_of_one_repeat_come_out_of_a_length_as_it_has_whole_repeats(length_in: int, filled: int) -> None:
    """144 / 18 = 8 repeats; 142 / 18 = 7 and 16 in over: one repeat is lost (published counts, fcimag.com article 84561)."""
    inch = 25.4
    style = Style("Velder Trellis", Construction.CUT, repeat=Repeat(12 * inch, 18 * inch))
    patches = [a_patch(12 * inch, 18 * inch, name=f"p{index}", motif=(0, 0), parts=1, edges="free") for index in range(8)]
    piece = a_piece("R-1", 12 * inch, length_in * inch, style=style, motif=(0, 0))
    plan = a_plan(a_job(*patches), piece)
    assert sum(patch.verdict is Verdict.WHOLE for patch in plan.patches) == filled


def test_a_true_repeat_longer_than_its_label_is_a_quarter_inch_short() -> None:
    """8 repeats of 18 1/4 in need 146 in; goods of 145 3/4 in are 1/4 in short (fcimag.com articles 84561 and 84819)."""
    inch = 25.4
    style = Style("Velder Trellis", Construction.CUT, repeat=Repeat(12 * inch, 18.25 * inch))
    job = a_job(a_patch(12 * inch, 8 * 18.25 * inch, motif=(0, 0), parts=1, edges="free"), unit=Unit.IN)
    assert a_plan(job, a_piece("R-1", 12 * inch, 146 * inch, style=style, motif=(0, 0))).verdict is Verdict.WHOLE
    short = a_plan(job, a_piece("R-1", 12 * inch, 145.75 * inch, style=style, motif=(0, 0)))
    assert short.verdict is Verdict.NONE
    assert "1/4 in short along the pile" in short.short[0].reason


@pytest.mark.parametrize("motif", [None, (0.0, 0.0)])
def test_parts_may_be_as_narrow_as_anybody_likes(motif: tuple[float, float] | None) -> None:
    """A job that allows parts of no width gets some that can be laid; planning them broke off."""
    pieces = [a_patterned_piece(f"R-{number}", 500, 900, 0.5) for number in range(2)]
    plan = a_plan(a_job(a_patch(800, 800, motif=motif), min_part=0), *pieces)
    assert plan.verdict in (Verdict.JOINED, Verdict.NONE)
    narrow = [min(x for x, _ in part.net) - max(x for x, _ in part.net) for made in plan.patches for part in made.parts]
    assert all(abs(width) >= 1.0 for width in narrow)
