"""What stands behind a no: told with the answer, and borne out by figures where they suffice."""

import json
import random
from dataclasses import replace

import pytest

from remnants.exchange import answer_json, read_answer
from remnants.fitting import fit
from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.patch.out_of_reach import out_of_reach, tell_what_is_settled
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import Outline
from remnants.model import Allowance, Candidate, Job, Plan, RoomFigure, Verdict
from tests.bench.adversary_judge import two_rectangles_can
from tests.bench.adversary_plant import planted
from tests.fitting.builders import OTHER, a_job, a_patch, a_piece, faults_of
from tests.thorough import share


def a_no(job: Job, *pieces: Candidate) -> Plan:
    plan = fit(job, [pieces] * len(job.patches))
    assert plan.verdict is Verdict.NONE
    assert faults_of(job, pieces, plan) == ()
    return plan


def test_a_no_tells_what_was_searched_and_what_was_not_tried() -> None:
    """Two pieces at two turns; two parts at most, of a rectangle: one family of seams each way."""
    (proof,) = a_no(a_job(a_patch(1000, 400, turns=(0.0, 90.0))), a_piece("R-1", 300, 350), a_piece("R-2", 200, 390)).proof
    assert proof.proved
    assert proof.searched == (
        "whole: 2 pieces, each at the allowed turns (0 and 90 degrees)",
        "two parts: every place of the seams along the pile (1 family) and across it (1 family); "
        "from two pieces or one, at one turn or two",
    )
    assert "more than two parts" in proof.not_tried
    assert "seams that run neither along nor across the pile, and stepped ones" in proof.not_tried
    assert RoomFigure("R-1", 90.0, 350.0, 300.0) in proof.figures
    assert len(proof.figures) == 4


def test_a_no_that_left_something_undecided_is_not_called_proved() -> None:
    """Between slanting free edges the strip of a joint sticks out: there three parts are searched less far."""
    corner = a_patch(ring=[(0, 0), (900, 0), (0, 900)], edges="free", parts=3)
    plan = a_no(a_job(corner, allowance=Allowance(25, 75, 75)), a_piece("R-1", 200, 350))
    assert not plan.proof[0].proved
    assert plan.proof[0].undecided
    assert plan.bound != "best possible"


ELL = [(0, 0), (900, 0), (900, 300), (400, 300), (400, 1000), (0, 1000)]


@pytest.mark.parametrize("parts", [3, 4])
def test_a_no_to_three_and_four_parts_of_any_outline_is_proved_where_no_sharing_helps(parts: int) -> None:
    """An L in which every piece is too narrow for the foot and too short for the leg, however often it were cut."""
    plan = a_no(a_job(a_patch(ring=ELL, parts=parts)), a_piece("R-1", 250, 290), a_piece("R-2", 120, 990))
    words = {3: "three", 4: "four"}
    assert plan.proof[0].proved
    assert plan.proof[0].searched[2:] == tuple(
        f"{words[count]} parts: such seams one after the other, though each piece might be cut as often as anybody likes"
        for count in range(3, parts + 1)
    )


def test_a_no_to_three_parts_of_their_own_is_proved_of_an_odd_outline() -> None:
    """The L from a foot of 520 x 330, and a leg of 400 x 600 and 400 x 395: 5 mm short. Two pieces have far too little carpet."""
    short = [a_piece("R-1", 520, 330), a_piece("R-2", 400, 600), a_piece("R-3", 400, 395)]
    proof = a_no(a_job(a_patch(ring=ELL, parts=3)), *short).proof[0]
    assert proof.proved
    assert "three parts: such seams one after the other, each part from a piece of its own" in proof.searched
    assert "three parts of which one piece gives several" in proof.searched
    long_enough = [*short[:2], a_piece("R-3", 400, 400)]
    assert len(fit(a_job(a_patch(ring=ELL, parts=3)), [long_enough]).patches[0].parts) == 3


@pytest.mark.parametrize(
    "kind", ["three, rectangles", "three, others", "three, shared", "three, patterned", "four, shared", "narrow"]
)
def test_what_can_be_made_is_never_told_as_out_of_reach(kind: str) -> None:
    """Pieces were drawn round the parts, many to the last hair: asked more lightly than it is, a plan is still there."""
    for seed in (101, 102, 103):
        case = planted(kind, seed)
        (patch,) = case.job.patches
        left = {each.piece.tag: each.piece.outline for each in case.pieces}
        ask, field = ask_of(case.job, patch, FitRules()), Field(tuple(donors_of(patch, case.pieces, left)))
        assert not out_of_reach(ask, field, patch.max_parts), seed


