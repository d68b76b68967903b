"""Rooms of drawings as people draw them: lines, gaps, curves, blocks, hatches, layers, names, doors; and what is refused."""

import io
import math
from collections.abc import Callable
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing

from remnants.errors import BadFile
from remnants.exchange.plans.dxf import dxf_drawn
from remnants.exchange.plans.rooms import PlanRead, plan_rooms, rooms_file
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.rooms import read_rooms
from remnants.geometry.outline import area_mm2, bounds
from remnants.units import Unit

Corners = list[tuple[float, float]]
LOUNGE: Corners = [(0, 0), (4000, 0), (4000, 5000), (0, 5000)]
HALL: Corners = [(4000, 0), (5200, 0), (5200, 5000), (4000, 5000)]


def a_drawing(units: int = 4) -> Drawing:
    """An empty drawing, in the unit of that code of the DXF reference: 4 mm, 6 m, 0 none."""
    drawing = ezdxf.new()  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    drawing.header["$INSUNITS"] = units
    return drawing


def on(layer: str, **more: Any) -> dict[str, Any]:
    return {"layer": layer, **more}


def lined(place: Any, corners: Corners, layer: str = "WALLS", *, closed: bool = True) -> None:
    """A line for each side."""
    for start, end in zip(corners, [*corners[1:], corners[0]] if closed else corners[1:], strict=False):
        place.add_line(start, end, dxfattribs=on(layer))


def outlined(place: Any, corners: Corners, layer: str = "ROOMS", *, close: bool = True) -> None:
    place.add_lwpolyline(corners, close=close, dxfattribs=on(layer))


def read(drawing: Drawing, shown: Unit = Unit.MM, **said: Any) -> PlanRead:
    """As from a file: written and read again."""
    text = io.StringIO()
    drawing.write(text)
    text.seek(0)
    again = ezdxf.read(text)  # type: ignore[attr-defined]
    options = PlanSaid(**said)
    plan = plan_rooms(dxf_drawn(again, "flat.dxf", options), "flat.dxf", options, shown)
    assert len(read_rooms(rooms_file(plan, "flat.dxf", shown)).floors.rooms) == len(plan.rooms)  # an order can be made of it
    return plan


def refused(drawing: Drawing, **said: Any) -> str:
    with pytest.raises(BadFile) as told:
        read(drawing, **said)
    return str(told.value)


def sizes(plan: PlanRead) -> dict[str, tuple[float, float]]:
    """Across and up of each room, whole mm."""
    boxes = {room.name: bounds(room.ring) for room in plan.rooms}
    return {name: (round(right - left), round(top - bottom)) for name, (left, bottom, right, top) in boxes.items()}


def test_rooms_drawn_in_lines_share_their_wall() -> None:
    drawing = a_drawing()
    lined(drawing.modelspace(), [(0, 0), (5200, 0), (5200, 5000), (0, 5000)])
    drawing.modelspace().add_line((4000, 0), (4000, 5000), dxfattribs=on("WALLS"))  # it ends on the walls, at no corner of theirs
    assert sizes(read(drawing)) == {"WALLS 1": (4000, 5000), "WALLS 2": (1200, 5000)}


def test_a_wall_drawn_in_lines_divides_an_outline() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), [(0, 0), (5200, 0), (5200, 5000), (0, 5000)])
    drawing.modelspace().add_line((4000, 0), (4000, 5000), dxfattribs=on("ROOMS"))
    assert sorted(sizes(read(drawing)).values()) == [(1200, 5000), (4000, 5000)]


def test_walls_drawn_with_their_thickness_are_no_rooms() -> None:
    drawing = a_drawing()
    lined(drawing.modelspace(), [(-350, -350), (6000, -350), (6000, 5350), (-350, 5350)])
    lined(drawing.modelspace(), LOUNGE)
    lined(drawing.modelspace(), [(4100, 0), (5650, 0), (5650, 5000), (4100, 5000)])
    plan = read(drawing)
    assert sorted(sizes(plan).values()) == [(1550, 5000), (4000, 5000)]
    assert "1 strip between lines, narrower than a room, taken for walls" in plan.notes


