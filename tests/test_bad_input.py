"""What a person may get wrong: exit code 2, one clear message with the place in the file, all faults at once, nothing changed."""

import copy
import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from remnants.store import database
from tests.commands import Remnants

DEMO = Path(__file__).parent.parent / "demo"
STOCK = json.loads((DEMO / "stock.json").read_text(encoding="utf-8"))
JOB = json.loads((DEMO / "whole.json").read_text(encoding="utf-8"))
BOW = [[0, 0], [30, 30], [30, 0], [0, 30]]

Change = Callable[[dict[str, Any]], Any]


def first(key: str, **changes: Any) -> Change:
    """Changes the first of a file's patches or pieces; a change to None takes the key away."""

    def change(file: dict[str, Any]) -> None:
        for name, value in changes.items():
            if value is None:
                file[key][0].pop(name, None)
            else:
                file[key][0][name] = value

    return change


def sized(key: str, width: Any, length: Any) -> Change:
    return first(key, outline=None, edges=None, cutouts=None, width=width, length=length)


BAD_JOBS: list[tuple[Change, set[str]]] = [
    (first("patches", outline=BOW, edges="seam"), {"patches[0].outline"}),
    (sized("patches", 0, -3), {"patches[0].width", "patches[0].length"}),
    (lambda job: job.update(unit="yd"), {"unit"}),
    (first("patches", edges=["seam"] * 3), {"patches[0].edges"}),
    (first("patches", edges=["seam"] * 5 + ["glue"]), {"patches[0].edges[5]"}),
    (lambda job: job["allowance"].update(seam=-1, wall="-3 in"), {"allowance.seam", "allowance.wall"}),
    (first("patches", pile=None, motif=[1]), {"patches[0].pile", "patches[0].motif[1]"}),
    (lambda job: job.pop("patches"), {"patches"}),
    (lambda job: job.update(unit="yd", max_parts=9, min_part=-1), {"unit", "max_parts", "min_part"}),
    (first("patches", pile=float("nan"), motif=[1, float("inf")]), {"patches[0].pile", "patches[0].motif[1]"}),
    (lambda job: job.update(min_part=0), {"min_part"}),
]
BAD_STOCKS: list[tuple[Change, set[str]]] = [
    (first("pieces", outline=BOW, width=None, length=None, cutouts=None), {"pieces[0].outline"}),
    (sized("pieces", "0 in", -1), {"pieces[0].width", "pieces[0].length"}),
    (lambda stock: stock.pop("unit"), {"unit"}),
    (first("pieces", tag=None, kind=None, style=None), {"pieces[0].tag", "pieces[0].kind", "pieces[0].style"}),
    (lambda stock: stock["pieces"].append(stock["pieces"][0]), {"pieces[127].tag"}),
    (lambda stock: stock["styles"][0].update(construction="knitted"), {"styles[0].construction"}),
    (first("pieces", worn=float("-inf")), {"pieces[0].worn"}),
]


def places(told: str, file: Path) -> set[str]:
    """The places that a refusal names in a file."""
    lines = [line.strip().removeprefix("remnants: ") for line in told.splitlines() if not line.startswith("note: ")]
    return {line.removeprefix(f"{file}: ").split(":")[0] for line in lines if line.startswith(f"{file}: ")}


def written(remnants: Remnants, name: str, good: dict[str, Any], change: Change) -> Path:
    bad = copy.deepcopy(good)
    change(bad)
    return remnants.file(name, bad)


@pytest.mark.parametrize(("change", "where"), BAD_JOBS)
def test_a_bad_job_is_refused_with_every_place(change: Change, where: set[str], remnants: Remnants) -> None:
    job = written(remnants, "job.json", JOB, change)
    assert (
        places(remnants.refused("fit", job, "--stock", DEMO / "stock.json", "--svg", remnants.folder / "svg", code=2), job)
        == where
    )
    assert not (remnants.folder / "svg").exists()


@pytest.mark.parametrize(("change", "where"), BAD_STOCKS)
def test_a_bad_stock_is_refused_with_every_place_and_nothing_of_it_is_kept(
    change: Change, where: set[str], remnants: Remnants
) -> None:
    stock = written(remnants, "stock.json", STOCK, change)
    assert places(remnants.refused("fit", DEMO / "whole.json", "--stock", stock, code=2), stock) == where
    assert places(remnants.refused("log", stock, code=2), stock) == where
    assert not remnants.catalogue.exists()
    remnants.log("--tag", "A-1")
    before = remnants.ok("find", "velder", "--json")
    assert places(remnants.refused("log", stock, code=2), stock) == where
    assert remnants.ok("find", "velder", "--json") == before
    remnants.refused("show", STOCK["pieces"][-1]["tag"], code=1)


