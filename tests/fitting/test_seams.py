"""Where a seam can lie: next to corners, beside the narrowest part allowed, at odd bearings."""

import math
from itertools import pairwise

import pytest

from remnants.fitting import FitRules
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.seam_events import events
from remnants.fitting.patch.seam_intervals import intervals
from remnants.fitting.patch.shape import Axis, splits
from remnants.geometry.outline import Outline
from remnants.geometry.turn import levelled_ring, turned_ring
from remnants.model import Allowance, Verdict
from tests.bench.adversary import Outcome, outcome_of
from tests.bench.adversary_plant import planted
from tests.bench.plain_geometry import box_of, clipped, offset
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan


def test_a_part_is_not_pushed_so_far_that_the_rest_is_too_narrow_for_two() -> None:
    """570 wide from three of 280 with 150 least: 280 leaves 290, too little for two; 270 + 150 + 150 is enough."""
    pieces = [a_piece(tag, 280, 400) for tag in ("R-1", "R-2", "R-3")]
    plan = a_plan(a_job(a_patch(570, 400, parts=3), min_part=150), *pieces)
    assert plan.verdict is Verdict.JOINED
    assert len(plan.patches[0].parts) == 3


@pytest.mark.parametrize("parts", [3, 4])
def test_four_pieces_in_a_row_leave_each_other_the_narrowest(parts: int) -> None:
    """With 150 least, 620 from four of 170 (or three of 290, with 590) works, in even shares of 155 (or less)."""
    width, own = (620, 170) if parts == 4 else (590, 290)
    pieces = [a_piece(f"R-{number}", own, 400) for number in range(parts)]
    assert a_plan(a_job(a_patch(width, 400, parts=parts), min_part=150), *pieces).verdict is Verdict.JOINED


def test_a_seam_just_off_a_corner_of_an_oval_is_found() -> None:
    """Right at a corner the allowance takes a wider mitre; a hair off it the part is no wider than its piece."""
    steps = [math.tau * (step + 0.5) / 24 for step in range(24)]
    oval = [(535.0 * math.cos(step), 430.0 * math.sin(step)) for step in steps]
    words = ["seam"] * 24
    low, high = (
        offset(ring, [25.0] * len(ring)) for ring, _ in (clipped(oval, words, 1, 128.0, low=side) for side in (True, False))
    )
    left, bottom, right, top = box_of([high])
    pieces = [a_piece("R-1", outline=Outline(tuple(low))), a_piece("R-2", right - left, top - bottom)]
    assert a_plan(a_job(a_patch(ring=oval), allowance=Allowance(25, 25, 25)), *pieces).verdict is Verdict.JOINED


def test_the_narrowest_part_cuts_off_the_tip_of_a_taper_and_not_the_seam() -> None:
    """A triangle is first parted across, then its tip along: near the tip a part would be too short, further in it isn't."""
    triangle = [(0.0, 0.0), (1200.0, 0.0), (1200.0, 900.0)]
    pieces = [a_piece("R-1", 640, 480), a_piece("R-2", 600, 460), a_piece("R-3", 600, 470), a_piece("R-4", 610, 460)]
    plan = a_plan(a_job(a_patch(ring=triangle, parts=4), min_part=200), *pieces)
    assert plan.verdict is Verdict.JOINED


@pytest.mark.parametrize("bearing", [17.3, 45.0, 200.01])
def test_a_rectangle_at_an_odd_bearing_is_a_rectangle(bearing: float) -> None:
    """Three parts of one piece are looked for on rectangles only: so the turn must not take its square corners away."""
    ring = turned_ring([(0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0)], bearing)
    piece = a_piece(
        "R-1", outline=Outline(turned_ring([(0.0, 0.0), (300.0, 0.0), (300.0, 1200.0), (0.0, 1200.0)], 31.7)), pile=31.7
    )
    plan = a_plan(a_job(a_patch(ring=ring, pile=bearing, parts=3)), piece)
    assert plan.verdict is Verdict.JOINED
    assert len(plan.patches[0].parts) == 3


def test_levelling_makes_figures_one_that_a_turn_left_uneven_and_no_others() -> None:
    """A tolerance's half is 0.005 mm: 100 and 100.0039 are one, 100.02 is another."""
    assert levelled_ring([(0.0, 0.0), (100.0, 0.004), (100.0 + 2**-8, 50.0), (0.0, 50.02)]) == (
        (0.0, 0.002), (100.0 + 2**-9, 0.002), (100.0 + 2**-9, 50.0), (0.0, 50.02),
    )  # fmt: skip


