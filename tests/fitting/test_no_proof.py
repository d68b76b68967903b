"""What stands behind a no: told with the answer, and borne out by figures where they suffice."""

import json
import random
from dataclasses import replace

import pytest

from remnants.exchange import answer_json, read_answer
from remnants.fitting import fit
from remnants.geometry.outline import Outline
from remnants.model import Allowance, Candidate, Job, Plan, RoomFigure, Verdict
from tests.bench.adversary_judge import two_rectangles_can
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of


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
        "two parts: every place of the seams along the pile (1 family) and across it (1 family), from two pieces or from one, "
        "at one turn or at two",
    )
    assert "more than two parts" in proof.not_tried
    assert "seams that run neither along nor across the pile, and stepped ones" in proof.not_tried
    assert RoomFigure("R-1", 90.0, 350.0, 300.0) in proof.figures
    assert len(proof.figures) == 4


def test_a_no_that_left_something_undecided_is_not_called_proved() -> None:
    """Several of three parts from one piece are looked for on rectangles only."""
    plan = a_no(a_job(a_patch(ring=[(0, 0), (900, 0), (0, 900)], parts=3)), a_piece("R-1", 200, 350))
    assert not plan.proof[0].proved
    assert plan.proof[0].undecided
    assert plan.bound != "best possible"


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
