"""A phone's calibration out of photographs of the marker page: what is still wanted, and why there is none."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from remnants.errors import Fault, NotMeasured
from remnants.late import Late
from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.calibrate import SharedLens, Shown, lens_in, shared_lens
from remnants.photo.camera import project, turn_of
from remnants.photo.detect import Found
from remnants.photo.least_squares import CORNER_PX
from remnants.photo.marker_page import CORNERS, PAGES, corners_mm
from remnants.photo.measures import length_between, tap_px_of
from remnants.photo.phone_photos import PhonePhoto
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Lens, Solved, middle_of, solved
from remnants.photo.view import worse_by

if TYPE_CHECKING:
    import numpy as np
else:
    np = Late("numpy")

__all__ = ["LEAST_PHOTOS", "MOST_PHOTOS", "PHOTOS_ASKED", "calibrated", "refuse_other_phones", "wanted"]

PHOTOS_ASKED, LEAST_PHOTOS, MOST_PHOTOS = 8, 6, 20
"""Photographs that are asked for, that will do, and that are taken."""

MOST_FOCAL_SD = 0.015
"""Standard deviation of the log of the focal length: half of what a picture's own data leave. Pictures from straight above left
0.022 to 0.028, eight alike 0.020, eight that are 10 to 16 degrees aslant 0.010, those that are asked for 0.004 to 0.006."""

MOST_OF_BAR = 0.9
"""What may be left of the bar of a usual length: else it is not worth being kept."""

MOST_WORSE_OF_ALL = 12.0
"""As `view.MOST_WORSE`, of the one picture that goes least with the others: of eight that belong together none was over 3, and
one that was zoomed by a tenth without telling came to 17 and 33."""

_ASLANT_DEG, _ASLANT_LEAST = 20.0, 3
_APART_DEG = 60.0
"""How far apart the sides are, seen from the page, that two pictures must be taken from."""

_USUAL_MM, _USUAL_AWAY_MM, _USUAL_TILT_DEG = 1000.0, 1400.0, 15.0
"""The length that bars are told of, and how the picture is taken."""


def calibrated(photos: Sequence[PhonePhoto]) -> PhoneCalibration:
    """What the photographs tell of the lens. Raises NotMeasured, at `photos[2]` where one of them stands against it."""
    refuse_other_phones(photos)
    if len(photos) < LEAST_PHOTOS:
        raise refused(
            WhyNot.TOO_FEW,
            f"{len(photos)} usable {'photograph' if len(photos) == 1 else 'photographs'} and {LEAST_PHOTOS} are the least: "
            f"take {PHOTOS_ASKED - len(photos)} more, so that there are {PHOTOS_ASKED}",
        )
    alone = [each.alone for each in photos]
    views = [each.shown for each in photos]
    found = shared_lens(views, alone)
    _refuse_one_off(found, views, alone)
    if math.sqrt(found.covariance[0][0]) > MOST_FOCAL_SD:
        raise refused(
            WhyNot.TOO_ALIKE,
            f"the photographs are too alike for the focal length to be known: {_hint(alone) or 'go nearer'}, and take more",
        )
    size = (max(views[0].size), min(views[0].size))
    before, since = (_usual_bar_mm(each, size) for each in (views[0].lens, lens_in(found.figures, found.covariance, size, 0)))
    if since > MOST_OF_BAR * before:
        raise refused(
            WhyNot.NO_GAIN,
            f"the bar of a meter would go from {before:.1f} to {since:.1f} mm, which is not worth it: "
            f"{_hint(alone) or 'go nearer, so that the page fills a third of the picture'}, and take more",
        )
    return PhoneCalibration(photos[0].lens, found.figures, found.covariance, len(photos), before, since)


def wanted(photos: Sequence[PhonePhoto]) -> str:
    """What the next photograph should show; empty where nothing is missing but more of them."""
    return _hint([each.alone for each in photos])


def refuse_other_phones(photos: Sequence[PhonePhoto]) -> None:
    """Raises NotMeasured at each photograph that is of another phone, lens or size than most, or that is there already."""
    if not photos:
        return
    ((most, _),) = Counter(each.lens for each in photos).most_common(1)
    faults = [
        Fault(
            f"photos[{at}]", f"is of another phone, lens or size ({each.lens.words}) than the others ({most.words}): leave it out"
        )
        for at, each in enumerate(photos)
        if each.lens != most
    ]
    if faults:
        raise NotMeasured(faults, WhyNot.OTHER_PHONE)
    digests = [each.digest for each in photos]
    twice = [at for at, each in enumerate(digests) if each in digests[:at]]
    if twice:
        raise NotMeasured([Fault(f"photos[{at}]", "is there already: take another one") for at in twice], WhyNot.TOO_ALIKE)


def _refuse_one_off(found: SharedLens, views: Sequence[Shown], alone: Sequence[Solved]) -> None:
    """Raises NotMeasured at the photograph that least goes with the others, if it goes too little."""
    off = []
    for view, plain in zip(views, alone, strict=True):
        lens = lens_in(found.figures, found.covariance, view.size, view.quarters)
        off.append(worse_by(solved([view.found], view.size, lens, {view.found.page: 1.0}), plain))
    worst = off.index(max(off))
    if off[worst] > MOST_WORSE_OF_ALL:
        what = (
            "does not go with the others: zoom, another lens, or a page that was bent otherwise. Leave it out, or take it again"
        )
        raise NotMeasured([Fault(f"photos[{worst}]", what)], WhyNot.STANDS_OUT)


def _hint(alone: Sequence[Solved]) -> str:
    """What would tell most of the lens, by how the pictures were taken."""
    aslant = [each for each in alone if each.tilt_deg >= _ASLANT_DEG]
    if len(aslant) < _ASLANT_LEAST:
        return f"tilt the phone more: hold it some 30 degrees away from straight down (so far {len(aslant)} of {_ASLANT_LEAST})"
    sides = [_side_deg(each) for each in aslant]
    if max(abs((one - other + 180.0) % 360.0 - 180.0) for one in sides for other in sides) < _APART_DEG:
        return "take some from another side of the page"
    return ""


def _side_deg(camera: Solved) -> float:
    """From which side of the page the camera looked."""
    turn = turn_of(camera.figures[:3]) @ camera.base
    eye = -camera.figures[3:6] @ turn
    ahead = turn[2]
    across, up = eye[:2] + ahead[:2] * (eye[2] / -ahead[2])  # what it looks at, on the carpet
    return math.degrees(math.atan2(eye[1] - up, eye[0] - across))


def _usual_bar_mm(lens: Lens, size: tuple[int, int]) -> float:
    """The bar of a meter in a usual photograph by a lens that is known so well (mm)."""
    base = np.diag([1.0, -1.0, -1.0])
    pose = [math.radians(_USUAL_TILT_DEG), 0.0, 0.0, -100.0, 0.0, _USUAL_AWAY_MM]
    camera = np.concatenate((pose, lens.figures))
    ends = np.array([[-0.4, -0.1, 0.0], [0.6, -0.1, 0.0]]) * _USUAL_MM
    seen = project(camera, base, np.vstack((np.column_stack((corners_mm(), np.zeros(CORNERS))), ends))) + middle_of(size)
    page = PAGES[0]
    view = solved([Found(page, np.arange(CORNERS), seen[:CORNERS])], size, lens, {page: 1.0}, corner_px=CORNER_PX)
    one, other = ((float(x), float(y)) for x, y in seen[CORNERS:])
    return length_between(view, one, other, tap_px=tap_px_of(size)).bar_mm
