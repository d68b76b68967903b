"""Where the patch should end: damage and a room in, outlines with their plans out."""

import json
import random
from typing import Any

import pytest

from remnants.actions.propose_job import Proposed
from remnants.errors import BadInput
from remnants.exchange import read_damaged_job, read_job
from remnants.geometry.inside import reach_outside_mm
from remnants.model import Finish, StopKind, Verdict
from tests.damaged import BURN, HALL, REMNANT, a_job, a_room, a_stock, box, burn_at, corners, proposed
from tests.thorough import share


def test_a_burn_in_a_narrow_hall_is_cut_out_from_wall_to_wall() -> None:
    # Burn of 10 x 10 in, margin 1 in: 12 in along the hall. An island has two seams with the pile (grade 0) and two across it
    # (grade 1); from wall to wall only the two across it are left, 33 in each. It takes 33 x 12 - 12 x 12 = 252 in2 more. To an
    # end of the hall, 109 in off, it would take well over the 1550 in2 (1 m2) more that a seam less is worth.
    first, *others = proposed(a_job(HALL))
    assert box(first) == (0, 109, 33, 121)
    assert first.proposal.edges == (Finish.SEAM, Finish.WALL, Finish.SEAM, Finish.WALL)
    assert first.fitted.plan.verdict is Verdict.WHOLE
    assert {stop.side: stop.kind for stop in first.proposal.outlines[0].stops} == {
        "left": StopKind.WALL,
        "lower": StopKind.DAMAGE,
        "right": StopKind.WALL,
        "upper": StopKind.DAMAGE,
    }
    assert (10.5, 109, 22.5, 121) in [box(each) for each in others]  # the least that can be cut is told too
    assert len({box(each) for each in (first, *others)}) == 1 + len(others) <= 3


def test_each_outline_tells_its_seams_and_the_sound_carpet_that_it_cuts_away() -> None:
    # Wall to wall 33 x 12 = 396 in2, 100 of them burnt: 296 in2 are 2.1 ft2, and two seams of 33 in. The island takes 144 in2,
    # 44 of them sound (0.3 ft2), and has four seams of 12 in.
    first, *others = proposed(a_job(HALL))
    island = next(each for each in others if box(each) == (10.5, 109, 22.5, 121))
    assert "2.1 ft² of sound carpet is cut away; the seams are 66 in long in all." in first.proposal.words
    assert "0.3 ft² of sound carpet is cut away; the seams are 48 in long in all." in island.proposal.words
    number = others.index(island) + 2
    why = first.proposal.words[-1]
    assert why.startswith(f"Recommended as less of it is seen, with 2 seams instead of 4. Outline {number} cuts away 1.")
    assert why.endswith(" less, and its seams are 18 in shorter.")


def test_near_a_doorway_it_is_cut_to_the_doorway() -> None:
    # The burn lies 12 in from the end of the hall, where a doorway is: one seam across is left, 33 in long.
    door = HALL | {"doorways": [{"edge": 0, "from": 0, "width": 33, "to": "kitchen"}]}
    first = proposed(a_job(door, patch=burn_at(11.5, 12, 21.5, 22)))[0]
    assert box(first) == (0, 0, 33, 23)
    assert first.proposal.edges == (Finish.TRANSITION, Finish.WALL, Finish.SEAM, Finish.WALL)
    assert any("doorway" in words for words in first.proposal.words)


def test_the_least_that_can_be_cut_is_told_beside_a_better_one_that_ends_at_the_same_doorway() -> None:
    # A mark of 8 x 8 in, 5 in inside a doorway from 10 to 42. Clear of both jambs, 32 1/8 x 14 in, no seam stands in the doorway.
    # With 1 in round it, 10 x 14 in do: two seams in the doorway, but 22 1/8 x 14 = 310 in2 less, two steps of 155 in2 (0.1 m2).
    room = a_room(132, 144, doorways=[{"edge": 0, "from": 10, "width": 32}])
    first, *others = proposed(a_job(room, patch=burn_at(30, 5, 38, 13)), a_stock(REMNANT | {"width": 40, "length": 40}))
    assert box(first) == (9.938, 0, 42.063, 14)
    assert first.proposal.words[0] == "burn: 32 1/8 in × 14 in, to the doorway.", "wall and doorway meet in a straight side"
    assert (29, 0, 39, 14) in [box(each) for each in others]