def test_faults_of_both_files_are_told_at_once(remnants: Remnants) -> None:
    job = written(remnants, "job.json", JOB, lambda job: job.update(unit="yd"))
    stock = written(remnants, "stock.json", STOCK, lambda stock: stock.update(unit="ell"))
    told = remnants.refused("fit", job, "--stock", stock, code=2)
    assert told.startswith("remnants: 2 faults; nothing was changed\n")
    assert (places(told, job), places(told, stock)) == ({"unit"}, {"unit"})
    told = remnants.refused("fit", job, "--stock", remnants.folder / "none.json", code=2)
    assert "'yd' is none of" in told
    assert "there is no such file" in told


@pytest.mark.parametrize("verb", ["fit", "log"])
def test_what_is_no_json_file_is_named(verb: str, remnants: Remnants) -> None:
    assert "not JSON: " in remnants.refused(verb, remnants.file("text.json", "a letter"), code=2)
    assert "there is no such file" in remnants.refused(verb, remnants.folder / "none.json", code=2)
    (remnants.folder / "folder.json").mkdir()
    assert "this is a folder" in remnants.refused(verb, remnants.folder / "folder.json", code=2)


@pytest.mark.parametrize(
    "words", [("fit", DEMO / "whole.json"), ("show", "R-0142"), ("find", "velder"), ("log", DEMO / "stock.json")]
)
def test_what_is_no_catalogue_is_told_and_left_as_it_is(words: tuple[str | Path, ...], remnants: Remnants) -> None:
    other = remnants.file("letter.db", "Dear customer, " * 400)
    assert "not a catalogue" in remnants.refused(*words, "--catalogue", other, code=2)
    assert other.read_text().startswith("Dear customer")
    foreign = remnants.folder / "foreign.db"
    with sqlite3.connect(foreign) as connection:
        connection.execute("CREATE TABLE accounts (id INTEGER)")
    before = foreign.read_bytes()
    assert "not a catalogue" in remnants.refused(*words, "--catalogue", foreign, code=2)
    assert foreign.read_bytes() == before
    if words[0] != "log":
        assert "no catalogue here yet" in remnants.refused(*words, "--catalogue", remnants.folder / "none.db", code=2)
        assert not (remnants.folder / "none.db").exists()


def test_a_locked_catalogue_can_be_read_and_refuses_to_be_written(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "BUSY_S", 0.05)
    remnants.log("--tag", "A-1")
    other = sqlite3.connect(remnants.catalogue, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    told = remnants.refused("log", "--style", "Velder Loop", "--width", "4", "--length", "5", code=2)
    assert "another program is writing" in told
    assert "nothing was changed" in told
    assert "A-1" in remnants.ok("show", "A-1")
    other.close()


def test_an_allowance_larger_than_the_patch_is_fine(remnants: Remnants) -> None:
    job = written(remnants, "job.json", JOB, lambda job: job.update(patches=[{"name": "x", "width": 2, "length": 2, "pile": 0}]))
    assert "YES, in one piece" in remnants.ok("fit", job, "--stock", DEMO / "stock.json")


def test_a_part_of_no_width_is_refused_with_what_to_give(remnants: Remnants) -> None:
    """Two pieces that together make the patch: a part of no width has no cut."""
    square = {"kind": "remnant", "style": "Velder", "width": 20, "length": 20, "pile": 0}
    stock = remnants.file("stock.json", {"unit": "in", "pieces": [square | {"tag": "a"}, square | {"tag": "b"}]})
    job = {"unit": "in", "min_part": 0, "style": "Velder", "patches": [{"width": 30, "length": 12, "pile": 0}]}
    told = remnants.refused("fit", remnants.file("job.json", job), "--stock", stock, code=2)
    assert "min_part: no carpet is cut narrower than 1 mm: give the narrowest part that you would lay, or leave it out" in told
    assert "YES" in remnants.ok("fit", remnants.file("job.json", job | {"min_part": "1 mm"}), "--stock", stock)
