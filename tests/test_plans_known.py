"""A PDF plan by a length that is known, its own layers, the doors drawn in it: PDFs made here, as drawing programs write them."""

import math
import random
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadFile, BadInput
from remnants.exchange.plans.known import point_of
from remnants.exchange.plans.pdf import page_seen, pdf_drawn
from remnants.exchange.plans.rooms import PlanRead, plan_rooms
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry.outline import bounds
from remnants.report.plan_view import lines_told, page_svg
from remnants.units import Unit
from tests.commands import Remnants
from tests.test_plans_pdf import a_page, flat


def read(data: bytes, unit: Unit = Unit.MM, **said: Any) -> PlanRead:
    options = PlanSaid(**said)
    return plan_rooms(pdf_drawn(data, "flat.pdf", options, unit), "flat.pdf", options, unit)


def refused(data: bytes, **said: Any) -> str:
    with pytest.raises(BadFile) as told:
        read(data, **said)
    return str(told.value)


def sizes(plan: PlanRead) -> dict[str, tuple[int, int]]:
    found = {room.name: bounds(room.ring) for room in plan.rooms}
    return {name: (round(right - left), round(top - low)) for name, (left, low, right, top) in found.items()}


TRUE = {"Lounge": (4000, 5000), "Hall": (1200, 5000)}


def test_a_line_whose_length_is_known_tells_the_scale() -> None:
    """Drawn at 1:50: the lounge's wall of 5 m is 100 mm on paper, and so is that of the hall beside it."""
    seen = page_seen(a_page(flat), "flat.pdf")
    (longest,) = [line for line in seen.lines if line.start == (100.0, 50.0) and line.end == (100.0, 150.0)]
    assert round(longest.length_mm, 3) == 100 and (seen.width_mm, seen.height_mm) == pytest.approx((420, 297))
    plan = read(a_page(flat), line=longest.number, known_mm=5000.0)
    assert sizes(plan) == TRUE
    makes = f"line {longest.number} of 100 mm on the page, taken for 5000 mm, makes the scale 1:50"
    assert f"{makes}; on the page stands 1:50" in plan.notes
    told = dict(lines_told(seen, Unit.MM))[longest.number]
    assert told == "100 mm long on the page, upright, its middle 100 mm from the left and 100 mm from below"
    assert "in long on the page" in dict(lines_told(seen, Unit.FT))[longest.number]


def test_two_points_a_known_length_apart_do_too() -> None:
    """From the lounge's lower left corner to its upper right one: 80 by 100 mm on paper, 6.403 m across the floor."""
    points = ((100.0, 50.0), (180.0, 150.0))
    assert sizes(read(a_page(flat), points=points, known_mm=math.hypot(4000, 5000))) == TRUE
    assert "lies off the page, which is 420 mm × 297 mm" in refused(a_page(flat), points=((500, 9), (9, 9)), known_mm=1)
    assert "too near each other to measure by" in refused(a_page(flat), points=((9, 9), (9, 10)), known_mm=1)
    assert point_of(" 100 mm,  2 in ", Unit.MM) == (100.0, 50.8)
    for wrong in ("100", "1,2,3", "a,b", ""):
        with pytest.raises(BadInput):
            point_of(wrong, Unit.MM)


@settings(max_examples=15)
@given(st.floats(20, 200), st.integers(0, 3))
def test_any_line_of_any_scale_gives_the_rooms_as_they_are(scale: float, which: int) -> None:
    """A plan of a room of 80 x 100 mm on paper, taken for what that is at any scale, by whichever of its walls."""
    seen = page_seen(PLAIN, "plain.pdf")
    line = seen.lines[which]
    (room,) = read(PLAIN, line=line.number, known_mm=line.length_mm * scale).rooms
    left, low, right, top = bounds(room.ring)
    assert (right - left, top - low) == pytest.approx((80 * scale, 100 * scale), abs=0.05)


def plain(canvas: Any) -> None:
    canvas.setLineWidth(0.7)
    canvas.rect(100, 50, 80, 100)


PLAIN = a_page(plain)


@pytest.mark.parametrize(("known", "words"), [(200.0, "narrower|would be|160 mm × 200 mm"), (80_000.0, "64000 mm × 80000 mm")])
def test_a_wrong_length_is_asked_about_with_the_rooms_that_it_would_make(known: float, words: str) -> None:
    told = refused(PLAIN, line=1, known_mm=known)
    assert re.search(words, told), told
    assert f"look at the length that was told, as it makes the scale 1:{known / 100:.4g}" in told
    if known > 1000:
        assert sizes(read(PLAIN, scale=known / 100)), "whoever says that scale means it"


def test_a_line_that_is_not_there_is_told() -> None:
    told = refused(PLAIN, line=9, known_mm=1)
    assert "page 1 has no line 9 that is long enough to measure by; its lines are numbered 1 to 4" in told
    assert "or say how long one of its lines is" in refused(PLAIN)


