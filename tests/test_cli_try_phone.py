"""`remnants try-phone`: known lengths in photographs, and the verdict."""

import json
from pathlib import Path

import numpy as np
import pytest

from tests.commands import Remnants
from tests.photo.photographs import Shot, as_jpeg, photographed

SHOTS = {f"{name}.jpg": Shot(width=1280, height=960, tilt_deg=tilt, away=1150.0, looks_at=(60.0, 20.0), from_deg=way)
         for name, tilt, way in (("one", 4.0, -90.0), ("two", 16.0, 10.0), ("three", 18.0, 130.0))}  # fmt: skip
ENDS = np.array([[(-150.0, 180.0), (150.0, 180.0)], [(200.0, -250.0), (200.0, 250.0)], [(-200.0, 0.0), (-300.0, 240.0)]])
KNOWN = ("300 mm", "500 mm", "260 mm")


@pytest.fixture(scope="module")
def pictures() -> dict[str, bytes]:
    return {name: as_jpeg(photographed(shot)) for name, shot in SHOTS.items()}


def lines(known: tuple[str, ...] = KNOWN) -> str:
    rows = []
    for name, shot in SHOTS.items():
        for ends, length in zip(ENDS, known, strict=True):
            seen = shot.pixel_of(np.column_stack((ends, np.zeros(2))))
            rows.append(" ".join([name, *(f"{x:.1f},{y:.1f}" for x, y in seen), length]))
    return "\n".join(rows)


@pytest.fixture
def trial(remnants: Remnants, pictures: dict[str, bytes]) -> Path:
    remnants.log()
    remnants.ok("photo-page", "--page", "7", "--bar", "150")
    for name, jpeg in pictures.items():
        (remnants.folder / name).write_bytes(jpeg)
    path = remnants.folder / "trial.txt"
    path.write_text(lines(), encoding="utf-8")
    return path


def test_nine_lengths_make_a_verdict_and_it_is_said_openly_that_no_real_phone_was_measured(
    remnants: Remnants, trial: Path
) -> None:
    told = remnants.ok("try-phone", trial)
    assert told.count("the tape says") == 9 and "lengths lie within their bars, in 3 photographs." in told
    assert "The bars hold on this phone" in told and "no real phone was measured" in told
    trial.write_text(lines(("330 mm", "500 mm", "260 mm")), encoding="utf-8")
    found = json.loads(remnants.ok("try-phone", trial, "--json"))
    assert found["verdict"] == "bad" and sum(not each["within"] for each in found["tried"]) >= 3


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("one.jpg 1,2 3,4 long", "line 1: 'one.jpg 1,2 3,4 long' is no length"),
        ("\n", "it tells no length"),
        ("one.jpg 1,2 9000,4 300 mm", "line 1: (9000, 4) lies outside the picture"),
        ("four.jpg 1,2 3,4 300 mm", "can't be read"),
        ("one.jpg 1,2 3,4 300 mm\n" * 201, "at most 200"),
    ],
)
def test_a_line_that_tells_no_length_is_refused_with_its_number(remnants: Remnants, trial: Path, text: str, told: str) -> None:
    trial.write_text(text, encoding="utf-8")
    assert told in remnants.refused("try-phone", trial, code=2)


def test_a_file_that_is_not_there_is_told(remnants: Remnants) -> None:
    assert "can't be read" in remnants.refused("try-phone", remnants.folder / "none.txt", code=2)
