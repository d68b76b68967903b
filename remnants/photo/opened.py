"""A photograph that is to be measured in: upright, grey and in colour, and what its own data say of the lens. Nothing else of
them is read but make and model of the phone: no place, no time, no serial number.

The focal length "in 35 mm film" (Exif 2.32, tag 41989) is by the picture's diagonal (CIPA DCG-001), 43.27 mm of film.
"""

from __future__ import annotations

import hashlib
import io
import math
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PIL import Image

from remnants.errors import BadInput
from remnants.late import Late
from remnants.limits import NAME_CHARACTERS
from remnants.marks import visible
from remnants.matching.heif import kinds_of
from remnants.matching.picture import picture_in
from remnants.model.phone_lens import PhoneLens
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Lens

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
else:
    np = Late("numpy")

__all__ = ["Opened", "lens_by_film", "opened"]

MOST_SIDE = 4000
"""Pixels of the longer side that are looked at: more would find the corners hardly better."""

FILM_MM = math.hypot(36.0, 24.0)
FOCAL_SD = 0.03
"""Standard deviation of the logarithm of a focal length that a picture tells in whole mm."""

SHORTEST_35, LONGEST_35 = 10.0, 120.0
"""Lenses of phones and of cameras that one holds over a carpet."""

SHAPES = (4 / 3, 3 / 2)
"""Longer over shorter side of what a sensor gives whole; others are cut out of it, nobody knows from where."""

_SHAPE_GIVE = 0.015
"""How far from it, as a share: sensors have some more pixels one way."""

_MOST_ZOOM = 1.05
_INNER, _FOCAL, _ZOOM, _ACROSS, _DOWN, _FOCAL_MM = 0x8769, 0xA405, 0xA404, 0xA002, 0xA003, 0x920A
_MAKE, _MODEL = 0x010F, 0x0110
_TURNED, _SIDEWAYS = 0x0112, (5, 6, 7, 8)
_QUARTERS = {1: 0, 6: 1, 3: 2, 8: 3}
"""Quarters to the right by which a picture is turned to be upright, by its orientation."""

_FLIPPED = (2, 4, 5, 7)
"""Orientations of Exif that mirror."""


