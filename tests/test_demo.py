"""The demo's three jobs give the three answers it tells of, on the stock that its script makes."""

import json
import runpy
from pathlib import Path

import pytest

from remnants.cli import main

DEMO = Path(__file__).parent.parent / "demo"


@pytest.mark.parametrize(("job", "verdict"), [("whole", "whole"), ("hallway", "joined"), ("cannot", "none")])
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


def test_the_pictures_in_the_pages_are_those_that_the_demo_draws(tmp_path: Path) -> None:
    main(["fit", str(DEMO / "hallway.json"), "--stock", str(DEMO / "stock.json"), "--svg", str(tmp_path)])
    images = DEMO.parent / "docs" / "images"
    for drawn, shown in (("patch-hall.svg", "hallway-patch.svg"), ("piece-L-0101.svg", "hallway-donor.svg")):
        told = f"copy demo/out/hallway/{drawn} to docs/images/{shown}"
        assert (tmp_path / drawn).read_text(encoding="utf-8") == (images / shown).read_text(encoding="utf-8"), told


def test_the_stock_is_what_its_script_makes() -> None:
    script = runpy.run_path(str(DEMO / "make_stock.py"))
    text = (DEMO / "stock.json").read_text(encoding="utf-8")
    assert [out.read_text(encoding="utf-8") for out in script["OUT"]] == [script["written"]()] * 2
    stock = json.loads(text)
    assert "Invented" in stock["note"]
    assert 115 <= len(stock["pieces"]) <= 130
