"""Where the patch should end: damage and a room in, outlines with their plans out."""

import json
from typing import Any

import pytest

from remnants.actions.fit_job import offer_in_hand
from remnants.actions.propose_job import Proposed, proposals_from
from remnants.errors import BadInput
from remnants.exchange import read_damaged_job, read_job, read_stock
from remnants.model import Finish, StopKind, Verdict
from remnants.units import MM_PER_IN

HALL: dict[str, Any] = {"name": "hall", "outline": [[0, 0], [33, 0], [33, 240], [0, 240]]}
BURN: dict[str, Any] = {
    "name": "burn",
    "room": "hall",
    "pile": 0,
    "damage": [[11.5, 110], [21.5, 110], [21.5, 120], [11.5, 120]],
}
REMNANT: dict[str, Any] = {
    "tag": "R-1",
    "kind": "remnant",
    "style": "Velder",
    "colour": "Oat",
    "lot": "1",
    "width": 40,
    "length": 66,
    "pile": 0,
}


def a_job(*rooms: dict[str, Any], patch: dict[str, Any] = BURN, **changes: Any) -> str:
    said = {"unit": "in", "job": "Alder Court 7", "style": "Velder", "colour": "Oat", "lot": "1", **changes}
    return json.dumps(said | {"rooms": list(rooms), "patches": [patch]})


def a_stock(*pieces: dict[str, Any], **style: Any) -> str:
    styles = [{"name": "Velder", "construction": "cut", "roll_width": 144, **style}]
    return json.dumps({"unit": "in", "styles": styles, "pieces": list(pieces or (REMNANT,))})


def proposed(job: str, stock: str = "") -> tuple[Proposed, ...]:
    asked = read_damaged_job(job)
    return proposals_from(offer_in_hand(read_stock(stock or a_stock()), asked.job), asked)


def box(each: Proposed) -> tuple[float, ...]:
    """Least x, least y, greatest x, greatest y of an outline, inches."""
    xs, ys = zip(*each.proposal.outline, strict=True)
    return tuple(round(value / MM_PER_IN, 3) for value in (min(xs), min(ys), max(xs), max(ys)))


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


def test_near_a_doorway_it_is_cut_to_the_doorway() -> None:
    # The burn lies 12 in from the end of the hall, where a doorway is: one seam across is left, 33 in long.
    door = HALL | {"doorways": [{"edge": 0, "from": 0, "width": 33, "to": "kitchen"}]}
    first = proposed(a_job(door, patch=BURN | {"damage": [[11.5, 12], [21.5, 12], [21.5, 22], [11.5, 22]]}))[0]
    assert box(first) == (0, 0, 33, 23)
    assert first.proposal.edges == (Finish.TRANSITION, Finish.WALL, Finish.SEAM, Finish.WALL)
    assert any("doorway" in words for words in first.proposal.words)


def test_no_strip_of_old_carpet_narrower_than_a_part_is_left() -> None:
    # A room of 100 x 100 in, the burn 6 1/2 in from the left wall: with 1 in of margin a strip of 5 1/2 in would be left,
    # narrower than the 6 in that a part must have. 7 in from the wall a strip of 6 in may stay.
    room = {"name": "hall", "width": 100, "length": 100}
    near = proposed(a_job(room, patch=BURN | {"damage": [[6.5, 45], [16.5, 45], [16.5, 55], [6.5, 55]]}, min_part=6))
    assert all(box(each)[0] == 0 for each in near)
    off = proposed(a_job(room, patch=BURN | {"damage": [[7, 45], [17, 45], [17, 55], [7, 55]]}, min_part=6))
    assert 6 in [box(each)[0] for each in off]


def test_sides_with_the_pile_lie_between_two_rows() -> None:
    # Rows 3/8 in apart: 19 rows right of the corner lie at 7 1/8 in, 51 at 19 1/8 in, the last before and first after 7.2 and 19.
    patch = BURN | {"damage": [[8.2, 110], [18, 110], [18, 120], [8.2, 120]]}
    last = proposed(a_job(HALL, patch=patch), a_stock(row=0.375))[-1]
    assert box(last) == (7.125, 109, 19.125, 121)


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
        (a_job(HALL, patch=BURN | {"damage": [[25, 50], [35, 50], [35, 60], [25, 60]]}), "the damage reaches 2 in out of 'hall'"),
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
