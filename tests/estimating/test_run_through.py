"""Carpet in doorways: a join that is told and counted, or one piece that runs through. Sums are worked by hand."""

from dataclasses import replace

import pytest

from remnants.estimating import Doorway, Floors, OrderPlan, OrderRules, Room, Weights
from remnants.estimating.order import order_from_roll
from remnants.estimating.rooms.run_through import run_throughs
from remnants.estimating.rooms.seams import room_seam
from remnants.geometry import outline_of
from remnants.model import Construction, SeamKind
from remnants.packing import Watch
from remnants.proof.orders import check_order
from tests.estimating.floors import a_roll


def lounge(width: float = 3800.0, length: float = 5000.0, *, depth: float = 150.0, pile: float | None = 0.0) -> Room:
    """Its doorway to the hall is in the far wall, 800 mm wide, 500 mm from the left, with the wall's depth carpeted."""
    ring = [(0, 0), (width, 0), (width, length), (1300, length)]
    ring += [(1300, length + depth), (500, length + depth)] if depth else []
    outline = outline_of([*ring, (500, length), (0, length)])
    door = Doorway((1300.0, length + depth), (500.0, length + depth), "Hall", depth_mm=depth)
    return Room("Lounge", outline, (37.5,) * len(outline.ring), pile, (door,))


def hall(*, back: bool = True, trim: float = 37.5) -> Room:
    """1.2 x 3 m, its doorway to the lounge in the near wall."""
    door = Doorway((200.0, 0.0), (1000.0, 0.0), "Lounge")
    return Room("Hall", outline_of([(0, 0), (1200, 0), (1200, 3000), (0, 3000)]), (trim,) * 4, None, (door,) if back else ())


def plan_of(*rooms: Room) -> tuple[OrderPlan, Floors]:
    floors = Floors("test", rooms)
    plan = order_from_roll(floors, a_roll("4 m"), rules=OrderRules(), watch=Watch(tries=100))
    assert check_order(plan, floors, OrderRules()) == ()
    return plan, floors


def test_a_breadth_runs_through_a_doorway_where_that_takes_no_more_roll() -> None:
    # lounge 5 m + 150 mm of wall + hall 3 m in one length, 37.5 mm of trim at both ends: 8225 mm, and nothing to seam
    plan, _ = plan_of(lounge(), hall())
    assert plan.length_mm == pytest.approx(8225) and len(plan.placed) == 1 and not plan.seams
    (room,) = plan.floors.rooms
    assert room.name == "Lounge and Hall"
    assert [(part.name, part.shift) for part in room.parts] == [("Lounge", (0.0, 0.0)), ("Hall", (300.0, 5150.0))]


def test_where_the_places_of_rooms_are_not_known_they_meet_in_a_join_that_is_told() -> None:
    # 5150 + 75 and 3000 + 75 mm, as 3.8 and 1.2 m do not lie beside each other on 4 m
    plan, _ = plan_of(lounge(), hall(back=False))
    assert plan.length_mm == pytest.approx(8300)
    (join,) = plan.seams
    assert (join.room, join.to, join.seam.kind, join.seam.length_mm) == ("Lounge", "Hall", SeamKind.CROSS, 800.0)
    assert "in the doorway to Hall" in join.seam.sentence


def test_outlines_of_one_drawing_know_their_places() -> None:
    drawn = replace(hall(back=False), outline=outline_of([(300, 5150), (1500, 5150), (1500, 8150), (300, 8150)]))
    plan, _ = plan_of(lounge(), drawn)
    assert plan.length_mm == pytest.approx(8225) and not plan.seams


def test_a_join_is_kept_where_running_through_would_take_much_more_roll() -> None:
    # 2.5 m and 1.2 m lie side by side: 5150 + 75 mm; in one piece it would be 8225 mm
    plan, _ = plan_of(lounge(2500.0), hall())
    assert plan.length_mm == pytest.approx(5225)
    assert [seam.to for seam in plan.seams] == ["Hall"]


@pytest.mark.parametrize(("depth", "trim", "through"), [(75.0, 37.5, 1), (50.0, 37.5, 0), (0.0, 0.0, 0), (100.0, 70.0, 0)])
def test_a_wall_thinner_than_the_trims_of_both_sides_leaves_no_way_through(depth: float, trim: float, through: int) -> None:
    assert len(list(run_throughs(Floors("x", (lounge(depth=depth), hall(trim=trim)))))) == through


