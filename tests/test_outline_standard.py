"""What the installation standard of 2011 asks of seams in §6.2, each clause on a room made for it. Lengths in inches.

Keep seams to a minimum; where possible they run the length of the area, traffic runs along them, light doesn't strike across
them, they keep away from pivoting traffic, and don't run square into a doorway. Cut pile: a seam along the pile counts 0 points,
across it 1; across a lane, across the light and in a doorway 1 more each.
"""

from remnants.model import Finish, SightKind
from tests.damaged import HALL, REMNANT, a_job, a_room, a_stock, box, burn_at, proposed

BIG = a_stock(REMNANT | {"width": 110, "length": 110})


def test_seams_are_kept_to_a_minimum() -> None:
    # An island has four seams; from wall to wall there are two.
    first = proposed(a_job(HALL))[0]
    assert sum(sight.kind is SightKind.SEAM for sight in first.fitted.plan.sights) == 2


def test_seams_run_the_length_of_the_area() -> None:
    # A room of 33 x 60. Across it from wall to wall: two seams across the pile, 33 each. Along it, from end to end by the left
    # wall: one seam of 60 with the pile. 16 x 60 is 960 in2, far from the 1 m2 (1550 in2) more than 12 x 12 that is too much.
    first = proposed(a_job(a_room(33, 60), patch=burn_at(5, 25, 15, 35)), BIG)[0]
    assert box(first) == (0, 0, 16, 60)
    assert first.proposal.edges.count(Finish.SEAM) == 1


def test_traffic_runs_along_seams_and_not_across_them() -> None:
    # A burn 34 in from the left wall and 31 from the right. To the right is less carpet (42 x 12 against 45 x 12), but people
    # walk down there at 60: both seams across would cross their way.
    room = a_room(75, 200)
    burn = burn_at(34, 95, 44, 105)
    piece = a_stock(REMNANT | {"width": 60})  # too narrow for the room from wall to wall
    assert box(proposed(a_job(room, patch=burn, max_parts=1), piece)[0]) == (33, 94, 75, 106)
    walked = room | {"lanes": [[[60, 0], [60, 200]]]}
    assert box(proposed(a_job(walked, patch=burn, max_parts=1), piece)[0]) == (0, 94, 45, 106)


def test_light_does_not_strike_across_seams() -> None:
    # A room of 40 x 60, the burn in its middle. From end to end of it there is one seam along the pile, 60 long, without a point:
    # better than one across it, 40 long, with one. Light from the side strikes across the first: now both have one, and the
    # shorter counts.
    room, burn = a_room(40, 60), burn_at(15, 25, 25, 35)
    assert box(proposed(a_job(room, patch=burn), BIG)[0]) == (0, 0, 26, 60)
    assert box(proposed(a_job(room | {"light": 90}, patch=burn), BIG)[0]) == (0, 0, 40, 36)


def test_seams_keep_away_from_a_doorway_and_do_not_run_square_into_it() -> None:
    # A doorway from 30 to 62 in the lower wall, the burn just inside it. Both side seams of a patch as wide as the burn would run
    # square into the doorway, one point each. Past the jambs they end at the wall.
    room = a_room(100, 100, doorways=[{"edge": 0, "from": 30, "width": 32}])
    left, lower, right, upper = box(proposed(a_job(room, patch=burn_at(40, 4, 50, 14)), BIG)[0])
    assert (lower, upper) == (0, 15)
    assert left < 30
    assert right > 62
