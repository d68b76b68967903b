"""One fault planted in a right order, for each question and each way to be wrong that it knows: the right question refuses it."""

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from remnants.errors import Unproved
from remnants.geometry.outline import Outline, Ring
from remnants.model import Candidate, Grade, Leftover, Repeat, SeamKind
from remnants.model.money import Money
from remnants.model.order_plan import ROLL, CutKind, Sum, Taken
from remnants.model.order_rules import RepeatRule, RollThere
from remnants.model.rooms import Room, RoomPart
from remnants.proof.orders import QUESTIONS, check_order, prove_order
from remnants.rules import KeepRule
from tests.proof.orders import AS_ONE, DOOR, LOUNGE, PATTERNED, STAIRS, GivenOrder, a_candidate, turned_a_quarter
from tests.proof.plans import box

ONE, TWO = LOUNGE.plan.layings[0].cuts
SEAM = LOUNGE.plan.layings[0].seams[0]
OF_ROLL, OF_PIECE = LOUNGE.plan.leftovers
JOIN = DOOR.plan.layings[0].seams[0]
RUNS = STAIRS.plan.layings[0].cuts
WHOLE = AS_ONE.plan.floors.rooms[0]
TO_DEN, TO_HALL = (room.doorways[0] for room in DOOR.floors.rooms)
WHOLE_RING = WHOLE.outline.ring
RIGHT_NET = ((3500, 0), (7000, 0), (7000, 4000), (4000, 4000), (4000, 5000), (3500, 5000))
POST = box(5000, 1000, 5400, 1400)
ISLAND, HOLE = box(3000, 2000, 3400, 2400), box(500, 500, 510, 510)


def asked(given: GivenOrder, *rooms: Room) -> GivenOrder:
    """The same order for other rooms."""
    return replace(given, floors=replace(given.floors, rooms=rooms))


def laid_as(**changes: Any) -> GivenOrder:
    """Hall and den laid as another room."""
    return AS_ONE.planned(floors=replace(AS_ONE.plan.floors, rooms=(replace(WHOLE, **changes),)))


def euros(minor: int) -> Money:
    return Money(minor, "EUR")


def joined_end_to_end(allowed: int) -> GivenOrder:
    """The narrow breadth of the lounge from two lengths, the seam at y = 2500."""
    low = replace(ONE, name="Lounge 1a", net=Outline(box(0, 0, 2065, 2500)), box=(-40, -40, 2090, 2525), length_mm=2565.0)
    high = replace(ONE, name="Lounge 1b", net=Outline(box(0, 2500, 2065, 5000)), box=(-40, 2475, 2090, 5040), length_mm=2565.0)
    cross = replace(SEAM.seam, kind=SeamKind.CROSS, line=((0, 2500), (2065, 2500)), length_mm=2065.0, sentence="cross seam")
    given = LOUNGE.laid(cuts=(low, high, TWO), seams=(SEAM, replace(SEAM, seam=cross)))
    return given.ruled(cross_seams=allowed)


def with_an_island(island: Ring) -> GivenOrder:
    """A post of 400 x 400 in the lounge that the carpet is laid round."""
    net = Outline(box(2065, 0, 6000, 5000), (ISLAND,))
    return LOUNGE.room(outline=Outline(box(0, 0, 6000, 5000), (island,))).cut(1, net=net).planned(floor_mm2=32e6 - 160_000)


def with_a_post(given: GivenOrder) -> GivenOrder:
    """The same order for a den with a post, 1000 from either wall."""
    hall, den = given.floors.rooms
    return asked(given, hall, replace(den, outline=Outline(den.outline.ring, (box(1000, 1000, 1400, 1400),))))


def of_the_lot(candidate: Candidate) -> Candidate:
    """The same, matched as of the lot that was asked for."""
    return replace(candidate, match=replace(candidate.match, grade=Grade.SAME_LOT))


OF_STOCK = replace(
    LOUNGE.planned(
        floors=replace(LOUNGE.plan.floors, rooms=LOUNGE.plan.floors.rooms[1:]),
        layings=LOUNGE.plan.layings[1:],
        placed=LOUNGE.plan.placed[2:],
        leftovers=(OF_PIECE,),
        length_mm=0.0,
        bound_mm=0.0,
        stock_bound_mm=0.0,
        least_mm=0.0,
        ordered_mm=0.0,
        floor_mm2=2e6,
        kept_mm2=0.0,
        sums=(Sum(euros(0), euros(0), euros(2_640), euros(2_640)),),
    ),
    floors=replace(LOUNGE.floors, rooms=LOUNGE.floors.rooms[1:]),
)
"""The closet of the lounge alone, from a piece in stock."""