@pytest.mark.parametrize("seed", range(3, 3 + share(36)))
def test_one_that_takes_little_more_than_the_least_is_always_told(seed: int) -> None:
    """The least is a box round the burn and its margin, far from every wall; 155 in2 (0.1 m2) are a step of what is spent."""
    chance = random.Random(seed)
    wide, long = chance.randint(90, 160), chance.randint(90, 160)
    x, y = chance.randint(25, wide - 40), chance.randint(25, long - 40)
    room = a_room(wide, long, lanes=[[[chance.randint(1, wide), 0], [chance.randint(1, wide), long]]])
    left, low = chance.randint(0, wide - 40), chance.randint(0, long - 40)
    room |= chance.choice([{}, {"hidden": [[[left, low], [left + 40, low], [left + 40, low + 40], [left, low + 40]]]}])
    told = proposed(a_job(room, patch=burn_at(x, y, x + 8, y + 8)), a_stock(REMNANT | {"width": 90, "length": 90}))
    least_in2 = min(each.proposal.outlines[0].area_mm2 for each in told) / 25.4**2
    assert least_in2 <= 10 * 10 + 155


def test_a_trapezoid_is_told_by_what_it_measures_over_all() -> None:
    # The right wall slants from (60, 0) to (40, 60); what is cut ends at it.
    room = {"name": "hall", "outline": [[0, 0], [60, 0], [40, 60], [0, 60]]}
    first = proposed(a_job(room, patch=burn_at(8, 20, 40, 30)), a_stock(REMNANT | {"width": 90}))[0]
    assert "over all" in first.proposal.words[0]


def test_no_strip_of_old_carpet_narrower_than_a_part_is_left() -> None:
    # A room of 100 x 100 in, the burn 6 1/2 in from the left wall: with 1 in of margin a strip of 5 1/2 in would be left,
    # narrower than the 6 in that a part must have. 7 in from the wall a strip of 6 in may stay.
    room = a_room(100, 100)
    near = proposed(a_job(room, patch=burn_at(6.5, 45, 16.5, 55), min_part=6))
    assert all(box(each)[0] == 0 for each in near)
    off = proposed(a_job(room, patch=burn_at(7, 45, 17, 55), min_part=6))
    assert 6 in [box(each)[0] for each in off]


def test_sides_with_the_pile_lie_between_two_rows() -> None:
    # Rows 3/8 in apart: 19 rows right of the corner lie at 7 1/8 in, 51 at 19 1/8 in, the last before and first after 7.2 and 19.
    last = proposed(a_job(HALL, patch=burn_at(8.2, 110, 18, 120)), a_stock(row=0.375))[-1]
    assert box(last) == (7.125, 109, 19.125, 121)


def test_round_a_corner_of_the_room_it_is_an_l() -> None:
    # An L of a room, 33 in wide each way, its inner corner at (33, 33). The burn lies across that corner: what is cut runs to
    # both outer walls, round the corner, and ends at a seam across either arm.
    ell = {"name": "hall", "outline": [[0, 0], [120, 0], [120, 33], [33, 33], [33, 120], [0, 120]]}
    burn = BURN | {"damage": [[26, 26], [40, 26], [40, 32], [32, 32], [32, 40], [26, 40]]}
    big = REMNANT | {"width": 60, "length": 60}
    first = proposed(a_job(ell, patch=burn), a_stock(big))[0]
    assert corners(first) == [(0, 0), (41, 0), (41, 33), (33, 33), (33, 41), (0, 41)]
    assert [index for index, finish in enumerate(first.proposal.edges) if finish is Finish.SEAM] == [1, 4]
    assert first.fitted.plan.verdict is Verdict.WHOLE