def test_a_small_gap_is_closed_and_told_and_a_wide_one_asked_about() -> None:
    drawing = a_drawing()
    lined(drawing.modelspace(), [(0, 0), (4000, 0), (4000, 5000), (0, 5000), (0, 12)], closed=False)
    plan = read(drawing)
    assert sizes(plan) == {"WALLS": (4000, 5000)}
    assert "closed a gap on layer 'WALLS' of 12 mm at 0, 0" in plan.notes
    wide = a_drawing(6)
    lined(wide.modelspace(), [(0, 0), (4, 0), (4, 5), (0, 5), (0, 0.9)], closed=False)
    told = refused(wide)
    assert "layer 'WALLS' at 0, 0.9: a line ends here and meets nothing: close the outline, or say up to which width" in told
    assert sizes(read(wide, gap_mm=1000)) == {"WALLS": (4000, 5000)}


def test_an_outline_left_open_is_closed_over_its_corner() -> None:
    drawing = a_drawing()
    corners = [(0.0, 15.0), (0.0, 5000.0), (4000.0, 5000.0), (4000.0, 0.0), (12.0, 0.0)]
    outlined(drawing.modelspace(), corners, close=False)
    plan = read(drawing)
    assert area_mm2(plan.rooms[0].ring) == pytest.approx(4000 * 5000)
    assert any(note.startswith("closed a gap on layer 'ROOMS' of 19 mm") for note in plan.notes)


def test_lines_that_run_past_each_other_still_meet() -> None:
    drawing = a_drawing()
    for start, end in [((-8, 0), (4008, 0)), ((4000, -5), (4000, 5009)), ((4009, 5000), (-3, 5000)), ((0, 5012), (0, -9))]:
        drawing.modelspace().add_line(start, end, dxfattribs=on("WALLS"))
    assert area_mm2(read(drawing).rooms[0].ring) == pytest.approx(4000 * 5000)


def circle(place: Any) -> None:
    place.add_circle((3000, 3000), 2500, dxfattribs=on("TOWER"))


def bay(place: Any) -> None:
    place.add_lwpolyline([(0, 0, 0), (4000, 0, 0.5), (4000, 3000, 0), (0, 3000, 0)], format="xyb", close=True)


def apse(place: Any) -> None:
    lined(place, [(4000, 0), (4000, 3000), (0, 3000), (0, 0)], "0", closed=False)
    place.add_lwpolyline([(0, 0), (4000, 0)])


def arc(place: Any) -> None:
    lined(place, [(0, 3000), (0, 0), (4000, 0), (4000, 3000)], "0", closed=False)
    place.add_arc((2000, 3000), 2000, 0, 180)


def hollow(place: Any) -> None:
    """A round stair well bulges into the room."""
    lined(place, [(4000, 0), (4000, 3000), (0, 3000), (0, 0), (1000, 0)], "0", closed=False)
    lined(place, [(3000, 0), (4000, 0)], "0", closed=False)
    place.add_arc((2000, 0), 1000, 0, 180)


def oval(place: Any) -> None:
    place.add_ellipse((0, 0), (3000, 0), 0.5)


def egg(place: Any) -> None:
    place.add_spline(degree=3).set_closed([(0, 0, 0), (3000, -500, 0), (4000, 2000, 0), (2000, 4000, 0), (-500, 2500, 0)])


SEGMENT = 2 * math.atan(0.5)  # half the angle of an arc with a bulge of a half
RADIUS = 1500 / math.sin(SEGMENT)
CURVED: dict[str, tuple[Callable[[Any], None], float | None]] = {
    "circle": (circle, math.pi * 2500**2),
    "bay": (bay, 4000 * 3000 + RADIUS**2 * (SEGMENT - math.sin(SEGMENT) * math.cos(SEGMENT))),
    "straight": (apse, 4000 * 3000),
    "arc": (arc, 4000 * 3000 + math.pi * 2000**2 / 2),
    "hollow": (hollow, 4000 * 3000 - math.pi * 1000**2 / 2),
    "oval": (oval, math.pi * 3000 * 1500),
    "egg": (egg, None),
}


