"""A photograph that is to be measured in: upright, grey and in colour, and what its own data say of the lens. Nothing else of
them is read: no place, no time, no name.

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
from remnants.matching.heif import kinds_of
from remnants.matching.picture import picture_in
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Lens

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
else:
    np = Late("numpy")

__all__ = ["Opened", "opened"]

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
_INNER, _FOCAL, _ZOOM, _ACROSS, _DOWN = 0x8769, 0xA405, 0xA404, 0xA002, 0xA003
_TURNED, _SIDEWAYS = 0x0112, (5, 6, 7, 8)
_FLIPPED = (2, 4, 5, 7)
"""Orientations of Exif that mirror."""


@dataclass(frozen=True)
class Opened:
    """The picture (rows x columns, at most `MOST_SIDE`), the size that it has in its file (upright), its digest, and the lens."""

    colour: NDArray[np.uint8]
    grey: NDArray[np.uint8]
    full_size: tuple[int, int]
    digest: str
    lens: Lens

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
    told, full, turned = _told(photo)
    if turned in _SIDEWAYS:
        full = full[1], full[0]
    if turned in _FLIPPED:
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
    lens = Lens(focal / FILM_MM * math.hypot(grey.shape[1], grey.shape[0]), FOCAL_SD)
    return Opened(colour, grey, full, hashlib.sha256(photo).hexdigest(), lens)


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


def _told(photo: bytes) -> tuple[dict[int, float], tuple[int, int], int]:
    """What a picture's own data say of its lens, its size as stored, and how it is turned. What can't be read is not told."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with Image.open(io.BytesIO(photo), formats=kinds_of(photo)) as image:
            size = image.size
            try:
                data = image.getexif()
                turned = data.get(_TURNED, 1)
                inner = data.get_ifd(_INNER)
                told = {tag: _figure(inner[tag]) for tag in (_FOCAL, _ZOOM, _ACROSS, _DOWN) if tag in inner}
            except Exception:  # anybody may have made it, and it may be broken in any way
                return {}, size, 1
    return told, size, turned if isinstance(turned, int) else 1


def _figure(value: object) -> float:
    """A figure of such data; nought for what is none."""
    try:
        figure = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return 0.0
    return figure if math.isfinite(figure) else 0.0