def test_round_the_jambs_of_a_carpeted_doorway_it_goes_on_to_its_line() -> None:
    # The doorway is 30 in wide and its reveal 5 in deep: cut off at the wall, a strip of 5 in of old carpet would be left in it.
    room = a_room(60, 60, doorways=[{"edge": 0, "from": 15, "width": 30, "depth": 5, "to": "stairs"}])
    first = proposed(a_job(room, patch=burn_at(25, 2, 35, 12), min_part=6), a_stock(REMNANT | {"width": 80}))[0]
    assert corners(first) == [(15, -5), (45, -5), (45, 0), (60, 0), (60, 13), (0, 13), (0, 0), (15, 0)]
    assert first.proposal.outlines[0].stops[1].kind is StopKind.DOORWAY
    assert first.proposal.edges[0] is Finish.TRANSITION


def test_several_damages_are_taken_apart_where_together_would_take_much_more() -> None:
    # Two burns at the ends of a hall 240 in long: together 33 x 212 in is 4.5 m2, apart wall to wall 2 x 33 x 12 in is 0.5 m2.
    two = {"damage": [[[11, 20], [21, 20], [21, 30], [11, 30]], [[11, 210], [21, 210], [21, 220], [11, 220]]]}
    first = proposed(a_job(HALL, patch=BURN | two), a_stock(REMNANT, REMNANT | {"tag": "R-2"}))[0]
    assert [outlined.patch for outlined in first.proposal.outlines] == ["burn (1 of 2)", "burn (2 of 2)"]
    assert [box(first, number) for number in (0, 1)] == [(0, 0, 33, 31), (0, 209, 33, 240)]
    assert [patch.name for patch in first.fitted.job.patches] == ["burn (1 of 2)", "burn (2 of 2)"]
    assert first.fitted.plan.verdict is Verdict.WHOLE


def test_several_damages_near_each_other_are_taken_together() -> None:
    # 3 in apart: apart each would have its own two seams across the hall, with a strip of 1 in of old carpet between them.
    two = {"damage": [[[11, 110], [21, 110], [21, 120], [11, 120]], [[15, 123], [18, 123], [18, 126], [15, 126]]]}
    for each in proposed(a_job(HALL, patch=BURN | two)):
        assert len(each.proposal.outlines) == 1
    assert box(proposed(a_job(HALL, patch=BURN | two))[0]) == (0, 109, 33, 127)


def test_patches_told_by_their_damage_keep_off_one_another() -> None:
    # Two burns side by side, 8 in apart, told as two patches: cut wall to wall they would lie over one another. So one of them
    # runs to the left wall, the other to the right one, and 6 in of old carpet stay between.
    two = [burn_at(3, 110, 13, 120, name="left"), burn_at(21, 112, 31, 122, name="right")]
    asked = json.loads(a_job(HALL)) | {"patches": two}
    first = proposed(json.dumps(asked), a_stock(REMNANT, REMNANT | {"tag": "R-2"}))[0]
    assert [box(first, number) for number in (0, 1)] == [(0, 109, 14, 121), (20, 111, 33, 123)]
    near = [burn_at(3, 110, 16, 120, name="one"), burn_at(17, 112, 30, 122, name="two")]  # 1 in apart, each with 1 in round it
    (told, *_) = proposed(json.dumps(asked | {"patches": near}))
    assert any(
        "one and two meet, or leave a narrow strip between them: tell both damages in one patch" in words
        for words in told.proposal.words
    )


