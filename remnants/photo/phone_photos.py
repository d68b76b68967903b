"""A photograph of the marker page by which a phone is calibrated: what is kept of it until there are enough, and no picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from remnants.errors import BadInput
from remnants.late import Late
from remnants.model.phone_lens import PhoneLens
from remnants.photo.calibrate import Shown
from remnants.photo.detect import LEAST_CORNERS, Found, pages_in
from remnants.photo.marker_page import CORNERS, PAGES
from remnants.photo.measures import Point
from remnants.photo.opened import LONGEST_35, MOST_SIDE, SHORTEST_35, lens_by_film, opened
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Solved, solved
from remnants.photo.view import refuse_unsound

if TYPE_CHECKING:
    import numpy as np
else:
    np = Late("numpy")

__all__ = ["PhonePhoto", "phone_photo", "photo_told"]

_DIGEST = 64


@dataclass(frozen=True, slots=True)
class PhonePhoto:
    """The corners of a marker page in a photograph (pixels of the picture looked at, upright), and what took it.

    `lens_35` is the focal length by 35 mm film; `quarters` is how far the picture was turned to the right to be upright.
    """

    digest: str
    lens: PhoneLens
    lens_35: float
    size: tuple[int, int]
    quarters: int
    page: int
    corners: tuple[int, ...]
    pixels: tuple[Point, ...]

    @property
    def shown(self) -> Shown:
        """The same to be solved."""
        found = Found(self.page, np.asarray(self.corners, dtype=np.int64), np.asarray(self.pixels, dtype=np.float64))
        return Shown(found, self.size, self.quarters, lens_by_film(self.lens_35, self.size))

    @property
    def alone(self) -> Solved:
        """The camera that this picture tells by itself."""
        shown = self.shown
        return solved([shown.found], shown.size, shown.lens, {self.page: 1.0})

    def told(self) -> dict[str, Any]:
        """As plain values that can be kept as text."""
        lens = self.lens
        return {
            "digest": self.digest,
            "lens": [lens.make, lens.model, lens.focal_mm, lens.focal_35, lens.across, lens.down],
            "lens_35": self.lens_35,
            "size": list(self.size),
            "quarters": self.quarters,
            "page": self.page,
            "corners": list(self.corners),
            "pixels": [[round(x, 3), round(y, 3)] for x, y in self.pixels],
        }


def phone_photo(photo: bytes, *, lens_35: float | None = None) -> PhonePhoto:
    """What a photograph tells. The page's size does not matter: only angles count.

    Raises BadFile for what is no picture that can be read; NotMeasured, each with what to do.
    """
    picture = opened(photo, lens_35=lens_35)
    if picture.phone is None:
        raise refused(
            WhyNot.NO_PHONE,
            "the picture does not tell its phone and lens, so nothing can be kept for it: send the file as the camera stored it",
        )
    if picture.quarters is None:
        told = "the picture stands upright and does not tell which way the phone was turned: hold the phone sideways"
        raise refused(WhyNot.SIDEWAYS, f"{told}, and take it again")
    found = pages_in(picture.grey)[:1]
    scales = {each.page: 1.0 for each in found}
    refuse_unsound(solved(found, picture.size, picture.lens, scales), picture, found, scales)
    (page,) = found
    return PhonePhoto(
        picture.digest,
        picture.phone,
        picture.lens_35,
        picture.size,
        picture.quarters,
        page.page,
        tuple(int(each) for each in page.corners),
        tuple((float(x), float(y)) for x, y in page.pixels),
    )


def photo_told(told: Mapping[str, Any]) -> PhonePhoto:
    """What `told` gave, from wherever it was. Raises BadInput for what can be no such photograph."""
    try:
        make, model, focal_mm, focal_35, across, down = told["lens"]
        lens = PhoneLens(str(make), str(model), float(focal_mm), float(focal_35), int(across), int(down))
        size = int(told["size"][0]), int(told["size"][1])
        pixels = tuple((float(x), float(y)) for x, y in told["pixels"])
        corners = tuple(int(each) for each in told["corners"])
        found = PhonePhoto(
            str(told["digest"]), lens, float(told["lens_35"]), size, int(told["quarters"]), int(told["page"]), corners, pixels
        )
    except (ValueError, TypeError, LookupError, OverflowError):
        raise BadInput("what was kept of the photographs can't be read: begin anew") from None
    if not _can_be(found):
        raise BadInput("what was kept of the photographs can't be read: begin anew")
    return found


def _can_be(found: PhonePhoto) -> bool:
    """Whether it is a photograph that `phone_photo` may have told: its solver is given nothing that it can't bear."""
    across, down = found.size
    return (
        len(found.digest) == _DIGEST
        and down > 0
        and across > 0
        and max(across, down) <= MOST_SIDE
        and SHORTEST_35 <= found.lens_35 <= LONGEST_35
        and found.quarters in range(4)
        and found.page in PAGES
        and LEAST_CORNERS <= len(found.corners) == len(found.pixels) <= CORNERS
        and len(set(found.corners)) == len(found.corners)
        and all(0 <= each < CORNERS for each in found.corners)
        and all(-1.0 <= x <= across and -1.0 <= y <= down for x, y in found.pixels)
    )
