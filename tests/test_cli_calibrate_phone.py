"""`remnants calibrate-phone`: eight photographs of the page are kept as one lens, listed, used, and taken away."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.commands import Remnants
from tests.photo.phones import A_LENS, a_phone, shots_of
from tests.photo.photographs import as_jpeg, photographed

LENS = replace(A_LENS, across=1200, down=900)


@pytest.fixture(scope="module")
def pictures() -> dict[str, bytes]:
    """Seven drawn small, with corners found less well: the focal length is known all the same."""
    phone = replace(a_phone(700_001), width=1200, height=900, off_middle=(2.0, -1.5), told_35=26.0, focal_35=26.2, noise=2.0)
    shots = list(shots_of(phone, np.random.default_rng(2), tilts=((3.0, 8.0), *((30.0, 38.0),) * 6)))
    drawn = {f"{at}.jpg": as_jpeg(photographed(shot), phone=LENS) for at, shot in enumerate(shots)}
    return drawn | {"bare.jpg": as_jpeg(photographed(shots[0]))}


@pytest.fixture
def photos(remnants: Remnants, pictures: dict[str, bytes]) -> list[Path]:
    remnants.log()
    for name, jpeg in pictures.items():
        (remnants.folder / name).write_bytes(jpeg)
    return [remnants.folder / name for name in pictures]


def test_a_phone_is_calibrated_listed_used_and_taken_away(remnants: Remnants, photos: list[Path]) -> None:
    told = remnants.ok("calibrate-phone", *photos, "--unit", "mm")
    assert "bare.jpg: not usable: the picture does not tell its phone and lens" in told and "7 of 8 good" in told
    assert "0.jpg: good, " in told and "calibration 1: Invented Two, lens of 5.4 mm, pictures of 1200 x 900" in told
    assert "1000 mm in a usual photograph is told ± " in told and "no real phone was measured yet" in told
    assert "1: Invented Two, lens of 5.4 mm, pictures of 1200 x 900; from 7 photographs" in remnants.ok("calibrate-phone")
    page = str(a_phone(700_001).pages[0].page)
    remnants.ok("photo-page", "--page", page, "--bar", "150")
    ends = ("--corners", "400,300", "800,600", "--unit", "mm", "--json")
    used = json.loads(remnants.ok("measure", photos[0], *ends))
    bare = json.loads(remnants.ok("measure", photos[-1], *ends))
    assert (used["calibration"], bare["calibration"]) == ("used", "untold") and used["bar"] < bare["bar"]
    assert remnants.ok("calibrate-phone", "--remove", "1").startswith("calibration 1 is taken away")
    assert json.loads(remnants.ok("measure", photos[0], *ends))["calibration"] == ""
    assert "no phone was calibrated yet" in remnants.ok("calibrate-phone")


def test_too_few_are_refused_and_nothing_is_kept(remnants: Remnants, photos: list[Path]) -> None:
    told = remnants.refused("calibrate-phone", *photos[:2], photos[-1], code=2)
    assert "2 usable photographs and 6 are the least: take 6 more" in told and "bare.jpg: the picture does not tell" in told
    assert "no phone was calibrated yet" in remnants.ok("calibrate-phone")


def test_the_same_photograph_twice_is_named(remnants: Remnants, photos: list[Path]) -> None:
    assert "0.jpg: is there already" in remnants.refused("calibrate-phone", photos[0], photos[0], code=2)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--remove", "1", "x.jpg"), "take one away, or calibrate"),
        (("x.jpg",), "can't be read"),
        (("x.jpg",) * 21, "at most 20 are taken"),
    ],
)
def test_what_can_not_be_done_is_told(remnants: Remnants, options: tuple[str, ...], told: str) -> None:
    remnants.log()
    assert told in remnants.refused("calibrate-phone", *options, code=2)
    assert "no calibration has the number 7" in remnants.refused("calibrate-phone", "--remove", "7", code=1)
