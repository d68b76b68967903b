"""After a yes that shows: the least change that shows less, worked by hand, and nothing that the ways already offer."""

import random
from dataclasses import replace

import pytest

from remnants.actions.fit_job import Fitted, Offer, fit_offer
from remnants.exchange import Stock
from remnants.model import Allowance, Bargain, Grade, Job, Kind, Merit, Patch, Piece, RepairRoom
from remnants.units import Unit
from tests.judgement.shop import LOOP, STYLES, patch, piece, room
from tests.thorough import EVERY, share

INCH = 25.4
HELD = "held for another job until 1 Jun 2031"


def ask(
    *pieces: Piece, patch: Patch, rooms: tuple[RepairRoom, ...] = (), held: tuple[Piece, ...] = (), min_part: float = 6
) -> Fitted:
    """The answer to a job of one patch, an inch added at each edge."""
    added = Allowance(INCH, INCH, INCH)
    job = Job("a job", (patch,), added, min_part * INCH, Unit.IN, house="Alder Court 7", rooms=rooms)
    back = tuple((each, HELD) for each in held)
    return fit_offer(Offer(Stock(STYLES, pieces), held_back=back), job, ways=True)


def kinds(fitted: Fitted) -> list[str]:
    return [bargain.changes[0].kind.value for bargain in fitted.bargains.found]


def the(fitted: Fitted, kind: str) -> Bargain:
    (found,) = (each for each in fitted.bargains.found if each.changes[0].kind.value == kind)
    return found


def test_a_patch_shaved_to_one_piece_of_the_rooms_lot_shows_less_than_whole_from_another_lot() -> None:
    """30 in and an inch at either side are 32; the room's lot is 30 wide, and only another lot is wide enough."""
    joined = patch(parts=1, edges=("wall", "seam", "wall", "wall"))
    fitted = ask(piece("R-1", 30, 60), piece("R-2", 40, 60, lot="L2"), patch=joined)
    assert fitted.bargains.better
    shave = the(fitted, "shave")
    assert shave.sentence == "Shave the patch 2 in on its right side (seam), and R-1 makes it whole."
    assert shave.gain.startswith("What then no longer shows: carpet of R-2 beside the floor")
    assert shave.cost == "As much of the old carpet stays on that side: it must be sound."


def test_no_side_at_a_wall_is_shaved() -> None:
    """2 in of old carpet would stay at the wall, behind a seam: too narrow to keep, and nobody has counted the seam."""
    fitted = ask(piece("R-1", 30, 60), piece("R-2", 40, 60, lot="L2"), patch=patch(parts=1))
    assert "shave" not in kinds(fitted)


def test_a_seam_that_ends_in_a_doorway_is_not_called_out_of_it_by_a_sixteenth_off_the_wall() -> None:
    around = room(100, 110, doors=((0, 20, 32),))
    lies = patch(28, 36, at=(0, 0), edges=("wall", "seam", "seam", "wall"), style=LOOP, room="hall", parts=1)
    assert "shave" not in kinds(ask(piece("R-1", 60, 60, style=LOOP), patch=lies, rooms=(around,)))


def test_a_piece_held_for_another_job_is_told_without_whose_it_is() -> None:
    fitted = ask(piece("R-2", 40, 60, lot="L2"), patch=patch(parts=1), held=(piece("R-7", 40, 60),))
    held = the(fitted, "held")
    assert held.sentence == f"Ask for R-7 back, which is {HELD}, and R-7 makes it whole."
    assert held.changes[0].piece == "R-7"
    assert [each.tag for each in held.beside] == ["R-7"]


def test_another_lot_is_told_where_the_job_takes_none() -> None:
    wanted = replace(patch(parts=1).wanted, lowest_grade=Grade.SAME_LOT)
    fitted = ask(piece("R-2", 40, 60, lot="L2"), patch=replace(patch(parts=1), wanted=wanted))
    assert not fitted.bargains.better
    assert the(fitted, "lot").sentence == "Take another lot for the patch, and R-2 makes it whole."