def test_the_page_is_drawn_with_its_lines_numbered() -> None:
    picture = page_svg(page_seen(PLAIN, "plain.pdf"), Unit.MM)
    assert re.findall(r'data-line="(\d)"', picture) == ["1", "2", "3", "4"]
    assert "<title>1: 100 mm long on the page, upright" in picture and ">4</text>" in picture


def test_it_is_said_by_command(remnants: Remnants) -> None:
    path = remnants.folder / "flat.pdf"
    path.write_bytes(a_page(flat))
    listed = remnants.ok("order", path, "--lines", "--svg", remnants.folder / "out", "--unit", "m")
    number = next(line.partition(":")[0] for line in listed.splitlines() if "100 mm long on the page, upright" in line)
    assert "plan-line" in (remnants.folder / "out" / "lines.svg").read_text()
    words = ("order", path, "--no-stock", "--tries", "1", "--roll-width", "4 m", "--unit", "m", "--json")
    done = remnants(*words, "--line", number, "--known", "5 m")
    assert done.code == 0 and "makes the scale 1:50; on the page stands 1:50" in done.err
    assert remnants(*words, "--points", "100mm,50mm", "100mm,150mm", "--known", "16' 4 7/8\"").code == 0
    for more, told in (
        (("--line", "1"), "--known: say how long the line is"),
        (("--known", "5 m"), "--known: say of which line: by --line (--lines lists them), or by --points"),
        (("--known", "5 m", "--line", "1", "--points", "1,1", "9,9"), "--line: give a line or two points"),
        (("--known", "5 m", "--line", "1", "--scale", "1:50"), "--scale: give the scale or a known length"),
        (("--known", "long", "--line", "1"), "--known:"),
        (("--known", "5 m", "--points", "1,1", "9"), "--points:"),
    ):
        assert told in remnants.refused(*words[:-1], *more, code=2)


def a_pdf(content: str, *, layers: tuple[str, ...] = ("Walls", "Tables", "Doors"), off: tuple[int, ...] = ()) -> bytes:
    """A PDF of one page with optional content groups, by hand (ISO 32000-1, 8.11): `/OC /L0 BDC` begins what is on the first."""
    first = 5
    refs = " ".join(f"{first + index} 0 R" for index in range(len(layers)))
    listed = " ".join(f"/L{index} {first + index} 0 R" for index in range(len(layers)))
    gone = " ".join(f"{first + index} 0 R" for index in off)
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [{refs}] /D << /OFF [{gone}] >> >> >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 800 600] /Contents 4 0 R /Resources << /Properties << {listed} >> >> >>",
        f"<< /Length {len(content)} >>\nstream\n{content}\nendstream",
        *(f"<< /Type /OCG /Name ({name}) >>" for name in layers),
    ]
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += f"{number} 0 obj\n{body}\nendobj\n".encode()
    table = "".join(f"{place:010} 00000 n \n" for place in places)
    tail = f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}"
    return out + f"{tail}trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{len(out)}\n%%EOF\n".encode()


ROOM = "/OC /L0 BDC 1 w 100 100 400 300 re S EMC /OC /L1 BDC 200 200 100 50 re S EMC"
"""At 1:28.346 a point is a centimetre: a room of 4 x 3 m, and a table of 1 x 0.5 m."""

CM = 10 / (25.4 / 72)


def test_the_layers_of_a_pdf_are_chosen_as_those_of_a_drawing() -> None:
    plan = read(a_pdf(ROOM), scale=CM)
    assert [(layer.name, layer.count) for layer in plan.layers] == [("Tables", 1), ("Walls", 1)]
    assert [room.layer for room in read(a_pdf(ROOM), scale=CM, layers=("walls",)).rooms] == ["Walls"]
    island = read(a_pdf(ROOM), scale=CM, layers=("Walls",), islands=("Tables",))
    assert [len(room.islands) for room in island.rooms] == [1]
    nothing = refused(a_pdf(ROOM), scale=CM, layers=("Doors",))
    assert "there is nothing on a layer 'Doors'; its layers are 'Tables', 'Walls'" in nothing


def test_a_layer_that_the_pdf_does_not_show_is_left_out_and_named() -> None:
    hidden = a_pdf(ROOM, off=(1,))
    plan = read(hidden, scale=CM)
    assert "layers that the drawing doesn't show are left out: 'Tables' (off)" in plan.notes
    assert len(plan.rooms) == 1 and not any("inside a room" in note for note in plan.notes)
    asked = read(hidden, scale=CM, islands=("Tables",))
    assert [len(room.islands) for room in asked.rooms] == [1], "one that is asked for by its name is read all the same"


def test_what_a_layer_holds_within_others_and_without_any_is_told_by_the_innermost_and_by_width() -> None:
    nested = "/OC /L0 BDC /Span BMC 1 w 100 100 400 300 re S EMC /OC /L1 BDC 200 200 100 50 re S EMC EMC 0.5 w 0 0 90 90 re S EMC"
    assert {layer.name: layer.count for layer in read(a_pdf(nested), scale=CM).layers} == {"Walls": 1, "Tables": 1, "0.5 pt": 1}
    for broken in ("/OC /Nobody BDC 1 w 100 100 400 300 re S EMC", "EMC EMC /OC 5 BDC 1 w 100 100 400 300 re S"):
        assert [room.layer for room in read(a_pdf(broken), scale=CM).rooms] == ["1 pt"]


