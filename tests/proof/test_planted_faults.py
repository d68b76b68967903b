"""One fault planted in a right plan, for each question and each way to be wrong that it knows: the right question refuses it."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.geometry.outline import Outline, Ring
from remnants.model import Finish, Leftover, NoProof, PassedOver, Plan, RoomFigure, SeamKind, Short, Show, Verdict
from remnants.proof import QUESTIONS, check_plan
from tests.proof.plans import CUTOUT, PATTERNED, SHARED, THREE, TWO, Given, box, floor_turned, moved, pieces_turned_a_quarter

HALL_NET, RIGHT_NET = (part.net for part in TWO.plan.patches[0].parts)
HALL_CUT, RIGHT_CUT = (part.cut for part in TWO.plan.patches[0].parts)
PARTS, SEAMS = TWO.plan.patches[0].parts, TWO.plan.patches[0].seams
THREE_SEAMS = THREE.plan.patches[0].seams
LEFT, RIGHT = TWO.plan.leftovers
ANSWERS = SHARED.plan.patches
RING = SHARED.plan.leftovers[0].outline.ring
BOW = ((0.0, 0.0), (500.0, 0.0), (0.0, 850.0), (500.0, 850.0))
SLIT = ((0.0, 0.0), (500.0, 0.0), (500.0, 850.0), (250.0, 850.0), (250.0, 0.0), (250.0, 850.0), (0.0, 850.0))
SIDE = SEAMS[0].sentence
KITE = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 400.0), (100.0, 400.0))
UNSURE = NoProof("loft", proved=True, undecided=("R-5",))
TWICE = "two parts side by side make it, with a seam along the pile"


def loft_has(size: tuple[float, float], piece: str = "R-5") -> Given:
    """The loft's no told with a figure, across and along the pile."""
    return SHARED.planned(proof=(NoProof("loft", proved=True, figures=(RoomFigure(piece, 0.0, *size),)),))


def named(piece: str, given: Given) -> Given:
    """The second part of a hall cut from another piece, of which the leftover tells too."""
    return given.part(1, piece=piece).left(1, piece=piece)


def nicked(nick: Ring) -> Given:
    """The left part of a hall, a nick cut out of its allowance: corners that run on from the lower left one of its cut."""
    at = next(at for at, (x, y) in enumerate(HALL_CUT) if {x, y} & {nick[0][0], nick[0][1]} and _on_edge(at, nick[0]))
    return TWO.part(0, cut=(*HALL_CUT[: at + 1], *nick, *HALL_CUT[at + 1 :]))


def _on_edge(at: int, point: tuple[float, float]) -> bool:
    start, end = HALL_CUT[at], HALL_CUT[(at + 1) % len(HALL_CUT)]
    return math.isclose(math.dist(start, point) + math.dist(point, end), math.dist(start, end))


def holed(width: float, length: float, *cutouts: Ring) -> Outline:
    """A rectangle with cutouts."""
    return Outline(box(0, 0, width, length), cutouts)


SLIVER = TWO.stocked("R-2", outline=Outline(box(0, 0, 600, 850.02))).left(
    1, outline=Outline(box(0, 850, 600, 850.02)), largest=(0, 0), largest_at=(300, 850.01)
)
"""The hall of two, and a leftover 0.02 mm thick."""

INCHES = SHARED.planned(unit="in").made(
    0, reason=ANSWERS[0].reason.replace("450 mm", "17 11/16 in").replace("400 mm", "15 3/4 in")
)
"""The hall's cut told to a sixteenth of an inch: 449.26 and 400.05 mm."""

HOLE = box(1300, 500, 1310, 510)
MORE_CORNERS: tuple[Ring, Ring] = (
    ((0, 0), (450, 0), (450.004, 300), (450, 500), (450, 800), (0, 800)),
    ((450, 0), (1000, 0), (1000, 800), (450, 800), (450, 600)),
)
JOG = ((300.0, 900.0), (300.0, 870.0), (300.04, 870.0), (300.04, 850.0))
JOGGED: tuple[Ring, Ring] = ((0, 850), *JOG[::-1], (0, 900)), (*JOG, (600, 850), (600, 900))