@pytest.mark.parametrize("kind", CURVED)
def test_a_curve_is_flattened_so_that_the_room_is_no_smaller(kind: str) -> None:
    draw, true_mm2 = CURVED[kind]
    drawing = a_drawing()
    draw(drawing.modelspace())
    (room,) = read(drawing).rooms
    if true_mm2 is not None:
        edge_mm = sum(math.dist(a, b) for a, b in zip(room.ring, (*room.ring[1:], room.ring[0]), strict=True))
        assert true_mm2 - 1 <= area_mm2(room.ring) <= true_mm2 + edge_mm * 0.4


def test_a_block_is_read_where_it_stands_turned_scaled_and_mirrored() -> None:
    drawing = a_drawing()
    suite = drawing.blocks.new("SUITE")
    outlined(suite, [(0, 0), (4, 0), (4, 5), (0, 5)], "0")
    suite.add_text("Suite", height=0.3, dxfattribs=on("NAMES", insert=(1, 2)))
    outer = drawing.blocks.new("FLOOR")
    outer.add_blockref("SUITE", (10, 0), dxfattribs=on("0", rotation=90))
    space = drawing.modelspace()
    space.add_blockref("FLOOR", (100, 50), dxfattribs=on("ROOMS", xscale=1000, yscale=1000))
    space.add_blockref("SUITE", (0, 0), dxfattribs=on("ROOMS", xscale=-1000, yscale=1200))
    plan = read(drawing)
    assert sizes(plan) == {"Suite 1": (4000, 6000), "Suite 2": (5000, 4000)}
    assert {room.layer for room in plan.rooms} == {"ROOMS"}
    assert bounds(plan.rooms[1].ring) == pytest.approx((5100, 50, 10100, 4050))


def test_the_edge_of_a_hatch_is_an_outline_and_what_it_fills_is_counted_once() -> None:
    drawing = a_drawing()
    drawing.modelspace().add_hatch(dxfattribs=on("FLOOR")).paths.add_polyline_path(LOUNGE, is_closed=True)
    assert sizes(read(drawing)) == {"FLOOR": (4000, 5000)}
    outlined(drawing.modelspace(), LOUNGE)
    assert [room.layer for room in read(drawing).rooms] == ["ROOMS"]


def test_layers_that_are_off_or_frozen_are_left_out_and_named() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), [(x, y + 9000) for x, y in LOUNGE], "OLD")
    outlined(drawing.modelspace(), [(x, y + 18000) for x, y in LOUNGE], "NEXT")
    drawing.layers.add("OLD").freeze()
    drawing.layers.add("NEXT").off()
    plan = read(drawing)
    assert sizes(plan) == {"ROOMS": (4000, 5000)}
    assert "layers that the drawing doesn't show are left out: 'NEXT' (off), 'OLD' (frozen)" in plan.notes
    assert list(sizes(read(drawing, layers=("old",)))) == ["OLD"]  # asked for by name, in whichever case


def test_layers_are_chosen_and_lines_of_those_close_one_another() -> None:
    drawing = a_drawing()
    lined(drawing.modelspace(), [(0, 0), (4000, 0), (4000, 5000)], "WALLS", closed=False)
    lined(drawing.modelspace(), [(4000, 5000), (0, 5000), (0, 0)], "WINDOWS", closed=False)
    assert "meets nothing" in refused(drawing)
    assert sizes(read(drawing, layers=("WALLS", "WINDOWS"))) == {"WALLS": (4000, 5000)}
    assert "nothing on a layer 'ROOM'; its layers are 'WALLS', 'WINDOWS'" in refused(drawing, layers=("ROOM",))


def test_where_several_layers_hold_rooms_it_is_asked_which_and_a_layer_a_room_is_no_question() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE, "LOUNGE")
    outlined(drawing.modelspace(), HALL, "HALL")
    assert list(sizes(read(drawing))) == ["HALL", "LOUNGE"]
    outlined(drawing.modelspace(), [(x + 9000, y) for x, y in HALL], "HALL")
    assert "outlines stand on several layers: 'HALL' (2), 'LOUNGE' (1); say on which the rooms are" in refused(drawing)
    assert list(sizes(read(drawing, layers=("HALL",)))) == ["HALL 1", "HALL 2"]