MOVED_PIECE = replace(
    LOUNGE.placed(2, at=(500.0, 70.0)).left(
        1,
        outline=Outline(tuple((x + 500, y + 70) for x, y in OF_PIECE.outline.ring)),
        largest_at=(OF_PIECE.largest_at[0] + 500, OF_PIECE.largest_at[1] + 70),
    ),
    stock=(replace(LOUNGE.stock[0], piece=replace(LOUNGE.stock[0].piece, outline=Outline(box(500, 70, 1700, 2270)))),),
)
"""The same order from a piece that was measured from another corner of the shelf."""

MOTIF_ASKED = (
    PATTERNED.room(0, motif=(120.0, 230.0))
    .cut(0, origin=(120.0, 230.0))
    .placed(0, at=(380.0, 270.0))
    .planned(length_mm=2270.0, bound_mm=2270.0, least_mm=2000.0, ordered_mm=2270.0)
)
"""The study, its motif asked off the corner: the cut is taken so far up the roll that it falls there."""

A, B = RollThere("A", 6000.0, "77"), RollThere("B", 5000.0, "77")
ROLLS = DOOR.rolled(there=(A, B), lot="77").planned(
    rolls=(Taken("A", "77", 0.0, 5000.0, 5000.0), Taken("B", "77", 5000.0, 4000.0, 4000.0))
)
"""The hall from one roll, the den from another of its lot."""

ROLLS_OF_LOUNGE = (
    LOUNGE.rolled(there=(replace(A, length_mm=5100.0), replace(B, length_mm=5200.0)), lot="77")
    .planned(rolls=(Taken("A", "77", 0.0, 5080.0, 5100.0), Taken("B", "77", 5100.0, 5060.0, 5100.0)))
    .placed(1, at=(0.0, 5100.0))
)