FAULTS: dict[str, tuple[str, Given]] = {
    # what is told
    "it answers another job": ("job", TWO.planned(job="Birch Row 2")),
    "a patch more than asked": ("patches", TWO.planned(patches=TWO.plan.patches * 2)),
    "a patch left out": ("patches", SHARED.planned(patches=ANSWERS[:2])),
    "a patch by another name": ("patches", TWO.made(name="landing")),
    "two patches in each other's place": ("patches", SHARED.planned(patches=(*ANSWERS[1::-1], ANSWERS[2]))),
    "two parts told as whole": ("verdicts", TWO.made(verdict=Verdict.WHOLE)),
    "one part told as joined": ("verdicts", SHARED.made(verdict=Verdict.JOINED)),
    "no part told as whole": ("verdicts", SHARED.made(2, verdict=Verdict.WHOLE)),
    "three parts where two are allowed": ("verdicts", THREE.patched(max_parts=2)),
    "a joined patch in a job told as whole": ("job_verdict", TWO.planned(verdict=Verdict.WHOLE)),
    "a patch not made in a job told as joined": ("job_verdict", SHARED.planned(verdict=Verdict.JOINED)),
    "two patches made in a job told as none": ("job_verdict", SHARED.planned(verdict=Verdict.NONE)),
    "nothing told of a patch not made": ("short", SHARED.planned(short=())),
    "a patch that is made told as short": ("short", TWO.planned(short=(Short("hall", "Nothing matches."),))),
    "a piece cut and told as passed over": ("passed_over", TWO.planned(passed_over=(PassedOver("R-2", "not needed"),))),
    "cut from a piece that isn't there": ("pieces", named("R-7", TWO)),
    "cut from a piece of no known style": ("pieces", TWO.stocked("R-2", style="Velder Weave")),
    "a cut that crosses itself": ("outlines", TWO.part(0, cut=BOW)),
    "a cut with its corners the other way round": ("outlines", TWO.part(0, cut=HALL_CUT[::-1])),
    "a net with its corners the other way round": ("outlines", TWO.part(0, net=HALL_NET[::-1])),
    "a net of two corners": ("outlines", TWO.part(0, net=HALL_NET[:2])),
    "a cut that runs back on itself": ("outlines", TWO.part(0, cut=SLIT)),
    "a cut without end": ("outlines", TWO.part(0, cut=(*HALL_CUT[:3], (0.0, math.inf)))),
    "a turn that is no number": ("outlines", TWO.part(0, turn_deg=math.nan)),
    "a shift that is no number": ("outlines", TWO.part(0, shift=(math.nan, 0.0))),
    "a leftover that crosses itself": ("outlines", TWO.left(0, outline=Outline(BOW))),
    "a leftover with a hole outside of it": ("outlines", SHARED.left(0, outline=Outline(RING, (box(2000, 0, 2100, 9),)))),
    # each part on its piece
    "a cut over the edge of its piece": ("inside", TWO.stocked("R-2", outline=Outline(box(0, 0, 599.9, 900)))),
    "a cut beside its piece": ("inside", TWO.part(1, cut=moved(RIGHT_CUT, (5000, 0)), shift=(-4575, -25))),
    "a cut into a cutout": ("inside", SHARED.stocked("R-5", outline=holed(1500, 1000, box(800, 300, 900, 400)))),
    "a cutout in the middle of a cut": ("inside", TWO.stocked("R-2", outline=holed(600, 900, box(300, 300, 310, 310)))),
    "a cut into one of two cutouts": (
        "inside",
        TWO.stocked("R-2", outline=holed(600, 900, box(300, 300, 310, 310), box(590, 890, 595, 895))),
    ),
    "a cut that is a cutout": ("inside", TWO.stocked("R-2", outline=holed(600, 900, RIGHT_CUT))),
    "two parts from one place": ("cuts_apart", TWO.part(1, piece="R-1")),
    "two cuts that lie over one another by a little": (
        "cuts_apart",
        SHARED.part(0, 1, cut=moved(box(450, 0, 900, 350), (-0.03, 0)), shift=(-25, 874.97)),
    ),
    "the pile of a piece the other way": ("pile", TWO.stocked("R-2", pile_deg=180.0)),
    "a part turned a quarter": ("pile", SHARED.part(0, 0, turn_deg=90.0)),
    "a pile a thousandth of a degree off": ("pile", TWO.stocked("R-2", pile_deg=0.001)),
    "a pattern a millimetre off": ("pattern", PATTERNED.stocked("P-2", motif=(475, 126))),
    "a pattern half a repeat off across": ("pattern", PATTERNED.stocked("P-2", motif=(325, 125))),
    "a pattern off in the first part": ("pattern", PATTERNED.stocked("P-1", motif=(25, 26))),
    "parts whose patterns don't meet, where the room leaves it open": (
        "pattern",
        PATTERNED.patched(motif=None).stocked("P-2", motif=(475, 126)),
    ),
    "a pattern that nobody has recorded": ("pattern", PATTERNED.stocked("P-2", motif=None)),
    "a wall told as a seam": ("finishes", SHARED.part(0, 0, finishes=(Finish.SEAM,) * 4)),
    "a joint told as free": ("finishes", TWO.part(1, finishes=(*(Finish.SEAM,) * 3, Finish.FREE))),
    "finishes told of three edges of four": ("finishes", TWO.part(1, finishes=(Finish.SEAM,) * 3)),
    "a cut as large as its net, laid beside it": ("covered", TWO.part(1, shift=(500, -25))),
    "a cut laid the wrong way round": ("covered", TWO.part(1, turn_deg=180.0)),
    "no allowance at a wall": ("allowance", SHARED.part(0, 0, cut=box(0, 50, 450, 400))),
    "an allowance a tenth short along a seam": ("allowance", TWO.part(1, cut=box(0, 0, 599.9, 850))),
    "an allowance short at a joint": ("allowance", TWO.part(1, cut=box(0.1, 0, 600, 850))),
    "an allowance without its corner": ("allowance", TWO.part(1, cut=((0, 0), (590, 0), (600, 10), (600, 850), (0, 850)))),
    "an allowance nicked where an edge begins": ("allowance", nicked(((30, 0), (30, 20), (50, 20), (50, 0)))),
    "an allowance nicked where an edge ends": ("allowance", nicked(((450, 0), (450, 20), (470, 20), (470, 0)))),
    "an allowance nicked where a side begins": ("allowance", nicked(((500, 30), (480, 30), (480, 50), (500, 50)))),
    "an allowance nicked where a side ends": ("allowance", nicked(((500, 800), (480, 800), (480, 820), (500, 820)))),
    "an allowance nicked before a corner": ("allowance", nicked(((500, 15), (495, 15), (495, 22), (500, 22)))),
    "an allowance nicked past a corner": ("allowance", nicked(((486, 850), (486, 845), (478, 845), (478, 850)))),
    "an allowance that is more than was cut": ("allowance", SHARED.patched(0, edges=(Finish.WALL,) * 4)),
    # the parts of a patch
    "a net that sticks out of the patch": ("nets_inside", TWO.part(0, net=box(-1, 0, 450, 800))),
    "a net outside of the patch": ("nets_inside", TWO.part(0, net=box(-900, 0, -450, 800))),
    "a net past an inward corner": (
        "nets_inside",
        TWO.patched(ring=((0, 0), (1000, 0), (1000, 700), (900, 800), (0, 800)), edges=(Finish.SEAM,) * 5),
    ),
    "two nets that lie over one another": ("nets_apart", TWO.part(0, net=box(0, 0, 450.05, 800))),
    "the same net twice": ("nets_apart", TWO.part(1, net=HALL_NET)),
    "a part left out": ("bare", TWO.made(parts=PARTS[:1], seams=(), verdict=Verdict.WHOLE).planned(verdict=Verdict.WHOLE)),
    "a gap of a twentieth between two nets": ("bare", TWO.part(0, net=box(0, 0, 449.95, 800))),
    "a strip bare along the edge": ("bare", TWO.part(0, net=box(1, 0, 450, 800))),
    "a corner bare": ("bare", TWO.part(0, net=((0, 5), (5, 0), (450, 0), (450, 800), (0, 800)))),
    "a part narrower than the job allows": ("narrow", TWO.asked(min_part_mm=451.0)),
    "a part shorter than the job allows": ("narrow", THREE.asked(min_part_mm=351.0)),
    "a seam 5 m away": ("seams_drawn", TWO.seam(0, line=((5450, 0), (5450, 800)))),
    "a seam a millimetre away": ("seams_drawn", TWO.seam(0, line=((451, 0), (451, 800)))),
    "a seam drawn half as long": ("seams_drawn", TWO.seam(0, line=((450, 0), (450, 400)))),
    "a seam drawn aslant": ("seams_drawn", TWO.seam(0, line=((450, 0), (452, 800)))),
    "a seam drawn nowhere": ("seams_drawn", TWO.seam(0, line=((math.nan, 0), (450, 800)))),
    "a seam that joins a part to itself": ("seams_drawn", TWO.seam(0, parts=(1, 1))),
    "a seam to a part that there isn't": ("seams_drawn", TWO.seam(0, parts=(0, 2))),
    "a seam between other parts than meet there": ("seams_drawn", THREE.seam(0, parts=(0, 2))),
    "a joint without a seam": ("meetings_told", TWO.made(seams=())),
    "one joint of three without a seam": ("meetings_told", THREE.made(seams=THREE_SEAMS[:2])),
    "a seam told twice": ("meetings_told", TWO.made(seams=SEAMS * 2)),
    "a seam of a whole patch": ("meetings_told", SHARED.made(0, seams=SEAMS)),
    "two seams told as one": (
        "meetings_told",
        THREE.made(seams=(replace(THREE_SEAMS[0], line=((650, 0), (650, 800)), length_mm=800.0), THREE_SEAMS[2])),
    ),
    "a seam told half as long": ("seam_lengths", TWO.seam(0, length_mm=400.0)),
    "a seam told a millimetre longer": ("seam_lengths", TWO.seam(0, length_mm=801.0)),
    "a seam told without a length": ("seam_lengths", TWO.seam(0, length_mm=math.nan)),
    "a side seam told as a cross seam": ("seam_kinds", TWO.seam(0, kind=SeamKind.CROSS)),
    "a cross seam told as a side seam": ("seam_kinds", THREE.seam(2, kind=SeamKind.SIDE)),
    "a straight seam told as an angled one": ("seam_kinds", TWO.seam(0, kind=SeamKind.ANGLED)),
    "a seam aslant to the pile told as a side seam": ("seam_kinds", TWO.patched(pile_deg=5.0)),
    # what is left
    "a leftover 9 m off": ("left_inside", TWO.left(1, outline=Outline(box(0, 9850, 600, 9900)))),
    "a leftover a twentieth past the edge": ("left_inside", TWO.left(1, outline=Outline(box(0, 850, 600.05, 900)))),
    "a leftover of a piece that isn't cut": ("left_inside", TWO.left(1, piece="R-9")),
    "a leftover with a hole across its edge": ("outlines", SHARED.left(0, outline=Outline(RING, (box(1490, 0, 1510, 9),)))),
    "a leftover with two holes over one another": (
        "outlines",
        SHARED.left(0, outline=Outline(RING, (CUTOUT, box(1150, 350, 1250, 450)))),
    ),
    "a leftover that hides a cutout": ("left_inside", SHARED.left(0, outline=Outline(RING))),
    "a leftover over a cut": ("left_apart", TWO.left(1, outline=Outline(box(0, 849, 600, 900)))),
    "a leftover over one of two cuts": (
        "left_apart",
        SHARED.left(0, outline=Outline((*RING[:2], (450, 349), (900, 349), *RING[4:]), (CUTOUT,))),
    ),
    "a leftover that is a cut": ("left_apart", TWO.left(1, outline=Outline(RIGHT_CUT))),
    "a leftover that hides one of two cutouts": (
        "left_inside",
        SHARED.stocked("R-5", outline=holed(1500, 1000, CUTOUT, HOLE)).left(0, outline=Outline(RING, (CUTOUT,))),
    ),
    "a leftover told twice": ("left_apart", TWO.planned(leftovers=(*TWO.plan.leftovers, RIGHT))),
    "a leftover left out": ("left_complete", TWO.planned(leftovers=TWO.plan.leftovers[:1])),
    "a leftover a millimetre short": ("left_complete", TWO.left(1, outline=Outline(box(0, 851, 600, 900)))),
    "a leftover with a hole that isn't there": (
        "left_complete",
        SHARED.left(0, outline=Outline(RING, (CUTOUT, box(1300, 500, 1310, 510)))),
    ),
    "a leftover told as two": (
        "left_whole",
        TWO.planned(
            leftovers=(
                LEFT,
                replace(RIGHT, outline=Outline(box(0, 850, 300, 900)), largest=(300, 50)),
                replace(RIGHT, outline=Outline(box(300, 850, 600, 900)), largest=(300, 50), largest_at=(300, 850)),
            )
        ),
    ),
    "a leftover told as two along a line with a jog": (
        "left_whole",
        TWO.planned(
            leftovers=(
                LEFT,
                replace(RIGHT, outline=Outline(JOGGED[0]), largest=(300, 50)),
                replace(RIGHT, outline=Outline(JOGGED[1]), largest=(300, 50), largest_at=(300, 850)),
            )
        ),
    ),
    "a largest rectangle past its leftover": ("largest", TWO.left(1, largest=(600, 51))),
    "a largest rectangle elsewhere": ("largest", TWO.left(1, largest_at=(0, 0))),
    "a largest rectangle over a cutout": ("largest", SHARED.left(0, largest=(600, 1000), largest_at=(900, 0))),
    "a largest rectangle that could be wider": ("largest", TWO.left(0, largest=(600, 350))),
    "a largest rectangle that could be longer": ("largest", TWO.left(0, largest=(700, 340))),
    "a largest rectangle that could begin further down": ("largest", TWO.left(0, largest=(700, 340), largest_at=(0, 860))),
    "a largest rectangle that could begin further left": ("largest", TWO.left(0, largest=(690, 350), largest_at=(10, 850))),
    "a largest rectangle of nothing": ("largest", TWO.left(0, largest=(0, 350))),
    "a largest rectangle nowhere": ("largest", TWO.left(1, largest_at=(math.nan, 850))),
    "no rectangle told of a leftover that is none too thin": ("largest", TWO.left(1, largest=(0, 0))),
    "a rectangle of no width told of a sliver": ("largest", replace(SLIVER, plan=SLIVER.left(1, largest=(0, 5)).plan)),
    "a longer leftover told as waste than one worth keeping": ("worth", THREE.left(1, usable=True)),
    "a larger leftover told as waste than one worth keeping": ("worth", TWO.left(1, usable=True)),
    # figures and words in sentences
    "a cut told wider than it is": ("sizes_told", SHARED.made(0, reason=ANSWERS[0].reason.replace("450", "460"))),
    "a cut told a millimetre wider": ("sizes_told", SHARED.made(0, reason=ANSWERS[0].reason.replace("450", "451"))),
    "a cut told a sixteenth of an inch wider": (
        "sizes_told",
        INCHES.made(0, reason=ANSWERS[0].reason.replace("450 mm", "17 3/4 in")),
    ),
    "a cut told with its sides exchanged": (
        "sizes_told",
        SHARED.made(1, reason="The cut is 350 mm across by 450 mm along the pile, allowance included."),
    ),
    "a cut told in no measure": ("sizes_told", SHARED.made(1, reason=ANSWERS[1].reason.replace("450 mm", "wide"))),
    "a need told without its allowance": (
        "needs_told",
        SHARED.planned(short=(Short("loft", "loft needs 2000 mm across by 400 mm along the pile, allowance included."),)),
    ),
    "two reasons told of one patch": ("needs_told", SHARED.planned(short=(Short("loft", "Nothing in stock matches."),))),
    "three parts told of two": ("parts_told", TWO.made(reason=TWICE.replace("two", "three"))),
    "a seam along the pile told as across": ("parts_told", TWO.made(reason=TWICE.replace("along", "across"))),
    "a seam across the pile that isn't told": ("parts_told", THREE.made(reason=TWICE.replace("two", "three"))),
    "a sentence of another kind of seam": ("seams_told", TWO.seam(0, sentence=SIDE.replace("side", "cross"))),
    "a sentence of a seam that shows more": ("seams_told", TWO.seam(0, show=Show.STRONGLY)),
    "a sentence of a seam that shows less": ("seams_told", PATTERNED.seam(0, show=Show.CLEARLY)),
    "more repeats told than lie along a seam": (
        "repeats_told",
        PATTERNED.seam(0, sentence="The pattern repeats 4.2 times along it."),
    ),
    "a no called proved of a patch that is made": ("proved_only", SHARED.planned(proof=(NoProof("hall", proved=True),))),
    "a no called proved and undecided": ("proved_only", SHARED.planned(proof=(UNSURE,))),
    "figures that leave room for both parts": ("figures_bear", loft_has((1500, 1000))),
    "a piece told smaller than it is": ("figures_bear", loft_has((1500, 800))),
    "a piece that there isn't": ("figures_bear", loft_has((1500, 1000), piece="R-9")),
    "a turn of which nothing is told": ("figures_bear", loft_has((1500, 1000)).patched(2, turns=(0.0, 90.0))),
    "figures of a patch that is no rectangle": ("figures_bear", loft_has((1500, 1000)).patched(2, ring=KITE)),
    "repeats told of plain goods": ("repeats_told", TWO.seam(0, sentence="The pattern repeats 4.0 times along it.")),
}  # fmt: skip
"""By what is wrong: the question that must refuse it, and the plan."""