@pytest.mark.parametrize("seed", range(share(24)))
def test_a_whole_of_another_lot_is_not_the_best_where_its_own_lot_could_make_the_patch_in_three(seed: int) -> None:
    """A strip with a corner off, from two lengths of one piece, one over the other, and one of a second: that isn't searched."""
    rng = random.Random(seed)
    wide, long = rng.randrange(800, 1500), rng.randrange(200, 400)
    third = wide // 3 + 1
    strip = a_patch(ring=[(0, 0), (wide, 0), (wide, long - 50), (wide - 50, long), (0, long)], edges="wall", parts=3)
    own_lot = [a_piece("R-1", third, 2 * long + rng.randrange(50)), a_piece("R-2", third, long + rng.randrange(50))]
    other_lot = a_piece("R-3", wide, long, match=OTHER, lot="4472-A")
    plan = fit(a_job(strip), [[*own_lot, other_lot]])
    assert len(plan.patches[0].parts) == 3 or plan.bound != "best possible"
    too_little = [a_piece("R-1", third, long), own_lot[1], other_lot]  # carpet for two thirds of it
    proved = fit(a_job(strip), [too_little])
    assert (proved.verdict, proved.bound) == (Verdict.WHOLE, "best possible")


@pytest.mark.parametrize("beside", [(), ((1073, 537), (1118, 509), (1099, 419))])
def test_what_can_be_made_with_a_piece_that_must_be_cut_is_never_told_as_searched_to_the_end(
    beside: tuple[tuple[int, int], ...],
) -> None:
    """Four rows of a piece each, the narrowest of which must be cut. Larger ones beside them go further without it."""
    rows = ((1039, 447), (1039, 416), (1039, 187), (1039, 322))
    pieces = [a_piece(f"R-{number}", *size) for number, size in enumerate((*rows, *beside))]
    patch = replace(a_patch(1039, 1372, parts=4), use=("R-2",))
    left = {each.piece.tag: each.piece.outline for each in pieces}
    ask, field = ask_of(a_job(patch), patch, FitRules()), Field(tuple(donors_of(patch, pieces, left)))
    tell_what_is_settled(ask, field, 4)
    assert ask.undecided == {"four parts, each from a piece of its own, with pieces that must be among them"}
    assert "four parts: such seams one after the other, each part from a piece of its own" not in ask.searched


def test_a_patch_that_others_leave_nothing_for_is_told_of_the_plan_as_a_whole() -> None:
    """One piece, enough for either."""
    job = a_job(a_patch(500, 400), a_patch(500, 400, name="landing"))
    piece = a_piece("R-1", 500, 450)
    plan = fit(job, [[piece], [piece]])
    (proof,) = plan.proof
    assert plan.verdict is Verdict.PARTLY
    assert proof.proved is (plan.bound == "best possible")
    assert proof.searched == ("plans of all patches together",)


def test_figures_are_told_exactly_where_they_bear_the_no_out() -> None:
    """The closed form for rectangles, worked out elsewhere, says the same; and the check of the plan finds no fault in them."""
    rng = random.Random(8)
    told = 0
    for _ in range(150):
        size = rng.randrange(300, 900), rng.randrange(300, 900)
        pieces = [a_piece(f"R-{n}", rng.randrange(100, 900), rng.randrange(100, 900)) for n in range(rng.randint(1, 4))]
        seam = rng.choice((0, 25))
        job = a_job(a_patch(*size), allowance=Allowance(seam, 75, 75), min_part=100)
        plan = fit(job, [pieces])
        assert faults_of(job, pieces, plan) == ()
        sizes = [each.piece.outline.bounds[2:] for each in pieces]
        takes = float(seam), float(seam), float(seam), float(seam)
        can = two_rectangles_can((float(size[0]), float(size[1])), takes, float(seam), sizes, 100.0)
        assert (plan.verdict is Verdict.NONE) is not can
        told += sum(bool(proof.figures) for proof in plan.proof)
        if not can and not all(proof.figures for proof in plan.proof):  # one piece has the carpet for both, and not the room
            assert max(across * along for across, along in sizes) >= size[0] * size[1]
    assert told > 40


@pytest.mark.parametrize("change", [{"across_mm": 100.0}, {"piece": "R-9"}])
def test_a_changed_figure_is_refused(change: dict[str, object]) -> None:
    """Told smaller than the piece is, or of a piece that there isn't."""
    job, piece = a_job(a_patch(1000, 400)), a_piece("R-1", 300, 350)
    plan = a_no(job, piece)
    (proof,) = plan.proof
    changed = replace(proof, figures=tuple(replace(each, **change) for each in proof.figures))  # type: ignore[arg-type]
    assert faults_of(job, [piece], replace(plan, proof=(changed,)))


def test_an_odd_piece_is_told_by_its_bounds_and_the_proof_is_read_back_as_written() -> None:
    """A triangle reaches no further than its bounds; lengths are in the job's unit."""
    piece = a_piece("R-1", outline=Outline(((0.0, 0.0), (400.0, 0.0), (0.0, 390.0))))
    plan = a_no(a_job(a_patch(1000, 400)), piece)
    assert plan.proof[0].figures == (RoomFigure("R-1", 0.0, 400.0, 390.0),)
    told = answer_json(plan)
    assert told["proof"][0]["figures"] == [{"piece": "R-1", "turn": 0, "across": 400, "along": 390}]
    assert read_answer(json.dumps(told)).proof == plan.proof