def furnished() -> Drawing:
    """A lounge with a table and a hearth."""
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), [(1000, 1000), (2200, 1000), (2200, 1800), (1000, 1800)], "FURNITURE")
    outlined(drawing.modelspace(), [(0, 2000), (250, 2000), (250, 3200), (0, 3200)], "HEARTH")
    return drawing


def test_what_lies_in_a_room_is_an_island_only_if_that_is_said() -> None:
    plan = read(furnished())
    assert [(room.layer, room.islands) for room in plan.rooms] == [("ROOMS", ())]
    assert any("1 outline lies inside a room on layer 'FURNITURE': carpet runs under it" in note for note in plan.notes)
    (room,) = read(furnished(), islands=("HEARTH",)).rooms
    assert [bounds(ring) for ring in room.islands] == [(0, 2000, 250, 3200)]


def test_a_frame_round_the_rooms_is_asked_about() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), HALL)
    outlined(drawing.modelspace(), [(-100, -100), (6000, -100), (6000, 6000), (-100, 6000)], "FRAME")
    assert "on layer 'FRAME' at -100, -100: is filled by 2 outlines inside it: choose the layers" in refused(drawing)
    assert len(read(drawing, layers=("ROOMS",)).rooms) == 2


def test_a_sheet_round_few_rooms_is_asked_about_however_large_it_is() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), [(-9000, -9000), (50000, -9000), (50000, 30000), (-9000, 30000)], "SHEET")
    assert "on layer 'SHEET' at -9000, -9000: is filled by 1 outline inside it: choose the layers" in refused(drawing)


def test_a_text_in_a_room_is_its_name_and_its_size_is_none() -> None:
    drawing = a_drawing()
    space = drawing.modelspace()
    for corners in (LOUNGE, HALL, [(x + 9000, y) for x, y in HALL]):
        outlined(space, corners)
    space.add_mtext(r"{\fArial;Lounge}\PW: 4.00 x 5.00 m", dxfattribs=on("NAMES", insert=(900, 2500), char_height=200))
    space.add_text("4.0 x 5.0 m", height=400, dxfattribs=on("SIZES", insert=(900, 1000)))
    for x in (4300, 13300):
        space.add_text("Hall", height=200, dxfattribs=on("NAMES", insert=(x, 1000)))
    assert list(sizes(read(drawing))) == ["Lounge", "Hall 1", "Hall 2"]


def door_block(drawing: Drawing, *, mirrored: bool = False) -> None:
    """A leaf of 800 mm, opened square, and the arc that it swings through; hinged at the block's origin, opening along +x."""
    block = drawing.blocks.new("DOOR-80")
    lined(block, [(0, 0), (40, 0), (40, 800), (0, 800)], "0")
    block.add_arc((0, 0), 800, 0, 90, dxfattribs=on("0"))


def two_rooms(wall: float) -> Drawing:
    """A lounge and a hall to the right of it, a wall between them, and a door in it at 1000 to 1800 up."""
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE, "LOUNGE")
    outlined(drawing.modelspace(), [(x + wall, y) for x, y in HALL], "HALL")
    door_block(drawing)
    return drawing


@pytest.mark.parametrize("wall", [0, 100, 300])
def test_a_door_block_is_a_doorway_of_both_its_rooms_and_the_wall_its_depth(wall: float) -> None:
    drawing = two_rooms(wall)
    drawing.modelspace().add_blockref("DOOR-80", (4000, 1000), dxfattribs=on("FITTINGS", rotation=90))
    entries = {room["name"]: room for room in rooms_file(read(drawing), "flat.dxf", Unit.MM)["rooms"]}
    (into,), (back,) = entries["LOUNGE"]["doorways"], entries["HALL"]["doorways"]
    assert (into["to"], back["to"]) == ("HALL", "LOUNGE")
    assert into.get("depth", 0) + back.get("depth", 0) == wall
    assert (into["from"], into["width"], back["width"]) == (1000, 800, 800)
    assert entries["LOUNGE"]["outline"][into["edge"]] == [4000, 0] and back["from"] == 3200