@pytest.mark.parametrize("given", [TWO, THREE, PATTERNED, SHARED], ids=["two", "three", "patterned", "shared"])
def test_the_plans_that_faults_are_planted_in_are_right(given: Given) -> None:
    assert given.refusals == {}


@pytest.mark.parametrize("what", FAULTS)
def test_a_planted_fault_is_refused_by_the_question_that_asks_for_it(what: str) -> None:
    question, given = FAULTS[what]
    assert question in given.refusals, given.refusals
    assert check_plan(given.job, given.pieces, {}, given.plan)


def test_every_question_has_a_planted_fault_and_a_name_of_its_own() -> None:
    names = [question.__name__ for question in QUESTIONS]
    assert len(set(names)) == len(names)
    assert {question for question, _ in FAULTS.values()} == set(names)
    assert all((question.__doc__ or "").rstrip().split("\n")[0].endswith("?") for question in QUESTIONS)


def test_the_explanation_tells_every_question() -> None:
    told = (Path(__file__).parents[2] / "docs" / "explanation" / "fitting.md").read_text(encoding="utf-8")
    for question in QUESTIONS:
        assert f"| `{question.__name__}` | {(question.__doc__ or '').splitlines()[0]} |" in told


PLANS = {"two": TWO, "three": THREE, "patterned": PATTERNED, "shared": SHARED}


