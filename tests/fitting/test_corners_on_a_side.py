"""A doorway, or a corner where somebody stopped measuring, on the straight side of a rectangle makes no other outline of it."""

import random

import pytest

from remnants.fitting import fit
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.question import AXES
from remnants.fitting.patch.shape import Shape, splits
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import Outline, Point
from remnants.model import Allowance, Candidate, Finish, Job, Verdict
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan, faults_of
from tests.shapes import odd_outline
from tests.thorough import share

ALIKE, OTHER = Allowance(25, 75, 75), Allowance(25, 75, 50)
DOORWAY = ["wall", "transition", "wall", "wall", "wall", "wall"]


def split_at(width: float, length: float, left: float, right: float) -> list[Point]:
    """A rectangle with two corners more on its lower side."""
    return [(0, 0), (left, 0), (right, 0), (width, 0), (width, length), (0, length)]


def test_a_doorway_in_a_wall_leaves_a_rectangle_one_where_it_takes_as_much_as_the_wall() -> None:
    """1000 x 800 and 75 mm all round: 1150 x 950, four corners. Where the doorway takes 50, the cut has a step in its side."""
    job = a_job(a_patch(ring=split_at(1000, 800, 200, 600), edges=DOORWAY), allowance=ALIKE)
    shape = ask_of(job, job.patches[0], FitRules()).shape
    assert shape.is_rectangle
    assert shape.cut == ((-75, -75), (1075, -75), (1075, 875), (-75, 875))
    assert shape.finishes[1] is Finish.TRANSITION
    assert not Shape(shape.ring, shape.finishes, OTHER).is_rectangle


def test_each_half_beside_a_seam_is_a_rectangle_too_on_either_side_of_the_doorway() -> None:
    job = a_job(a_patch(ring=split_at(1000, 800, 200, 600), edges=DOORWAY), allowance=ALIKE)
    ask = ask_of(job, job.patches[0], FitRules())
    for axis in AXES:
        for split in splits(ask.shape, axis):
            for half in split.halves((split.low + split.high) / 2):
                assert half.is_rectangle and Outline(half.cut).is_rectangle


@pytest.mark.parametrize("bearing", [0.0, 90.0, 17.3])
def test_a_step_or_a_slant_is_no_side(bearing: float) -> None:
    """An L of which all corners lie on its box, a rectangle with a notch, one with a corner cut off."""
    ell = [(0, 0), (900, 0), (900, 300), (300, 300), (300, 900), (0, 900)]
    notch = [(0, 0), (300, 0), (300, 200), (600, 200), (600, 0), (900, 0), (900, 900), (0, 900)]
    slant = [(0, 0), (800, 0), (900, 100), (900, 900), (0, 900)]
    for ring in (ell, notch, slant):
        job = a_job(a_patch(ring=ring, pile=bearing))
        assert not ask_of(job, job.patches[0], FitRules()).shape.is_rectangle


def some_pieces(dice: random.Random) -> list[Candidate]:
    """Some rectangles and some odd pieces."""
    pieces = []
    for number in range(6):
        width, length = dice.randrange(200, 900, 10), dice.randrange(200, 900, 10)
        odd = dice.random() < 0.3
        pieces.append(a_piece(f"R-{number}", width, length, outline=odd_outline(dice, width, length) if odd else None))
    return pieces


@pytest.mark.parametrize("seed", range(share(24)))
def test_corners_on_a_side_change_no_answer(seed: int) -> None:
    """The same job with corners added on a side that nothing ends at: the same pieces, seams, sights and bound."""
    dice = random.Random(seed)
    sizes = [(dice.randrange(300, 1400, 10), dice.randrange(300, 1000, 10)) for _ in range(dice.choice((1, 1, 2)))]
    parts, pieces = dice.choice((2, 2, 3)), some_pieces(dice)

    def job(*, cornered: bool) -> Job:
        patches = [
            a_patch(ring=split_at(*size, 0.3 * size[0], 0.7 * size[0]), edges="wall", parts=parts, name=f"hall {n}")
            if cornered
            else a_patch(*size, edges="wall", parts=parts, name=f"hall {n}")
            for n, size in enumerate(sizes)
        ]
        return a_job(*patches, allowance=ALIKE, min_part=60)

    plain, cornered = (fit(each, [pieces] * len(sizes)) for each in (job(cornered=False), job(cornered=True)))
    assert faults_of(job(cornered=True), pieces, cornered) == ()
    assert cornered.bound == plain.bound
    for one, two in zip(plain.patches, cornered.patches, strict=True):
        assert (one.verdict, sorted(part.piece for part in one.parts)) == (two.verdict, sorted(part.piece for part in two.parts))


def test_three_parts_of_two_pieces_are_found_though_a_doorway_lies_in_the_wall() -> None:
    """900 x 300 in three of 300 x 300: two of them from one piece of 600 x 300 cut in an L, so that no two parts do."""
    job = a_job(a_patch(ring=split_at(900, 300, 250, 480), edges=DOORWAY, parts=3), allowance=Allowance(0, 0, 0))
    corner = Outline(((0, 0), (600, 0), (600, 300), (300, 300), (300, 600), (0, 600)))
    plan = a_plan(job, a_piece("R-1", 300, 300), a_piece("R-2", outline=corner))
    assert plan.verdict is Verdict.JOINED
