"""The order of work: each plan has the steps that it calls for, and no others, with the cautions where they belong."""

from dataclasses import replace
from typing import Any

import pytest

from remnants.geometry.outline import bounds, rectangle, round_outline
from remnants.materials.backfill import backfill_tries
from remnants.materials.cautions import Caution
from remnants.materials.lifting import piece_load
from remnants.materials.needs import Fixing
from remnants.materials.rules import MaterialRules, changed
from remnants.materials.steps import Setting, Step, _iron_words, steps_of
from remnants.materials.tools import tools_of
from remnants.model import Construction, Finish, Kind, MayUse, SeamKind, Style
from remnants.units import Unit
from tests.report.plans import FT, IN, Layout, a_joined_layout, a_layout, a_patch, a_piece

RULES = MaterialRules()


def steps(layout: Layout, style: Style | None = None, **more: Any) -> dict[str, Step]:
    styles = {"Velder Loop": style or Style("Velder Loop", Construction.LOOP)}
    setting = Setting(layout.pieces, styles, RULES, unit=Unit.IN, **more)
    return {step.title: step for step in steps_of(layout.plan, layout.job, setting)}


def test_a_whole_patch_among_carpet_has_no_strip_no_join_and_no_tucking() -> None:
    assert list(steps(a_layout().whole(a_patch(), "R-0142"))) == [
        "Find and fetch the donors",
        "Check lot and shade in the room",
        "Cut R-0142",
        "Cut out the damage to match",
        "Make the pad good",
        "Tape the seams round the patch",
        "Leave it right",
    ]


def test_a_joined_patch_is_joined_before_the_damage_is_cut_out() -> None:
    titles = list(steps(a_joined_layout()))
    assert titles.index("Join the parts of hall first") < titles.index("Cut out the damage to match")
    assert {"Strip", "Hook and tuck at the walls", "Finish at the transitions", "Check by hand for nail points"} <= set(titles)


def test_cuts_stand_in_cutting_order_with_their_distances_from_a_and_b() -> None:
    lines = steps(a_joined_layout())["Cut K-0031"].lines
    assert lines[1] == "Cut 1, for hall: 16 in × 24 in, on A and on B. Number it on the back."
    assert lines[2].startswith("Cut 2, for hall: 16 in × 24 in, on A and 26 in from B.")


def test_the_patch_is_trimmed_to_its_net_size_before_the_hole_is_marked() -> None:
    lines = steps(a_joined_layout())["Cut out the damage to match"].lines
    assert lines[0].startswith("hall: trim its seam edges to the net size, 40 in × 14 in")
    # The pile lies to the right: the edges below and above run along it. Wall and transition keep their allowance.
    row_cut = "a row cut: blade between two rows of loops, from the pile side; cut no loop."
    assert lines[1] == f"hall, along the pile (bottom 40 in, top 40 in): {row_cut}"
    assert lines[2].startswith("hall: lay the patch, so trimmed, over the damage")


def test_each_seamed_edge_is_cut_as_it_lies_to_the_pile() -> None:
    l_shape = ((0.0, 0.0), (30 * IN, 0.0), (30 * IN, 18 * IN), (16 * IN, 18 * IN), (10 * IN, 33 * IN), (0.0, 33 * IN))
    layout = a_layout(a_piece(outline=rectangle(40 * IN, 50 * IN))).whole(a_patch("landing", l_shape), "R-0142")
    lines = steps(layout, Style("Velder Loop", Construction.CUT))["Cut out the damage to match"].lines
    row_cut = "a row cut: part the pile with a blunt tool, blade between two rows of tufts."
    assert lines[1:4] == (
        f"landing, along the pile (right 18 in, left 33 in): {row_cut}",
        "landing, across the pile (bottom 30 in, top 14 in, top 10 in): a cross cut along a straightedge, square to the rows.",
        "landing, on a slant (slant 16 1/8 in): along a straightedge, row by row.",  # 6 across and 15 along: 16.16 in
    )
    looped = steps(layout, Style("Velder Loop", Construction.LOOP))["Cut out the damage to match"].lines
    assert looped[2].endswith("square to the rows; cut every loop through with scissors, and pull none.")
    circle = a_layout().whole(a_patch("burn", round_outline((0, 0), 7 * IN, outside=True).ring), "R-0142")
    lines = steps(circle)["Cut out the damage to match"].lines
    assert lines[1].startswith("burn, on a curve (curve 44 in): along the line drawn, row by row")  # 2 pi 7 in: 43.98


def test_a_cross_seam_in_loops_is_finished_with_scissors_and_a_side_seam_is_not() -> None:
    assert "Cut every loop through with scissors." in steps(a_joined_layout())["Join the parts of hall first"].lines[0]
    cut = Style("Velder Loop", Construction.CUT)
    assert "scissors" not in steps(a_joined_layout(), cut)["Join the parts of hall first"].lines[0]