@pytest.mark.parametrize("name", PLANS)
def test_a_plan_is_as_right_however_floor_and_pieces_lie(name: str) -> None:
    for given in (PLANS[name], pieces_turned_a_quarter(PLANS[name])):
        for degrees in (0.0, 90.0, 205.0):
            assert floor_turned(given, degrees).refusals == {}, degrees


@pytest.mark.parametrize("what", FAULTS)
def test_a_planted_fault_is_refused_however_floor_and_pieces_lie(what: str) -> None:
    question, given = FAULTS[what]
    for degrees in (90.0, 205.0):
        assert question in floor_turned(pieces_turned_a_quarter(given), degrees).refusals, degrees


def test_the_verdict_of_a_job_is_the_worst_of_its_patches() -> None:
    """A hall from two parts and one in one piece are joined; two in one piece are whole."""
    both = TWO.planned(patches=(*TWO.plan.patches, ANSWERS[0]))
    assert "job_verdict" not in both.refusals
    assert "job_verdict" in both.planned(verdict=Verdict.WHOLE).refusals
    whole = SHARED.planned(patches=ANSWERS[:2], verdict=Verdict.WHOLE)
    assert "job_verdict" not in whole.refusals


def test_two_parts_may_meet_round_a_corner_in_two_seams() -> None:
    """The corner is 100 by 150, less than a repeat either way."""
    low, rest = box(0, 0, 100, 150), ((100.0, 0.0), (1000.0, 0.0), (1000.0, 800.0), (0.0, 800.0), (0.0, 150.0), (100.0, 150.0))
    once = "The pattern repeats 1.0 times along it."
    side = replace(SEAMS[0], line=((100, 0), (100, 150)), length_mm=150.0, sentence=once)
    cross = replace(SEAMS[0], kind=SeamKind.CROSS, line=((0, 150), (100, 150)), length_mm=100.0, sentence=once)
    parts = tuple(
        replace(part, net=net, finishes=()) for part, net in zip(PATTERNED.plan.patches[0].parts, (low, rest), strict=True)
    )
    for degrees in (0.0, 205.0):
        told = floor_turned(PATTERNED.made(parts=parts, seams=(cross, side)), degrees).refusals
        assert not OF_SEAMS & set(told)
        assert "meetings_told" in floor_turned(PATTERNED.made(parts=parts, seams=(cross,)), degrees).refusals