def test_a_door_close_to_a_corner_opens_in_its_own_wall_and_not_where_its_leaf_stands() -> None:
    drawing = two_rooms(100)
    drawing.modelspace().add_blockref("DOOR-80", (4100, 60), dxfattribs=on("FITTINGS", rotation=90))
    plan = read(drawing)
    assert {room.name: [(round(way.start_mm), to) for way, to in room.doorways] for room in plan.rooms} == {
        "LOUNGE": [(60, "HALL")],
        "HALL": [(4140, "LOUNGE")],
    }


def test_doors_on_a_layer_of_theirs_need_no_block_and_one_to_the_outside_leads_nowhere() -> None:
    drawing = two_rooms(100)
    space = drawing.modelspace()
    space.add_arc((0, 1000), 900, 0, 90, dxfattribs=on("A-DOOR"))
    space.add_line((0, 1000), (900, 1000), dxfattribs=on("A-DOOR"))
    lined(space, [(1000, 5000), (2500, 5000), (2500, 5050), (1000, 5050)], "SLIDING")
    space.add_line((50000, 0), (50900, 0), dxfattribs=on("A-DOOR"))
    plan = read(drawing, doors=("sliding",))
    (lounge,) = (room for room in plan.rooms if room.name == "LOUNGE")
    assert [(way.edge, round(way.start_mm), round(way.width_mm), to) for way, to in lounge.doorways] == [
        (2, 1500, 1500, ""),
        (3, 3100, 900, ""),
    ]
    assert any("1 door stands at no room's wall, and is left out: LINE" in note for note in plan.notes)


def test_a_door_closes_the_walls_that_stop_at_it() -> None:
    drawing = a_drawing()
    lined(drawing.modelspace(), [(0, 1000), (0, 0), (4000, 0), (4000, 5000), (0, 5000), (0, 1800)], closed=False)
    assert "meets nothing" in refused(drawing)
    door_block(drawing)
    drawing.modelspace().add_blockref("DOOR-80", (0, 1000), dxfattribs=on("DOORS", rotation=90))
    (room,) = read(drawing).rooms
    assert area_mm2(room.ring) == pytest.approx(4000 * 5000)
    assert [(round(way.start_mm), round(way.width_mm)) for way, _ in room.doorways] == [(3200, 800)]


def test_rooms_that_overlap_are_told() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), [(x - 500, y) for x, y in HALL])
    assert "ROOMS 1 and ROOMS 2 overlap by 2.50 m²: both count; draw each within its walls" in read(drawing).notes


def test_without_a_unit_it_is_asked_for_with_what_each_would_make_of_it() -> None:
    drawing = a_drawing(0)
    outlined(drawing.modelspace(), [(x / 1000, y / 1000) for x, y in LOUNGE])
    told = refused(drawing)
    assert "the drawing states no unit: say which one it is in; what is longest in it would be 5 mm or 5.0 cm or 5.000 m" in told
    assert sizes(read(drawing, unit=Unit.M)) == {"ROOMS": (4000, 5000)}
    assert sizes(read(drawing, unit_unstated=Unit.M)) == {"ROOMS": (4000, 5000)}


def test_a_size_of_no_room_is_asked_about_with_its_entity_layer_and_place() -> None:
    small, large = a_drawing(4), a_drawing(6)
    outlined(small.modelspace(), [(x / 1000, y / 1000) for x, y in HALL])
    outlined(large.modelspace(), [(x / 5, y / 5) for x, y in LOUNGE])
    assert "LWPOLYLINE 2F on layer 'ROOMS' at 4, 0: would be 1 mm × 5 mm: say which unit the drawing is in" in refused(small)
    assert "on layer 'ROOMS' at 0, 0: would be 800000 mm × 1000000 mm: say which unit" in refused(large)


def test_what_is_too_small_beside_rooms_is_left_out_and_told() -> None:
    drawing = a_drawing()
    outlined(drawing.modelspace(), LOUNGE)
    outlined(drawing.modelspace(), [(6000, 0), (6040, 0), (6040, 800), (6000, 800)], "LEAF")
    plan = read(drawing)
    assert [room.layer for room in plan.rooms] == ["ROOMS"]
    assert any(
        note.startswith("1 outline is too small for a room on layer 'LEAF', and left out: LWPOLYLINE") for note in plan.notes
    )