def tools(layout: Layout, construction: Construction = Construction.LOOP, **more: Any) -> tuple[str, ...]:
    setting = Setting(layout.pieces, {"Velder Loop": Style("Velder Loop", construction)}, RULES, **more)
    return tools_of(layout.plan, layout.job, setting)


def test_the_van_holds_what_the_steps_call_for_and_no_more() -> None:
    joined = tools(a_joined_layout())
    assert {"seam iron with shield and stand", "tucking tool", "stapler", "scissors for loops", "gloves"} <= set(joined)
    assert {"pliers to lift carpet off its strip", "hammer and block for a metal edge"} <= set(joined)
    assert not {"trowel for adhesive", "pin and string", "blunt tool to part the pile"} & set(joined)
    assert len(set(joined)) == len(joined)
    glued = tools(a_joined_layout(), fixing=Fixing.GLUED)
    assert "trowel for adhesive" in glued and not {"seam iron with shield and stand", "kicker"} & set(glued)
    circle = a_layout().whole(a_patch("burn", round_outline((0, 0), 7 * IN, outside=True).ring), "R-0142")
    assert {"pin and string", "blunt tool to part the pile"} <= set(tools(circle, Construction.CUT))
    assert tools(a_layout().none(a_patch())) == ()


def test_a_stretched_donor_is_relaxed_and_measured_again_and_a_glued_one_is_not() -> None:
    lines = " ".join(steps(a_joined_layout())["Find and fetch the donors"].lines)
    assert "K-0031 was stretched, by 1 % or more each way: let it lie flat until it has drawn in, then measure it again" in lines
    assert "stretched" not in " ".join(steps(a_joined_layout(), fixing=Fixing.GLUED)["Find and fetch the donors"].lines)


def test_the_iron_goes_with_the_pile_only_where_the_seam_does() -> None:
    cross = " ".join(steps(a_joined_layout())["Join the parts of hall first"].lines)
    assert "with the pile" not in cross and "iron it along itself" in cross
    assert _iron_words({SeamKind.SIDE}) == "Run the iron in the direction of the pile."


def test_a_transition_has_no_strip_and_is_ended_as_its_floor_asks() -> None:
    made = steps(a_joined_layout())
    assert "No strip across a doorway: none is counted at the transitions." in made["Strip"].lines
    (line,) = made["Finish at the transitions"].lines
    for way in ("Metal edge", "Moulding", "Tucked to a hard floor", "Bare edge"):
        assert way in line
    assert "no more than 1/16 in above the carpet, a bead of sealer of 1/8 in or more" in line
    only_door = a_layout().whole(a_patch(edges=["seam", "transition", "seam", "seam"]), "R-0142")
    assert "Strip" not in steps(only_door)


@pytest.mark.parametrize(
    ("construction", "words"),
    [
        (Construction.LOOP, "every loop through, and finish with scissors"),
        (Construction.CUT, "between two rows of tufts"),
        (Construction.WOVEN, "woven edges run"),
    ],
)
def test_how_it_is_cut_follows_the_construction(construction: Construction, words: str) -> None:
    lines = steps(a_layout().whole(a_patch(), "R-0142"), Style("Velder Loop", construction))["Cut R-0142"].lines
    assert words in lines[-1]


def test_cautions_stand_where_the_danger_is() -> None:
    made = steps(a_joined_layout())
    assert made["Cut K-0031"].cautions == (Caution.KNIFE,)
    assert Caution.IRON in made["Join the parts of hall first"].cautions
    assert Caution.OLD_FLOOR in made["Cut out the damage to match"].cautions
    assert Caution.OLD_FLOOR in made["Find and fetch the donors"].cautions  # a laid donor is lifted off its floor
    assert made["Strip"].cautions == (Caution.PINS,)
    whole = steps(a_layout().whole(a_patch(), "R-0142"))
    assert Caution.OLD_FLOOR not in whole["Find and fetch the donors"].cautions


def test_the_old_floor_is_presumed_by_the_published_years() -> None:
    # OSHA presumes it in flooring of 1980 and before; UK guidance in buildings from before 2000.
    text = Caution.OLD_FLOOR.value.text
    assert "in the US presume it of asphalt or vinyl flooring laid no later than 1980" in text
    assert "in the UK presume it in any building built or refurbished before 2000" in text
    assert text.startswith("Local codes and licensed practice come first")
    assert "tested" in text
    assert "licensed practice" in text


def test_thick_carpet_needs_no_hand_check_for_points() -> None:
    thick = Style("Velder Loop", Construction.LOOP, pile_height_mm=9, backing_mm=3)
    titles = list(steps(a_joined_layout(), thick))
    assert "Check by hand for nail points" not in titles
    thin = Style("Velder Loop", Construction.LOOP, pile_height_mm=4, backing_mm=1)
    made = steps(a_joined_layout(), thin)
    assert "Check by hand for nail points" in made
    assert any("use class J" in line for line in made["Strip"].lines)