OF_SEAMS = {"bare", "nets_apart", "seams_drawn", "meetings_told", "seam_lengths", "seam_kinds", "repeats_told"}


def test_a_seam_with_a_bend_is_two() -> None:
    left, right = ((0, 0), (450, 0), (452, 400), (450, 800), (0, 800)), ((450, 0), (1000, 0), (1000, 800), (450, 800), (452, 400))
    parts = replace(PARTS[0], net=left, finishes=()), replace(PARTS[1], net=right, finishes=())
    seams = tuple(
        replace(SEAMS[0], kind=SeamKind.ANGLED, line=line, length_mm=math.dist(*line), sentence="")
        for line in (((450.0, 0.0), (452.0, 400.0)), ((452.0, 400.0), (450.0, 800.0)))
    )
    straight = replace(SEAMS[0], line=((450, 0), (450, 800)), sentence="")
    for degrees in (0.0, 205.0):
        assert not OF_SEAMS & set(floor_turned(TWO.made(parts=parts, seams=seams), degrees).refusals)
        assert "meetings_told" in floor_turned(TWO.made(parts=parts, seams=(straight,)), degrees).refusals


BESIDE_FREE: dict[str, tuple[Ring, tuple[Finish, ...], Ring]] = {
    "before it": (
        ((0, 0), (400, 100), (400, 300), (0, 300)),
        (Finish.FREE, Finish.SEAM, Finish.SEAM, Finish.WALL),
        ((-75, -18.75), (0, 0), (400, 100), (425, 100), (425, 325), (-75, 325)),
    ),
    "after it": (
        ((0, 100), (400, 0), (400, 300), (0, 300)),
        (Finish.FREE, Finish.WALL, Finish.SEAM, Finish.SEAM),
        ((475, -18.75), (475, 325), (-25, 325), (-25, 100), (0, 100), (400, 0)),
    ),
}