ARC = 4 * (math.sqrt(2) - 1) / 3
"""How far a Bezier curve's handles lie along a quarter circle of radius 1."""


def a_door(x: float, y: float, wide: float, *, leaf: bool = True) -> str:
    """Hinged at x, y (cm) in a wall that runs to the right; it opens upwards."""
    k = ARC * wide
    arc = f"{x + wide} {y} m {x + wide} {y + k} {x + k} {y + wide} {x} {y + wide} c S"
    return arc + (f" {x} {y} m {x} {y + wide} l S" if leaf else "")


def two_rooms(door: str, *, gap: bool = True) -> str:
    """A room of 4 x 3 m above one of 4 x 2 m, the wall between them a line with a gap of 80 cm for the door."""
    wall = "100 300 m 200 300 l S 280 300 m 500 300 l S" if gap else "100 300 m 500 300 l S"
    return f"1 w 100 100 m 500 100 l 500 600 l 100 600 l 100 100 l S {wall} {door}"


def test_a_leaf_and_its_swing_in_a_gap_are_a_doorway_that_closes_the_wall() -> None:
    plan = read(a_pdf(two_rooms(a_door(200, 300, 80))), scale=CM)
    assert sorted(sizes(plan).values()) == [(4000, 2000), (4000, 3000)]
    for room in plan.rooms:
        ((opens, to),) = room.doorways
        assert round(opens.width_mm) == 800 and to in sizes(plan) and to != room.name
    assert not any("like a door's" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("door", "gap", "why"),
    [
        (a_door(200, 300, 80, leaf=False), True, "has no leaf"),
        (a_door(200, 300, 80) + " 200 300 m 280 300 l S", True, "has lines at both its ends"),
        (a_door(200, 300, 80), False, "stands where a wall runs through its opening"),
    ],
)
def test_an_arc_that_may_be_a_door_is_asked_about(door: str, gap: bool, why: str) -> None:
    plan = read(a_pdf(two_rooms(door, gap=gap)), scale=CM, gap_mm=900.0)
    (told,) = [note for note in plan.notes if "like a door's" in note]
    assert f"an arc like a door's on layer '1 pt', such as the one at 98.78, 105.8 mm on the page that {why}" in told


def test_arcs_on_a_layer_of_doors_are_doors_also_where_a_wall_runs_through() -> None:
    on_them = two_rooms(f"/OC /L2 BDC {a_door(200, 300, 80)} EMC", gap=False)
    assert [len(room.doorways) for room in read(a_pdf(on_them), scale=CM).rooms] == [1, 1]
    by_width = two_rooms(f"0.25 w {a_door(200, 300, 80)}", gap=False)
    assert [len(room.doorways) for room in read(a_pdf(by_width), scale=CM, doors=("0.25 pt",), layers=("1 pt",)).rooms] == [1, 1]


def test_a_bay_and_a_cupboard_are_no_doors() -> None:
    """A quarter circle of 2.5 m, one of 20 cm, a half circle: none of them is a leaf's."""
    half = f"300 300 m 300 {300 + 80 * 4 / 3:.2f} 460 {300 + 80 * 4 / 3:.2f} 460 300 c S 300 300 m 460 300 l S"
    for other in (a_door(200, 300, 250), a_door(200, 300, 20), half):
        drawn = pdf_drawn(a_pdf(two_rooms(other, gap=False)), "flat.pdf", PlanSaid(scale=CM))
        assert drawn.doors == () and not any("like a door's" in note for note in drawn.notes)


def test_two_leaves_that_meet_are_one_door() -> None:
    left, k = a_door(200, 300, 80), ARC * 80
    right = f"280 300 m 280 {300 + k} {360 - k} 380 360 380 c S 360 300 m 360 380 l S"
    wall = "1 w 100 100 m 500 100 l 500 600 l 100 600 l 100 100 l S 100 300 m 200 300 l S 360 300 m 500 300 l S"
    plan = read(a_pdf(f"{wall} {left} {right}"), scale=CM)
    assert [round(opens.width_mm) for room in plan.rooms for opens, _ in room.doorways] == [1600, 1600]


def test_a_plan_with_layers_and_doors_damaged_anywhere_is_read_or_refused_in_our_own_words() -> None:
    chance, sound = random.Random(7), a_pdf(two_rooms(f"/OC /L2 BDC {a_door(200, 300, 80)} EMC"))
    for _ in range(80):
        at, length = chance.randrange(len(sound)), chance.choice((1, 3, 40))
        damaged = sound[:at] + bytes(chance.choice(b"0189-.eE\n \xff[]<>/R") for _ in range(length)) + sound[at + length :]
        try:
            read(damaged, line=1, known_mm=5000.0)
        except BadFile as error:
            assert all(fault.what for fault in error.faults)
