"""`remnants measure`: lengths and outlines in a photograph, each with its bar, and the carpet from above."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from remnants.photo import there
from tests.commands import Remnants
from tests.photo.photographs import Shot, as_jpeg, photographed

SHOT = Shot(width=1280, height=960, tilt_deg=12.0, away=1100.0, looks_at=(120.0, 20.0))
RUG = np.array([(150.0, -60.0), (300.0, -60.0), (300.0, 90.0), (150.0, 90.0)])
"""A square of 150 mm on the carpet beside the page."""


@pytest.fixture(scope="module")
def jpeg() -> bytes:
    return as_jpeg(photographed(SHOT, stain=RUG))


@pytest.fixture
def photo(remnants: Remnants, jpeg: bytes) -> Path:
    remnants.log()
    remnants.ok("photo-page", "--page", "7", "--bar", "150")
    path = remnants.folder / "hall.jpg"
    path.write_bytes(jpeg)
    return path


def corners(count: int = 4) -> list[str]:
    seen = SHOT.pixel_of(np.column_stack((RUG, np.zeros(4))))
    return [f"{x:.1f},{y:.1f}" for x, y in seen[:count]]


def test_an_outline_is_told_side_by_side_with_its_bars(remnants: Remnants, photo: Path) -> None:
    told = remnants.ok("measure", photo, "--unit", "mm", "--corners", *corners()).splitlines()
    assert told[0] == "hall.jpg, by marker page 7"
    assert [line.partition(":")[0] for line in told[1:5]] == ["side 1", "side 2", "side 3", "side 4"]
    for line in told[1:5]:
        length, bar = (float(word.removesuffix(" mm")) for word in line.partition(": ")[2].split(" ± "))
        assert abs(length - 150.0) <= bar <= 9.0
    assert told[5].startswith("no corner lies off the true shape by more than ") and told[5].endswith(" mm, 95 times of 100")
    assert "never to cut a seam by" in told[6] and "no real phone was measured yet" in told[6]


def test_two_corners_are_a_length(remnants: Remnants, photo: Path) -> None:
    told = remnants.ok("measure", photo, "--corners", *corners(2))
    assert re.match(r"hall\.jpg, by marker page 7: (5 \d+/\d+|6|6 1/\d+) in ± \d+/\d+ in\n", told), "150 mm are 5 29/32 in"
    found = json.loads(remnants.ok("measure", photo, "--json", "--corners", *corners(2)))
    assert found["unit"] == "in" and found["pages"] == [7] and len(found["digest"]) == 64
    assert abs(found["length"] - 150 / 25.4) <= found["bar"]


def test_a_known_length_says_whether_the_bar_is_true(remnants: Remnants, photo: Path) -> None:
    words = ("measure", str(photo), "--unit", "mm", "--corners", *corners(2), "--known")
    assert remnants.ok(*words, "150").startswith("the tape says 150 mm: the photograph is ")
    assert ", within the bar\n" in remnants.ok(*words, "150")
    assert "outside the bar: one of twenty may be, not more" in remnants.ok(*words, "170")
    assert json.loads(remnants.ok(*words, "17 cm", "--json"))["within"] is False
    faults = remnants.refused("measure", photo, "--corners", *corners(), "--known", "6 in", code=2)
    assert "--known: a tape measures one length" in faults


def test_the_carpet_is_written_as_seen_from_above(remnants: Remnants, photo: Path) -> None:
    flat = remnants.folder / "flat.jpg"
    found = json.loads(remnants.ok("measure", photo, "--unit", "mm", "--json", "--flat", flat, "--corners", *corners()))
    with Image.open(flat) as picture:
        assert not picture.getexif()
        grey = np.asarray(picture.convert("L"), dtype=float)
    scale, (left, bottom) = found["flat"]["px_per_mm"], found["flat"]["corner"]

    def light(x: float, y: float) -> float:
        column, row = round((x - left) * scale), round(grey.shape[0] - (y - bottom) * scale)
        return float(grey[row - 9 : row + 10, column - 9 : column + 10].mean())

    # The square is darker by 40 of 255, up to each of its sides: 15 mm in and 15 mm out of them lie apart.
    for inside, outside in (((165, 15), (135, 15)), ((285, 15), (315, 15)), ((225, -45), (225, -75)), ((225, 75), (225, 105))):
        assert light(*outside) - light(*inside) > 20
    assert len(found["outline"]) == 4 and found["bar"] < 9.0


def test_one_tap_finds_the_outline_of_a_stain(remnants: Remnants, photo: Path) -> None:
    middle = SHOT.pixel_of(np.array([[*RUG.mean(axis=0), 0.0]]))[0]
    tap = f"{middle[0]:.1f},{middle[1]:.1f}"
    found = json.loads(remnants.ok("measure", photo, "--unit", "mm", "--json", "--tap", tap))
    for axis in (0, 1):
        values = [corner[axis] for corner in found["outline"]]
        assert max(values) - min(values) == pytest.approx(150.0, abs=2 * found["bar"])
    assert "corner" in remnants.ok("measure", photo, "--tap", tap)
    assert "--tap: the tap stands in for the corners" in remnants.refused(
        "measure", photo, "--tap", tap, "--corners", "1,1", code=2
    )
    assert "--tap: " in remnants.refused("measure", photo, "--tap", "9,900", code=2)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--corners", "1,2", "x"], "--corners: 'x' is no pixel: give X,Y, such as 812,640"),
        (["--corners", "10,20"], "--corners: one corner has no length"),
        ([], "--corners: say where the corners are"),
        (["--corners", "10,20", "5000,20"], "corners[1]: (5000, 20) lies outside the picture of 1280 x 960"),
        (["--corners", "1,1", "200,200"], "from the marker page, and 600 mm is the most: lay it nearer"),
        (["--corners", "500,500", "600,600", "600,500", "500,600"], "--corners: the outline crosses or touches itself"),
    ],
)
def test_what_cannot_be_measured_says_what_to_do(remnants: Remnants, photo: Path, words: list[str], told: str) -> None:
    assert told in remnants.refused("measure", photo, *words, code=2)


def test_a_page_whose_bar_was_not_told_says_how_to_tell_it(remnants: Remnants, jpeg: bytes) -> None:
    path = remnants.folder / "hall.jpg"
    path.write_bytes(jpeg)
    told = remnants.refused("measure", path, "--corners", *corners(2), code=2)
    assert "hall.jpg: the true size of marker page 7 is not known" in told
    assert "`remnants photo-page --page 7 --bar" in told


def test_a_photograph_that_is_not_there_or_none_is_told(remnants: Remnants) -> None:
    assert "nowhere.jpg: can't be read" in remnants.refused("measure", "nowhere.jpg", "--corners", "1,1", "2,2", code=2)
    none = remnants.file("none.jpg", "no picture")
    assert "this is no picture that can be read" in remnants.refused("measure", none, "--corners", "1,1", "2,2", code=2)


def test_without_what_reads_marks_one_sentence_says_what_to_install(
    remnants: Remnants, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(there, "find_spec", lambda name: None)
    assert "`pip install 'remnants[photo]'` brings it" in remnants.refused("measure", photo, "--corners", "1,1", "2,2", code=2)


def test_rows_come_as_two_candidates_and_are_refused_where_none_are_to_be_seen(remnants: Remnants, photo: Path) -> None:
    at = ",".join(f"{each:.0f}" for each in SHOT.pixel_of(np.array([(320.0, 200.0, 0.0)]))[0])
    assert "--rows: no rows stand out there" in remnants.refused("measure", photo, "--rows", at, code=2)
    y, x = np.mgrid[0 : SHOT.height, 0 : SHOT.width].astype(np.float64)
    eye, rays = SHOT.rays(x, y)
    across = eye[0] - eye[2] * rays[..., 0] / rays[..., 2]
    ribbed = photographed(SHOT) + (14.0 * np.sin(2 * np.pi * across / 7.0))[..., None] * (across > 130.0)[..., None]
    photo.write_bytes(as_jpeg(np.clip(ribbed, 0, 255).astype(np.uint8)))
    told = remnants.ok("measure", photo, "--rows", at).splitlines()
    assert told[0].startswith("1. rows run ") and told[1].startswith("2. rows run ") and "stroke it" in told[2]
    first, second = json.loads(remnants.ok("measure", photo, "--rows", at, "--unit", "mm", "--json"))["rows"]
    assert abs((first["bearing"] + 90.0) % 180.0 - 90.0) <= first["bearing_bar"]
    assert abs(first["apart"]["length"] - 7.0) <= first["apart"]["bar"] < 0.2
    assert abs(second["bearing"] - 90.0) < 1.0
    kept = remnants.ok("measure", photo, "--rows", at, "--take", "1", "--style", "Ribbed").splitlines()[2]
    assert kept == "Ribbed is described by candidate 1; `remnants style` tells it"
    assert "row" in remnants.ok("style", "Ribbed")
    assert "--take 1 --style NAME" in remnants.refused("measure", photo, "--rows", at, "--take", "1", code=2)
    assert "give --rows X,Y too" in remnants.refused("measure", photo, "--take", "1", "--style", "Ribbed", code=2)


def test_one_carpet_has_no_step_to_itself_and_a_job_takes_what_is_told(remnants: Remnants, photo: Path) -> None:
    photo.write_bytes(as_jpeg(photographed(SHOT)))
    ends = [f"{x:.0f},{y:.0f}" for x, y in SHOT.pixel_of(np.array([(250.0, 150.0, 0.0), (250.0, -150.0, 0.0)]))]
    asked = ("measure", str(photo), "--shades", *ends)
    assert "turn one until they do" in remnants.refused(*asked, code=2)
    found = json.loads(remnants.ok(*asked, "--alike", "--piece", "R-0142", "--json"))
    assert found["delta_e"] <= found["bar"] < 3.0
    told = remnants.ok(*asked, "--alike", "--piece", "R-0142")
    assert f'for the job file: "shade_steps": "{found["shade_steps"]}"' in told and "no real phone was tried" in told
    assert "--shades: (9, 9999)" in remnants.refused("measure", photo, "--shades", "9,9999", ends[0], "--alike", code=2)