def test_rooms_far_from_the_origin_of_a_map_are_moved_to_it_together() -> None:
    drawing = a_drawing(6)
    for corners in (LOUNGE, HALL):
        outlined(drawing.modelspace(), [(x / 1000 + 4321, y / 1000 + 8765) for x, y in corners])
    assert [[round(at) for at in bounds(room.ring)] for room in read(drawing).rooms] == [
        [0, 0, 4000, 5000],
        [4000, 0, 5200, 5000],
    ]


def crossing(drawing: Drawing) -> None:
    outlined(drawing.modelspace(), [(0, 0), (3000, 4000), (3000, 0), (0, 4000)], "STUDY")


def another_file(drawing: Drawing) -> None:
    block = drawing.blocks.new("SITE")
    assert block.block is not None
    block.block.dxf.flags = 4
    block.block.dxf.xref_path = "site.dwg"
    drawing.modelspace().add_blockref("SITE", (7, 8), dxfattribs=on("XREFS"))


def nested(drawing: Drawing) -> None:
    """Each of twelve blocks holds the one before ten times, and the innermost nothing: 10^12 places to look into."""
    drawing.blocks.new("B0")
    for level in range(1, 13):
        block = drawing.blocks.new(f"B{level}")
        for _ in range(10):
            block.add_blockref(f"B{level - 1}", (0, 0))
    drawing.modelspace().add_blockref("B12", (0, 0))


def rows_of_blocks(drawing: Drawing) -> None:
    outlined(drawing.blocks.new("SEAT"), LOUNGE)
    attribs = on("SEATS", row_count=30000, column_count=30000, row_spacing=6000, column_spacing=6000)
    drawing.modelspace().add_blockref("SEAT", (0, 0), dxfattribs=attribs)


def deep(drawing: Drawing) -> None:
    outlined(drawing.blocks.new("B0"), LOUNGE)
    for level in range(1, 18):
        drawing.blocks.new(f"B{level}").add_blockref(f"B{level - 1}", (0, 0))
    drawing.modelspace().add_blockref("B17", (0, 0), dxfattribs=on("DEEP"))


def itself(drawing: Drawing) -> None:
    block = drawing.blocks.new("LOOP")
    block.add_blockref("LOOP", (0, 0))
    drawing.modelspace().add_blockref("LOOP", (0, 0))


def round_seats(drawing: Drawing) -> None:
    block = drawing.blocks.new("ROUND")
    for radius in range(90_000, 99_000, 500):
        block.add_circle((0, 0), radius)
    for step in range(20):
        drawing.modelspace().add_blockref("ROUND", (step, 0))


def endless(drawing: Drawing) -> None:
    drawing.modelspace().add_lwpolyline([(0, 0, 1e12), (3000, 0, 0), (3000, 4000, 0)], format="xyb", close=True)


BAD: dict[str, tuple[Callable[[Drawing], None], str]] = {
    "crossing": (crossing, "LWPOLYLINE 2F on layer 'STUDY' at 0, 0: the outline crosses or touches itself"),
    "another file": (another_file, "on layer 'XREFS' at 7, 8: block 'SITE' is another drawing's file; bind it into this one"),
    "nested": (nested, "over 50,000 entities, its blocks resolved"),
    "rows": (rows_of_blocks, "on layer 'SEATS' at 0, 0: over 50,000 entities, its blocks resolved"),
    "deep": (deep, "over 16 blocks, one in the other"),
    "itself": (itself, "over 16 blocks, one in the other"),
    "points": (round_seats, "over 500,000 points, curves flattened"),
    "endless": (endless, "on layer '0': reaches further than a kilometre: it is no room, or the drawing is in another unit"),
    "nothing": (lambda drawing: None, "no outline of a room is in it: draw each as a closed polyline, or as lines that meet"),
}


@pytest.mark.parametrize("fault", BAD)
def test_what_is_wrong_is_told_with_its_entity_layer_and_place(fault: str) -> None:
    make, words = BAD[fault]
    drawing = a_drawing()
    make(drawing)
    assert words in refused(drawing)
