"""The room from above: what is damaged, where the patch ends, all of it drawn and named."""

import json
from typing import Any

from remnants.actions.fit_job import fit_stock, offer_in_hand
from remnants.actions.propose_job import proposals_from
from remnants.exchange import read_damaged_job, read_job, read_stock
from remnants.geometry.outline import bounds
from remnants.model import RepairRoom
from remnants.report.board import Paper
from remnants.report.drawing import Area, Drawing, Words, extent
from remnants.report.floor_view import Filled, Floor, floor_drawing
from remnants.report.outline_view import outline_drawings
from remnants.units import Unit

PAPER = Paper(width_mm=92.0, tallest_mm=84.0, margin_mm=2.0, keyed=False, headed=False)
IN = 25.4
ROOM: dict[str, Any] = {
    "name": "hall",
    "width": 120,
    "length": 90,
    "pile": 90,
    "light": 0,
    "doorways": [{"edge": 0, "from": 20, "width": 32}],
    "lanes": [[[36, 0], [36, 90]]],
    "hidden": [[[90, 50], [120, 50], [120, 90], [90, 90]]],
}
PATCH: dict[str, Any] = {
    "name": "by the door",
    "room": "hall",
    "outline": [[20, 0], [52, 0], [52, 26], [20, 26]],
    "edges": ["transition", "seam", "seam", "seam"],
}
PIECE = {"kind": "remnant", "style": "Velder", "pile": 0}
DAMAGE = (((26 * IN, 8 * IN), (40 * IN, 8 * IN), (40 * IN, 20 * IN), (26 * IN, 20 * IN)),)


def filled(*sizes: tuple[int, int]) -> Filled:
    style = {"name": "Velder", "construction": "loop", "roll_width": 144, "row": 0.25}
    pieces = [PIECE | {"tag": f"R-{n}", "width": width, "length": length} for n, (width, length) in enumerate(sizes, start=1)]
    stock = read_stock(json.dumps({"unit": "in", "styles": [style], "pieces": pieces}))
    job = read_job(json.dumps({"unit": "in", "job": "Alder Court 7", "style": "Velder", "rooms": [ROOM], "patches": [PATCH]}))
    fitted = fit_stock(stock, job)
    return Filled(fitted.plan, fitted.job, fitted.pieces, fitted.styles)


def drawn(*, room: RepairRoom | None, patch: Filled | None = None, damage: Any = DAMAGE) -> Drawing:
    return floor_drawing(Floor(room, damage, 90), unit=Unit.IN, paper=PAPER, filled=patch)


def words(drawing: Drawing) -> list[str]:
    return [mark.text for mark in drawing.marks if isinstance(mark, Words)]


def test_the_patch_stands_in_its_room_with_all_that_decides_its_edges() -> None:
    """Figures run from the left and lower walls: the patch lies from 20 in to 52 in across, and 26 in up."""
    whole = filled((60, 60))
    drawing = drawn(room=whole.job.rooms[0], patch=whole)
    assert {"left", "bottom", "20 in", "52 in", "26 in"} <= set(words(drawing))
    assert {"light", "people walk", "furniture", "pile, rows"} <= set(words(drawing))
    told = " ".join(drawing.key)
    assert "Cross-hatched: the damage." in told and "cut\tfrom R-1 (Velder), net 32 in × 26 in" in told
    assert "doorway: a stroke at either jamb" in told and "transition: heavy and broken" in told
    assert "The floor of hall. damage 14 in × 12 in, by the door 32 in × 26 in." in drawing.told


def test_a_joined_patch_has_its_parts_numbered() -> None:
    joined = filled((30, 30), (30, 30))
    assert joined.plan.patches[0].seams
    drawing = drawn(room=joined.job.rooms[0], patch=joined)
    assert {"1", "2"} <= set(words(drawing))
    assert [line[:7] for line in drawing.key if line[:1].isdigit()] == ["1\tfrom ", "2\tfrom "]


def test_before_there_is_a_patch_the_damage_is_measured_from_the_walls() -> None:
    drawing = drawn(room=filled((60, 60)).job.rooms[0])
    assert {"26 in", "40 in", "8 in", "20 in"} <= set(words(drawing))


def test_without_the_room_the_patch_is_drawn_alone_and_as_large_as_it_goes() -> None:
    whole = filled((60, 60))
    alone, in_room = drawn(room=None, patch=whole), drawn(room=whole.job.rooms[0], patch=whole)
    assert alone.scale < in_room.scale
    assert "The room isn't known" in alone.title


def test_nothing_is_drawn_off_the_paper_however_the_room_lies() -> None:
    """Rooms of any proportion, damage in any corner, light from anywhere."""
    for across, up in ((20, 400), (400, 20), (90, 90)):
        for light in (0, 45, 200, 270):
            told = {"name": "hall", "width": across, "length": up, "light": light}
            patch = {"name": "patch", "width": 1, "length": 1, "pile": 0}
            (room,) = read_job(json.dumps({"unit": "in", "rooms": [told], "patches": [patch]})).rooms
            corner = (((across - 9) * IN, 0.0), (across * IN, 0.0), (across * IN, 8 * IN), ((across - 9) * IN, 8 * IN))
            drawing = drawn(room=room, damage=(corner,))
            left, bottom, right, top = extent(drawing.marks)
            assert left >= 0 and bottom >= 0 and top <= drawing.height_mm and right <= drawing.width_mm, (across, up, light)


def test_the_damage_is_drawn_where_it_lies() -> None:
    room = filled((60, 60)).job.rooms[0]
    drawing = drawn(room=room)
    areas = [bounds(ring) for mark in drawing.marks if isinstance(mark, Area) for ring in mark.rings]
    wall = max(areas, key=lambda box: box[2] - box[0])
    scale = drawing.scale
    wanted = (wall[0] + 26 * IN / scale, wall[1] + 8 * IN / scale, wall[0] + 40 * IN / scale, wall[1] + 20 * IN / scale)
    assert any(all(abs(a - b) < 0.01 for a, b in zip(box, wanted, strict=True)) for box in areas)


def test_damage_in_two_rooms_is_drawn_in_two_and_each_tells_its_own() -> None:
    rooms = [{"name": name, "width": 33, "length": 100, "pile": 0} for name in ("hall", "den")]
    damage = [[10, 40], [20, 40], [20, 50], [10, 50]]
    patches = [{"name": f"{room['name']} burn", "room": room["name"], "damage": damage} for room in rooms]
    asked = read_damaged_job({"unit": "in", "job": "x", "style": "Velder", "rooms": rooms, "patches": patches})
    stock = read_stock(json.dumps({"unit": "in", "styles": [], "pieces": [PIECE | {"tag": "R-1", "width": 60, "length": 90}]}))
    (first, *_) = proposals_from(offer_in_hand(stock, asked.job), asked)
    hall, den = outline_drawings(first.proposal, asked, number=1, pieces=first.fitted.pieces, styles={})
    assert (hall.title, den.title) == ("Outline 1: hall burn", "Outline 1: den burn")
    assert "hall burn 33 in × " in hall.told and "den burn" not in hall.told
    assert hall.key[0].startswith("hall burn\tLeft side: ") or "Left side: at the wall" in hall.key[0]
    assert not any(
        line.startswith("hall burn")
        for line in outline_drawings(first.proposal, asked, number=1, pieces={}, styles={}, reasons=False)[0].key
    )
