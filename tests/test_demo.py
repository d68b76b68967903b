"""The demo's jobs give the answers it tells of, on the stock that its script makes."""

import json
import runpy
from pathlib import Path

import pytest

from remnants.actions.order_house import HouseOrdered
from remnants.cli import main
from remnants.estimating.roll_lengths import write_roll_length
from remnants.estimating.why_choose import seams_told, why_choose

DEMO = Path(__file__).parent.parent / "demo"


@pytest.mark.parametrize(("job", "verdict"), [("whole", "whole"), ("hallway", "joined"), ("cannot", "none"), ("almost", "none")])
def test_each_job_gets_its_answer(job: str, verdict: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(DEMO / f"{job}.json"), "--stock", str(DEMO / "stock.json"), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["verdict"] == verdict


def test_the_hall_is_joined_across_the_pile_from_the_closet(capsys: pytest.CaptureFixture[str]) -> None:
    """36 in to the door, 3 in into it, 1 in at the seam: 40 in. The closet's 31 1/2 in are 8 1/2 in short."""
    main(["fit", str(DEMO / "hallway.json"), "--stock", str(DEMO / "stock.json"), "--json"])
    (patch,) = json.loads(capsys.readouterr().out)["patches"]
    assert [seam["kind"] for seam in patch["seams"]] == ["cross"]
    assert {part["piece"] for part in patch["parts"]} == {"L-0101"}
    (seam,) = patch["seams"]
    assert all(x == pytest.approx(10.5, abs=0.02) for x, _ in seam["line"]), "away from the doorway, where 1/2 in is to spare"
    assert "31 1/2 in long, 8 1/2 in short of the 40 in needed; two parts end to end make it" in patch["reason"]


def test_the_closet_2_in_short_makes_the_study_once_the_patch_is_shaved_by_that(capsys: pytest.CaptureFixture[str]) -> None:
    """31 1/2 in and 1 in at each seam: 33 1/2 in along. The closet has 31 1/2 in, and not a hair more than is then cut."""
    asked = ["fit", str(DEMO / "almost.json"), "--stock", str(DEMO / "stock.json"), "--json"]
    main(asked)
    first = json.loads(capsys.readouterr().out)["bargains"][0]
    assert (first["change"]["kind"], first["change"]["by"]) == ("shave", pytest.approx(2, abs=0.001))
    main([*asked, "--take", "1"])
    taken = json.loads(capsys.readouterr().out)
    assert taken["verdict"] == "whole" and taken["patches"][0]["parts"][0]["piece"] == "L-0101"
    assert taken["spare"]["plan"] == pytest.approx(0, abs=0.001)


PICTURES = (
    ("fit", "hallway", "patch-hall.svg", "hallway-patch.svg"),
    ("fit", "hallway", "piece-L-0101.svg", "hallway-donor.svg"),
    ("fit --take 1", "almost", "patch-study.svg", "study-patch.svg"),
    ("propose", "burn", "outline-1-burn.svg", "burn-outline.svg"),
)
"""How each is drawn, from which job, under which name, and under which it stands in the pages."""


def test_the_pictures_in_the_pages_are_those_that_the_demo_draws(tmp_path: Path) -> None:
    for how, job in dict.fromkeys((how, job) for how, job, _, _ in PICTURES):
        verb, *options = how.split()
        main([verb, str(DEMO / f"{job}.json"), "--stock", str(DEMO / "stock.json"), *options, "--svg", str(tmp_path / job)])
    images = DEMO.parent / "docs" / "images"
    script = runpy.run_path(str(DEMO.parent / "docs" / "make_pictures.py"))
    made = script["pictures"]()
    assert {path.name for path in images.iterdir()} == {*(shown for _, _, _, shown in PICTURES), *made}
    for name, text in made.items():
        assert (images / name).read_text(encoding="utf-8") == text, f"{name} is not current: run python docs/make_pictures.py"
    for _, job, drawn, shown in PICTURES:
        told = f"copy demo/out/{job}/{drawn} to docs/images/{shown}"
        assert (tmp_path / job / drawn).read_text(encoding="utf-8") == (images / shown).read_text(encoding="utf-8"), told
    assert choices_of(script["demo_house"]()) in (DEMO.parent / "docs" / "how-to" / "order.md").read_text(encoding="utf-8")


def choices_of(house: HouseOrdered) -> str:
    """The choices of its first carpet as a table of a page, from its line of dashes to the empty line after it."""
    way, unit = house.carpets[0].chosen, house.asked.unit
    rows = [
        (write_roll_length(each.ordered_mm, unit), why_choose(each, way.best, unit), seams_told(each)) for each in way.choices
    ]
    return "".join(f"| {' | '.join(row)} |\n" for row in [("---", "---", "---"), *rows]) + "\n"


def test_the_stock_is_what_its_script_makes() -> None:
    script = runpy.run_path(str(DEMO / "make_stock.py"))
    text = (DEMO / "stock.json").read_text(encoding="utf-8")
    assert [out.read_text(encoding="utf-8") for out in script["OUT"]] == [script["written"]()] * 2
    stock = json.loads(text)
    assert "Invented" in stock["note"]
    assert 115 <= len(stock["pieces"]) <= 130
