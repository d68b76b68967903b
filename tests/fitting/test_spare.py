"""How far a tape may be out before a plan fails, and how far a seam may move: worked by hand, and proved with smaller pieces."""

import json
import random
from dataclasses import replace

import pytest
import shapely

from remnants.errors import BadFile, BadInput
from remnants.exchange import answer_json, job_json, read_answer, read_job
from remnants.fitting import fit
from remnants.fitting.sharing.spare_on_piece import SPARE_MM, Cut, spare_on
from remnants.geometry.outline import outline_of, rectangle
from remnants.model import Allowance, Candidate, Job, Plan, Repeat, Style, Verdict
from remnants.report.wording import spare_lines
from remnants.units import Unit
from tests.fitting.builders import OTHER, a_job, a_patch, a_piece, a_plan
from tests.thorough import some


def spare_of(plan: Plan) -> float:
    assert plan.spare is not None
    return plan.spare.plan_mm


def test_a_rectangle_on_a_rectangle_has_a_quarter_of_what_is_over() -> None:
    """620 on 660: 40 over, of which each edge of the piece and each edge of the cut takes 10; along it 30 is over, so 7.5."""
    job = a_job(a_patch(620, 400))
    assert spare_of(fit(job, [[a_piece("R-1", 660, 430)]])) == pytest.approx(7.5)


def test_one_that_just_fits_has_none() -> None:
    assert spare_of(fit(a_job(a_patch(620, 400)), [[a_piece("R-1", 620, 900)]])) == 0.0


def test_two_cuts_in_a_row_share_what_is_over() -> None:
    """Two of 300 on 660: 60 over; two edges of the piece and four of the cuts take 10 each."""
    job = a_job(a_patch(300, 400, name="a"), a_patch(300, 400, name="b"))
    donors = [a_piece("R-1", 660, 500)]
    plan = fit(job, [donors, donors])
    assert plan.spare is not None
    assert plan.spare.parts_mm == pytest.approx((10.0, 10.0))


def test_a_seam_stands_where_both_sides_have_most_to_spare() -> None:
    """600 from 350 and 300: the seam may stand from 300 to 350; at 325 each side has 25 over, so 6.25."""
    plan = a_plan(a_job(a_patch(600, 400)), a_piece("R-1", 350, 500), a_piece("R-2", 300, 500))
    assert plan.spare is not None
    assert plan.spare.plan_mm == pytest.approx(6.25, abs=0.1)
    ((back, forth),) = plan.spare.seams_mm
    assert [back, forth] == pytest.approx([25, 25], abs=0.1)


def test_a_seam_with_play_enough_stays_where_it_spends_least() -> None:
    plan = fit(a_job(a_patch(600, 400)), [[a_piece("R-1", 550, 500), a_piece("R-2", 500, 500)]])
    assert spare_of(plan) >= 12.7


def test_a_notch_takes_from_what_is_over() -> None:
    """An L of 900 x 600 with a foot of 500 x 200: 460 x 580 stands in the foot's column, 40 over across it and 20 along."""
    outline = outline_of([(0, 0), (900, 0), (900, 200), (500, 200), (500, 600), (0, 600)])
    plan = fit(a_job(a_patch(460, 580)), [[a_piece("R-1", outline=outline)]])
    assert spare_of(plan) == pytest.approx(5.0, abs=0.25)


def test_a_pattern_that_must_meet_leaves_less_play() -> None:
    """On a repeat of 100 the cut stands 20 from the left edge and 40 from the right: each edge takes 10 of that, not 15."""
    style = Style("Velder Figure", repeat=Repeat(100.0, 100.0))
    piece = a_piece("R-1", 660, 660, style=style, motif=(0.0, 0.0))
    met = fit(a_job(a_patch(600, 600, motif=(80.0, 80.0))), [[piece]])
    assert spare_of(met) == pytest.approx(10.0, abs=0.25)
    assert spare_of(fit(a_job(a_patch(600, 600)), [[piece]])) == pytest.approx(15.0, abs=0.25)