def test_a_seam_across_a_lane_goes_where_the_patch_is_grown_to_the_wall() -> None:
    """A hall of 30 by 100 in; people walk along it. A loop patch up to 3 in from the end leaves a seam across their way."""
    hall = room(30, 100, lanes=(((15, 0), (15, 100)),))
    lies = patch(30, 40, at=(0, 57), edges=("seam", "wall", "seam", "wall"), style=LOOP, room="hall", parts=1)
    fitted = ask(piece("R-1", 40, 60, style=LOOP), patch=lies, rooms=(hall,))
    grow = the(fitted, "grow")
    assert grow.sentence == "Grow the patch 3 in on its upper side to the wall, and R-1 makes it whole."
    assert grow.changes[0].by_mm == pytest.approx(3 * INCH)
    assert grow.job.patches[0].edges[2].value == "wall"


def test_what_a_way_offers_already_is_not_told_again() -> None:
    """The closet is of the room's lot, the shelf has another: the shelf is the second way, and no bargain."""
    closet = piece("L-1", 40, 60, kind=Kind.LAID, place="Alder Court 7, hall closet")
    fitted = ask(closet, piece("R-2", 40, 60, lot="L2"), patch=patch(parts=1))
    assert [{part.piece for part in way.plan.patches[0].parts} for way in fitted.ways] == [{"L-1"}, {"R-2"}]
    assert not fitted.bargains.found


def test_a_plan_that_shows_nothing_asks_for_no_change() -> None:
    fitted = ask(piece("R-1", 40, 60), patch=patch(parts=1))
    assert not fitted.bargains.found
    assert not fitted.bargains.no_help


def test_a_lot_that_is_not_known_is_to_be_looked_at_and_asks_for_no_change() -> None:
    assert not ask(piece("R-1", 40, 60, lot=""), patch=patch(parts=1)).bargains.no_help


def best(fitted: Fitted) -> tuple[object, ...]:
    """How good the plan or its best change is: what is filled, then with how much effort."""
    if not fitted.bargains.found:
        return (len(fitted.plan.short), 99, 0.0)
    first = fitted.bargains.found[0]
    return (
        len(first.plan.short),
        sum(EFFORTS[each.kind.value] for each in first.changes),
        sum(each.by_mm or 0 for each in first.changes),
    )


EFFORTS = {
    "allowance": 2,
    "min_part": 1,
    "shave": 2,
    "parts": 2,
    "turn": 3,
    "held": 3,
    "other customers": 4,
    "in view": 5,
    "substitute": 6,
}


@pytest.mark.parametrize("seed", range(share(24)), ids=str)
def test_one_more_piece_never_makes_the_best_change_after_a_no_worse(seed: int) -> None:
    chance = random.Random(seed * EVERY + 1)
    pieces = [piece(f"R-{n}", chance.randint(20, 36), chance.randint(30, 50)) for n in range(3)]
    asked = patch(chance.randint(30, 36), chance.randint(38, 48), parts=1)
    before, after = ask(*pieces[:2], patch=asked), ask(*pieces, patch=asked)
    if before.plan.short and after.plan.short:
        assert best(after) <= best(before)


@pytest.mark.parametrize("seed", range(share(18)), ids=str)
def test_each_change_shows_less_than_every_way_and_one_held_piece_more_takes_none_away(seed: int) -> None:
    chance = random.Random(seed * EVERY + 5)
    pieces = [piece(f"R-{n}", chance.randint(26, 36), chance.randint(36, 50), lot=chance.choice(("L1", "L2"))) for n in range(4)]
    asked = patch(30, 40, parts=chance.choice((1, 2)))
    held = piece("H-1", chance.randint(28, 40), chance.randint(38, 50))
    fitted, more = ask(*pieces, patch=asked), ask(*pieces, patch=asked, held=(held,))
    if fitted.plan.short:
        return
    for bargain in fitted.bargains.found:
        assert all(
            seen(bargain.plan.merit) < seen(way.plan.merit) or way.plan.merit.trouble > (0, 0, 0)
            for way in fitted.ways
            if way.plan.merit
        )
    assert set(kinds(fitted)) <= set(kinds(more))


def seen(merit: Merit | None) -> list[tuple[int, int]]:
    """The sights that show."""
    assert merit
    return [rank for rank in merit.sights if rank[0] >= 2]
