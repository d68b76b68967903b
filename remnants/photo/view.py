"""A photograph as something to measure in: opened, its pages found, its camera solved, and refused where it can't be believed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from remnants.errors import BadInput, Fault, NotMeasured
from remnants.late import Late
from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.calibrate import lens_in
from remnants.photo.detect import Found, pages_in
from remnants.photo.marker_page import BAR_MM
from remnants.photo.measures import Length, MeasuredOutline, Point, length_between, outline_through, tap_px_of
from remnants.photo.opened import Opened, opened
from remnants.photo.reach import refuse_far, refuse_tilted, refuse_wide_bar
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Solved, solved

if TYPE_CHECKING:
    import numpy as np
else:
    np = Late("numpy")

__all__ = ["ByPhone", "View", "refuse_unsound", "speaks_against", "view_of", "worse_by"]

MOST_RMS_PX = 0.5
"""What may be left between found and foreseen corners: a sound page leaves 0.1 to 0.2."""

MOST_CURL_MM = 1.5
"""Of a page: more makes lengths wrong that residuals do not show (0.07 against 0.08 px)."""

FURTHEST_LENS_MM = 2300.0
"""From the first page's middle: so far its markers were found in every picture."""

MOST_FOCAL_SDS = 3.5
"""A focal length so far off what the picture tells belongs to a picture that is not whole."""

FREE_FOCAL_SD = 1.0
"""Of a focal length that nothing is believed of: pages that fit then, and not before, are in a picture of another lens."""

MOST_WORSE = 9.0
"""Sum of squares in standard deviations by which a phone's calibration may fit worse than no calibration: of 48 pictures with the
lens that was calibrated one came to more."""

MOST_PAGES = 4
MOST_CORNERS = 100
"""Of an outline: who taps more means a curve, and the bar of the taps holds already."""


class ByPhone(StrEnum):
    """Whether what was found out about the phone's lens once was used: none is kept at all, it was, the picture does not tell its
    phone, none of this phone and lens is kept, or the page in the picture speaks against it."""

    NONE = ""
    USED = "used"
    UNTOLD = "untold"
    OTHER = "other"
    AGAINST = "against"


@dataclass(frozen=True)
class View:
    """A photograph in which lengths are told. Points are pixels of the file, upright, from the middle of the upper left one."""

    picture: Opened
    camera: Solved
    by_phone: ByPhone = ByPhone.NONE

    def length(self, one: Point, other: Point, *, above_mm: float = 0.0) -> Length:
        """The length between two points. Raises NotMeasured where one lies too far from a page, BadInput outside the picture."""
        first, second = self._worked((one, other), above_mm)
        return length_between(self.camera, first, second, tap_px=tap_px_of(self.camera.size), above_mm=above_mm)

    def outline(
        self, corners: Sequence[Point], *, above_mm: float = 0.0, most_bar_mm: float | None = None, edge_mm: float = 0.0
    ) -> MeasuredOutline:
        """The outline through corners, on the plane so far above the page; `edge_mm` is how far its edge itself may lie off.

        Raises NotMeasured: looked at too much aslant, too far from every page, or a bar over `most_bar_mm`; BadInput for corners
        that are too few, too many or outside the picture.
        """
        if not 3 <= len(corners) <= MOST_CORNERS:
            raise BadInput([Fault("corners", f"an outline has 3 to {MOST_CORNERS} corners, not {len(corners)}: tap each once")])
        refuse_tilted(self.camera)
        found = outline_through(
            self.camera, self._worked(corners, above_mm), tap_px=tap_px_of(self.camera.size), above_mm=above_mm
        ).with_edge(edge_mm)
        refuse_wide_bar(found, most_bar_mm)
        return found

    def carpet_at(self, pixel: Point, *, above_mm: float = 0.0) -> Point:
        """Where a pixel lies on the plane so far above the page (mm, axes of the first page)."""
        ((x, y),) = self.camera.on_carpet(self.picture.worked(np.array([pixel], dtype=np.float64)), above_mm)
        return float(x), float(y)

    def refuse_outside(self, points: Sequence[Point]) -> None:
        """Raises BadInput for points outside the picture, all at once."""
        across, down = self.picture.full_size
        outside = [
            Fault(f"corners[{at}]", f"({x:g}, {y:g}) lies outside the picture of {across} x {down} pixels: give a pixel of it")
            for at, (x, y) in enumerate(points)
            if not (0 <= x <= across and 0 <= y <= down)
        ]
        if outside:
            raise BadInput(outside)

    def _worked(self, points: Sequence[Point], above_mm: float) -> list[Point]:
        """The points in the picture that was looked at. Raises BadInput and NotMeasured."""
        self.refuse_outside(points)
        pixels = self.picture.worked(np.asarray(points, dtype=np.float64))
        refuse_far(self.camera, self.camera.on_carpet(pixels, above_mm))
        return [(float(x), float(y)) for x, y in pixels]


