"""Jobs whose answer is known because it was planted: what is there is found, and nothing is told that isn't so.

`python -m tests.bench.adversary` asks as many as wanted; here some of each kind are asked every time.
"""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from remnants.fitting import fit
from tests.bench.adversary import Outcome, outcome_of
from tests.bench.adversary_judge import two_rectangles_can, what_is_wrong
from tests.bench.adversary_plant import planted
from tests.thorough import some

FOUND: dict[str, Sequence[int]] = {
    "whole": range(1, 21),
    "two": range(1, 16),
    "two of one": range(1, 11),
    "two of one, turned": range(1, 9),
    "two, patterned": range(1, 7),
    "two of one, patterned": (*range(1, 5), 1008),
    "taper": range(1, 11),
    "oval": range(1, 9),
    "free edges": range(7, 13),
    "narrow": range(1, 21),
    "bearing": range(1, 7),
    "hair": range(1, 11),
    "three, rectangles": range(1, 6),
    "three, others": (5, 6, 30007, 30040),
    "three, shared": (1, 2, 20079),
}
"""Kinds of which a plan exists, and the seeds of the cases asked: the last of each, and one in five of the others."""


@pytest.mark.parametrize("kind", FOUND)
def test_a_plan_that_exists_is_found_and_right_on_the_floor(kind: str) -> None:
    """Pieces were drawn round the parts, so there is a plan; the judge measures the one that is told."""
    told = {seed: outcome_of(planted(kind, seed)) for seed in some(FOUND[kind], of=5)}
    assert {seed: why for seed, (outcome, why) in told.items() if outcome is not Outcome.RIGHT} == {}


@pytest.mark.parametrize("kind", ["short", "sliver", "mirror"])
def test_a_plan_that_cannot_be_is_not_told_and_the_no_is_proved(kind: str) -> None:
    """Pieces a millimetre short, too little carpet in all, or a mirror image of what is needed."""
    told = {seed: outcome_of(planted(kind, seed)) for seed in range(1, 16 if kind != "sliver" else 9)}
    assert {seed: why for seed, (outcome, why) in told.items() if outcome is not Outcome.RIGHT} == {}


def test_the_judge_sees_a_cut_that_lies_a_millimetre_too_far_out() -> None:
    """A judge that nothing fails would prove nothing."""
    case = planted("hair", 3)
    plan = fit(case.job, [case.pieces])
    pieces = {each.piece.tag: each.piece for each in case.pieces}
    styles = {each.style.name: each.style for each in case.pieces}
    assert what_is_wrong(case.job, pieces, styles, plan) == []
    (patch,) = plan.patches
    first = patch.parts[0]
    for changed in (
        replace(first, cut=tuple((x + 1.0, y) for x, y in first.cut)),
        replace(first, shift=(first.shift[0], first.shift[1] + 1.0)),
        replace(first, turn_deg=first.turn_deg + 180.0),
        replace(first, net=tuple((x, y + 1.0) for x, y in first.net)),
    ):
        wrong = replace(plan, patches=(replace(patch, parts=(changed, *patch.parts[1:])),))
        assert what_is_wrong(case.job, pieces, styles, wrong)


def test_the_closed_form_for_rectangles_knows_parts_beside_and_above_one_another() -> None:
    """570 x 300 with 150 least, nothing taken at its edges and 10 at a joint: each part is cut 10 longer than it is laid."""
    takes, patch = (0.0, 0.0, 0.0, 0.0), (570.0, 300.0)
    assert two_rectangles_can(patch, takes, 10.0, [(570.0, 300.0)], 150.0)  # whole
    assert two_rectangles_can(patch, takes, 10.0, [(430.0, 300.0), (160.0, 300.0)], 150.0)  # 420 + 150
    assert not two_rectangles_can(patch, takes, 10.0, [(430.0, 300.0), (159.0, 300.0)], 150.0)
    assert two_rectangles_can(patch, takes, 10.0, [(295.0, 600.0)], 150.0)  # 285 + 285, one above the other
    assert not two_rectangles_can(patch, takes, 10.0, [(295.0, 599.0)], 150.0)
    assert not two_rectangles_can(patch, takes, 10.0, [(569.0, 590.0)], 300.0)  # across the pile each part is narrower than 300