def test_a_glued_patch_is_set_in_adhesive() -> None:
    made = steps(a_joined_layout(), fixing=Fixing.GLUED)
    assert Caution.VAPOUR in made["Set the patch in adhesive"].cautions
    assert not {"Strip", "Make the pad good", "Tape the seams round the patch"} & set(made)


def test_a_heavy_donor_is_lifted_by_two() -> None:
    layout = a_layout(a_piece("R-9", rectangle(12 * FT, 10 * FT))).whole(a_patch(), "R-9")
    # 120 ft² = 11.148 m² at 2400 g/m²: 26.8 kg, over the 23 kg of the NIOSH equation's load constant.
    step = steps(layout)["Find and fetch the donors"]
    assert "about 26.8 kg" in step.lines[0]
    assert Caution.TWO_PEOPLE in step.cautions
    light = steps(layout, Style("Velder Loop", mass_g_m2=2000))["Find and fetch the donors"]
    assert "about 22.3 kg" in light.lines[0]
    assert Caution.TWO_PEOPLE not in light.cautions


def test_weight_is_area_times_mass() -> None:
    style = Style("Velder", mass_g_m2=2500)
    assert piece_load(a_piece(outline=rectangle(2000, 3000)), style, RULES).mass_kg == pytest.approx(15.0)
    load = piece_load(a_piece(outline=rectangle(2000, 3000)), None, changed(RULES, {"assumed_mass": 5000}))
    assert load.mass_kg == pytest.approx(30.0) and load.assumed and load.heavy


def test_a_plan_without_cuts_has_no_steps() -> None:
    assert steps(a_layout().none(a_patch())) == {}


def test_the_floor_of_a_laid_donor_is_made_good_by_jobs_of_their_own() -> None:
    layout = a_joined_layout()
    own, any_colour, anything, *joined = backfill_tries(layout.plan, layout.job, layout.pieces)
    holes, floor = own
    # Cut 1 is 16 x 24 in from the corner, cut 2 the same from 26 in up: 2 in between them are no part's width and go with them.
    (hole,) = holes.patches
    assert hole.name == "hole of cuts 1 and 2 in K-0031"
    assert bounds(hole.ring) == pytest.approx((0, 0, 16 * IN, 50 * IN))
    assert hole.pile_deg == layout.pieces["K-0031"].pile_deg and hole.max_parts == 1
    assert (hole.wanted.colour, hole.wanted.substitute) == ("Oatmeal", True)
    assert (any_colour[0].patches[0].wanted.style, any_colour[0].patches[0].wanted.colour) == ("Velder Loop", "")
    assert anything[0].patches[0].wanted.style == ""
    (whole,) = floor.patches
    assert whole.ring == layout.pieces["K-0031"].outline.ring and set(whole.edges) == {Finish.WALL}
    assert [len(jobs) for jobs in joined] == [1, 1, 1] and joined[0][0].patches[0].max_parts == 2
    kept = a_layout(a_piece(kind=Kind.KEPT)).whole(a_patch(), "R-0142")
    assert backfill_tries(kept.plan, kept.job, kept.pieces) == ()


def test_the_walls_of_a_closet_are_walls_and_what_stays_is_a_seam() -> None:
    layout = a_joined_layout()
    ((hole,), _) = (job.patches for job in backfill_tries(layout.plan, layout.job, layout.pieces)[0])
    sides = {}
    for start, end, finish in zip(hole.ring, (*hole.ring[1:], hole.ring[0]), hole.edges, strict=True):
        sides[round((start[0] + end[0]) / 2 / IN), round((start[1] + end[1]) / 2 / IN)] = finish
    # The closet is 34 x 70 in: the hole's left and lower sides are its walls.
    assert sides == {(8, 0): Finish.WALL, (0, 25): Finish.WALL, (16, 25): Finish.SEAM, (8, 50): Finish.SEAM}


def test_a_closet_is_filled_for_this_house_with_nothing_pinned_and_nobody_elses_carpet() -> None:
    layout = a_joined_layout()
    job = replace(layout.job, use=("K-0031",), may_use=frozenset(MayUse))
    for jobs in backfill_tries(layout.plan, job, layout.pieces):
        assert all((each.use, each.may_use, each.name) == ((), frozenset(), "Alder Court 7, backfill") for each in jobs)


def test_what_was_measured_from_a_photograph_is_checked_with_a_tape_before_it_is_cut() -> None:
    layout = a_layout().whole(a_patch(), "R-0142")
    marked = replace(
        layout,
        pieces={tag: replace(piece, photo_bar_mm=4.7625) for tag, piece in layout.pieces.items()},
        patches=[replace(patch, photo_bar_mm=3.175) for patch in layout.patches],
    )
    told, name = steps(marked), layout.job.patches[0].name
    by_tape = "was measured from a photograph, within {}: check it with a tape before you cut."
    assert told["Cut R-0142"].lines[0] == f"R-0142 {by_tape.format('3/16 in')}"
    assert told["Cut out the damage to match"].lines[0] == f"{name} {by_tape.format('1/8 in')}"
    assert not [line for step in steps(layout).values() for line in step.lines if "photograph" in line]