def view_of(
    photo: bytes,
    bar_of: Callable[[int], float],
    *,
    lens_35: float | None = None,
    calibrations: Sequence[PhoneCalibration] = (),
) -> View:
    """The photograph in the bytes of a file. `bar_of` gives the true length of a page's check bar (mm), or refuses.

    Where one of the `calibrations` is of its phone and lens, that counts, unless the page in the picture speaks against it.
    Raises BadFile for what is no picture that can be read; NotMeasured, each with what to do.
    """
    picture = opened(photo, lens_35=lens_35)
    found = pages_in(picture.grey)[:MOST_PAGES]
    scales = {each.page: bar_of(each.page) / BAR_MM for each in found}
    camera = solved(found, picture.size, picture.lens, scales)
    by_phone, known = _known(picture, calibrations)
    if known:
        own = replace(picture, lens=lens_in(known.figures, known.covariance, picture.size, picture.quarters))
        by_it = solved(found, own.size, own.lens, scales)
        if not speaks_against(by_it, camera):
            refuse_unsound(by_it, own, found, scales)
            return View(own, by_it, ByPhone.USED)
        by_phone = ByPhone.AGAINST
    refuse_unsound(camera, picture, found, scales)
    return View(picture, camera, by_phone)


def speaks_against(by_phone: Solved, plain: Solved) -> bool:
    """Whether a picture by a phone's calibration fits so much worse than `plain`, by what its data tell alone, that the lens is
    another one now."""
    return worse_by(by_phone, plain) > MOST_WORSE or by_phone.focal_sds > MOST_FOCAL_SDS


def worse_by(by_phone: Solved, plain: Solved) -> float:
    """By how much a picture fits worse by a calibration than by what its data tell alone (a sum of squares, as `Solved.cost`)."""
    return by_phone.cost(plain.corner_px) - plain.cost(plain.corner_px)


def _known(picture: Opened, calibrations: Sequence[PhoneCalibration]) -> tuple[ByPhone, PhoneCalibration | None]:
    if not calibrations:
        return ByPhone.NONE, None
    if picture.phone is None:
        return ByPhone.UNTOLD, None
    known = next((each for each in calibrations if each.lens == picture.phone), None)
    return ByPhone.USED if known else ByPhone.OTHER, known


def refuse_unsound(camera: Solved, picture: Opened, found: Sequence[Found], scales: Mapping[int, float]) -> None:
    """Raises NotMeasured where the camera of a picture can't be believed."""
    if not camera.rms_px <= MOST_RMS_PX:
        free = solved(found, picture.size, replace(picture.lens, focal_sd=FREE_FOCAL_SD, covariance=None), scales)
        if free.rms_px <= MOST_RMS_PX:
            raise _another_lens()
        alone = solved(found[:1], picture.size, picture.lens, scales)
        if len(found) > 1 and alone.rms_px <= MOST_RMS_PX:
            raise refused(
                WhyNot.OTHER_PLANE,
                "the marker pages do not lie on one plane, or one has another size than was told: lay both on the same floor",
            )
        raise refused(
            WhyNot.SPOILED,
            f"the marker page is not as it was printed: its corners are {camera.rms_px:.1f} pixels off. Print it anew with "
            "`remnants photo-page`, and hold the camera still",
        )
    if max(camera.curls_mm) > MOST_CURL_MM:
        told = f"the marker page curls by some {max(camera.curls_mm):.1f} mm: put it on a clipboard, flat on the carpet"
        raise refused(WhyNot.CURLED, f"{told}, and take the picture again")
    if camera.lens_mm > FURTHEST_LENS_MM:
        told = f"the camera is {camera.lens_mm / 1000:.1f} m from the marker page: come within {FURTHEST_LENS_MM / 1000:g} m"
        raise refused(WhyNot.FAR_AWAY, told)
    if camera.focal_sds > MOST_FOCAL_SDS:
        raise _another_lens()


def _another_lens() -> NotMeasured:
    told = "the picture was cropped, or its lens is another than it tells: give it whole, as the camera stored it"
    return refused(WhyNot.CROPPED, told)