FAULTS: dict[str, tuple[str, GivenOrder]] = {
    # what it is for
    "a room that nobody asked for": (
        "floors_asked",
        replace(LOUNGE, floors=replace(LOUNGE.floors, rooms=LOUNGE.floors.rooms[:1])),
    ),
    "a room made smaller": (
        "floors_asked",
        replace(LOUNGE, floors=LOUNGE.room(1, outline=Outline(box(0, 0, 1000, 2100))).floors),
    ),
    "stairs with a step less": (
        "floors_asked",
        replace(STAIRS, floors=replace(STAIRS.floors, stairs=(replace(STAIRS.floors.stairs[0], steps=12),))),
    ),
    "a floor that isn't laid": ("cuts_placed", LOUNGE.planned(layings=LOUNGE.plan.layings[:1])),
    "a cut that comes from nowhere": ("cuts_placed", LOUNGE.planned(placed=LOUNGE.plan.placed[1:])),
    "a cut from two places": ("cuts_placed", LOUNGE.planned(placed=(*LOUNGE.plan.placed, LOUNGE.plan.placed[0]))),
    "a cut of another size than is laid": ("cuts_placed", LOUNGE.placed(0, cut=replace(TWO, length_mm=5000.0))),
    "rooms laid as one over each other": ("as_one", laid_as(parts=(WHOLE.parts[0], RoomPart("Den", (3990.0, 0.0))))),
    "rooms laid as one that lack some of their floor": (
        "as_one",
        laid_as(parts=(WHOLE.parts[0], RoomPart("Den", (4010.0, 0.0)))),
    ),
    "rooms laid as one with a room left out": ("floors_asked", laid_as(parts=WHOLE.parts[:1])),
    "a pile that was asked for one of the rooms laid as one": (
        "as_one_pile",
        asked(AS_ONE, AS_ONE.floors.rooms[0], replace(AS_ONE.floors.rooms[1], pile_deg=90.0)),
    ),
    "rooms laid as one without the trim at a wall": ("as_one_trims", laid_as(trims_mm=(0.0, *WHOLE.trims_mm[1:]))),
    "a wall between rooms that is thinner than its trims": (
        "as_one_trims",
        laid_as(
            outline=Outline(((0, 0), (7000, 0), (7000, 4000), (4050, 4000), (4050, 500), (4000, 500), (4000, 5000), (0, 5000))),
            trims_mm=(40.0,) * 8,
        ),
    ),
    "a wall along the other way that is thinner than its trims": (
        "as_one_trims",
        laid_as(
            outline=Outline(((0, 0), (7000, 0), (7000, 4000), (3500, 4000), (3500, 4050), (4000, 4050), (4000, 5000), (0, 5000))),
            trims_mm=(40.0,) * 8,
        ),
    ),
    "rooms laid as one that lack an island": (
        "as_one",
        with_a_post(laid_as(outline=Outline(WHOLE_RING))),
    ),
    "rooms laid as one with an island elsewhere": (
        "as_one",
        with_a_post(laid_as(outline=Outline(WHOLE_RING, (ISLAND,)))),
    ),
    # each floor
    "a strip of floor without carpet": ("filled", LOUNGE.cut(0, net=Outline(box(0, 0, 2064, 5000)))),
    "a hole in the carpet": ("filled", LOUNGE.cut(0, net=Outline(box(0, 0, 2065, 5000), (box(500, 500, 501, 501),)))),
    "a cut of a room that covers no floor": ("filled", LOUNGE.cut(0, net=None)),
    "carpet beyond the walls": ("within_walls", LOUNGE.cut(0, net=Outline(box(-1, 0, 2065, 5000)))),
    "carpet over an island": (
        "within_walls",
        LOUNGE.room(outline=Outline(box(0, 0, 6000, 5000), (ISLAND,))),
    ),
    "the same floor twice": ("floor_once", LOUNGE.cut(0, net=Outline(box(0, 0, 2066, 5000)))),
    "a breadth wider than the roll": ("breadths", LOUNGE.rolled(width_mm=3999.0)),
    "a fill narrower than the rules allow": ("fills", LOUNGE.ruled(least_fill_mm=2066.0)),
    "a trim a millimetre short at a wall": ("trims", LOUNGE.cut(0, box=(-39, -40, 2090, 5040))),
    "a trim short at the end": ("trims", LOUNGE.cut(1, box=(2040, -40, 6040, 5039))),
    "a trim short at a seam": ("trims", LOUNGE.cut(0, box=(-40, -40, 2089, 5040))),
    "a join end to end where none is allowed": ("joins_allowed", joined_end_to_end(0)),
    "a seam 5 m away": ("seams_drawn", LOUNGE.seam(line=((2065, 5000), (2065, 10000)))),
    "a seam a millimetre away": ("seams_drawn", LOUNGE.seam(line=((2066, 0), (2066, 5000)))),
    "a seam that goes on past the wall": ("seams_drawn", LOUNGE.seam(line=((2065, 0), (2065, 5001)), length_mm=5001.0)),
    "a seam of no length": ("seams_drawn", LOUNGE.seam(line=((2065, 0), (2065, 0)), length_mm=0.0)),
    "a joint without a seam": ("meetings_told", LOUNGE.laid(seams=())),
    "a seam half as long as the joint": ("meetings_told", LOUNGE.seam(line=((2065, 0), (2065, 2500)), length_mm=2500.0)),
    "a seam told twice": ("meetings_told", LOUNGE.laid(seams=(SEAM, SEAM))),
    "a seam told half as long as it is drawn": ("seams_told", LOUNGE.seam(length_mm=2500.0)),
    "a side seam told as a cross seam": ("seams_told", LOUNGE.seam(kind=SeamKind.CROSS)),
    "a sentence of another kind of seam": ("seams_told", LOUNGE.seam(sentence="cross seam in cut pile")),
    "a doorway without its seam": ("doorways", DOOR.laid(seams=())),
    "a doorway whose seam is told twice": ("doorways", DOOR.laid(seams=(JOIN, JOIN))),
    "a join where no doorway is": (
        "doorways",
        DOOR.laid(seams=(JOIN, replace(JOIN, seam=replace(JOIN.seam, line=((4000, 3000), (4000, 4000)))))),
    ),
    "connected rooms with their piles at odds": ("piles", DOOR.laid(1, pile_deg=90.0)),
    "another pile than was asked for": ("piles", LOUNGE.laid(pile_deg=180.0)),
    "a step without carpet": ("stairs", STAIRS.cut(2, steps=5)),
    "a run too narrow for its steps": ("stairs", STAIRS.cut(1, box=(0, 0, 799, 3010))),
    "a run too short for its steps": ("stairs", STAIRS.cut(1, length_mm=3000.0)),
    "no cut large enough for a winder": ("stairs", STAIRS.cut(0, box=(0, 0, 890, 900))),
    "a run whose pattern begins anew": ("stairs", STAIRS.cut(2, box=(0, 0, 800, 2580))),
    "a cut of the stairs taken for a floor's": ("stairs", STAIRS.cut(0, kind=CutKind.FILL)),
    # the roll and the pieces
    "a cut shorter than its floor and trims": ("lengths", LOUNGE.cut(0, length_mm=5079.0)),
    "a cut without the repeat that the cautious rule adds": (
        "lengths",
        STAIRS.ruled(repeat_rule=RepeatRule.CAUTIOUS).cut(0, length_mm=1000.0),
    ),
    "a cut that is no whole number of repeats": ("lengths", STAIRS.cut(2, length_mm=3100.0)),
    "a cut that is no whole number of steps": ("steps", LOUNGE.ruled(cut_step_mm=7.0)),
    "a cut rounded up by more than a step": ("steps", LOUNGE.ruled(cut_step_mm=10.0).cut(0, rounded_mm=(0.0, 11.0))),
    "a trim that is told as rounding": ("trims", LOUNGE.cut(0, rounded_mm=(5.0, 0.0))),
    "a roll told shorter than the cuts": ("roll_length", LOUNGE.planned(length_mm=10_000.0)),
    "a bound above what is taken": ("roll_length", LOUNGE.planned(bound_mm=10_161.0)),
    "a least length above what is taken": ("roll_length", LOUNGE.planned(least_mm=10_161.0)),
    "a bound with stock above what is taken": ("roll_length", LOUNGE.planned(stock_bound_mm=10_161.0)),
    "less ordered than is cut": ("ordered", LOUNGE.planned(ordered_mm=10_100.0)),
    "more ordered than the step makes necessary": ("ordered", LOUNGE.planned(ordered_mm=10_300.0)),
    "a whole step more ordered than the cuts take": ("ordered", LOUNGE.rolled(step_mm=80.0).planned(ordered_mm=10_240.0)),
    "a step ordered of which nothing is cut": ("ordered", OF_STOCK.planned(ordered_mm=100.0)),
    "ordered in no whole steps": ("ordered", LOUNGE.planned(ordered_mm=10_170.0)),
    "less ordered than the supplier sells": ("ordered", LOUNGE.rolled(least_mm=20_000.0)),
    "a roll shorter than what is taken of it": ("rolls_there", ROLLS.rolled(there=(replace(A, length_mm=4900.0), B))),
    "a roll that isn't there": ("rolls_there", ROLLS.rolled(there=(A,))),
    "a roll cut twice": ("rolls_there", ROLLS.took(1, name="A")),
    "a roll told of another lot": ("rolls_there", ROLLS.took(1, lot="8")),
    "a roll that starts before the other ends": ("rolls_there", ROLLS.took(1, start_mm=4990.0)),
    "lengths of rolls that nobody tells apart": ("rolls_there", ROLLS.planned(rolls=())),
    "rolls told where a roll is as long as it takes": ("rolls_there", ROLLS.rolled(there=())),
    "less taken of a roll than is cut": ("ordered", ROLLS.took(0, ordered_mm=4900.0)),
    "a roll's end loss forgotten": ("ordered", ROLLS.rolled(end_loss_mm=10.0)),
    "rolls that don't add up": ("ordered", ROLLS.planned(ordered_mm=9100.0)),
    "cuts that end elsewhere on their roll": ("roll_length", ROLLS.took(1, length_mm=3900.0)),
    "a floor cut from two rolls": ("one_roll", ROLLS_OF_LOUNGE),
    "floors seen together from rolls of two lots": (
        "lots",
        ROLLS.rolled(there=(A, replace(B, lot="8")), lot="").took(1, lot="8"),
    ),
    "floors seen together from rolls of lots that nobody told": (
        "lots",
        ROLLS.rolled(there=(replace(A, lot=""), replace(B, lot="")), lot="").took(0, lot="").took(1, lot=""),
    ),
    "a cut over the side of the roll": ("on_roll", LOUNGE.placed(1, at=(1871.0, 5080.0))),
    "a cut before the start of the roll": ("on_roll", LOUNGE.placed(0, at=(0.0, -1.0))),
    "a cut from a piece that isn't there": ("on_pieces", LOUNGE.placed(2, source="R-9")),
    "a cut over the edge of its piece": ("on_pieces", LOUNGE.placed(2, at=(121.0, 0.0))),
    "a cut into a cutout of its piece": (
        "on_pieces",
        replace(LOUNGE, stock=(a_candidate("R-1", 1200, 2200, HOLE),)),
    ),
    "two cuts from one place on the roll": ("cuts_apart", LOUNGE.placed(1, at=(0.0, 5079.0))),
    "two lots on one floor": ("lots", LOUNGE.placed(1, source="R-1")),
    "two lots in view of each other": (
        "lots",
        replace(DOOR.placed(1, source="R-2", at=(0.0, 0.0)), stock=(a_candidate("R-2", 3000, 4000),)),
    ),
    "a piece of the right lot where nobody knows the roll's": (
        "lots",
        replace(DOOR.placed(1, source="R-2", at=(0.0, 0.0)), stock=(of_the_lot(a_candidate("R-2", 3000, 4000)),)),
    ),
    "a pattern 3 mm off on the roll": ("pattern", PATTERNED.placed(0, at=(0.0, 3.0))),
    "a pattern 3 mm off where it was asked for": ("pattern", PATTERNED.cut(0, origin=(500.0, 1003.0)).placed(0, at=(0.0, -3.0))),
    "a pattern that isn't placed": ("pattern", PATTERNED.cut(0, origin=None)),
    "a pattern of a piece that nobody has recorded": (
        "pattern",
        replace(PATTERNED.placed(0, source="P-1"), stock=(a_candidate("P-1", 4000, 3000),)),
    ),
    "two patterns on one floor": ("pattern", STAIRS.cut(2, origin=(0.0, 500.0))),
    # what is left, and what it comes to
    "a leftover of a piece that isn't cut": ("left_inside", LOUNGE.left(1, piece="R-9")),
    "a leftover past the end of the roll": (
        "left_inside",
        LOUNGE.left(0, outline=Outline((*OF_ROLL.outline.ring[:2], (4000, 10201), (0, 10201), *OF_ROLL.outline.ring[4:]))),
    ),
    "a leftover over a cut": ("left_apart", LOUNGE.left(1, outline=Outline(box(1000, 0, 1200, 2200)))),
    "a leftover told twice": ("left_apart", LOUNGE.planned(leftovers=(OF_ROLL, OF_ROLL, OF_PIECE))),
    "a leftover left out": ("left_complete", LOUNGE.planned(leftovers=(OF_ROLL,))),
    "a leftover told as two": (
        "left_whole",
        LOUNGE.planned(
            leftovers=(
                replace(OF_ROLL, outline=Outline(box(2130, 5080, 4000, 10200))),
                Leftover(ROLL, Outline(box(0, 10160, 2130, 10200)), (2130, 40), (0, 10160), usable=False),
                OF_PIECE,
            )
        ),
    ),
    "a largest rectangle that could be longer": ("largest", LOUNGE.left(0, largest=(1870, 5000))),
    "a largest rectangle over a cut": ("largest", LOUNGE.left(1, largest=(200, 2200), largest_at=(1000, 0))),
    "a small leftover told as worth keeping": ("worth", LOUNGE.left(1, usable=True)),
    "a large leftover told as waste": ("worth", LOUNGE.left(0, usable=False)),
    "a floor told smaller": ("areas", LOUNGE.planned(floor_mm2=31e6)),
    "more told as kept of the roll than is": ("areas", LOUNGE.planned(kept_mm2=9_700_000.0)),
    "less told as lost of the pieces than is": ("areas", LOUNGE.planned(spent_mm2=0.0)),
    "less told as lost of a piece that lies turned": ("areas", turned_a_quarter(LOUNGE.planned(spent_mm2=0.0))),
    "rounding told two cents cheaper": (
        "money",
        LOUNGE.planned(exact_mm=10_160.0).summed(rounding=euros(318)),  # 40 mm of 4 m goods at 20.00 a m² are 3.20
    ),
    "a roll told a cent cheaper": ("money", LOUNGE.summed(roll=euros(81_599), net=euros(74_579))),
    "a credit told a cent higher": ("money", LOUNGE.summed(credit=euros(9_661), net=euros(74_579))),
    "stock told a cent cheaper": ("money", LOUNGE.summed(stock=euros(2_639), net=euros(74_579))),
    "a sum that doesn't add up": ("money", LOUNGE.summed(net=euros(74_579))),
    "a sum in another currency": ("money", LOUNGE.summed(roll=Money(81_600, "USD"))),
    "a sum left out": ("money", LOUNGE.planned(sums=())),
}
"""By what is wrong: the question that must refuse it, and the order."""

