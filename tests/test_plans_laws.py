"""Random houses, drawn in every way that people draw: the rooms read are the rooms that are there, and nothing else."""

import math
import random
from typing import Any

import ezdxf
import pytest

from remnants.exchange.plans.dxf import dxf_drawn
from remnants.exchange.plans.rooms import plan_rooms
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry.outline import area_mm2
from remnants.units import Unit
from tests.thorough import share

Box = tuple[float, float, float, float]
Point = tuple[float, float]


def split(dice: random.Random, box: Box, walls: list[tuple[Point, Point]]) -> list[Box]:
    """Rooms of 1.2 m and more by cutting a house in two, and its halves; `walls` are the cuts, which end on walls before them."""
    left, low, right, high = box
    upright = right - left > high - low
    side = right - left if upright else high - low
    if side < 2600 or (dice.random() < 0.15 and side < 6000):
        return [box]
    cut = (left if upright else low) + round(dice.uniform(1200, side - 1200), dice.choice((0, 1)))
    walls.append(((cut, low), (cut, high)) if upright else ((left, cut), (right, cut)))
    halves = [(left, low, cut, high), (cut, low, right, high)] if upright else [(left, low, right, cut), (left, cut, right, high)]
    return [room for half in halves for room in split(dice, half, walls)]


def corners(box: Box) -> list[Point]:
    left, low, right, high = box
    return [(left, low), (right, low), (right, high), (left, high)]


def slipped(dice: random.Random, wall: tuple[Point, Point], most: float) -> tuple[Point, Point]:
    """A wall whose ends stop short or run past by up to so much."""
    (ax, ay), (bx, by) = wall
    length = math.dist(*wall)
    one, two = (dice.uniform(-most, most) / length for _ in range(2))
    return (ax + (bx - ax) * one, ay + (by - ay) * one), (bx + (bx - ax) * two, by + (by - ay) * two)


def drawn(dice: random.Random, place: Any, rooms: list[Box], walls: list[tuple[Point, Point]], *, way: str, scale: float) -> None:
    """The house in lines, in outlines, or each wall as an open polyline of one stretch, in the drawing's figures."""
    if way == "outlines":
        for room in rooms:
            place.add_lwpolyline([(x / scale, y / scale) for x, y in corners(room)], close=True)
        return
    for wall in walls:
        start, end = ((x / scale, y / scale) for x, y in (slipped(dice, wall, 14) if way == "slips" else wall))
        if dice.random() < 0.5:
            place.add_line(start, end)
        else:
            place.add_lwpolyline([end, start])


def placed(point: Point, at: Point, turn: float, stretch: tuple[float, float]) -> Point:
    """Where a block's point lies: scaled, turned, moved (DXF reference, INSERT)."""
    x, y = point[0] * stretch[0], point[1] * stretch[1]
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return at[0] + x * cos - y * sin, at[1] + x * sin + y * cos


@pytest.mark.parametrize("seed", range(share(120)))
def test_a_house_drawn_in_any_way_has_the_rooms_that_are_there(seed: int) -> None:
    dice = random.Random(seed)
    house = (0.0, 0.0, round(dice.uniform(3000, 14000)), round(dice.uniform(3000, 11000)))
    walls: list[tuple[Point, Point]] = list(zip(corners(house), [*corners(house)[1:], corners(house)[0]], strict=True))
    rooms = split(dice, house, walls)
    code, scale = dice.choice(((4, 1.0), (5, 10.0), (6, 1000.0), (1, 25.4), (2, 304.8)))
    drawing = ezdxf.new()  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    drawing.header["$INSUNITS"] = code
    way = dice.choice(("lines", "outlines", "slips"))
    at, turn, stretch = (0.0, 0.0), 0.0, (1.0, 1.0)
    if dice.random() < 0.6:
        block = drawing.blocks.new("HOUSE")
        drawn(dice, block, rooms, walls, way=way, scale=scale)
        at = (dice.uniform(-9000, 9000), dice.uniform(-9000, 9000))
        turn, size = dice.choice((90.0, 180.0, dice.uniform(0, 360))), dice.choice((1.0, 1.1))
        stretch = (size * dice.choice((1, -1)), size)
        where = {"rotation": turn, "xscale": stretch[0], "yscale": stretch[1]}
        drawing.modelspace().add_blockref("HOUSE", (at[0] / scale, at[1] / scale), dxfattribs=where)
    else:
        drawn(dice, drawing.modelspace(), rooms, walls, way=way, scale=scale)
    said = PlanSaid()
    found = plan_rooms(dxf_drawn(drawing, "house.dxf", said), "house.dxf", said, Unit.MM).rooms
    truth = [[placed(corner, at, turn, stretch) for corner in corners(room)] for room in rooms]
    assert len(found) == len(truth)
    slack = 0.05 if way != "slips" else 1.0  # what runs short is let run on as it was going, so its corner is found again
    for ring in truth:
        near = [room for room in found if all(min(math.dist(corner, other) for other in room.ring) <= slack for corner in ring)]
        assert len(near) == 1, (seed, way)
        assert area_mm2(near[0].ring) == pytest.approx(abs(area_mm2(ring)), rel=1e-3)
        assert len(near[0].ring) == 4 or way == "slips"
