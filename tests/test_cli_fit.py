"""`remnants fit`: the main job, from files and from the catalogue."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import prove_plan
from remnants.errors import Fault
from remnants.exchange import read_answer, read_job, read_stock
from remnants.proof import check_plan
from tests.commands import Remnants
from tests.fitting.many import a_job as many_job
from tests.fitting.many import scraps

STYLES = [{"name": "Velder Loop", "construction": "loop"}]


def stock(*pieces: dict[str, Any]) -> dict[str, Any]:
    plain = {"kind": "remnant", "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "pile": 0}
    return {"unit": "in", "styles": STYLES, "pieces": [plain | piece for piece in pieces]}


def hall(**changes: Any) -> dict[str, Any]:
    """A 30 x 12 in patch, 1 in allowance all round: 32 x 14 must be cut, its pile along the 30."""
    patch = {"name": "hall", "outline": [[0, 0], [30, 0], [30, 12], [0, 12]], "pile": 90, "edges": "seam"}
    asked = {"style": "veldr loop", "colour": "oatmeal", "lot": "4471-B", "allowance": {"seam": 1}, "min_part": 4}
    return {"unit": "in", "job": "Alder Court 7", **asked, "patches": [patch | changes]}


WHOLE = stock({"tag": "R-1", "width": 14, "length": 32}, {"tag": "R-2", "width": 13.9, "length": 90})
CLOSET = stock(
    {"tag": "L-1", "kind": "laid", "width": 40, "length": 20, "place": "closet"}
)  # long across the pile, short along it


@pytest.mark.parametrize("from_catalogue", [False, True])
def test_a_patch_that_just_fits_is_whole(remnants: Remnants, *, from_catalogue: bool) -> None:
    source = remnants.file("stock.json", WHOLE)
    job = remnants.file("job.json", hall())
    if from_catalogue:
        remnants.ok("log", source)
    elsewhere: tuple[str | Path, ...] = () if from_catalogue else ("--stock", source)
    answer = json.loads(remnants.ok("fit", job, "--json", *elsewhere))
    (patch,) = answer["patches"]
    assert (answer["verdict"], answer["unit"], patch["verdict"]) == ("whole", "in", "whole")
    assert [part["piece"] for part in patch["parts"]] == ["R-1"]
    assert [passed["piece"] for passed in answer["passed_over"]] == ["R-2"]


def test_closet_carpet_that_runs_the_wrong_way_is_joined_from_two_parts(remnants: Remnants) -> None:
    # Laid with its pile along the hall the closet piece is 20 in long: 12 in short of the 32 in needed, wide enough for two.
    args = ("fit", remnants.file("job.json", hall()), "--stock", remnants.file("stock.json", CLOSET))
    answer = json.loads(remnants.ok(*args, "--json"))
    (patch,) = answer["patches"]
    assert patch["verdict"] == "joined"
    assert [part["piece"] for part in patch["parts"]] == ["L-1", "L-1"]
    assert [seam["kind"] for seam in patch["seams"]] == ["cross"]
    assert "L-1" in remnants.ok(*args)


def test_the_json_answer_read_back_passes_the_proof(remnants: Remnants) -> None:
    job, source = remnants.file("job.json", hall()), remnants.file("stock.json", CLOSET)
    plan = read_answer(remnants.ok("fit", job, "--stock", source, "--json"))
    held = read_stock(source)
    assert check_plan(read_job(job), held.piece_of, held.style_of, plan) == ()


def test_what_cannot_be_made_is_told_with_what_is_missing(remnants: Remnants) -> None:
    short = stock({"tag": "R-1", "width": 14, "length": 31})
    job, source = remnants.file("job.json", hall(max_parts=1)), remnants.file("stock.json", short)
    answer = json.loads(remnants.ok("fit", job, "--stock", source, "--json"))
    assert (answer["verdict"], answer["short"][0]["patch"]) == ("none", "hall")
    assert answer["short"][0]["missing"] == 1
    assert "1 in" in remnants.ok("fit", job, "--stock", source)


def test_a_style_nobody_has_is_told_with_the_nearest(remnants: Remnants) -> None:
    job, source = remnants.file("job.json", hall(style="corduroy")), remnants.file("stock.json", WHOLE)
    answer = json.loads(remnants.ok("fit", job, "--stock", source, "--json"))
    assert answer["verdict"] == "none"
    assert "no style 'corduroy' in stock" in answer["short"][0]["reason"]
    assert {passed["piece"] for passed in answer["passed_over"]} == {"R-1", "R-2"}


def test_what_a_typed_name_was_taken_for_is_told(remnants: Remnants) -> None:
    done = remnants("fit", remnants.file("job.json", hall()), "--stock", remnants.file("stock.json", WHOLE))
    assert "note: style: taken as 'Velder Loop'" in done.err


def test_the_whole_answer_follows_the_unit_asked_for_but_the_file_keeps_the_jobs(remnants: Remnants) -> None:
    job, source = remnants.file("job.json", hall()), remnants.file("stock.json", CLOSET)
    shown = remnants.ok("fit", job, "--stock", source, "--unit", "cm")
    assert " cm" in shown
    assert not re.search(r"\d in\b", shown)
    assert json.loads(remnants.ok("fit", job, "--stock", source, "--unit", "cm", "--json"))["unit"] == "in"


def test_drawings_are_written_where_asked(remnants: Remnants) -> None:
    job, source = remnants.file("job.json", hall()), remnants.file("stock.json", CLOSET)
    shown = remnants.ok("fit", job, "--stock", source, "--svg", remnants.folder / "new" / "drawings")
    written = sorted(path.name for path in (remnants.folder / "new" / "drawings").iterdir())
    assert len(written) == 2
    assert all(name in shown for name in written)
    assert all((remnants.folder / "new" / "drawings" / name).read_text().rstrip().endswith("</svg>") for name in written)


def test_all_faults_of_bad_files_are_told_and_nothing_is_printed(remnants: Remnants) -> None:
    job = remnants.file("job.json", hall(edges=["seam"], pile="up"))
    told = remnants.refused("fit", job, "--stock", remnants.file("stock.json", WHOLE), code=2)
    assert "patches[0].pile" in told
    assert "patches[0].edges" in told
    assert "no such file" in remnants.refused("fit", remnants.folder / "none.json", code=2)


def test_a_plan_that_fails_its_proof_is_withheld(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    def refusing(*_: object) -> tuple[Fault, ...]:
        return (Fault("patches[0]", "made up"),)

    monkeypatch.setattr(prove_plan, "check_plan", refusing)
    job, source = remnants.file("job.json", hall()), remnants.file("stock.json", WHOLE)
    assert "made up" in remnants.refused("fit", job, "--stock", source, code=70)


def test_the_job_sets_the_lowest_grade_it_accepts(remnants: Remnants) -> None:
    source = remnants.file("stock.json", stock({"tag": "R-1", "width": 14, "length": 32, "lot": "9001-A"}))
    answer = json.loads(remnants.ok("fit", remnants.file("job.json", hall()), "--stock", source, "--json"))
    match = answer["patches"][0]["match"]
    assert match["grade"] == "other-lot"
    assert "lot 9001-A instead of 4471-B: dye lots differ" in match["sentence"]
    assert "style: taken as 'Velder Loop' (1 letter differs)" in match["sentence"]
    strict = json.loads(
        remnants.ok("fit", remnants.file("job.json", hall() | {"lowest_grade": "same-lot"}), "--stock", source, "--json")
    )
    assert strict["verdict"] == "none"
    assert "the job accepts same-lot at worst" in strict["passed_over"][0]["reason"]


def test_a_measured_shade_lets_another_colour_pass(remnants: Remnants) -> None:
    sand = {"tag": "R-1", "width": 14, "length": 32, "colour": "Sand", "lab": [72.5, 2.2, 14.6]}
    source = remnants.file("stock.json", stock(sand))
    plain = json.loads(remnants.ok("fit", remnants.file("job.json", hall()), "--stock", source, "--json"))
    assert plain["verdict"] == "none"
    job = hall() | {"lab": [72.0, 2.0, 14.0]}
    measured = json.loads(remnants.ok("fit", remnants.file("job.json", job), "--stock", source, "--json"))
    assert measured["patches"][0]["match"]["grade"] == "close-shade"
    assert "grey scale" in measured["patches"][0]["match"]["sentence"]
    assert "lab[0]" in remnants.refused(
        "fit", remnants.file("job.json", hall() | {"lab": [172, 0, 0]}), "--stock", source, code=2
    )


def test_in_a_worn_hall_the_worn_piece_is_taken(remnants: Remnants) -> None:
    new, worn = {"tag": "A-1", "width": 14, "length": 32}, {"tag": "B-1", "width": 14, "length": 32, "worn": 3}
    source = remnants.file("stock.json", stock(new, worn))
    for wear, tag in ((0, "A-1"), (3, "B-1")):
        job = remnants.file("job.json", hall() | {"worn": wear})
        answer = json.loads(remnants.ok("fit", job, "--stock", source, "--json"))
        assert [part["piece"] for part in answer["patches"][0]["parts"]] == [tag]


def test_a_single_patch_is_told_how_far_from_the_best_it_is(remnants: Remnants) -> None:
    stock = remnants.file("few.json", scraps(1))
    fits = remnants.file("fits.json", many_job("Fits", 1))
    none = remnants.file("none.json", many_job("None", 1) | {"patches": [{"name": "wide", "width": 90, "length": 90, "pile": 0}]})
    assert "Best possible." in remnants.ok("fit", fits, "--stock", stock).splitlines()
    told = remnants("fit", none, "--stock", stock).out.splitlines()
    assert "No plan within the rules of the job can fill it: that is proved." in told


def test_whose_carpet_it_is_can_be_said_at_the_terminal(remnants: Remnants) -> None:
    attic = stock({"tag": "K-1", "kind": "kept", "width": 40, "length": 60, "place": "Finch Row 12, attic", "customer": "C-9"})
    job, source = remnants.file("job.json", hall()), remnants.file("stock.json", attic)
    ask = ("fit", job, "--stock", source)
    assert "ask them first" in remnants.ok(*ask)
    for words in (("--may-use", "other customers"), ("--house", "Finch Row 12")):
        assert json.loads(remnants.ok(*ask, "--json", *words))["verdict"] == "whole"
    assert json.loads(remnants.ok(*ask, "--json", "--customer", "C-9"))["verdict"] == "none", "its place names another house"
    assert "the nearest are K-1" in remnants.refused(*ask, "--avoid", "K-11", code=2)
    assert "other customers" in remnants.refused(*ask, "--may-use", "anything", code=2)
    assert "has a comma" in remnants.refused(*ask, "--house", "Finch Row 12, attic", code=2)


@pytest.mark.parametrize("from_catalogue", [False, True])
def test_a_house_where_nothing_lies_is_told_and_a_tag_that_nothing_has_is_refused(
    remnants: Remnants, *, from_catalogue: bool
) -> None:
    source = remnants.file("stock.json", WHOLE)
    elsewhere: tuple[str | Path, ...] = ("--stock", source)
    if from_catalogue:
        remnants.ok("log", source)
        elsewhere = ()
    done = remnants("fit", remnants.file("job.json", hall() | {"house": "Fern Row 2"}), "--json", *elsewhere)
    assert done.code == 0 and "nothing is kept or laid in 'Fern Row 2'" in done.err
    assert "nothing is kept or laid in 'Fern Row 2'" in json.loads(done.out)["notes"][0]
    told = remnants.refused("fit", remnants.file("job.json", hall() | {"use": ["R-11"], "avoid": ["Q"]}), *elsewhere, code=2)
    assert "use[0]: no piece has the tag 'R-11'; the nearest are R-1" in told and "avoid[0]: no piece has the tag 'Q'" in told


def test_the_room_of_a_patch_is_told_with_its_answer(remnants: Remnants) -> None:
    """The pile that the patch takes from its room, and the seam that lies where people walk; another room is refused."""
    room = {"name": "Hall", "width": 60, "length": 12, "pile": 90, "lanes": [[[0, 6], [60, 6]]]}
    asked = hall(room="hall") | {"rooms": [room]}
    asked["patches"][0].pop("pile")
    source = remnants.file("stock.json", CLOSET)
    done = remnants("fit", remnants.file("job.json", asked), "--stock", source)
    assert done.code == 0 and "patches[0].pile: taken from the room 'Hall': 90 degrees" in done.err
    assert "it runs across the way people walk" in done.out
    asked["patches"][0]["room"] = "den"
    told = remnants.refused("fit", remnants.file("job.json", asked), "--stock", source, code=2)
    assert "patches[0].room: 'den' is none of the job's rooms, 'Hall'" in told