@pytest.mark.parametrize("where", BESIDE_FREE)
def test_a_wall_at_an_acute_corner_runs_on_as_far_as_the_free_edge(where: str) -> None:
    """1 down in 4 along: 75 beyond the corner the free edge's line is 18.75 further down than the corner."""
    ring, edges, cut = BESIDE_FREE[where]
    (x, y), *others = cut
    assert (abs(y), abs(x) % 400) == (18.75, 75)

    def laid(first: tuple[float, float]) -> set[str]:
        part = replace(PARTS[0], net=ring, cut=moved((first, *others), (25, 75)), shift=(-25, -75), finishes=edges)
        return set(TWO.patched(ring=ring, edges=edges).made(parts=(part,), seams=(), verdict=Verdict.WHOLE).refusals)

    assert not {"allowance", "covered", "outlines", "finishes"} & laid((x, y))
    assert "allowance" in laid((x, 0.0))


def test_what_a_patch_needs_is_told_with_its_acute_corners() -> None:
    """75 + 400 + 25 across, and 18.75 + 300 + 25 along the pile."""
    ring, edges, _ = BESIDE_FREE["before it"]
    for told, right in (("500 mm across by 344 mm", True), ("500 mm across by 325 mm", False)):
        need = f"loft needs {told} along the pile, allowance included; no piece makes it whole."
        given = SHARED.patched(2, ring=ring, edges=edges).made(2, reason=need).planned(short=(Short("loft", need),))
        assert ("needs_told" not in given.refusals) is right