def test_where_rows_are_known_each_seam_along_the_pile_lies_between_two() -> None:
    # The L of a room again, rows 3/8 in apart: its inner corner, 33 in from the left, is 88 rows off, but 32 1/2 in is none.
    ell = {"name": "hall", "outline": [[0, 0], [120, 0], [120, 33], [32.5, 33], [32.5, 120], [0, 120]]}
    for each in proposed(a_job(ell, patch=burn_at(10, 40, 20, 50)), a_stock(REMNANT | {"width": 60, "length": 90}, row=0.375)):
        ring = corners(each)
        for (x1, _), (x2, _), finish in zip(ring, (*ring[1:], ring[0]), each.proposal.edges, strict=True):
            if finish is Finish.SEAM and x1 == x2:
                assert (x1 / 0.375) % 1 < 0.001


@pytest.mark.parametrize("pile", [90, 180, 270, 30])
def test_whichever_way_the_pile_lies_the_outline_holds_the_damage_and_stays_in_the_room(pile: float) -> None:
    room = a_room(60, 60)
    for each in proposed(a_job(room, patch=burn_at(25, 25, 35, 35, pile=pile)), a_stock(REMNANT | {"width": 100, "length": 100})):
        left, lower, right, upper = box(each)
        assert min(left, lower) >= 0
        assert max(right, upper) <= 60
        assert max(left, lower) <= 24
        assert min(right, upper) >= 36
        assert each.fitted.plan.verdict is Verdict.WHOLE


def test_without_the_room_it_is_a_rectangle_on_rows() -> None:
    told = proposed(a_job(patch={key: BURN[key] for key in ("name", "pile", "damage")}), a_stock(row=0.375))
    assert [box(each) for each in told] == [(10.5, 109, 22.5, 121)]  # 28 and 60 rows of 3/8 in
    assert set(told[0].proposal.edges) == {Finish.SEAM}


def test_what_is_larger_than_anything_in_stock_is_told_with_its_outline_and_the_no() -> None:
    small = REMNANT | {"width": 11, "length": 11}
    (told,) = proposed(a_job(HALL), a_stock(small))
    assert told.fitted.plan.verdict is Verdict.NONE
    assert box(told) == (10.5, 109, 22.5, 121)  # the least that must be filled
    assert any("Nothing in stock makes it" in words for words in told.proposal.words)


