"""`remnants order`: rooms in, roll out, from files and drawings as people have them."""

import csv
import importlib
import json
import random
import signal
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from remnants.cli import progress
from remnants.errors import BadFile
from remnants.exchange import read_stock
from remnants.exchange.drawing_rooms import read_drawing
from remnants.exchange.rooms import read_rooms
from remnants.units import Unit
from tests.commands import Remnants

TRIES = ("--tries", "60")


def lounge(**changes: Any) -> dict[str, Any]:
    return {"name": "Lounge", "width": 14, "length": 16} | changes


def rooms(*floors: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """14 x 16 ft from a 12 ft roll, no trims."""
    plain = {"unit": "ft", "order": "Alder Court 9", "roll": {"width": 12}, "trim": {"wall": 0, "seam": 0}, "least_fill": 0}
    return plain | {"rooms": list(floors) or [lounge()]} | changes


def stock(*pieces: dict[str, Any]) -> dict[str, Any]:
    plain = {"kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "77", "pile": 0}
    styles = [{"name": "Velder Loop", "construction": "loop", "roll_width": 12}]
    return {"unit": "ft", "styles": styles, "pieces": [plain | piece for piece in pieces]}


def test_the_roll_is_told_in_feet_with_its_proof(remnants: Remnants) -> None:
    out = remnants.ok("order", remnants.file("rooms.json", rooms()), "--no-stock", *TRIES)
    assert "order 28' of roll 12' wide" in out
    assert "these cuts take no less" in out
    assert "37.33 yd²" in out  # 12 x 28 = 336 ft2


def test_the_same_as_json_in_the_files_unit(remnants: Remnants) -> None:
    answer = json.loads(remnants.ok("order", remnants.file("rooms.json", rooms(cross_seams=1)), "--no-stock", "--json", *TRIES))
    (way,) = answer["ways"]
    assert (answer["unit"], way["length"], way["bound"], way["ordered"]) == ("ft", 21, 21, 21)
    assert [seam["kind"] for seam in way["rooms"][0]["seams"]] == ["side", "cross"]
    assert [left["usable"] for left in way["leftovers"]] == [True]


def test_a_closet_comes_from_stock_and_both_orders_stand_side_by_side(remnants: Remnants) -> None:
    asked = rooms(lounge(width=12), lounge(name="Closet", width=5, length=4, hidden=True), style="veldr loop", colour="oatmeal")
    source = remnants.file("stock.json", stock({"tag": "R-1", "width": 6, "length": 5}))
    words = ("order", remnants.file("rooms.json", asked), "--stock", source, *TRIES)
    (way,) = json.loads(remnants.ok(*words, "--json"))["ways"]
    assert (way["without_stock"]["length"], way["length"]) == (20, 16)
    assert [room["cuts"][0]["source"] for room in way["rooms"]] == ["roll", "R-1"]
    out = remnants.ok(*words, "--ticket")
    assert "R-1 2 Closet 0\" 0\" 5' 4'" in " ".join(out.partition("Cut from stock")[2].split())
    assert "all from the roll" in out
    assert "stock first" in out


def test_stock_comes_from_the_catalogue_and_what_is_with_customers_stays_there(remnants: Remnants) -> None:
    pieces = ({"tag": "K-1", "kind": "kept", "width": 6, "length": 5}, {"tag": "R-1", "width": 6, "length": 5})
    asked = remnants.file(
        "rooms.json", rooms(lounge(width=12), lounge(name="Closet", width=5, length=4, hidden=True), style="Velder Loop")
    )
    remnants.ok("log", remnants.file("stock.json", stock(*pieces)))
    (way,) = json.loads(remnants.ok("order", asked, "--json", *TRIES))["ways"]
    assert way["rooms"][1]["cuts"][0]["source"] == "R-1"
    assert read_stock(remnants.file("stock.json", stock(*pieces))).piece_of.keys() == {"K-1", "R-1"}


def test_a_remnant_that_is_lent_is_told_and_not_cut(remnants: Remnants) -> None:
    """Nor is one that lies with a customer for good: it was cut for a floor of somebody else's."""
    asked = remnants.file(
        "rooms.json", rooms(lounge(width=12), lounge(name="Closet", width=5, length=4, hidden=True), style="Velder Loop")
    )
    remnants.ok("log", remnants.file("stock.json", stock({"tag": "R-1", "width": 6, "length": 5})))
    remnants.ok("customer", "F-7", "--name", "Ida Invented")
    remnants.ok("lend", "R-1", "--to", "F-7")
    (way,) = json.loads(remnants.ok("order", asked, "--json", *TRIES))["ways"]
    assert way["rooms"][1]["cuts"][0]["source"] == "roll"
    told = [{"piece": "R-1", "reason": "matches, but is with a customer: orders take only what is in store"}]
    assert way["passed_over"] == told
    assert "R-1: not used, matches, but is with a customer" in remnants.ok("order", asked, *TRIES)
    remnants.ok("lend", "R-1", "--back", "Bay 3")
    (way,) = json.loads(remnants.ok("order", asked, "--json", *TRIES))["ways"]
    assert way["rooms"][1]["cuts"][0]["source"] == "R-1"


def test_roll_widths_are_compared_and_the_cheapest_comes_first(remnants: Remnants) -> None:
    # 14 x 16 ft: 12 ft goods 28 ft = 336 ft2; 15 ft goods 16 ft = 240 ft2; 16 ft goods 14 ft = 224 ft2
    asked = rooms(roll={"widths": [12, 15, 16]}, prices=[{"currency": "USD", "amount": 1, "per": "ft2"}])
    answer = json.loads(remnants.ok("order", remnants.file("rooms.json", asked), "--no-stock", "--json", *TRIES))
    assert [(way["roll"]["width"], way["prices"][0]["net"]) for way in answer["ways"]] == [
        (16, "224.00"),
        (15, "240.00"),
        (12, "336.00"),
    ]


def test_the_width_stated_stays_the_one_to_order_whatever_others_would_cost(remnants: Remnants) -> None:
    words = ("order", remnants.file("rooms.json", rooms()), "--no-stock", "--compare", *TRIES)
    ways = json.loads(remnants.ok(*words, "--json"))["ways"]
    assert [round(way["roll"]["width"], 2) for way in ways] == [12, 13.5, 15, 12.01, 13.12, 16.4]
    assert [round(way["length"], 2) for way in ways] == [28, 28, 16, 28, 28, 14]  # in 16.4 ft goods the 16 ft wall lies across
    assert "Other roll widths" in remnants.ok(*words)


def test_the_table_and_the_pictures_are_written(remnants: Remnants) -> None:
    asked = rooms(lounge(name="=Lounge"), prices=[{"currency": "USD", "amount": "17.95", "per": "yd2"}])
    table, pictures = remnants.folder / "order.csv", remnants.folder / "pictures"
    remnants.ok("order", remnants.file("rooms.json", asked), "--no-stock", "--csv", table, "--svg", pictures, *TRIES)
    with table.open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    assert lines[-1][-2:] == ["USD", "670.13"]  # 37.33 yd2 at 17.95
    assert {line[0] for line in lines[1:]} == {"cut", "seam", "leftover", "order"}
    assert not any(cell.startswith("=") for line in lines for cell in line)
    assert sorted(path.name for path in pictures.iterdir()) == ["roll.svg", "room-01.svg"]
    told = ET.parse(pictures / "roll.svg").getroot().findtext("{http://www.w3.org/2000/svg}desc")
    assert told is not None
    assert "28'" in told


def test_the_table_breaks_an_amount_down_where_leftovers_or_stock_count(remnants: Remnants) -> None:
    # 21 ft = 252 ft2 at 1.00; the 4 x 7 ft left are credited at a quarter: 28 x 0.25 = 7.00
    asked = rooms(cross_seams=1, prices=[{"currency": "USD", "amount": 1, "per": "ft2", "credit": 0.25}])
    table = remnants.folder / "order.csv"
    remnants.ok("order", remnants.file("rooms.json", asked), "--no-stock", "--csv", table, *TRIES)
    with table.open(encoding="utf-8", newline="") as file:
        lines = [line for line in csv.reader(file) if line[-1] and line[0] in {"order", "price"}]
    assert [(line[0], line[2], line[-1]) for line in lines] == [
        ("order", "", "245.00"),
        ("price", "roll", "252.00"),
        ("price", "leftovers", "-7.00"),
        ("price", "stock cut", "0.00"),
    ]


def test_choices_stand_beside_the_order_with_what_each_saves_and_costs(remnants: Remnants, tmp_path: Path) -> None:
    """14 x 16 ft with one join allowed: 21 ft with it, 28 ft without."""
    asked = remnants.file("rooms.json", rooms(cross_seams=1, prices=[{"currency": "USD", "amount": 10, "per": "ft"}]))
    pictures = tmp_path / "pictures"
    out = " ".join(remnants.ok("order", asked, "--no-stock", "--svg", pictures, *TRIES).split())
    assert "28' 1 seam fewer for 7' more roll 1: 1 along the pile 280.00" in out
    assert "21' recommended: roll and drawbacks together are least 2: 1 along the pile, 1 across it 210.00" in out
    assert {"roll.svg", "room-01.svg", "choice-1-roll.svg", "choice-1-room-01.svg"} == {path.name for path in pictures.iterdir()}
    (way,) = json.loads(remnants.ok("order", asked, "--no-stock", "--json", *TRIES))["ways"]
    offered = [(each["ordered"], each["seams"]["count"], each["recommended"]) for each in way["choices"]]
    assert offered == [(28, 1, False), (21, 2, True)]
    assert [seam["kind"] for seam in way["choices"][0]["rooms"][0]["seams"]] == ["side"]


def test_a_little_less_trim_that_would_save_a_length_is_told(remnants: Remnants) -> None:
    """12 x 16 ft on 12 ft goods with 1 1/2 in at each side."""
    trims = {"wall": "1 1/2 in", "seam": "1 in"}
    asked = remnants.file("rooms.json", rooms(lounge(width=12), trim=trims, least_fill="12 in"))
    out = " ".join(remnants.ok("order", asked, "--no-stock", *TRIES).split())
    assert 'Lounge: 3" less trim at its two sides together would save 1 seam and 8\' 3" of roll.' in out
    (way,) = json.loads(remnants.ok("order", asked, "--no-stock", "--json", *TRIES))["ways"]
    assert [(each["room"], each["less_trim"], each["seams"]) for each in way["near_misses"]] == [("Lounge", 0.25, 1)]


def test_cuts_are_rounded_up_and_what_that_costs_is_told(remnants: Remnants) -> None:
    """10 x 11 ft and 3/16 in of trim each side: 11' 3/8" is cut 11' 1/2", and 11' 3" sold: 2 5/8 in at 8.00 a foot are 1.75."""
    asked = rooms(
        lounge(width=10, length=11, pile=0), trim={"wall": "3/16 in"}, prices=[{"currency": "USD", "amount": 8, "per": "ft"}]
    )
    asked["roll"]["step"] = "3 in"
    source = remnants.file("rooms.json", asked)
    out = " ".join(remnants.ok("order", source, "--no-stock", *TRIES).split())
    assert 'Cuts rounded up take 1/8" of roll; 2 1/2" more is ordered than they take, as the roll is sold: 1.75 USD.' in out
    (way,) = json.loads(remnants.ok("order", source, "--no-stock", "--json", *TRIES))["ways"]
    assert way["rounding"]["prices"] == [{"currency": "USD", "amount": "1.75"}]
    exact = remnants.file("exact.json", asked | {"cut_step": 0})
    assert "more is ordered than they take" in remnants.ok("order", exact, "--no-stock", *TRIES)
    (way,) = json.loads(remnants.ok("order", exact, "--no-stock", "--json", *TRIES))["ways"]
    assert way["rounding"]["cuts"] == 0


def test_rooms_come_from_the_rolls_that_there_are(remnants: Remnants) -> None:
    rolls = [{"name": "A", "length": 20, "lot": "7"}, {"name": "B", "length": "12' 6\"", "lot": "8"}]
    floors = [lounge(width=12), lounge(name="Bed", width=12, length=12), lounge(name="Loft", width=12, length=3)]
    asked = rooms(*floors, roll={"width": 12, "rolls": rolls, "end_loss": "3 in", "step": 0.5})
    words = ("order", remnants.file("rooms.json", asked), "--no-stock", *TRIES)
    out = " ".join(remnants.ok(*words, "--svg", remnants.folder / "drawn").split())
    assert "order 32' of roll 12' wide: A (lot 7) 19' 6\", B (lot 8) 12' 6\"" in out
    assert 'Bed whole B 0", 0" 12\'' in out
    (way,) = json.loads(remnants.ok(*words, "--json"))["ways"]
    assert [(each["name"], each["cuts"], each["ordered"]) for each in way["roll"]["taken"]] == [("A", 19, 19.5), ("B", 12, 12.5)]
    assert [(room["cuts"][0]["roll"], room["cuts"][0]["at"][1]) for room in way["rooms"]] == [("A", 0), ("B", 0), ("A", 16)]
    assert {path.name for path in (remnants.folder / "drawn").iterdir()} >= {"roll.svg", "roll-2.svg"}
    told = remnants.refused(*words, "--roll-length", "15 ft", code=1)
    assert "'Lounge' takes at least 16' of one roll; a roll gives 14' 9\"" in told


def test_the_cut_ticket_tells_which_lengths_come_off_the_roll_and_how_each_is_cut(remnants: Remnants) -> None:
    """14 x 16 ft with the pile up it: a breadth of 12 ft in a length of 16 ft, the fill of 2 ft beside the bed in another."""
    asked = rooms(lounge(pile=0), lounge(name="Bed", width=9, length=16, pile=0))
    words = ("order", remnants.file("rooms.json", asked), "--no-stock", *TRIES)
    out = " ".join(remnants.ok(*words, "--ticket").split())
    assert "Cut ticket, the roll, 12' wide length from crosscut at long cuts in it 1 0\" 16' 16' 1" in out
    assert "it is the cut" in out
    (way,) = json.loads(remnants.ok(*words, "--json"))["ways"]
    assert [(each["number"], each["start"], each["length"]) for each in way["ticket"]] == [(1, 0, 16), (2, 16, 16)]
    assert sorted(len(each["cuts"]) for each in way["ticket"]) == [1, 2]


def test_rooms_seen_together_that_come_off_two_rolls_are_told(remnants: Remnants) -> None:
    door = {"edge": 0, "from": 3, "width": 3, "to": "Bed"}
    asked = rooms(lounge(width=12, doorways=[door]), lounge(name="Bed", width=12), roll={"width": 12, "length": 20})
    out = " ".join(remnants.ok("order", remnants.file("rooms.json", asked), "--no-stock", *TRIES).split())
    assert "Bed comes off roll 2, Lounge off roll 1: hold both to the light before cutting" in out
    assert "Ask for 2 rolls of one lot, with numbers that follow one another." in out


def test_a_roll_that_cannot_be_is_told_at_its_place(remnants: Remnants) -> None:
    rolls = [{"name": "A", "length": 20}, {"name": "A", "length": 10}]
    told = remnants.refused("order", remnants.file("rooms.json", rooms(roll={"width": 12, "rolls": rolls})), code=2)
    assert "roll.rolls[1].name: 'A' can't name a roll: give each a name of its own" in told


def test_the_shops_steps_hold_where_the_file_tells_none(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("rules", "cut_step_in=2 in", "order_step=6 in")
    asked = remnants.file("rooms.json", rooms(lounge(width=10, length="11' 1\"", pile=0)))
    (way,) = json.loads(remnants.ok("order", asked, "--json", *TRIES))["ways"]
    assert (way["length"], way["ordered"]) == (pytest.approx(11 + 2 / 12, abs=1e-4), 11.5)


def test_the_same_tries_and_seed_give_the_same_answer(remnants: Remnants) -> None:
    asked = remnants.file(
        "rooms.json", rooms(lounge(), lounge(name="Den", width=9, length=11), trim={"wall": "1 in", "seam": "1 in"})
    )
    one, other = (remnants.ok("order", asked, "--no-stock", "--json", "--tries", "40", "--seed", "3") for _ in range(2))
    assert one == other


def test_stopping_by_hand_gives_the_best_so_far_with_its_gap(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress.Searching, "stop", lambda _self: True)
    floors = [lounge(name=f"R{index}", width=9 + index % 4, length=8 + index % 5) for index in range(8)]
    (way,) = json.loads(remnants.ok("order", remnants.file("rooms.json", rooms(*floors)), "--no-stock", "--json"))["ways"]
    assert 0 < way["bound"] <= way["length"]


def test_ctrl_c_ends_the_search_and_not_the_program(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    presses: list[str] = []

    def press_once(_search: progress.Searching, text: str) -> None:
        presses.append(text)
        if len(presses) == 1:
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(progress.Searching, "say", press_once)
    before = signal.getsignal(signal.SIGINT)
    done = remnants("order", remnants.file("rooms.json", rooms()), "--no-stock")
    assert (done.code, signal.getsignal(signal.SIGINT)) == (0, before)
    assert "stopping with the best so far" in done.err
    assert "of roll, at least" in presses[0]
    assert "to order" in done.out


def test_a_missing_extra_is_named(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there(_name: str) -> None:
        raise ModuleNotFoundError("No module named 'ortools'", name="ortools")

    monkeypatch.setattr(importlib, "import_module", not_there)
    told = remnants.refused("order", "rooms.json", code=2)
    assert "needs ortools, which is not installed; `pip install ortools` brings it" in told


def draw(path: Path, *layers: tuple[str, list[tuple[float, float]]], units: int = 4) -> Path:
    drawing = ezdxf.new()  # type: ignore[attr-defined]  # typed, but not among what ezdxf says it exports
    drawing.header["$INSUNITS"] = units
    for layer, corners in layers:
        drawing.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    drawing.saveas(path)
    return path


SQUARE = [(0.0, 0.0), (3000.0, 0.0), (3000.0, 4000.0), (0.0, 4000.0)]
HEARTH = [(1000.0, 1000.0), (1500.0, 1000.0), (1500.0, 1500.0), (1000.0, 1500.0)]


def test_closed_polylines_of_a_drawing_are_rooms_with_islands(remnants: Remnants) -> None:
    path = draw(remnants.folder / "plan.dxf", ("LOUNGE", SQUARE), ("LOUNGE", HEARTH), ("HALL", SQUARE))
    rings = read_drawing(path, Unit.IN)
    assert {layer: [len(room) for room in found] for layer, found in rings.items()} == {"HALL": [1], "LOUNGE": [2]}
    words = ("order", path, "--roll-width", "3.66 m", "--no-stock", "--json", *TRIES)
    (way,) = json.loads(remnants.ok(*words, "--unit", "mm"))["ways"]
    assert [room["name"] for room in way["rooms"]] == ["HALL", "LOUNGE"]
    # with trims 3075 x 4075 mm each, cut 3080 x 4080: one laid in a length of 4080; the other turned, a breadth of 3080, its fill
    # beside the first
    assert way["length"] == 7160


def test_a_rooms_file_takes_a_room_from_a_layer_of_its_drawing(remnants: Remnants) -> None:
    draw(remnants.folder / "plan.dxf", ("L1", [(x / 1000, y / 1000) for x, y in SQUARE]), units=6)
    asked = {"unit": "m", "drawing": "plan.dxf", "roll": {"width": 4}, "rooms": [{"layer": "L1"}]}
    (room,) = read_rooms(remnants.file("rooms.json", asked)).floors.rooms
    assert (room.name, room.outline.bounds) == ("L1", (0.0, 0.0, 3000.0, 4000.0))


def test_a_doorway_is_carpeted_in_its_depth(remnants: Remnants) -> None:
    """Measure into the doorway: 2700 + 150 = 2850 mm by 3850 mm (a government-funded Australian trade course, planning joins)."""
    door = {"edge": 0, "from": 1000, "width": 800, "depth": 150}
    for outline in ([[0, 0], [3850, 0], [3850, 2700], [0, 2700]], [[3850, 0], [0, 0], [0, 2700], [3850, 2700]]):
        asked = rooms({"name": "Room", "outline": outline, "doorways": [door]}, unit="mm", roll={"width": 4000})
        (room,) = read_rooms(remnants.file("rooms.json", asked)).floors.rooms
        left, bottom, right, top = room.outline.bounds
        assert (right - left, top - bottom) == (3850, 2850)
        assert len(room.outline.ring) == len(room.trims_mm) == 8
        assert {room.doorways[0].start[1], room.doorways[0].end[1]} == {-150.0}


BAD = {
    "crossing": ({"name": "Attic", "outline": [[0, 0], [4, 4], [4, 0], [0, 4]]}, "rooms[0].outline: Attic: the outline crosses"),
    "island": (lounge(islands=[[[13, 1], [15, 1], [15, 2]]]), "rooms[0].islands[0]: Lounge: this island reaches outside"),
    "doorway": (
        lounge(doorways=[{"edge": 0, "from": 13, "width": 3}]),
        "rooms[0].doorways[0]: Lounge: the doorway is off the wall",
    ),
    "edge": (lounge(doorways=[{"edge": 7, "from": 1, "width": 3}]), "rooms[0].doorways[0].edge: Lounge: there is no wall edge 7"),
    "no size": ({"name": "Void"}, "rooms[0]: Void: no size is given"),
    "trims": (lounge(trims=[1, 2]), "rooms[0].trims: Lounge: 2 trims for 4 wall edges"),
    "layer": ({"name": "Nook", "layer": "X"}, "rooms[0].layer: Nook: the drawing has 0 rooms on layer 'X'"),
    "negative": (lounge(width=-3), "rooms[0].width: Lounge: -3 is no size"),
    "nowhere": (lounge(doorways=[{"edge": 0, "from": 1, "width": 3, "to": "Cellar"}]), "'Lounge' has a doorway to 'Cellar'"),
}


@pytest.mark.parametrize("fault", BAD)
def test_a_bad_room_is_told_by_name_and_place(remnants: Remnants, fault: str) -> None:
    floor, words = BAD[fault]
    assert words in remnants.refused("order", remnants.file("rooms.json", rooms(floor)), "--no-stock", code=2)


def test_all_faults_are_told_at_once(remnants: Remnants) -> None:
    asked = rooms(
        BAD["crossing"][0], BAD["no size"][0], roll={"width": 0}, prices=[{"currency": "XXQ", "amount": "1", "per": "m2"}]
    )
    told = remnants.refused("order", remnants.file("rooms.json", asked), "--no-stock", code=2)
    for words in (
        "Attic",
        "Void",
        "roll.width: 0 is no size: give a length above zero",
        "prices[0].currency: 'XXQ' is no currency code",
    ):
        assert words in told


def test_a_figure_that_cannot_be_is_told_as_the_file_or_the_option_gives_it(remnants: Remnants) -> None:
    flight = {"steps": 3, "width": 3, "tread": "10 in", "riser": "7 in", "nosing": "-1 in"}
    asked = rooms(lounge(width="2000 m"), roll={"width": "-12 ft", "step": -1}, trim={"wall": -2}, stairs=[flight])
    told = remnants.refused("order", remnants.file("rooms.json", asked), "--no-stock", code=2)
    for words in (
        "rooms[0].width: Lounge: '2000 m' is too far for a floor: give a length under 1 km",
        "roll.width: '-12 ft' is no size: give a length above zero",
        "roll.step: -1 is below zero: give zero or more",
        "trim.wall: -2 is below zero: give zero or more",
        "stairs[0].nosing: stairs 1: '-1 in' is below zero",
    ):
        assert words in told
    sound = remnants.file("rooms.json", rooms())
    told = remnants.refused("order", sound, "--no-stock", "--roll-width", "-12 ft", code=2)
    assert "--roll-width: '-12 ft' is no size: give a length above zero" in told


def test_a_drawing_without_rooms_or_width_is_refused(remnants: Remnants) -> None:
    empty = draw(remnants.folder / "empty.dxf")
    assert "no outline of a room is in it" in remnants.refused("order", empty, "--roll-width", "4 m", "--no-stock", code=2)
    full = draw(remnants.folder / "full.dxf", ("L", SQUARE))
    assert "--roll-width" in remnants.refused("order", full, "--no-stock", code=2)
    broken = remnants.file("broken.dxf", "no drawing")
    assert "no DXF drawing" in remnants.refused("order", broken, "--roll-width", "4 m", "--no-stock", code=2)


def test_a_drawing_that_breaks_off_anywhere_is_refused_in_a_line(remnants: Remnants) -> None:
    whole = draw(remnants.folder / "whole.dxf", ("L", SQUARE)).read_text()
    told = "cut.dxf: no DXF drawing that can be read, or it breaks off; save it anew as DXF text (ASCII)\n"
    for length in (0, 7, 100, 1000, *range(1500, len(whole) - 12, 1500)):
        cut = remnants.file("cut.dxf", whole[:length])
        assert told in remnants.refused("order", cut, "--roll-width", "4 m", "--no-stock", code=2), length


def test_a_drawing_that_is_damaged_anywhere_is_read_or_refused(remnants: Remnants) -> None:
    sound, chance = draw(remnants.folder / "whole.dxf", ("L", SQUARE)).read_bytes(), random.Random(11)
    path = remnants.folder / "damaged.dxf"
    for _ in range(60):
        at, length = chance.randrange(len(sound)), chance.choice((1, 30, 3000))
        path.write_bytes(sound[:at] + bytes(chance.choice(b"0189-.eE\n \xff") for _ in range(length)) + sound[at + length :])
        try:
            read_drawing(path, Unit.MM)
        except BadFile as error:
            assert all(fault.what for fault in error.faults)


def test_a_drawing_of_another_kind_is_told_what_to_save_it_as(remnants: Remnants) -> None:
    (remnants.folder / "plan.dwg").write_bytes(b"AC1032" + bytes(range(256)) * 20)
    asked = {"unit": "m", "drawing": "plan.dwg", "roll": {"width": 4}, "rooms": [{"layer": "L1"}]}
    told = remnants.refused("order", remnants.file("rooms.json", asked), "--no-stock", code=2)
    assert "a DWG drawing can't be read; save it as DXF text (ASCII)" in told


def test_a_roll_without_width_is_asked_for_or_taken_from_the_style(remnants: Remnants) -> None:
    asked = remnants.file("rooms.json", rooms(roll={}, style="Velder Loop"))
    assert "roll.width" in remnants.refused("order", asked, "--no-stock", code=2)
    source = remnants.file("stock.json", stock({"tag": "R-1", "width": 1, "length": 1}))
    (way,) = json.loads(remnants.ok("order", asked, "--stock", source, "--json", *TRIES))["ways"]
    assert way["roll"]["width"] == 12


def test_a_room_that_no_rule_lets_be_laid_is_named(remnants: Remnants) -> None:
    asked = remnants.file("rooms.json", rooms(lounge(width=14, length=14), least_fill=8))
    told = remnants.refused("order", asked, "--no-stock", code=1)
    assert "'Lounge' can't be laid from a roll 12' wide within the rules: allow a narrower fill" in told


FLIGHT = {"name": "Stairs", "steps": 3, "width": 3, "tread": 1, "riser": 0.6}
REPEAT = {"across": 13, "along": 2}
WIDE: dict[str, tuple[dict[str, Any], str]] = {
    "roll": (
        {"roll": {"width": "6 in"}, "least_fill": 1},
        "'Lounge' can't be laid from a roll 6\" wide: between seams it leaves",
    ),
    "pattern": ({"roll": {"width": 12, "repeat": REPEAT}}, "its pattern comes round only every 13' across"),
    "flight": ({"stairs": [FLIGHT | {"width": 13}]}, "'Stairs' takes a cut 13' wide, the roll is 12' wide"),
    "winder": (
        {"stairs": [FLIGHT | {"winders": [{"width": 20, "length": 2}]}]},
        "'Stairs' takes a cut 20' wide, the roll is 12' wide",
    ),
}


@pytest.mark.parametrize("case", WIDE)
def test_what_no_roll_that_wide_can_give_is_told_with_the_reason(remnants: Remnants, case: str) -> None:
    changes, words = WIDE[case]
    assert words in remnants.refused("order", remnants.file("rooms.json", rooms(**changes)), "--no-stock", code=1)


def test_bad_stairs_are_told_by_name(remnants: Remnants) -> None:
    bad = [FLIGHT | {"steps": 0}, FLIGHT | {"name": "Cellar", "tread": -1}]
    told = remnants.refused("order", remnants.file("rooms.json", rooms(stairs=bad)), "--no-stock", code=2)
    assert "stairs[0].steps: Stairs: 0 steps" in told
    assert "stairs[1].tread: Cellar: -1 is no size" in told


def two_rooms(depth: str) -> dict[str, Any]:
    """A lounge of 3.8 x 5 m, and beyond its far wall a hall of 1.2 x 3 m; each names the doorway between them."""
    through = {"edge": 2, "from": 2.5, "width": 0.8, "depth": depth, "to": "Hall"}
    back = {"edge": 0, "from": 0.2, "width": 0.8, "to": "Lounge"}
    floors = [
        {"name": "Lounge", "width": 3.8, "length": 5, "pile": 0, "doorways": [through]},
        {"name": "Hall", "width": 1.2, "length": 3, "doorways": [back]},
    ]
    return {"unit": "m", "roll": {"width": 4}, "rooms": floors}


def test_carpet_runs_through_a_doorway_whose_place_both_rooms_tell(remnants: Remnants) -> None:
    # 5 m + 150 mm of wall + 3 m + 2 x 37.5 mm of trim = 8.225 m in one piece, cut 8.23 m
    asked = remnants.file("rooms.json", two_rooms("150 mm"))
    words = ("order", asked, "--no-stock", *TRIES)
    (way,) = json.loads(remnants.ok(*words, "--json"))["ways"]
    (room,) = way["rooms"]
    assert (way["length"], way["seams"]["count"]) == (8.23, 0)
    assert room["of"] == [{"room": "Lounge", "shift": [0, 0]}, {"room": "Hall", "shift": [0.3, 5.15]}]
    assert "Lounge and Hall: laid as one, the carpet runs through the doorway." in remnants.ok(*words)
    pictures = remnants.folder / "pictures"
    remnants.ok(*words, "--svg", pictures)
    assert "carpet runs through it" in (pictures / "room-01.svg").read_text(encoding="utf-8")


def test_a_join_in_a_doorway_is_told_as_a_seam(remnants: Remnants) -> None:
    # through a wall of 50 mm carpet can't be slit with 37.5 mm of trim for either side: 5.05 + 3 m and 4 x 37.5 mm,
    # cut 5.13 and 3.08 m
    (way,) = json.loads(remnants.ok("order", remnants.file("rooms.json", two_rooms("50 mm")), "--no-stock", "--json", *TRIES))[
        "ways"
    ]
    assert (way["length"], way["seams"]) == (8.21, {"count": 1, "length": 0.8})
    assert [seam["to"] for seam in way["rooms"][0]["seams"]] == ["Hall"]