@dataclass(frozen=True)
class Opened:
    """The picture (rows x columns, at most `MOST_SIDE`), the size that it has in its file (upright), its digest, and the lens.

    `phone` is None where its data do not tell phone and lens, `quarters` where they do not tell how far it was turned to the
    right to be upright. `lens_35` is the focal length by 35 mm film.
    """

    colour: NDArray[np.uint8]
    grey: NDArray[np.uint8]
    full_size: tuple[int, int]
    digest: str
    lens: Lens
    lens_35: float = 0.0
    phone: PhoneLens | None = None
    quarters: int | None = None

    @property
    def size(self) -> tuple[int, int]:
        """Pixels across and down, as looked at."""
        return self.grey.shape[1], self.grey.shape[0]

    def worked(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of the picture as it is in its file, in the one that is looked at."""
        share = np.array(self.size) / np.array(self.full_size)
        return np.asarray((points + 0.5) * share - 0.5)

    def in_file(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of the picture that is looked at, in the one as it is in its file."""
        share = np.array(self.size) / np.array(self.full_size)
        return np.asarray((points + 0.5) / share - 0.5)


def opened(photo: bytes, *, lens_35: float | None = None) -> Opened:
    """The photograph in the bytes of a JPEG, PNG or WebP file. `lens_35` is its focal length by 35 mm film, where it is told.

    Raises BadFile for what is no such picture; NotMeasured where it is cropped, zoomed, mirrored or tells nothing of its lens.
    """
    picture = picture_in(photo, MOST_SIDE)
    data = _told(photo)
    told, full = data.figures, data.size
    if data.turned in _SIDEWAYS and not data.upright:
        full = full[1], full[0]
    if data.turned in _FLIPPED and not data.upright:
        raise refused(WhyNot.MIRRORED, "the picture is stored mirrored: switch that off in the camera, and take it again")
    _refuse_cut(full, told)
    focal = lens_35 if lens_35 is not None else told.get(_FOCAL, 0.0)
    if lens_35 is not None and not SHORTEST_35 <= lens_35 <= LONGEST_35:
        raise BadInput(f"{lens_35:g} mm is no lens that one measures with: give {SHORTEST_35:g} to {LONGEST_35:g}, by 35 mm film")
    if not SHORTEST_35 <= focal <= LONGEST_35:
        raise refused(
            WhyNot.NO_LENS,
            "the picture does not tell its lens: send the file as the camera stored it, which messengers do not. Or tell "
            "the lens, in mm by 35 mm film, such as 26",
        )
    colour = np.asarray(picture, dtype=np.uint8)
    grey = np.asarray(picture.convert("L"), dtype=np.uint8)
    lens = lens_by_film(focal, (grey.shape[1], grey.shape[0]))
    quarters = None if data.turned == 1 and full[1] > full[0] else _QUARTERS.get(data.turned, 0)
    return Opened(colour, grey, full, hashlib.sha256(photo).hexdigest(), lens, focal, _phone(data, full), quarters)


def lens_by_film(lens_35: float, size: tuple[int, int]) -> Lens:
    """What a focal length by 35 mm film tells of the lens of a picture of so many pixels."""
    return Lens(lens_35 / FILM_MM * math.hypot(*size), FOCAL_SD)


def _phone(data: _Data, full: tuple[int, int]) -> PhoneLens | None:
    """Phone and lens; None where they are not told."""
    focal_mm, focal_35 = (max(0.0, data.figures.get(tag, 0.0)) for tag in (_FOCAL_MM, _FOCAL))
    named = (data.make or data.model) and max(len(data.make), len(data.model)) <= NAME_CHARACTERS
    if not named or not (focal_mm or focal_35):
        return None
    return PhoneLens(data.make, data.model, round(focal_mm, 3), round(focal_35, 3), max(full), min(full))


def _refuse_cut(full: tuple[int, int], told: dict[int, float]) -> None:
    """Refuses a picture that was zoomed into or is a part of what the sensor saw."""
    if told.get(_ZOOM, 1.0) > _MOST_ZOOM:
        raise refused(WhyNot.ZOOMED, "the picture was taken with zoom: take it again without, from nearer")
    shape = max(full) / min(full)
    own = max(told.get(_ACROSS, 0.0), told.get(_DOWN, 0.0)) / max(min(told.get(_ACROSS, 0.0), told.get(_DOWN, 0.0)), 1.0)
    if told.get(_ACROSS) and abs(own / shape - 1) > _SHAPE_GIVE:
        raise refused(WhyNot.CROPPED, "the picture was cropped after it was taken: give it whole, as the camera stored it")
    if all(abs(shape / each - 1) > _SHAPE_GIVE for each in SHAPES):
        raise refused(
            WhyNot.OTHER_SHAPE,
            f"the picture is {full[0]} x {full[1]}, a part of what the lens saw: set the camera to 4:3, and do not crop",
        )


@dataclass(frozen=True)
class _Data:
    """What a picture's own data say of its lens and phone, its size, how it is turned, and whether it is `upright` by now."""

    figures: dict[int, float]
    size: tuple[int, int]
    turned: int = 1
    upright: bool = False
    make: str = ""
    model: str = ""


def _told(photo: bytes) -> _Data:
    """What a picture's own data say. What can't be read is not told."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with Image.open(io.BytesIO(photo), formats=kinds_of(photo)) as image:
            size = image.size
            try:
                data = image.getexif()
                before = image.info.get("original_orientation")  # of a HEIC picture, which is opened upright
                turned = before or data.get(_TURNED, 1)
                inner = data.get_ifd(_INNER)
                told = {tag: _figure(inner[tag]) for tag in (_FOCAL, _ZOOM, _ACROSS, _DOWN, _FOCAL_MM) if tag in inner}
                make, model = (_text(data.get(tag)) for tag in (_MAKE, _MODEL))
            except Exception:  # anybody may have made it, and it may be broken in any way
                return _Data({}, size)
    return _Data(told, size, turned if isinstance(turned, int) else 1, bool(before), make, model)


def _text(value: object) -> str:
    """A text of such data, without what nobody sees; empty for what is none."""
    return " ".join(visible(value).split()) if isinstance(value, str) else ""


def _figure(value: object) -> float:
    """A figure of such data; nought for what is none."""
    try:
        figure = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return 0.0
    return figure if math.isfinite(figure) else 0.0
