"""Rooms pushed together on a floor: walls are shared, a doorway set once opens both rooms, what overlaps or leaks is told."""

import random

import pytest

from remnants.exchange.plans.openings import Opens
from remnants.exchange.plans.pushed import pushed_together
from remnants.exchange.plans.rooms import PlanRead, PlanRoom, rooms_file
from remnants.exchange.rooms import read_rooms
from remnants.units import Unit

LOWER, RIGHT, UPPER, LEFT = range(4)


def room(name: str, x: float, y: float, width: float, length: float, *doors: tuple[int, float, float]) -> PlanRoom:
    ring = ((x, y), (x + width, y), (x + width, y + length), (x, y + length))
    return PlanRoom(name, "", ring, doorways=tuple((Opens(edge, start, wide, 0.0), "") for edge, start, wide in doors))


def doors(*rooms: PlanRoom, wall: float = 0.0) -> dict[str, list[tuple[int, float, float, float, str]]]:
    made = pushed_together(rooms, wall, Unit.MM).rooms
    assert read_rooms(rooms_file(PlanRead(made, (), ()), "flat", Unit.MM)).floors.rooms  # an order can be made of it
    return {each.name: [(way.edge, way.start_mm, way.width_mm, way.depth_mm, to) for way, to in each.doorways] for each in made}


def told(*rooms: PlanRoom) -> tuple[str, ...]:
    return pushed_together(rooms, 0.0, Unit.MM).told


def test_a_doorway_set_in_one_room_opens_the_other_and_the_wall_is_its_depth() -> None:
    lounge, hall = room("Lounge", 0, 0, 4000, 5000, (RIGHT, 1000, 800)), room("Hall", 4000, 500, 1200, 4000)
    assert doors(lounge, hall, wall=100) == {
        "Lounge": [(RIGHT, 1000, 800, 100, "Hall")],
        "Hall": [(LEFT, 2700, 800, 0, "Lounge")],  # from its upper end: 4500 - 1800
    }
    apart = room("Hall", 4120, 500, 1200, 4000)
    assert doors(lounge, apart, wall=100)["Lounge"] == [(RIGHT, 1000, 800, 120, "Hall")], "as thick as it was drawn"


def test_a_doorway_set_in_both_rooms_is_one() -> None:
    found = doors(room("Lounge", 0, 0, 4000, 5000, (RIGHT, 1000, 800)), room("Hall", 4000, 0, 1200, 5000, (LEFT, 3200, 800)))
    assert [len(ways) for ways in found.values()] == [1, 1]


def test_a_doorway_to_the_outside_is_told_and_leads_nowhere() -> None:
    lounge, hall = room("Lounge", 0, 0, 4000, 5000, (LEFT, 1000, 800)), room("Hall", 4000, 0, 1200, 5000, (LEFT, 4600, 800))
    assert told(lounge) == ("a doorway of Lounge leads to no room here",)
    assert "a doorway of Hall leads to no room here" in told(lounge, room("Hall", 4000, 4900, 1200, 5000, (LEFT, 1000, 800)))
    assert hall.doorways


def test_overlaps_and_small_gaps_are_told_with_their_rooms() -> None:
    lounge = room("Lounge", 0, 0, 4000, 5000)
    assert told(lounge, room("Hall", 3900, 0, 1200, 5000)) == ("Lounge and Hall overlap by 0.50 m²: move one of them",)
    assert told(lounge, room("Hall", 4012, 0, 1200, 5000)) == ("Lounge and Hall stand 12 mm apart: push them together",)
    assert told(lounge, room("Hall", 4000, 0, 1200, 5000)) == ()


@pytest.mark.parametrize("seed", range(20))
def test_whichever_side_a_doorway_is_set_in_both_rooms_have_it_at_the_same_place(seed: int) -> None:
    dice = random.Random(seed)
    width, length, other = (float(dice.randrange(1500, 6000)) for _ in range(3))
    slide = float(dice.randrange(-600, 600))
    low, high = max(0.0, slide), min(length, slide + other)
    wide = float(dice.randrange(600, int(high - low) - 100))
    start = low + dice.random() * (high - low - wide)
    one = doors(room("A", 0, 0, width, length, (RIGHT, start, wide)), room("B", width, slide, 2000, other))
    back = doors(
        room("A", 0, 0, width, length), room("B", width, slide, 2000, other, (LEFT, other - (start - slide) - wide, wide))
    )
    for name in ("A", "B"):
        (edge, at, size, _, to), (edge_, at_, size_, _, to_) = one[name][0], back[name][0]
        assert (edge, to) == (edge_, to_) and at == pytest.approx(at_) and size == pytest.approx(size_)