def test_an_edge_that_is_partly_a_wall_and_partly_a_seam_takes_the_allowance_of_each() -> None:
    """The right edge of the left part is a seam for 150, then a wall: 25 and then 75 beyond it."""
    patch: Ring = (0, 0), (1000, 0), (1000, 150), (600, 150), (600, 800), (0, 800)
    edges = (*(Finish.SEAM,) * 3, Finish.WALL, *(Finish.SEAM,) * 2)
    asked = {"allowance", "finishes", "covered", "bare"}

    def laid(seam: float, wall: float, told: Finish) -> set[str]:
        cut: Ring = (-25, -25), (600 + seam, -25), (600 + seam, 150), (600 + wall, 150), (600 + wall, 825), (-25, 825)
        one = replace(
            PARTS[0], net=box(0, 0, 600, 800), cut=moved(cut, (25, 25)), finishes=(Finish.SEAM, told, Finish.SEAM, Finish.SEAM)
        )
        two = replace(PARTS[1], net=box(600, 0, 1000, 150), cut=moved(box(575, -25, 1025, 175), (-425, 25)))
        return asked & set(TWO.patched(ring=patch, edges=edges).made(parts=(one, two)).refusals)

    assert laid(25, 75, Finish.SEAM) == laid(25, 75, Finish.WALL) == set()
    assert laid(24, 75, Finish.WALL) == laid(25, 74, Finish.WALL) == {"allowance"}
    assert laid(25, 75, Finish.FREE) == {"finishes"}