@pytest.mark.parametrize("seed", [3, 6, 23])
def test_a_seam_of_patterned_goods_is_set_where_the_pattern_goes_on_meeting(seed: int) -> None:
    """The patch names no motif point: the pattern may lie in the room in any way, but both parts keep to one."""
    chance, style = random.Random(seed), Style("Velder Trellis", repeat=Repeat(130.0, 170.0, 0.5))
    patch = a_patch(chance.randrange(300, 600), chance.randrange(300, 600))
    donors = []
    for tag in ("R-1", "R-2", "R-3"):
        size = chance.randrange(250, 700), chance.randrange(250, 700)
        donors.append(a_piece(tag, *size, style=style, motif=(chance.uniform(0, 100), chance.uniform(0, 100))))
    plan = a_plan(a_job(patch, allowance=Allowance(10, 30, 30)), *donors)
    assert plan.verdict is Verdict.JOINED


def smaller(candidate: Candidate, by_mm: float) -> Candidate:
    """The piece with each edge further in."""
    outline = candidate.piece.outline
    left = shapely.Polygon(outline.ring, outline.cutouts).buffer(-by_mm, join_style="mitre")
    assert isinstance(left, shapely.Polygon)
    rings = [list(ring.coords)[:-1] for ring in left.interiors]
    piece = a_piece(candidate.piece.tag, outline=outline_of(list(left.exterior.coords)[:-1], rings))
    return Candidate(piece.piece, candidate.style, candidate.match)


@pytest.mark.parametrize("seed", some(range(40)))
def test_the_plan_holds_with_all_pieces_smaller_and_all_cuts_larger_by_its_spare_and_fails_beyond(seed: int) -> None:
    chance = random.Random(seed)
    corner = chance.choice([0, 60, 150])
    width, length = chance.randint(500, 900), chance.randint(500, 900)
    ring = [(0, 0), (width, 0), (width, length - corner), (width - corner, length), (0, length)]
    donor = a_piece("R-1", outline=outline_of(ring if corner else [*ring[:2], (width, length), (0, length)]))
    patch = a_patch(width - chance.randint(60, 200), length - chance.randint(60, 200), parts=1)
    plan = fit(a_job(patch), [[donor]])
    if plan.verdict is Verdict.NONE:
        pytest.skip("nothing to spare of what can't be made")
    spare = spare_of(plan)
    for error, holds in ((max(0.0, spare - 0.3), True), (spare + 0.6, False)):
        job = a_job(patch, allowance=Allowance(error, error, error))
        assert (fit(job, [[smaller(donor, error)]]).verdict is Verdict.WHOLE) is holds, error


@pytest.mark.parametrize("seed", some(range(30)))
def test_a_joined_plan_holds_with_all_pieces_smaller_and_all_cuts_larger_by_its_spare(seed: int) -> None:
    chance = random.Random(seed)
    donors = [a_piece(f"R-{n}", chance.randint(250, 450), chance.randint(420, 600), match=OTHER) for n in (1, 2, 3)]
    patch = a_patch(600, 400, parts=3)
    plan = a_plan(a_job(patch), *donors)
    if plan.verdict is Verdict.NONE:
        pytest.skip("nothing to spare of what can't be made")
    error = max(0.0, spare_of(plan) - 0.05)
    job = a_job(patch, allowance=Allowance(error, error, error))
    assert fit(job, [[smaller(donor, error) for donor in donors]]).verdict is Verdict.JOINED


@pytest.mark.parametrize("seed", range(12))
def test_looked_for_up_to_enough_it_is_the_same_up_to_there(seed: int) -> None:
    chance = random.Random(seed)
    wide, high = chance.randint(300, 500), chance.randint(300, 500)
    ring = [(0, 0), (wide + 200, 0), (wide + 200, 250), (wide, 250), (wide, high), (0, high)]
    piece = a_piece("R-1", outline=outline_of(ring)).piece
    cuts = []
    for number in range(chance.choice([1, 2, 3])):
        lies = rectangle(chance.randint(60, 200), chance.randint(60, 140)).ring
        moved = tuple((x + 210 * number, y) for x, y in lies)
        cuts.append(Cut(moved, moved, None))
    whole = spare_on(piece, cuts, [])
    for enough in (0.0, 6.35, 20.0, 500.0):
        assert spare_on(piece, cuts, [], enough) == pytest.approx(min(whole, enough), abs=SPARE_MM)
    assert whole >= 0 or spare_on(piece, cuts, [], 0.0) < 0, "and what has no room has none"


