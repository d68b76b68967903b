"""A carpet's shade from a photograph with a grey card: found in coloured light, refused where it can't be told."""

import io
import struct
import zlib

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from remnants.errors import BadFile, BadInput
from remnants.matching.colours import lab_of_srgb
from remnants.matching.photo import CARD_LIGHTNESS, photo_shade
from remnants.matching.shade import delta_e_2000
from remnants.model import Lab
from tests.commands import Remnants

CARPET = (0.42, 0.33, 0.22)
"""Linear reflectance of a made-up carpet, red, green and blue."""
CARD = 0.18


def encoded(linear: NDArray[np.float64]) -> NDArray[np.uint8]:
    """sRGB values (IEC 61966-2-1)."""
    value = np.clip(linear, 0, 1)
    share = np.where(value <= 0.0031308, 12.92 * value, 1.055 * value ** (1 / 2.4) - 0.055)
    return np.round(255 * share).astype(np.uint8)


def a_photo(
    *,
    light: tuple[float, float, float] = (1, 1, 1),
    card: bool = True,
    texture: float = 0.18,
    form: str = "JPEG",
    size: int = 600,
) -> bytes:
    """Textured carpet under a light, a grey card lying on it."""
    rng = np.random.default_rng(4)
    scene = np.array(CARPET) * (1 + texture * rng.standard_normal((size, size, 1)))
    if card:
        scene[size // 3 : size // 2, size // 3 : size // 2 + size // 10] = CARD
    return saved(encoded(scene * np.array(light)), form)


def saved(pixels: NDArray[np.uint8], form: str = "PNG") -> bytes:
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, form, **({"quality": 92} if form == "JPEG" else {}))
    return file.getvalue()


def true_shade() -> Lab:
    """The carpet's own CIELAB: its reflectance under an even white light, brought to sRGB values and then to CIELAB."""
    red, green, blue = (encoded(np.array(CARPET)) / 255).tolist()
    return lab_of_srgb((red, green, blue))


@pytest.mark.parametrize("light", [(1, 1, 1), (1.1, 0.9, 0.6), (0.5, 0.55, 0.7), (0.35, 0.3, 0.28)])
@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_the_carpets_own_shade_comes_out_in_any_light(light: tuple[float, float, float], form: str) -> None:
    found = photo_shade(a_photo(light=light, form=form))
    assert delta_e_2000(found.lab, true_shade()) < 2.0
    assert found.lab.from_photo
    assert found.rough >= 4.0


def test_without_the_card_the_light_would_have_been_taken_for_the_shade() -> None:
    """The same picture read without correction is far off: the card does the work."""
    pixels = np.asarray(Image.open(io.BytesIO(a_photo(light=(1.1, 0.9, 0.6), form="PNG"))), dtype=float) / 255
    red, green, blue = pixels[:150].mean(axis=(0, 1)).tolist()
    assert delta_e_2000(lab_of_srgb((red, green, blue)), true_shade()) > 6


def test_places_may_be_given() -> None:
    found = photo_shade(a_photo(), card=(0.36, 0.36, 0.1, 0.1), carpet=(0.6, 0.6, 0.3, 0.3), card_lightness=CARD_LIGHTNESS)
    assert delta_e_2000(found.lab, true_shade()) < 2.0


@pytest.mark.parametrize(("photo", "told"), [
    (b"", "no picture"), (b"not an image", "no picture"), (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "no picture"),
    (b"GIF89a" + b"\0" * 99, "no picture"),
    (a_photo()[:900], "no picture"),
    (saved(np.full((400, 400, 3), 128, np.uint8)), "one flat colour"),
    (saved(np.zeros((400, 400, 3), np.uint8)), "one flat colour"),
    (a_photo(card=False), "no grey card"),
    (saved(np.full((60, 60, 3), 90, np.uint8)), "at least 200 pixels"), (a_photo(light=(0.01, 0.01, 0.01)), "no grey card|flat"),
    (a_photo(light=(1.5, 0.5, 0.2), form="PNG"), "far from grey"), (a_photo(texture=0.0, form="PNG"), "flat"),
])  # fmt: skip
def test_a_picture_that_tells_no_shade_is_refused(photo: bytes, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        photo_shade(photo)


def test_a_second_flat_thing_beside_the_card_is_asked_about() -> None:
    pixels = np.asarray(Image.open(io.BytesIO(a_photo(form="PNG")))).copy()
    pixels[450:550, 50:210] = (90, 140, 200)
    with pytest.raises(BadInput, match="more than one flat area"):
        photo_shade(saved(pixels))


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_read() -> None:
    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    header = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    with pytest.raises(BadFile):
        photo_shade(bomb)


def test_a_file_of_too_many_bytes_is_refused() -> None:
    with pytest.raises(BadFile, match="over 40 MB"):
        photo_shade(bytes(40_000_001))


@pytest.mark.parametrize("area", [(-0.1, 0, 0.5, 0.5), (0, 0, 2, 1), (0, 0, 0, 0.5), (float("nan"), 0, 0.1, 0.1)])
def test_a_place_outside_the_picture_is_refused(area: tuple[float, float, float, float]) -> None:
    with pytest.raises(BadInput, match="no place in the picture"):
        photo_shade(a_photo(), card=area)


def test_places_that_overlap_or_are_no_card_are_refused() -> None:
    with pytest.raises(BadInput, match="overlap"):
        photo_shade(a_photo(), card=(0.34, 0.34, 0.15, 0.15), carpet=(0.3, 0.3, 0.5, 0.5))
    with pytest.raises(BadInput, match="texture"):
        photo_shade(a_photo(), card=(0.7, 0.7, 0.2, 0.2), carpet=(0.1, 0.6, 0.2, 0.3))


def test_the_command_tells_shade_roughness_and_difference(remnants: Remnants) -> None:
    path = remnants.folder / "hall.jpg"
    path.write_bytes(a_photo(light=(1.1, 0.9, 0.6)))
    lab = true_shade()
    remnants.log("--tag", "A-1", "--lab", f"{lab.lightness:.1f},{lab.a:.1f},{lab.b:.1f}")
    told = remnants.ok("shade", path, "--with", "A-1")
    assert "rough: it may well be ΔE 4" in told or "rough: it may well be ΔE 5" in told
    assert "grey scale" in told
    assert "lay a flat neutral grey card" in remnants.refused("shade", _without_card(remnants), code=2)
    assert "no picture" in remnants.refused("shade", remnants.file("words.jpg", "just words"), code=2)
    assert "can't be read" in remnants.refused("shade", remnants.folder / "nowhere.jpg", code=2)
    assert "has no measured shade" in remnants.refused("shade", path, "--with", _bare(remnants), code=1)


def test_the_command_compares_two_measured_shades(remnants: Remnants) -> None:
    """Pair 25 of Sharma, Wu and Dalal (2005): 1.2644."""
    told = remnants.ok("shade", "60.2574,-34.0099,36.2677", "--with", "60.4626,-34.1751,39.4387")
    assert "ΔE00 1.3" in told
    assert "close" in told
    assert "no L*" in remnants.refused("shade", "120,0,0", "--with", "50,0,0", code=2)


def _without_card(remnants: Remnants) -> str:
    path = remnants.folder / "bare.jpg"
    path.write_bytes(a_photo(card=False))
    return str(path)


def _bare(remnants: Remnants) -> str:
    remnants.log("--tag", "A-2")
    return "A-2"
