"""`remnants propose`: damage in, outlines with their plans out, and one of them taken."""

import json
import shlex
from pathlib import Path
from typing import Any

import pytest

from remnants.exchange import read_job
from tests.commands import Remnants

STOCK: dict[str, Any] = {
    "unit": "in",
    "styles": [{"name": "Velder Twist", "construction": "cut"}],
    "pieces": [
        {
            "tag": "R-1",
            "kind": "remnant",
            "style": "Velder Twist",
            "lot": "1",
            "width": 40,
            "length": 66,
            "pile": 0,
            "place": "rack B",
        },
    ],
}
HALL = {"name": "hall", "width": 33, "length": 240, "pile": 0, "light": 0}
BURN = {"name": "burn", "room": "hall", "damage": [[12, 110], [22, 110], [22, 120], [12, 120]]}
WALL_TO_WALL = [[0, 109], [33, 109], [33, 121], [0, 121]]
ISLAND = [[11, 109], [23, 109], [23, 121], [11, 121]]


@pytest.fixture
def stock(remnants: Remnants) -> Path:
    return remnants.file("stock.json", STOCK)


def a_job(remnants: Remnants, patch: dict[str, Any] | None = None, *, rooms: tuple[dict[str, Any], ...] = (HALL,)) -> Path:
    job = {"unit": "in", "job": "Alder Court 7", "style": "velder twist", "rooms": list(rooms), "patches": [patch or BURN]}
    return remnants.file("burn.json", job)


def test_outlines_come_with_their_edges_plans_and_jobs(remnants: Remnants, stock: Path) -> None:
    told = json.loads(remnants.ok("propose", a_job(remnants), "--stock", stock, "--json"))
    first, *others = told["proposals"]
    assert (first["patch"], first["outline"]) == ("burn", WALL_TO_WALL)
    assert first["edges"] == ["seam", "wall", "seam", "wall"]
    assert first["stops"] == {"left": "wall", "right": "wall", "lower": "damage", "upper": "damage"}
    assert first["answer"]["verdict"] == "whole"
    assert len([sight for sight in first["answer"]["sights"] if sight["kind"] == "seam"]) == 2
    assert read_job(first["job"]).patches[0].name == "burn"
    assert ISLAND in [other["outline"] for other in others]
    assert any("doorways" in line for line in told["ask"])


def test_in_words_it_says_why_each_side_stops_there_and_what_to_do_next(remnants: Remnants, stock: Path) -> None:
    told = " ".join(remnants.ok("propose", a_job(remnants), "--stock", stock).split())
    assert "Outline 1 (recommended) burn: 33 in × 12 in, wall to wall." in told
    assert "Left side: at the wall, so there is no seam there. Lower side: 1 in past the damage." in told
    assert "YES, in one piece: cut from R-1 (rack B)." in told
    assert "2 seams with the floor, 33 in each: " in told
    # 33 in and 3 in at each wall are 39 in of the piece's 40; the inch over goes to two edges of the piece and two of the cut
    assert "1/4 in to spare: a tape may be out by that much at every edge." in told


def test_the_command_that_goes_on_with_one_looks_in_the_same_stock(remnants: Remnants, stock: Path) -> None:
    job = a_job(remnants)
    *_, command = remnants.ok("propose", job, "--stock", stock).splitlines()
    assert shlex.split(command) == [*("remnants", "propose", str(job), "--stock", str(stock)), *("--take", "1", "--save", "FILE")]
    remnants.ok("log", stock)
    *_, command = remnants.ok("propose", job).splitlines()
    assert shlex.split(command) == [*("remnants", "propose", str(job)), *("--take", "1", "--save", "FILE")]


def test_the_catalogue_is_looked_in_where_no_stock_is_named(remnants: Remnants, stock: Path) -> None:
    remnants.ok("log", stock)
    assert json.loads(remnants.ok("propose", a_job(remnants), "--json"))["proposals"][0]["outline"] == WALL_TO_WALL


def test_one_is_taken_answered_and_saved_as_a_job_like_any_other(remnants: Remnants, stock: Path) -> None:
    job, saved = a_job(remnants), remnants.folder / "patch.json"
    told = remnants.ok("propose", job, "--stock", stock, "--take", "1", "--save", saved)
    assert "YES, in one piece" in told
    assert str(saved) in told
    taken = json.loads(remnants.ok("propose", job, "--stock", stock, "--take", "1", "--json"))
    assert json.loads(remnants.ok("fit", saved, "--stock", stock, "--json"))["patches"] == taken["patches"]


def test_each_outline_is_drawn_in_its_room(remnants: Remnants, stock: Path) -> None:
    folder = remnants.folder / "drawings"
    door = HALL | {"doorways": [{"edge": 0, "from": 2, "width": 29}], "lanes": [[[16, 0], [16, 200]]]}
    told = remnants.ok("propose", a_job(remnants, rooms=(door,)), "--stock", stock, "--svg", folder)
    drawn = {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}
    assert {"outline-1-burn.svg", "outline-2-burn.svg"} <= set(drawn)
    assert all(name in told for name in drawn)
    for words in ("Outline 1: burn", "light", "people walk", "doorway", "Cross-hatched: the damage", "240 in"):
        assert words in drawn["outline-1-burn.svg"]
    remnants.ok("propose", a_job(remnants), "--stock", stock, "--svg", folder / "taken", "--take", "2")
    assert {path.name for path in (folder / "taken").iterdir()} == {"outline-2-burn.svg", "piece-R-1.svg", "patch-burn.svg"}


def test_without_the_room_it_says_what_to_measure_next(remnants: Remnants, stock: Path) -> None:
    spot = {"name": "spot", "pile": 0, "damage": {"centre": [0, 0], "radius": 3}}
    told = remnants.ok("propose", a_job(remnants, spot, rooms=()), "--stock", stock)
    assert "spot: 8 in × 8 in, an island in the floor." in told
    assert "The walls round spot aren't told: measure the room" in told


def test_what_can_not_be_answered_is_refused_with_what_to_do(remnants: Remnants, stock: Path) -> None:
    sized = {"name": "p", "room": "hall", "width": 5, "length": 5}
    assert "`remnants fit` answers" in remnants.refused("propose", a_job(remnants, sized), "--stock", stock, code=2)
    outside = BURN | {"damage": [[30, 10], [40, 10], [40, 20], [30, 20]]}
    assert "reaches 7 in out of 'hall'" in remnants.refused("propose", a_job(remnants, outside), "--stock", stock, code=2)
    job = a_job(remnants)
    assert "`remnants propose` finds one" in remnants.refused("fit", job, "--stock", stock, code=2)
    assert "--save" in remnants.refused("propose", job, "--stock", stock, "--save", "x.json", code=2)
    assert "outlines are told" in remnants.refused("propose", job, "--stock", stock, "--take", "9", code=2)