@pytest.mark.parametrize(
    ("job", "told"),
    [
        (a_job(HALL, patch=burn_at(25, 50, 35, 60)), "the damage reaches 2 in out of 'hall'"),
        (a_job(HALL | {"doorways": [{"edge": 0, "from": 0, "width": 34}]}), "the doorway is wider than its wall"),
        (a_job(HALL, patch=BURN | {"width": 5, "length": 5}), "patches[0].width: the outline is still to be proposed"),
        (a_job(HALL, patch=BURN | {"edges": "wall"}), "patches[0].edges: the outline is still to be proposed"),
        (a_job(HALL, patch=BURN | {"damage": []}), "patches[0].damage: nothing is damaged"),
        (a_job(HALL, patch=BURN | {"damage": [[[1, 1], [2, 2]]]}), "patches[0].damage[0]: the damage has 2 corners"),
        (a_job(HALL, patch=BURN | {"margin": -1}), "patches[0].margin"),
        (a_job(HALL, patch={"name": "p", "pile": 0, "width": 9, "length": 9, "margin": 1}), "patches[0].margin: a margin goes"),
    ],
)
def test_what_can_not_be_is_told_with_its_place(job: str, told: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_damaged_job(job)
    assert told in str(refused.value)


def test_a_job_without_an_outline_is_not_fitted_but_told_what_finds_one() -> None:
    with pytest.raises(BadInput, match=r"patches\[0\].damage: .*`remnants propose` finds one"):
        read_job(a_job(HALL))


def test_a_job_without_damage_is_for_fit() -> None:
    with pytest.raises(BadInput, match="remnants fit"):
        proposed(a_job(HALL, patch={"name": "burn", "room": "hall", "pile": 0, "outline": [[1, 1], [9, 1], [9, 9], [1, 9]]}))


def of_room(each: Proposed) -> tuple[object, ...]:
    """What a proposal comes to: its size, finishes and merit."""
    left, lower, right, upper = box(each)
    merit = each.fitted.plan.merit
    assert merit is not None
    sides = tuple(sorted((round(right - left, 2), round(upper - lower, 2))))
    return sides, sorted(each.proposal.edges), merit.sights, merit.points, merit.seen_mm


@pytest.mark.parametrize("seed", range(share(12)))
def test_turning_the_room_with_its_pile_and_shuffling_the_stock_changes_no_outline(seed: int) -> None:
    chance = random.Random(seed)
    wide, long = chance.randint(40, 90), chance.randint(40, 90)
    x, y = chance.randint(2, wide - 14), chance.randint(2, long - 14)
    start, lane = chance.randint(1, wide - 33), chance.randint(1, wide - 1)
    pieces = [REMNANT | {"tag": f"R-{n}", "width": chance.randint(20, 100), "length": chance.randint(20, 100)} for n in range(6)]

    def quarter(points: list[list[float]]) -> list[list[float]]:
        return [[long - b, a] for a, b in points]  # counter-clockwise about (0, 0), then moved into the first quarter

    plain: dict[str, Any] = {"outline": [[0, 0], [wide, 0], [wide, long], [0, long]], "lanes": [[[lane, 0], [lane, long / 2]]]}
    door = {"doorways": [{"edge": 0, "from": start, "width": 30}]}
    burn = burn_at(x, y, x + 9, y + 9)
    told = [of_room(each) for each in proposed(a_job({"name": "hall"} | plain | door, patch=burn), a_stock(*pieces))]
    turned = {"outline": quarter(plain["outline"]), "lanes": [quarter(plain["lanes"][0])]} | door
    chance.shuffle(pieces)
    job = a_job({"name": "hall"} | turned, patch=BURN | {"pile": 270, "damage": quarter(burn["damage"])})
    assert [of_room(each) for each in proposed(job, a_stock(*pieces))] == told


@pytest.mark.parametrize("seed", range(share(24)))
def test_in_any_room_each_damage_lies_in_an_outline_and_each_outline_in_the_room(seed: int) -> None:
    chance = random.Random(seed)
    wide, long = chance.randint(40, 140), chance.randint(40, 140)
    x, y = chance.uniform(1, wide * 0.4), chance.uniform(1, long * 0.2)
    slanted = [[0, 0], [wide, 0], [wide, long * 0.5], [wide * 0.5, long], [0, long]]
    ell = [[0, 0], [wide, 0], [wide, long * 0.5], [wide * 0.6, long * 0.5], [wide * 0.6, long], [0, long]]
    room: dict[str, Any] = {"name": "hall", "outline": chance.choice([slanted, ell])}
    room |= chance.choice([{}, {"doorways": [{"edge": 0, "from": chance.uniform(0, wide - 31), "width": 30, "depth": 4}]}])
    room |= chance.choice([{}, {"hidden": [{"centre": [wide / 2, long * 0.3], "radius": 8}]}, {"row": 0.375}])
    two = [[[x, y], [x + 4, y], [x + 4, y + 4]], [[x + 9, y + 9], [x + 12, y + 9], [x + 12, y + 12]]]
    patch = BURN | {
        "damage": chance.choice([two, {"centre": [x + 6, y + 6], "radius": 4}]),
        "pile": chance.choice([0, 90, 30, -45]),
    }
    job = a_job(room, patch=patch)
    asked = read_damaged_job(job)
    (damage,), (hall,) = asked.damages, asked.job.rooms
    assert damage is not None
    for each in proposed(job, a_stock(REMNANT | {"width": 90, "length": 90}, REMNANT | {"tag": "R-2"})):
        rings = each.proposal.outlines
        assert all(min(reach_outside_mm(ring, outlined.ring) for outlined in rings) == 0 for ring in damage.rings)
        assert all(reach_outside_mm(outlined.ring, hall.ring) == 0 for outlined in rings)
