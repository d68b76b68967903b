"""`--photo`: from a photograph to a proposed patch, or to a piece at the rack, marked and on the safe side all the way."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from remnants.actions import open_catalogue
from remnants.actions.fit_job import fit_offer, offer_in_hand
from remnants.exchange import read_job, read_stock
from remnants.geometry import rectangle
from remnants.model import Piece, Verdict
from remnants.store import pieces
from tests.commands import Remnants
from tests.photo.photographs import Shot, as_jpeg, photographed

SHOT = Shot(width=1280, height=960, tilt_deg=12.0, away=1100.0, looks_at=(120.0, 20.0))
BURN = np.array([(150.0, -60.0), (300.0, -60.0), (300.0, 90.0), (150.0, 90.0)])
"""Dark on the carpet beside the page: 150 mm square."""


@pytest.fixture(scope="module")
def jpeg() -> bytes:
    return as_jpeg(photographed(SHOT, stain=BURN))


@pytest.fixture
def photo(remnants: Remnants, jpeg: bytes) -> Path:
    remnants.log("--tag", "R-0001", "--lot", "4471-B")
    remnants.ok("photo-page", "--page", "7", "--bar", "150")
    path = remnants.folder / "hall.jpg"
    path.write_bytes(jpeg)
    return path


def corners() -> list[str]:
    return [f"{x:.1f},{y:.1f}" for x, y in SHOT.pixel_of(np.column_stack((BURN, np.zeros(4))))]


def a_job(remnants: Remnants, **more: Any) -> Path:
    patch = {"name": "burn", "pile": 0} | more.pop("patch", {})
    return remnants.file("burn.json", {"unit": "mm", "style": "Velder Loop", "patches": [patch]} | more)


def span(ring: list[list[float]]) -> tuple[float, float]:
    xs, ys = zip(*ring, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_damage_in_a_photograph_becomes_a_patch_that_surely_holds_it(remnants: Remnants, photo: Path) -> None:
    job, saved = a_job(remnants), remnants.folder / "patch.json"
    done = remnants("propose", job, "--photo", photo, "--corners", *corners(), "--take", "1", "--save", saved)
    assert done.code == 0, done.err
    assert "burn fits for sure as far as its photograph goes (burn ± " in done.err
    told = json.loads(saved.read_text())["patches"][0]
    assert 1.0 < told["photo_bar"] < 9.0 and len(told["photo_digest"]) == 64
    # 150 mm of damage, 1 in of sound carpet at each side, and the bar on top.
    for side in span(told["outline"]):
        assert side >= 150.0 + 2 * 25.4 - 0.1
        assert side <= 150.0 + 2 * (25.4 + 2 * told["photo_bar"]) + 30.0
    again = remnants("fit", saved)
    assert "Photo's bar: " in again.out and "Check with a tape before you cut" in again.err


def test_where_the_page_lies_in_the_room_says_where_the_damage_is(remnants: Remnants, photo: Path) -> None:
    room = {"name": "lounge", "outline": [[0, 0], [3000, 0], [3000, 2400], [0, 2400]]}
    job = a_job(remnants, rooms=[room], patch={"room": "lounge", "margin": 10})
    words = ["propose", str(job), "--photo", str(photo), "--corners", *corners(), "--json"]
    assert "--page-at: say where in the room the page lies" in remnants.refused(*words, code=2)
    found = json.loads(remnants.ok(*words, "--page-at", "1000,800"))["proposals"][0]["outline"]
    # The burn lies 150 to 300 mm right of the page's middle, from 60 mm below it to 90 mm above.
    assert holds(found, (1150, 740, 1300, 890), 10.0)
    # The page's top to the right: what lay right of it lies below it now, what lay above it right.
    turned = json.loads(remnants.ok(*words, "--page-at", "1000,800,90"))["proposals"][0]["outline"]
    assert holds(turned, (940, 500, 1090, 650), 10.0)


def holds(ring: list[list[float]], box: tuple[float, float, float, float], margin: float) -> bool:
    """Whether an outline reaches round a box, and ends at the wall or less than 60 mm further out on each side."""
    xs, ys = zip(*ring, strict=True)
    out = (box[0] - min(xs), box[1] - min(ys), max(xs) - box[2], max(ys) - box[3])
    at_wall = (min(xs) == 0, min(ys) == 0, max(xs) == 3000, max(ys) == 2400)
    return all(margin <= far and (wall or far < 60) for far, wall in zip(out, at_wall, strict=True))


@pytest.mark.parametrize(
    ("patch", "told"),
    [
        ({"width": 300, "length": 300}, "patches: 0 patches of the job wait for damage"),
        ({"damage": [[0, 0], [10, 0], [10, 10]]}, "patches: 0 patches of the job wait for damage"),
    ],
)
def test_a_job_without_a_patch_that_waits_is_refused(remnants: Remnants, photo: Path, patch: Any, told: str) -> None:
    job = a_job(remnants, patch=patch)
    assert told in remnants.refused("propose", job, "--photo", photo, "--corners", *corners(), code=2)


def test_a_file_that_is_no_job_is_refused_as_ever(remnants: Remnants, photo: Path) -> None:
    bad = remnants.file("bad.json", "{")
    assert "bad.json" in remnants.refused("propose", bad, "--photo", photo, "--corners", *corners(), code=2)
    assert "page-at" in remnants.refused("propose", bad, "--page-at", "x", code=2)


def test_a_bar_over_half_the_seam_allowance_is_no_damage_to_cut_by(remnants: Remnants, photo: Path) -> None:
    remnants.ok("rules", "seam=4 mm")
    told = remnants.refused("propose", a_job(remnants), "--photo", photo, "--corners", *corners(), code=2)
    assert "--corners: the outline may be" in told and "over half of its allowance of 4 mm" in told


def logged(remnants: Remnants, tag: str) -> Piece:
    with open_catalogue(remnants.catalogue, write=False) as catalogue:
        standing = pieces.find_standing(catalogue, tag)
    assert standing is not None
    return standing.piece


def test_a_piece_at_the_rack_is_logged_smaller_by_its_bar_and_marked(remnants: Remnants, photo: Path) -> None:
    told = remnants.ok(
        "log", "--tag", "R-0002", "--style", "Velder Loop", "--photo", photo, "--corners", *corners(), "--unit", "mm"
    )
    assert told.startswith("measured from hall.jpg, ± ") and "logged 1 piece: R-0002" in told
    piece = logged(remnants, "R-0002")
    left, bottom, right, top = piece.outline.bounds
    assert piece.photo_bar_mm and (left, bottom) == (0.0, 0.0)
    for side in (right - left, top - bottom):
        assert 150.0 - 4 * piece.photo_bar_mm <= side <= 150.0
    card = remnants.ok("show", "R-0002")
    assert "photo's bar" in card and len(piece.photo_digest) == 64
    faults = remnants.refused("log", "--style", "V", "--photo", photo, "--corners", *corners(), "--width", "30", code=2)
    assert "--width: the photograph tells the outline" in faults


def answer(side_mm: float, *, piece_bar: float | None, patch_bar: float | None) -> tuple[Verdict, tuple[str, ...]]:
    """What one square piece of so many mm gives for a hall of 200 x 200 mm without allowance, each perhaps from a photograph."""
    stock = read_stock(
        {
            "unit": "mm",
            "styles": [{"name": "Velder Loop", "construction": "loop"}],
            "pieces": [
                {"tag": "R-1", "kind": "remnant", "style": "Velder Loop", "width": side_mm, "length": side_mm, "pile": 0}
                | ({"photo_bar": piece_bar} if piece_bar else {})
            ],
        }
    )
    patch = {"name": "hall", "width": 200, "length": 200, "pile": 0, "edges": "free"}
    job = read_job({"unit": "mm", "style": "Velder Loop", "patches": [patch | ({"photo_bar": patch_bar} if patch_bar else {})]})
    fitted = fit_offer(offer_in_hand(stock, job), replace(job, tape_error_mm=0.0))
    return fitted.plan.verdict, tuple(note for note in fitted.notes if "photograph" in note)


def test_a_fit_is_for_sure_may_be_or_is_none() -> None:
    assert answer(200, piece_bar=None, patch_bar=None) == (Verdict.WHOLE, ())
    verdict, (told,) = answer(200, piece_bar=5, patch_bar=None)
    assert verdict is Verdict.WHOLE and "hall fits for sure" in told and "R-1 ± 5 mm" in told
    # 8 mm short: the piece may be 5 mm larger at each side than it was logged, or the patch smaller, or neither.
    for bars in ({"piece_bar": 5, "patch_bar": None}, {"piece_bar": None, "patch_bar": 5}):
        verdict, (told,) = answer(192, **bars)
        assert verdict is Verdict.NONE and told.startswith("hall may fit, out of R-1") and "Measure with a tape" in told
    assert answer(188, piece_bar=5, patch_bar=None) == (Verdict.NONE, ())
    assert answer(192, piece_bar=None, patch_bar=None) == (Verdict.NONE, ())


def test_a_piece_is_not_made_larger_than_the_photograph_read() -> None:
    assert rectangle(200.0, 200.0).bounds == (0.0, 0.0, 200.0, 200.0)
    assert answer(190.01, piece_bar=5, patch_bar=None)[0] is Verdict.NONE
    assert answer(189.9, piece_bar=5, patch_bar=None)[1] == ()
