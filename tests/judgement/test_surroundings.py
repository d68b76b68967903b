"""What a seam meets in its room: the line of a doorway, a lane at over 45 degrees, furniture; alike however all is turned."""

from dataclasses import replace

import pytest

from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.seam_spans import every_span
from remnants.fitting.rules import FitRules
from remnants.geometry.segments import Line
from remnants.geometry.turn import turned_point, turned_ring
from remnants.model import Job, RepairRoom
from remnants.sights import Surroundings
from tests.judgement.shop import ask, patch, piece, room

IN = 25.4
HALL = room(120, 80, doors=((0, 40, 30),), lanes=(((0, 40), (120, 40)),), hidden=((80, 20, 110, 60),))


def seam(*ends: float) -> Line:
    x1, y1, x2, y2 = (end * IN for end in ends)
    return (x1, y1), (x2, y2)


AROUND = Surroundings.of(HALL, HALL.ring)


@pytest.mark.parametrize(
    ("line", "doorway"),
    [
        (seam(50, 0, 50, 30), True),
        (seam(40, 0, 40, 30), True),  # at the jamb
        (seam(39.9, 0, 39.9, 30), False),
        (seam(50, 0.1, 50, 30), False),  # near it is not in it
        (seam(20, 0, 60, 0), True),  # along the wall, over a part of the opening
        (seam(0, 0, 39, 0), False),
    ],
)
def test_a_seam_lies_in_a_doorway_where_it_touches_its_line(line: Line, doorway: bool) -> None:
    assert bool(AROUND.view_of(line).doorway) is doorway


@pytest.mark.parametrize(
    ("line", "across"),
    [
        (seam(20, 30, 20, 50), True),
        (seam(20, 30, 20, 39), False),  # it ends before the lane
        (seam(10, 39, 30, 41), False),  # over it, but along it
        (seam(10, 30, 29, 50), True),  # a little over 45 degrees
        (seam(10, 30, 31, 50), False),
        (seam(95, 30, 95, 50), False),  # over it under the bed, where nobody walks or sees
    ],
)
def test_a_seam_crosses_a_lane_at_over_45_degrees(line: Line, across: bool) -> None:
    assert AROUND.view_of(line).across_lane is across


def test_what_furniture_covers_is_left_out() -> None:
    view = AROUND.view_of(seam(95, 10, 95, 70))
    assert view.hidden_mm == pytest.approx(40 * IN, abs=0.1) and not view.is_hidden
    assert AROUND.view_of(seam(95, 25, 95, 55)).is_hidden
    assert AROUND.view_of(seam(80, 20, 80, 60)).hidden_mm == 0  # along the edge of the bed it is in view


def test_a_door_that_stays_shut_is_a_wall() -> None:
    (door,) = HALL.doorways
    shut = replace(HALL, doorways=(replace(door, shut=True),))
    assert not Surroundings.of(shut, HALL.ring).view_of(seam(50, 0, 50, 30)).doorway


@pytest.mark.parametrize("turn", [90.0, 180.0, 37.0])
def test_a_room_turned_with_all_that_is_in_it_is_answered_alike(turn: float) -> None:
    hidden = tuple(turned_ring(ring, turn) for ring in HALL.hidden)
    turned = replace(
        HALL, ring=turned_ring(HALL.ring, turn), lanes=tuple(turned_ring(e, turn) for e in HALL.lanes), hidden=hidden
    )
    own = patch(at=(30, 10), room="hall", edges="seam")
    swung = replace(own, ring=tuple(turned_point(point, turn) for point in own.ring), pile_deg=turn)
    pieces = piece("S-1", 22, 44), piece("S-2", 24, 44), piece("C-1", 34, 26, lot="L2")
    merits = [ask(*pieces, patches=(each,), rooms=(around,)).fitted.plan.merit for each, around in ((own, HALL), (swung, turned))]
    assert merits[0] is not None and merits[1] is not None
    assert merits[0].look == merits[1].look


def asked(around: RepairRoom) -> Ask:
    own = patch(at=(30, 0), room="hall")
    return ask_of(Job("a job", (own,), rooms=(around,)), own, FitRules())


def test_seams_are_asked_apart_where_a_doorway_begins_or_ends() -> None:
    question = asked(room(120, 80, doors=((0, 40, 10),)))
    along = [span for split, span in every_span(question, question.shape) if split.axis == 0]
    assert [(round(span.low / IN, 1), round(span.high / IN, 1), bool(span.view.doorway)) for span in along] == [
        (30.0, 40.0, False),
        (40.0, 50.0, True),
        (50.0, 60.0, False),
    ]
    assert len(every_span(asked(room(120, 80)), question.shape)) == 2  # nothing known: one span for each way