def test_rooms_that_would_lie_over_each_other_are_not_made_one() -> None:
    over = replace(hall(), doorways=(Doorway((200.0, 3000.0), (1000.0, 3000.0), "Lounge"),))
    assert list(run_throughs(Floors("x", (lounge(), over)))) == []


def test_other_rooms_and_stairs_follow_rooms_made_one() -> None:
    den = Room("Den", hall().outline, (37.5,) * 4, None, (Doorway((0.0, 0.0), (800.0, 0.0), "Hall"),))
    (floors,) = run_throughs(Floors("x", (lounge(), hall(), den)))
    assert [room.name for room in floors.rooms] == ["Lounge and Hall", "Den"]
    assert floors.joins == (("Den", replace(den.doorways[0], to="Lounge and Hall")),)
    assert len(floors.groups) == 1


def test_a_doorway_that_both_rooms_name_is_one_join() -> None:
    assert [name for name, _ in Floors("x", (lounge(), hall())).joins] == ["Lounge"]
    assert [name for name, _ in Floors("x", (hall(), lounge())).joins] == ["Hall"]


def test_a_seam_keeps_out_of_an_opening_that_carpet_runs_through() -> None:
    # 6 m wide from 4 m: a seam at the middle of the opening would be the first to try
    recess = [(3400, 5000), (3400, 5150), (2600, 5150), (2600, 5000)]
    outline = outline_of([(0, 0), (6000, 0), (6000, 5000), *recess, (0, 5000)])
    door = Doorway((3400.0, 5150.0), (2600.0, 5150.0), "Hall", depth_mm=150.0)
    wide = Room("Lounge", outline, (37.5,) * 8, 0.0, (door,))
    plan, _ = plan_of(wide, hall())
    sides = [seam.seam.line[0][0] for seam in plan.seams if not seam.to]
    assert sides
    assert not any(2600 < x < 3400 for x in sides)


def test_a_seam_along_the_opening_of_rooms_laid_as_one_is_a_join_in_the_doorway() -> None:
    (floors,) = run_throughs(Floors("x", (lounge(pile=90.0), hall())))
    (room,) = floors.rooms
    for end in (5000.0, 5150.0, 5160.0):  # across the room's axes the seam runs along +x at this height
        seam, weight = room_seam(
            room,
            ((-end, 500.0), (-end, 1300.0)),
            SeamKind.SIDE,
            pile_deg=90.0,
            area_mm=(6000.0, 5000.0),
            paths=(),
            construction=Construction.CUT,
            weights=Weights(),
        )
        assert ("in the doorway to Hall" in seam.seam.sentence) == (end == 5150.0)
        assert weight == pytest.approx(80.0 + 300.0)  # by its length, and as one more seam or as a join in a doorway


def test_the_check_sees_rooms_out_of_place_and_joins_kept_quiet() -> None:
    plan, floors = plan_of(lounge(), hall())
    (room,) = plan.floors.rooms
    moved = replace(room, parts=(room.parts[0], replace(room.parts[1], shift=(300.0, 5100.0))))
    bare = replace(room, trims_mm=(0.0,) * len(room.trims_mm))
    less = replace(room, parts=room.parts[:1])
    for wrong, words in ((moved, "does not cover the rooms"), (bare, "has lost the trim of"), (less, "are laid, asked were")):
        faults = check_order(replace(plan, floors=replace(plan.floors, rooms=(wrong,))), floors, OrderRules())
        assert any(words in str(fault) for fault in faults), words
    plan, floors = plan_of(lounge(2500.0), hall())
    quiet = replace(plan, layings=tuple(replace(laying, seams=()) for laying in plan.layings))
    assert any("join in the doorway to Hall is told 0 times" in str(fault) for fault in check_order(quiet, floors, OrderRules()))


def test_the_check_sees_a_wall_too_thin_to_slit_along() -> None:
    (floors,) = run_throughs(Floors("x", (lounge(depth=75.0), hall())))
    (room,) = floors.rooms
    thick = replace(room, trims_mm=(40.0,) * len(room.trims_mm))
    asked = Floors("x", (replace(lounge(depth=75.0), trims_mm=(40.0,) * 8), replace(hall(), trims_mm=(40.0,) * 4)))
    plan, _ = plan_of(lounge(depth=75.0), hall())
    faults = check_order(replace(plan, floors=Floors("x", (thick,))), asked, OrderRules())
    assert any("thinner than the trims" in str(fault) for fault in faults)