RIGHT = {"rolls": ROLLS, "lounge": LOUNGE, "as one": AS_ONE, "door": DOOR, "patterned": PATTERNED, "stairs": STAIRS}


@pytest.mark.parametrize("name", RIGHT)
def test_the_orders_that_faults_are_planted_in_are_right(name: str) -> None:
    assert RIGHT[name].refusals == {}


@pytest.mark.parametrize("what", FAULTS)
def test_a_fault_planted_in_an_order_is_refused_by_the_question_that_asks_for_it(what: str) -> None:
    question, given = FAULTS[what]
    assert question in given.refusals, given.refusals
    with pytest.raises(Unproved):
        prove_order(given.plan, given.floors, given.rules, given.stock)


def test_every_question_of_an_order_has_a_planted_fault_and_a_name_of_its_own() -> None:
    names = [question.__name__ for question in QUESTIONS]
    assert len(set(names)) == len(names)
    assert {question for question, _ in FAULTS.values()} == set(names)
    assert all((question.__doc__ or "").rstrip().split("\n")[0].endswith("?") for question in QUESTIONS)


RIGHT_STILL: dict[str, GivenOrder] = {
    "a seam drawn the other way round": LOUNGE.seam(line=((2065, 5000), (2065, 0))),
    "a seam told as two that follow one another": LOUNGE.laid(
        seams=tuple(
            replace(SEAM, seam=replace(SEAM.seam, line=((2065, low), (2065, high)), length_mm=high - low))
            for low, high in ((0.0, 2000.0), (2000.0, 5000.0))
        )
    ),
    "cuts that are whole steps already": LOUNGE.ruled(cut_step_mm=10.0),
    "rounding told as what it comes to": LOUNGE.planned(exact_mm=10_160.0).summed(rounding=euros(320)),
    "all of it from stock": OF_STOCK,
    "a piece measured from another corner": MOVED_PIECE,
    "a length that is whole steps already": LOUNGE.rolled(step_mm=80.0)
    .planned(ordered_mm=10_160.0, kept_mm2=9_659_600.0 - 40 * 4000.0)
    .left(
        0,
        outline=Outline(((2130, 5080), (4000, 5080), (4000, 10160), (2130, 10160))),
        largest=(1870, 5080),
    )
    .ruled(prices=())
    .planned(sums=()),
    "a cut a hair narrower": LOUNGE.cut(0, box=(-39.995, -40, 2090, 5040)),
    "a bearing told as a whole turn more": LOUNGE.laid(pile_deg=360.0),
    "a pattern any number of repeats on": PATTERNED.cut(0, origin=(1500.0, -1000.0)),
    "floors and pieces that lie turned a quarter": turned_a_quarter(LOUNGE),
    "an island in rooms laid as one": with_a_post(laid_as(outline=Outline(WHOLE_RING, (POST,))))
    .cut(1, net=Outline(RIGHT_NET, (POST,)))
    .planned(floor_mm2=32e6 - 160_000),
    "a seam that runs through an opening between rooms laid as one": AS_ONE.laid(
        seams=(replace(AS_ONE.plan.layings[0].seams[0], to="Den"),)
    ),
    "an island, seen whichever way its corners are told": with_an_island(ISLAND),
    "and the other way": with_an_island(ISLAND[::-1]),
    "no lot told apart behind a door that stays shut": DOOR.room(0, doorways=(replace(TO_DEN, shut=True),)).room(
        1, doorways=(replace(TO_HALL, shut=True),)
    ),
}


