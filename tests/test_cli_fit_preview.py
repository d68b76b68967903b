"""`remnants fit --preview`: the repair in the photograph that its damage was measured in, from the catalogue and from files."""

import json
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.commands import Remnants
from tests.photo.photographs import Shot, as_jpeg, photographed
from tests.photo.test_preview import HALL, LONG, PIECE, RACK, WIDE, stripes

BURN = np.array([(200.0, -60.0), (290.0, -60.0), (290.0, 30.0), (200.0, 30.0)])
"""Dark on the carpet beside the page: 90 mm square."""
RACKED = np.array(
    [PIECE, (PIECE[0] + WIDE, PIECE[1]), (PIECE[0] + WIDE, PIECE[1] + LONG), (PIECE[0], PIECE[1] + LONG)], dtype=np.float64
)


def corners(shot: Shot, ring: NDArray[np.float64]) -> list[str]:
    return [f"{x:.1f},{y:.1f}" for x, y in shot.pixel_of(np.column_stack((ring, np.zeros(len(ring)))))]


@pytest.fixture(scope="module")
def photos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("photos")
    (folder / "hall.jpg").write_bytes(as_jpeg(photographed(HALL, stain=BURN)))
    (folder / "rack.jpg").write_bytes(as_jpeg(photographed(RACK, woven=stripes)))
    return folder


@pytest.fixture
def patch(remnants: Remnants, photos: Path) -> Path:
    """The job's file with the patch that was proposed for damage in the photograph; a piece was logged by another one."""
    for page in ("7", "9"):
        remnants.ok("photo-page", "--page", page, "--bar", "150")
    told = ["log", "--tag", "R-1", "--style", "Harrow", "--photo", str(photos / "rack.jpg"), "--corners", *corners(RACK, RACKED)]
    remnants.ok(*told, "--pile", "0", "--keep-photo")
    job = remnants.file("burn.json", {"unit": "mm", "style": "Harrow", "patches": [{"name": "burn", "pile": 0, "margin": 10}]})
    saved = remnants.folder / "patch.json"
    asked = ["propose", str(job), "--photo", str(photos / "hall.jpg"), "--corners", *corners(HALL, BURN)]
    remnants.ok(*asked, "--take", "1", "--save", str(saved))
    return saved


def test_the_repair_is_drawn_into_the_photograph_of_its_damage_without_a_place(
    remnants: Remnants, patch: Path, photos: Path
) -> None:
    out = remnants.folder / "repair.png"
    told = remnants.ok("fit", patch, "--preview", out, "--photo", photos / "hall.jpg")
    assert f"burn in its photograph, a drawing, not a promise: {out}" in told and "no texture" not in told
    seamed = remnants.folder / "seamed.jpg"
    remnants.ok("fit", patch, "--preview", seamed, "--photo", photos / "hall.jpg", "--seams")
    with Image.open(out) as plain, Image.open(seamed) as drawn:
        assert plain.size == drawn.size and max(plain.size) <= 1000
        for image in (plain, drawn):
            assert not image.getexif() and "comment" not in image.info
        seen = np.asarray(plain.convert("L"), dtype=float)
        assert (np.abs(seen - np.asarray(drawn.convert("L"), dtype=float)) > 60).sum() > 200, "the seams and their grades"
    job = json.loads(patch.read_text())["patches"][0]
    assert len(job["photo_at"]) == 2 and "photo_turn" not in job


def test_from_files_alone_the_donors_picture_is_given(remnants: Remnants, patch: Path, photos: Path) -> None:
    scaled, stock = remnants.folder / "r1.jpg", remnants.folder / "stock.json"
    told = remnants.ok("measure", photos / "rack.jpg", "--corners", *corners(RACK, RACKED), "--scaled", scaled)
    assert f"its carpet to scale, for `remnants fit --donor-photo`, in {scaled}" in told
    remnants.ok("export", stock)
    words = ["fit", str(patch), "--stock", str(stock), "--photo", str(photos / "hall.jpg")]
    out = remnants.folder / "repair.png"
    assert "burn in its photograph" in remnants.ok(*words, "--preview", out, "--donor-photo", f"R-1={scaled}")
    assert "R-1 has no picture to scale" in remnants.refused(*words, "--preview", out, code=2)
    hall = photos / "hall.jpg"
    assert f"{hall}: this tells no scale" in remnants.refused(*words, "--preview", out, "--donor-photo", f"R-1={hall}", code=2)
    assert "tells no picture of a piece" in remnants.refused(*words, "--preview", out, "--donor-photo", "R-9=x.jpg", code=2)


def test_the_customers_printed_page_shows_the_repair_where_a_photograph_is_given(
    remnants: Remnants, patch: Path, photos: Path
) -> None:
    hall, sheet, job = photos / "hall.jpg", remnants.folder / "sheet.pdf", remnants.folder / "job"
    remnants.ok("sheet", patch, "-o", sheet, "--photo", hall)
    remnants.ok("job", patch, "-o", job, "--photo", hall)
    for path in (sheet, job / "customer.pdf"):
        with pdfplumber.open(path) as pdf:
            shown = [(page.extract_text(), image) for page in pdf.pages for image in page.images]
        ((words, image),) = shown
        assert max(image["srcsize"]) <= 1000 and image["srcsize"][0] / image["srcsize"][1] == pytest.approx(
            image["width"] / image["height"], rel=0.001
        )
        assert "As it may look" in words and "Burn: a drawing, not a promise" in words
        assert b"DCTDecode" in path.read_bytes(), "its file as it is, never unpacked"
    without = remnants.folder / "without.pdf"
    remnants.ok("sheet", patch, "-o", without)
    assert b"/Image" not in without.read_bytes().replace(b"/ImageB", b"").replace(b"/ImageC", b"").replace(b"/ImageI", b"")
    assert "--photo: give the photograph" in remnants.refused("sheet", patch, "-o", without, "--lens", "26", code=2)
    other = remnants.refused("sheet", patch, "-o", without, "--photo", photos / "rack.jpg", code=2)
    assert "--photo: this is not the photograph that burn was measured in" in other


def test_what_is_missing_is_said(remnants: Remnants, patch: Path, photos: Path) -> None:
    out = remnants.folder / "repair.png"
    assert "--photo: give the photograph" in remnants.refused("fit", patch, "--preview", out, code=2)
    hall = photos / "hall.jpg"
    assert "end it in .png or .jpg" in remnants.refused("fit", patch, "--preview", "a.txt", "--photo", hall, code=2)
    other = remnants.refused("fit", patch, "--preview", out, "--photo", photos / "rack.jpg", code=2)
    assert "this is not the photograph that burn was measured in" in other
    patches = [{"width": 90, "length": 90, "pile": 0}]
    plain = remnants.file("plain.json", {"unit": "mm", "job": "Plain", "style": "Harrow", "patches": patches})
    assert "no patch here is filled and tells" in remnants.refused("fit", plain, "--preview", out, "--photo", hall, code=2)
    both = remnants.refused("fit", patch, plain, "--preview", out, "--photo", hall, code=2)
    assert "--preview: one job is shown" in both
    assert not out.exists()
    assert "--keep-photo: give the photograph too" in remnants.refused("log", "--style", "V", "--keep-photo", code=2)
    two = corners(RACK, RACKED)[:2]
    assert "--scaled: two corners are a length" in remnants.refused(
        "measure", photos / "rack.jpg", "--corners", *two, "--scaled", "a.jpg", code=2
    )
