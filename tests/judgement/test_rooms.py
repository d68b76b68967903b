"""Where a seam lies in its room: in a doorway, across a lane, in the light, under furniture.

The installation standard of 2011, §6.2, says of seams: as few as can be; along the length of the area; traffic along them, not
across; light not striking across; away from pivoting traffic; not square across a doorway. The patch is 30 x 40 in, allowance an
inch all round, its pile up.
"""

from tests.judgement.shop import Answered, ask, patch, piece, room

SIDE = [piece("S-1", 22, 44), piece("S-2", 24, 44)]
"""They make it with a seam along the pile, 8 to 20 in from its left."""
CROSS = [piece("C-1", 34, 26), piece("C-2", 34, 24)]
"""They make it with a seam across the pile, 18 to 24 in from its foot or from its head."""


def seam_of(answer: Answered, name: str = "hall") -> tuple[tuple[float, float], ...]:
    """The ends of the one seam inside a patch, in inches."""
    (seam,) = next(plan for plan in answer.fitted.plan.patches if plan.name == name).seams
    return tuple((round(x / 25.4, 2), round(y / 25.4, 2)) for x, y in seam.line)


def parts_of(answer: Answered) -> dict[str, set[str]]:
    """The pieces that each patch is cut from."""
    return {plan.name: {part.piece for part in plan.parts} for plan in answer.fitted.plan.patches}


def told_of(answer: Answered) -> list[str]:
    """The sentences of seams."""
    return [sight.sentence for sight in answer.fitted.plan.sights if sight.kind.value == "seam"]


def test_the_seam_leaves_the_doorway() -> None:
    """§6.2: away from pivoting traffic, not square across a doorway. Of 38 to 50 in, the doorway leaves 38 to 40."""
    hall = room(120, 80, doors=((0, 40, 30),))
    answer = ask(*SIDE, patches=(patch(at=(30, 0), room="hall"),), rooms=(hall,))
    assert 38 <= seam_of(answer)[0][0] < 40
    assert answer.seen("seam") == [(0, 0)]
    only = ask(*SIDE, patches=(patch(at=(30, 0), room="hall"),), rooms=(room(120, 80, doors=((0, 30, 40),)),))
    assert only.seen("seam") == [(1, 1)]
    assert told_of(only) == ["Seam inside the patch, 1016 mm: seen when looked for: it lies in a doorway."]


def test_the_seam_runs_along_the_lane() -> None:
    """§6.2: traffic along the seam, not across it. Across pile or lane is a point each, then the shorter one."""
    asked = (patch(at=(30, 0), room="hall"),)
    over = room(120, 80, lanes=(((0, 20), (120, 20)),))
    answer = ask(*SIDE, *CROSS, patches=asked, rooms=(over,))
    assert answer.chosen == {"C-1", "C-2"}
    short = room(120, 80, lanes=(((0, 20), (33, 20)),))  # it ends before the seam
    assert ask(*SIDE, *CROSS, patches=asked, rooms=(short,)).chosen == {"S-1", "S-2"}
    only = ask(*SIDE, patches=asked, rooms=(over,))
    assert told_of(only) == ["Seam inside the patch, 1016 mm: seen when looked for: it runs across the way people walk."]


def test_the_seam_goes_under_the_bed() -> None:
    """Habit (common practice, no source): what nobody sees may be a cross seam; the bed covers it from wall to wall."""
    bed = room(120, 80, hidden=((20, 15, 70, 60),))
    answer = ask(*SIDE, *CROSS, patches=(patch(at=(30, 0), room="hall"),), rooms=(bed,))
    assert answer.chosen == {"C-1", "C-2"}
    assert told_of(answer) == ["Seam inside the patch, 762 mm: hard to find: furniture covers it."]
    only = ask(*SIDE, patches=(patch(at=(30, 0), room="hall"),), rooms=(bed,))
    assert "furniture covers 635 mm of it" in told_of(only)[0]
    assert only.fitted.plan.merit is not None and only.fitted.plan.merit.seen_mm == 15 * 25.4


def test_the_seam_runs_with_the_light_of_the_room() -> None:
    """§6.2: light not striking across. The room's window decides, whatever is told of the patch."""
    asked = (patch(at=(30, 0), room="hall", light=0.0),)
    assert ask(*SIDE, *CROSS, patches=asked, rooms=(room(120, 80, light=90.0),)).chosen == {"C-1", "C-2"}
    answer = ask(*SIDE, *CROSS, patches=asked, rooms=(room(120, 80),))
    assert answer.chosen == {"S-1", "S-2"}
    lit = ask(*SIDE, patches=asked, rooms=(room(120, 80, light=90.0),))
    assert "window light strikes across it" in told_of(lit)[0]


def test_a_patch_in_a_corridor_is_joined_along_it() -> None:
    """§6.2: along the length of the area. The ends, from wall to wall, lie across pile and lane: two points each."""
    corridor = room(200, 30, lanes=(((0, 15), (200, 15)),))
    asked = patch(40, 30, at=(80, 0), room="hall", pile=90.0, edges=("wall", "seam", "wall", "seam"))
    answer = ask(*CROSS, *SIDE, patches=(asked,), rooms=(corridor,))
    assert answer.chosen == {"S-1", "S-2"}
    assert answer.seen("seam") == [(2, 2), (2, 2), (0, 0)]
    assert "it runs across the pile and it runs across the way people walk" in told_of(answer)[0]


def test_of_two_patches_the_one_that_people_walk_over_is_made_whole() -> None:
    """§6.2: no seam across the traffic. One piece makes either whole; a lane runs up beside one patch and over the other."""
    walked = room(200, 80, lanes=(((115, 0), (115, 80)), ((75, 0), (75, 80))))
    both = (patch(name="by the wall", at=(20, 0), room="hall"), patch(name="on the way", at=(100, 0), room="hall"))
    pieces = piece("R-9", 32, 42), piece("C-1", 32, 22), piece("C-2", 32, 22)
    halves, whole = {"C-1", "C-2"}, {"R-9"}
    assert parts_of(ask(*pieces, patches=both, rooms=(walked,))) == {"by the wall": halves, "on the way": whole}
    other = room(200, 80, lanes=(((35, 0), (35, 80)), ((75, 0), (75, 80))))
    assert parts_of(ask(*pieces, patches=both, rooms=(other,))) == {"by the wall": whole, "on the way": halves}