@pytest.mark.parametrize("what", RIGHT_STILL)
def test_what_makes_no_difference_on_the_floor_is_not_refused_of_an_order(what: str) -> None:
    assert RIGHT_STILL[what].refusals == {}


def test_a_pattern_falls_where_it_was_asked_however_the_floor_lies() -> None:
    for given in (MOTIF_ASKED, turned_a_quarter(MOTIF_ASKED)):
        assert "pattern" not in given.refusals
        assert "pattern" in given.placed(0, at=(380.0, 271.0)).refusals
        assert "pattern" in given.cut(0, origin=(121.0, 230.0)).placed(0, at=(379.0, 270.0)).refusals


def test_a_pattern_is_counted_from_the_motif_of_a_piece_however_it_lies() -> None:
    candidate = a_candidate("P-1", 4000, 3000)
    piece = replace(candidate, piece=replace(candidate.piece, motif=(130.0, 40.0)))
    taken = replace(PATTERNED.placed(0, source="P-1", at=(130.0, 40.0)), stock=(piece,))
    for given in (taken, turned_a_quarter(taken)):
        assert not {"pattern", "on_pieces"} & set(given.refusals)
        assert "pattern" in given.placed(0, at=(131.0, 40.0)).refusals


def test_a_pattern_goes_on_from_run_to_run() -> None:
    """Five, four and four steps of 430: they begin at 0, 2150 and 3870."""

    def in_three(begins: float) -> GivenOrder:
        steps = (5, 0.0, 2150.0), (4, 2150.0, 3870.0), (4, begins, begins + 1720)
        runs = tuple(
            replace(RUNS[1], name=f"Stairs {number}", box=(0, low, 800, high), length_mm=2500.0, steps=count)
            for number, (count, low, high) in enumerate(steps, 2)
        )
        return STAIRS.laid(cuts=(RUNS[0], *runs))

    assert "stairs" not in in_three(3870.0).refusals
    assert "stairs" in in_three(2150.0).refusals
    assert "stairs" in in_three(0.0).refusals


