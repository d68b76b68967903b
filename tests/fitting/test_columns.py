"""Small jobs of any outlines in one model: which pieces share what, and how far from the best a plan can be at most."""

import random
from collections.abc import Sequence

import pytest

from remnants.fitting import fit
from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.columns import solve_by_columns
from remnants.fitting.sharing.exact import Exact, solve_exactly
from remnants.fitting.sharing.merit import merit_of
from remnants.geometry.outline import Outline, bounds
from remnants.model import Allowance, Candidate, Job, Plan
from remnants.packing import Watch
from tests.fitting.builders import OTHER, SAME, a_job, a_patch, a_piece, a_plan
from tests.thorough import share

ELL = [(0, 0), (600, 0), (600, 250), (250, 250), (250, 600), (0, 600)]
ONE_WAY, EITHER_WAY = (0.0,), (0.0, 180.0)


def ells(count: int, *, turns: tuple[float, ...] = ONE_WAY, parts: int = 1) -> Job:
    """So many patches of 600 x 600 less 350 x 350."""
    return a_job(*(a_patch(ring=ELL, name=f"hall {number}", parts=parts, turns=turns) for number in range(count)))


def filled(plan: Plan) -> int:
    return sum(bool(patch.parts) for patch in plan.patches)


def test_no_more_patches_are_called_possible_than_pieces_can_hold_together() -> None:
    """Each of three could be made alone. Either piece holds one, for two need 850 one way."""
    plan = a_plan(ells(3), a_piece("R-1", 620, 620), a_piece("R-2", 620, 620))
    assert filled(plan) == 2
    assert plan.bound == "best possible"


@pytest.mark.parametrize(("length", "both"), [(850, True), (849, False)])
def test_two_at_two_turns_lie_in_one_another_where_there_is_just_room(length: int, both: bool) -> None:
    """The one turned half round lies with its leg above the other's foot: 250 + 350 + 250."""
    plan = a_plan(ells(2, turns=EITHER_WAY), a_piece("R-1", 600, length))
    assert filled(plan) == 1 + both
    assert plan.bound == "best possible"


def test_a_bound_is_told_for_three_parts_too() -> None:
    """Two come whole from 500 x 900; what that leaves and 300 x 390 have too little carpet for a third in any parts."""
    job = a_job(*(a_patch(500, 400, name=f"hall {number}", parts=3) for number in range(3)))
    plan = a_plan(job, a_piece("R-1", 500, 900), a_piece("R-2", 300, 390))
    assert filled(plan) == 2
    assert plan.bound == "best possible"


def asked(job: Job, pieces: Sequence[Candidate]) -> tuple[list[Ask], list[list[Donor]]]:
    left = {each.piece.tag: each.piece.outline for each in pieces}
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    return asks, [donors_of(patch, pieces, left) for patch in job.patches]


def by_columns(asks: Sequence[Ask], own: Sequence[Sequence[Donor]], watch: Watch | None = None) -> Exact | None:
    return solve_by_columns(asks, [Field(tuple(each)) for each in own], work=1.0, watch=watch or Watch(), seed=1)


def test_of_rectangles_it_says_the_same_as_the_solver_that_places_them() -> None:
    """Two exact ways, which share the terms of merit and little else: where both come to an end they come to one merit."""
    both = 0
    for seed in range(1, 1 + share(60)):
        dice = random.Random(seed)
        patches = [a_patch(*_size(dice, 200, 800), name=f"hall {n}", parts=dice.choice((1, 2))) for n in range(2)]
        job = a_job(*patches, allowance=dice.choice((Allowance(0, 0, 0), Allowance(25, 50, 50))), min_part=60)
        pieces = [a_piece(f"R-{n}", *_size(dice, 300, 1200), match=dice.choice((SAME, SAME, OTHER))) for n in range(2)]
        asks, own = asked(job, pieces)
        one, two = by_columns(asks, own), solve_exactly(asks, own, work=0.02, watch=Watch(), seed=1)
        assert one is not None
        assert two is not None
        if one.proved and two.proved:
            both += 1
            assert merit_of(one.made).look == merit_of(two.made).look, seed
        assert one.bound.look <= merit_of(two.made).look, seed
        assert two.bound.look <= merit_of(one.made).look, seed
    assert both > share(30)


def _size(dice: random.Random, low: int, high: int) -> tuple[int, int]:
    return dice.randrange(low, high, 50), dice.randrange(low, high, 50)


def test_what_was_cut_from_the_pieces_is_never_called_too_much_for_them() -> None:
    """Odd patches are laid in a row, each piece drawn round some of them: the bound leaves none out; most are found again."""
    whole = 0
    for seed in range(1, 13):
        dice = random.Random(seed)
        turns = dice.choice((ONE_WAY, EITHER_WAY))
        rings = [_odd(dice) for _ in range(dice.randint(2, 4))]
        half = dice.randint(1, len(rings))
        pieces = [_in_a_row(f"R-{n}", rings_of) for n, rings_of in enumerate((rings[:half], rings[half:])) if rings_of]
        job = a_job(*(a_patch(ring=ring, name=f"hall {n}", parts=1, turns=turns) for n, ring in enumerate(rings)))
        answer = by_columns(*asked(job, pieces))
        assert answer is not None
        assert answer.bound.unfilled == 0, seed
        whole += all(answer.made)
    assert whole >= 9


def _odd(dice: random.Random) -> list[tuple[float, float]]:
    w, h, x, y = dice.uniform(200, 600), dice.uniform(200, 600), dice.uniform(0.3, 0.7), dice.uniform(0.3, 0.7)
    ell = [(0.0, 0.0), (w, 0.0), (w, y * h), (x * w, y * h), (x * w, h), (0.0, h)]
    return dice.choice((ell, [(0.0, 0.0), (w, 0.0), (x * w, h), (0.2 * x * w, h)]))


def _in_a_row(tag: str, rings: Sequence[list[tuple[float, float]]]) -> Candidate:
    wide, high = sum(bounds(ring)[2] for ring in rings), max(bounds(ring)[3] for ring in rings)
    return a_piece(tag, outline=Outline(((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))))


def test_it_ends_where_somebody_asks_to_stop() -> None:
    """Then what was found otherwise is told, and not called the best there is."""
    job, pieces = ells(3, turns=EITHER_WAY), [a_piece("R-1", 900, 900), a_piece("R-2", 620, 620)]
    assert by_columns(*asked(job, pieces), watch=Watch(stop=lambda: True)) in (None, Exact((None,) * 3, False, merit_of([])))
    looks = iter(range(10**6))
    plan = fit(job, [pieces] * 3, watch=Watch(tries=5, stop=lambda: next(looks) > 60))
    assert filled(plan) >= 1