def test_one_piece_gives_two_parts_at_different_allowed_turns() -> None:
    """A trapezoid 1000 to 600 wide and 800 long, parted half way: 1000 to 800, and 800 to 600. Head to tail they fill a
    parallelogram 1600 wide and 400 long to the last corner; lying the same way they don't."""
    trapezoid = [(0.0, 0.0), (1000.0, 0.0), (800.0, 800.0), (200.0, 800.0)]
    piece = a_piece("R-1", outline=Outline(((0.0, 0.0), (1600.0, 0.0), (1700.0, 400.0), (100.0, 400.0))))
    assert a_plan(a_job(a_patch(ring=trapezoid)), piece).verdict is Verdict.NONE
    plan = a_plan(a_job(a_patch(ring=trapezoid, turns=(0.0, 180.0))), piece)
    assert plan.verdict is Verdict.JOINED
    assert sorted(part.turn_deg for part in plan.patches[0].parts) == [0.0, 180.0]
    assert plan.patches[0].reason.count("R-1") == 1


@pytest.mark.parametrize("told", [True, False])
def test_patterned_parts_of_one_piece_meet_where_no_place_of_the_seam_is_special(told: bool) -> None:
    """A taper's halves hang on one move each, repeats apart, with the seam at one place between the ends of its range."""
    for seed in (1, 3, 4, 6, 19):
        case = planted("two of one, patterned", seed)
        if (case.job.patches[0].motif is not None) is told:
            assert outcome_of(case) == (Outcome.RIGHT, "")


def test_what_changes_along_a_seam_is_told_as_events_with_straight_stretches_between() -> None:
    """A house: 400 wide, walls 300 high, a gable of 200; 30 at walls and 20 at joints, nothing at free edges. Between two events
    each corner of a cut is half-way where the seam is half-way."""
    gable = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (200.0, 500.0), (0.0, 300.0)]
    job = a_job(a_patch(ring=gable, edges=["wall", "free", "wall", "seam", "free"]), allowance=Allowance(30, 20, 0))
    ask = ask_of(job, job.patches[0], FitRules())
    for split in splits(ask.shape, Axis.ALONG):
        found, complete = events(split)
        assert complete
        assert found[0] == split.low and found[-1] == split.high
        for low, high in ((low, high) for low, high in pairwise(found) if high - low > 0.05):
            for side in (0, 1):
                cuts = [split.halves(low + share * (high - low))[side].cut for share in (0.1, 0.3, 0.5)]
                assert len({len(cut) for cut in cuts}) == 1
                told = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a in cuts[0] for b in cuts[2]]
                assert all(min(math.dist(corner, each) for each in told) < 0.001 for corner in cuts[1])


def test_a_longer_part_may_fit_where_a_shorter_one_does_not() -> None:
    """A trapezoid 1000 to 400 wide and 900 long, its edges free, 60 for a joint. Parted at 600, where it is 600 wide, the joint's
    strip is 600 wide too; parted at 100 it would be 933 wide and stick out of the piece, which is 900 wide there."""
    trapezoid = [(0.0, 0.0), (1000.0, 0.0), (700.0, 900.0), (300.0, 900.0)]
    lower = ((0.0, 0.0), (1000.0, 0.0), (800.0, 600.0), (800.0, 660.0), (200.0, 660.0), (200.0, 600.0))
    upper = ((180.0, 540.0), (820.0, 540.0), (700.0, 900.0), (300.0, 900.0))  # at its sharp corners the strip is mitred
    job = a_job(a_patch(ring=trapezoid, edges="free"), allowance=Allowance(60, 0, 0), min_part=100)
    plan = a_plan(job, a_piece("R-1", outline=Outline(lower)), a_piece("R-2", outline=Outline(upper)))
    assert plan.verdict is Verdict.JOINED
    (seam,) = plan.patches[0].seams
    assert seam.line[0][1] == pytest.approx(600.0, abs=0.02)


def test_where_a_donor_holds_a_part_is_told_as_closed_intervals() -> None:
    """The lower piece of the trapezoid above holds the lower part with the seam at 600 alone, and a hair round it."""
    trapezoid = [(0.0, 0.0), (1000.0, 0.0), (700.0, 900.0), (300.0, 900.0)]
    lower = Outline(((0.0, 0.0), (1000.0, 0.0), (800.0, 600.0), (800.0, 660.0), (200.0, 660.0), (200.0, 600.0)))
    job = a_job(a_patch(ring=trapezoid, edges="free"), allowance=Allowance(60, 0, 0), min_part=100)
    ask = ask_of(job, job.patches[0], FitRules())
    (split,) = splits(ask.shape, Axis.ALONG)
    assert split.uneven
    found = intervals(ask, split, Donor(a_piece("R-1", outline=lower), lower, 0.0), low=True)
    assert found
    assert all(begin == pytest.approx(600.0, abs=0.05) and end == pytest.approx(600.0, abs=0.05) for begin, end in found)