def told(plan: Plan, job: Job, unit: Unit) -> str:
    return " ".join(spare_lines(plan, job, unit))


def test_it_is_told_rounded_down_with_a_warning_below_what_a_tape_may_be_out() -> None:
    job = a_job(a_patch(620, 400))
    assert told(fit(job, [[a_piece("R-1", 660, 900)]]), job, Unit.IN).startswith(
        "3/8 in to spare: a tape may be out by that much"
    )
    tight = fit(job, [[a_piece("R-1", 632, 900)]])  # 3 mm, under 1/8 in
    assert told(tight, job, Unit.IN) == "Only 1/16 in to spare, and a tape may be out by 1/4 in: measure again before you cut."
    assert told(tight, job, Unit.MM) == "Only 3 mm to spare, and a tape may be out by 6 mm: measure again before you cut."
    just = fit(job, [[a_piece("R-1", 620, 900)]])
    assert told(just, job, Unit.MM) == "No spare: measure the pieces and the patch again before you cut."


def test_it_is_told_how_far_a_seam_may_move() -> None:
    job = a_job(a_patch(600, 400))
    plan = fit(job, [[a_piece("R-1", 350, 500), a_piece("R-2", 300, 500)]])
    assert told(plan, job, Unit.MM).endswith(
        "The side seam may move 25 mm to the right and 25 mm to the left, looked at with the pile up."
    )


def test_the_answer_file_has_it_and_is_read_back() -> None:
    job = a_job(a_patch(600, 400))
    plan = fit(job, [[a_piece("R-1", 350, 500), a_piece("R-2", 300, 500)]])
    written = answer_json(plan)
    assert set(written["spare"]) == {"plan", "parts", "seams"}
    assert (len(written["spare"]["parts"]), len(written["spare"]["seams"])) == (2, 1)
    back = read_answer(json.dumps(written)).spare
    assert back is not None
    assert plan.spare is not None
    assert back.parts_mm == pytest.approx(plan.spare.parts_mm)
    assert back.seams_mm[0] == pytest.approx(plan.spare.seams_mm[0])


def test_a_job_tells_what_its_tape_may_be_out() -> None:
    given = {"unit": "in", "tape_error": "1/8 in", "patches": [{"width": 30, "length": 40, "pile": 0}]}
    job = read_job(json.dumps(given))
    assert job.tape_error_mm == pytest.approx(3.175)
    assert read_job(json.dumps(job_json(job))).tape_error_mm == pytest.approx(3.175)
    with pytest.raises(BadFile, match="tape_error"):
        read_job(json.dumps(given | {"tape_error": -1}))


DONORS = (a_piece("R-1", 350, 500), a_piece("R-2", 300, 500))


def seam_of(plan: Plan) -> float:
    (seam,) = plan.patches[0].seams
    return seam.line[0][0]


def test_a_person_moves_the_seam_and_the_plan_follows() -> None:
    """600 from 350 and 300: it stands at 325 and can go 25 either way."""
    patch = a_patch(600, 400)
    before = seam_of(a_plan(a_job(patch), *DONORS))
    for by in (-24.0, 10.0, 25.0):
        moved = a_plan(a_job(replace(patch, seam_shift_mm=by)), *DONORS)
        assert seam_of(moved) - before == pytest.approx(by, abs=0.01)


@pytest.mark.parametrize("by", [26.0, -30.0])
def test_a_seam_that_is_moved_too_far_is_refused_with_how_far_it_can(by: float) -> None:
    job = a_job(replace(a_patch(600, 400), seam_shift_mm=by))
    with pytest.raises(BadInput, match="give up to 25 mm, or up to 25 mm with a minus") as refused:
        fit(job, [DONORS])
    assert refused.value.faults[0].where == "patches[0].seam_shift"


def test_a_patch_of_one_piece_has_no_seam_to_be_moved() -> None:
    job = a_job(replace(a_patch(600, 400), seam_shift_mm=5.0))
    with pytest.raises(BadInput, match="no seam inside to be moved"):
        fit(job, [[a_piece("R-1", 700, 500)]])