def test_at_a_blunt_corner_each_allowance_ends_with_its_edge() -> None:
    """A wall takes 75 and the seam after it, 45 degrees on, 25: their outer sides don't meet past the corner."""
    patch: Ring = (0, 0), (400, 0), (500, 100), (500, 300), (0, 300)
    edges = (Finish.WALL, *(Finish.SEAM,) * 4)
    reach = 25 * math.sqrt(2)
    cut: Ring = (-25, -75), (400, -75), (400, -reach), (525, 125 - reach), (525, 325), (-25, 325)
    part = replace(PARTS[0], net=patch, cut=moved(cut, (25, 75)), shift=(-25, -75), finishes=edges)
    given = TWO.patched(ring=patch, edges=edges).made(parts=(part,), seams=(), verdict=Verdict.WHOLE)
    assert not {"allowance", "covered", "bare", "finishes"} & set(given.refusals)
    less = replace(part, cut=moved((cut[0], (399, -75), (399, -reach), *cut[3:]), (25, 75)))
    assert "allowance" in given.made(parts=(less,)).refusals


RIGHT_STILL: dict[str, Given] = {
    "within the tolerance the piece may be short": TWO.stocked("R-2", outline=Outline(box(0, 0, 599.995, 900))),
    "a cut may be a hair short": TWO.part(1, cut=box(0, 0, 599.995, 850)),
    "nets may be a hair apart": TWO.part(0, net=box(0, 0, 449.995, 800)),
    "a seam may name its parts the other way round": TWO.seam(0, parts=(1, 0)),
    "and be drawn the other way round": TWO.seam(0, line=SEAMS[0].line[::-1]),
    "a pattern may be any number of repeats further": PATTERNED.stocked("P-2", motif=(475 - 600, 125 + 400)),
    "a patch may lie anywhere in the room's pattern where nothing is asked": PATTERNED.patched(motif=None),
    "a half turn where the patch allows it": TWO.patched(turns=(0.0, 180.0)),
    "a bearing told as a whole turn more": TWO.stocked("R-2", pile_deg=360.0),
    "finishes need not be told": TWO.part(0, finishes=()),
    "nor sentences": TWO.seam(0, sentence="").made(reason=""),
    "a leftover may begin at any corner": TWO.left(0, outline=Outline((*LEFT.outline.ring[2:], *LEFT.outline.ring[:2]))),
    "a leftover may be so thin that no rectangle is told of it": SLIVER,
    "or half a millimetre wide": THREE.stocked("R-2", outline=Outline(box(0, 0, 400.6, 500))).left(
        1, outline=Outline(box(400, 0, 400.6, 500)), largest=(0.6, 500)
    ),
    "or half a millimetre long": TWO.stocked("R-2", outline=Outline(box(0, 0, 600, 850.6))).left(
        1, outline=Outline(box(0, 850, 600, 850.6)), largest=(600, 0.6)
    ),
    "a size may be told in inches, to a sixteenth": INCHES,
    "and what a joined patch would need in one piece": TWO.made(
        reason=f"hall needs 1050 mm across by 850 mm along the pile, allowance included; {TWICE}."
    ),
    "a net may have corners more along the seam": TWO.part(0, net=MORE_CORNERS[0], finishes=()).part(
        1, net=MORE_CORNERS[1], finishes=()
    ),
    "a motif may be asked anywhere": PATTERNED.patched(motif=(10.0, 20.0))
    .stocked("P-1", motif=(35, 45))
    .stocked("P-2", motif=(485, 145)),
    "a leftover as long but narrower may be waste": THREE.left(2, usable=True),
    "and one as wide but shorter": THREE.left(0, usable=True).left(1, usable=True),
    "and waste be told as worth keeping": TWO.left(0, usable=True),
}


@pytest.mark.parametrize("what", RIGHT_STILL)
def test_what_makes_no_difference_on_the_floor_is_not_refused(what: str) -> None:
    assert RIGHT_STILL[what].refusals == {}
    assert floor_turned(RIGHT_STILL[what], 205.0).refusals == {}


def test_a_plan_of_nothing_is_proved_to_tell_nothing() -> None:
    nothing = Plan("Alder Court 7", Verdict.NONE, ())
    assert set(replace(TWO, plan=nothing).refusals) == {"patches"}
    assert set(replace(TWO, plan=replace(nothing, verdict=Verdict.WHOLE)).refusals) == {"patches", "job_verdict"}
    wrong = (Leftover("R-1", Outline(box(0, 0, 700, 1200)), (700, 1200)),)
    assert set(replace(TWO, plan=replace(nothing, leftovers=wrong)).refusals) == {"patches", "left_inside"}