def test_a_trim_is_due_at_every_side_of_every_cut() -> None:
    left, low, right, high = TWO.box
    for less in (
        (left + 1, low, right, high),
        (left, low + 1, right, high),
        (left, low, right - 1, high),
        (left, low, right, high - 1),
    ):
        assert "trims" in LOUNGE.cut(1, box=less).refusals
        assert "trims" in turned_a_quarter(LOUNGE.cut(1, box=less)).refusals


def test_a_piece_of_the_rolls_own_lot_may_lie_beside_it() -> None:
    taken = replace(
        DOOR.placed(1, source="R-2", at=(0.0, 0.0)).rolled(lot="77"), stock=(of_the_lot(a_candidate("R-2", 3000, 4000)),)
    )
    assert "lots" not in taken.refusals


def test_the_floor_under_islands_that_overlap_is_measured_by_nobody() -> None:
    beside = tuple((x + 200, y) for x, y in ISLAND)
    assert "areas" not in LOUNGE.room(outline=Outline(box(0, 0, 6000, 5000), (ISLAND, beside))).refusals
    assert "areas" in LOUNGE.room(outline=Outline(box(0, 0, 6000, 5000), (ISLAND,))).refusals


def test_a_leftover_just_as_large_as_the_rule_is_worth_keeping() -> None:
    assert "worth" not in LOUNGE.ruled(keep=KeepRule(1870.0, 5120.0)).refusals
    assert "worth" in LOUNGE.ruled(keep=KeepRule(1870.0, 5120.1)).refusals


def test_a_join_end_to_end_is_right_where_the_rules_allow_it() -> None:
    told = joined_end_to_end(1).refusals
    assert not {"joins_allowed", "filled", "floor_once", "trims", "seams_drawn", "meetings_told", "seams_told"} & set(told)


def test_figures_that_are_none_are_refused() -> None:
    for changed in ("length_mm", "ordered_mm", "bound_mm", "floor_mm2", "kept_mm2"):
        given = LOUNGE.planned(**{changed: math.nan})
        assert check_order(given.plan, given.floors, given.rules, given.stock), changed


def test_a_drop_makes_cuts_of_shares_of_a_repeat() -> None:
    half = STAIRS.rolled(repeat=Repeat(500, 500, 0.5)).cut(1, length_mm=3250.0)
    assert "lengths" not in half.refusals
    assert "lengths" in STAIRS.cut(1, length_mm=3250.0).refusals


def test_the_explanation_tells_every_question_of_an_order() -> None:
    told = (Path(__file__).parents[2] / "docs" / "explanation" / "ordering.md").read_text(encoding="utf-8")
    for question in QUESTIONS:
        assert f"| `{question.__name__}` | {(question.__doc__ or '').splitlines()[0]} |" in told
