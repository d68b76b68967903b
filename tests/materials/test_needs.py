"""Tape, sealer, strip, pad, staples and blades against sums done by hand (the figures are the default rules)."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.geometry.outline import round_outline
from remnants.materials.needs import Fixing, Need, Stuff, needs_of
from remnants.materials.rules import COMMON, MaterialRules, changed
from remnants.materials.strips import cut_strips
from tests.report.plans import IN, Layout, a_joined_layout, a_layout, a_patch

RULES = MaterialRules()


def needs(layout: Layout, fixing: Fixing = Fixing.STRETCHED, rules: MaterialRules = RULES) -> dict[Stuff, Need]:
    return {need.stuff: need for need in needs_of(layout.plan, layout.job, rules=rules, fixing=fixing)}


def test_tape_is_every_straight_run_of_seam_and_its_run_out_at_both_ends() -> None:
    # 40 x 14 in: two long edges are seams (80 in) and one cross seam joins the parts (14 in): 94 in = 2387.6 mm.
    # Three straight runs, 2 in past both ends of each: 12 in more.
    assert needs(a_joined_layout())[Stuff.TAPE].amount == pytest.approx((94 + 12) * 25.4)


def test_edges_in_line_are_one_run_and_a_round_patch_is_one() -> None:
    split = a_patch("split", ((0.0, 0.0), (500.0, 0.0), (1000.0, 0.0), (1000.0, 400.0), (0.0, 400.0)))
    # 2800 mm round in four straight runs (the bottom is two edges in line): 8 ends of 50.8 mm.
    assert needs(a_layout().whole(split, "R-0142"))[Stuff.TAPE].amount == pytest.approx(2800 + 406.4)
    disc = round_outline((0, 0), 200, outside=True).ring
    length = sum(math.dist(a, b) for a, b in zip(disc, (*disc[1:], disc[0]), strict=True))
    assert needs(a_layout().whole(a_patch("disc", disc), "R-0142"))[Stuff.TAPE].amount == pytest.approx(length + 101.6)


def test_sealer_covers_both_edges_of_every_seam_and_one_where_it_is_glued() -> None:
    # 2.3876 m of seam, two edges, 10 ml a metre: 47.752 ml. Glued: one bead.
    assert needs(a_joined_layout())[Stuff.SEALER].amount == pytest.approx(47.752)
    assert needs(a_joined_layout(), Fixing.GLUED)[Stuff.SEALER].amount == pytest.approx(23.876)


def test_a_glued_patch_needs_adhesive_and_neither_tape_pad_nor_strip() -> None:
    made = needs(a_joined_layout(), Fixing.GLUED)
    # 40 x 14 in = 560 in² = 0.3612896 m² at 3 m² a litre: 120.43 ml.
    assert made[Stuff.ADHESIVE].amount == pytest.approx(0.3612896 / 3 * 1000)
    assert not {Stuff.TAPE, Stuff.PAD, Stuff.STRIP} & set(made)


def test_pad_is_the_net_area_and_its_staples_go_round() -> None:
    made = needs(a_joined_layout())
    assert made[Stuff.PAD].amount == pytest.approx(560 * 645.16)
    # 108 in round at 6 in: 18.
    assert made[Stuff.PAD_STAPLES].amount == 18


def test_one_staple_each_two_inches_along_a_transition() -> None:
    # Common practice, no source. 14 in: at 0, 2, 4 ... 14 in: 8.
    assert needs(a_joined_layout())[Stuff.STAPLES].amount == 8


def test_strip_runs_along_walls_and_none_lies_at_a_transition() -> None:
    made = needs(a_joined_layout())[Stuff.STRIP]
    # The wall's run of 14 in from one length of 4 ft (48 in): 34 in left. The doorway's 14 in have none (CRI 105, 11.1).
    assert made.amount == 1
    (length,) = made.strips
    assert length.pieces == pytest.approx((14 * IN,))
    assert length.rest_mm == pytest.approx(34 * IN)


def test_strip_is_cut_with_the_fewest_lengths() -> None:
    # 10 ft 6 in and 3 ft 4 in and 2 ft 2 in of wall from 4 ft lengths: 2 whole and rests of 30, 40 and 26 in: each its own.
    lengths = cut_strips([126 * IN, 40 * IN, 26 * IN], 48 * IN)
    assert len(lengths) == 5
    # Longest first needs three lengths for 6 5 | 4 3 | 2 (of 10): 6 4, 5 3 2 needs two.
    assert len(cut_strips([6, 5, 4, 3, 2], 10)) == 2


@given(st.lists(st.integers(min_value=1, max_value=60), max_size=8), st.integers(min_value=20, max_value=40))
def test_every_run_is_cut_and_no_length_holds_more_than_it_has(runs: list[int], stock: int) -> None:
    lengths = cut_strips([float(run) for run in runs], float(stock))
    assert all(sum(length.pieces) <= stock + 0.01 for length in lengths)
    assert sum(sum(length.pieces) for length in lengths) == pytest.approx(sum(runs))
    assert len(lengths) <= fewest(tuple(run % stock for run in runs if run % stock), stock) + sum(run // stock for run in runs)


def fewest(rests: tuple[int, ...], stock: int) -> int:
    """The fewest lengths by trying every way to share them out."""
    best = len(rests)

    def share(index: int, loads: tuple[int, ...]) -> None:
        nonlocal best
        if len(loads) >= best and index < len(rests):
            return
        if index == len(rests):
            best = min(best, len(loads))
            return
        for place in range(len(loads)):
            if loads[place] + rests[index] <= stock:
                share(index + 1, (*loads[:place], loads[place] + rests[index], *loads[place + 1 :]))
        share(index + 1, (*loads, rests[index]))

    share(0, ())
    return best


def test_blades_follow_the_length_of_the_cuts() -> None:
    layout = a_layout().whole(a_patch(), "R-0142")
    # Cut 16 x 40 in: 112 in round; fitted net 14 x 38 in: 104 in; 216 in = 5486 mm at 5 m a blade: 2.
    assert needs(layout)[Stuff.BLADES].amount == 2


def test_a_patch_that_can_not_be_made_needs_nothing() -> None:
    layout = a_layout().none(a_patch())
    assert needs_of(layout.plan, layout.job, rules=RULES) == ()


def test_every_figure_tells_its_source() -> None:
    assert all(figure.source and figure.unit and figure.value > 0 for _, figure in RULES.all)
    assert RULES.staple_spacing.source == COMMON
    assert RULES.staple_spacing.value == 2 * 25.4
    assert RULES.tape_width.value >= 70  # adhesive at least 2 3/4 in wide: CRI 105 (2015), 10.3.1


def test_a_shop_changes_a_figure_and_the_sums_follow() -> None:
    rules = changed(RULES, {"tape_run_out": 100})
    assert rules.tape_run_out.source == "set by the shop"
    assert needs(a_joined_layout(), rules=rules)[Stuff.TAPE].amount == pytest.approx(94 * 25.4 + 600)
    assert replace(rules, tape_run_out=RULES.tape_run_out) == RULES


def test_what_is_no_rule_or_no_figure_is_refused_all_at_once() -> None:
    with pytest.raises(BadInput) as told:
        changed(RULES, {"glue": 3, "blade": 0, "lift": math.nan})
    assert [fault.where for fault in told.value.faults] == ["glue", "blade", "lift"]
    assert "tape_run_out" in told.value.faults[0].what
