"""Where the corners of the marker pages are in a picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.marker_page import CORNERS, PAGES, board_of, page_of_marker
from remnants.photo.refusals import WhyNot, refused

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["LEAST_CORNERS", "Found", "pages_in"]

LEAST_CORNERS = 8
"""Of the twelve: fewer tell no camera."""

_SMALLER = 0.7
"""Looked at again at this size: blur and noise that hide a marker at full size are half gone there."""

_WIDER = 63
"""Pixels of the widest window of the second look."""

_SUBPIXEL_STEPS = 40
_SUBPIXEL_GIVE = 1e-3
"""Pixels at which a corner counts as found."""


@dataclass(frozen=True)
class Found:
    """A marker page in a picture: its number, which of its corners, and where each is (pixels from the middle of the first)."""

    page: int
    corners: NDArray[np.int64]
    pixels: NDArray[np.float64]


def pages_in(grey: NDArray[np.uint8]) -> tuple[Found, ...]:
    """The pages in a grey picture (rows x columns) of which enough is seen, the one with most corners first.

    Raises NotMeasured: no page, a mirrored picture, or too few corners of every page.
    """
    cv2.setNumThreads(1)  # others work here too, and each thread maps memory of its own
    found = _best_of(grey)
    enough = sorted((each for each in found if len(each.corners) >= LEAST_CORNERS), key=lambda one: (-len(one.corners), one.page))
    if enough:
        return tuple(enough)
    if any(len(each.corners) >= LEAST_CORNERS for each in _best_of(np.ascontiguousarray(grey[:, ::-1]))):
        raise refused(WhyNot.MIRRORED, "the picture is mirrored: switch that off in the camera, and take it again")
    if not found and _strange(grey):
        raise refused(
            WhyNot.FOREIGN,
            "the marks in the picture are of another board, whose size is not known: print a page of ours, and lay it there",
        )
    if not found:
        raise refused(
            WhyNot.NO_PAGE,
            "no marker page is found: lay one from `remnants photo-page` flat beside it, whole in the picture, evenly lit",
        )
    most = max(len(each.corners) for each in found)
    raise refused(
        WhyNot.FEW_CORNERS,
        f"only {most} of the {CORNERS} corners of the marker page are seen: keep all of it in the picture, with no hand, "
        "no shadow and no glare on it",
    )


def _best_of(grey: NDArray[np.uint8]) -> list[Found]:
    """Every page that shows a corner; looked at again at a smaller size where one shows less than all."""
    first = {each.page: each for each in _look(grey, 1.0)}
    if first and all(len(each.corners) == CORNERS for each in first.values()):
        return list(first.values())
    for each in _look(grey, _SMALLER):
        if each.page not in first or len(each.corners) > len(first[each.page].corners):
            first[each.page] = each
    return list(first.values())


def _strange(grey: NDArray[np.uint8]) -> bool:
    """Whether several marks like ours are seen that are on none of our pages."""
    _, ids, _ = cv2.aruco.ArucoDetector(board_of(0).getDictionary()).detectMarkers(grey)
    return ids is not None and sum(page_of_marker(int(one)) not in PAGES for one in np.ravel(ids)) > 1


def _look(grey: NDArray[np.uint8], size: float) -> Iterator[Found]:
    looked = grey if size == 1.0 else np.asarray(cv2.resize(grey, None, fx=size, fy=size, interpolation=cv2.INTER_AREA))
    ways = cv2.aruco.DetectorParameters()
    if size != 1.0:
        ways.adaptiveThreshWinSizeMax = _WIDER
    markers, ids, _ = cv2.aruco.ArucoDetector(board_of(0).getDictionary(), ways).detectMarkers(looked)
    if ids is None or not len(ids):
        return
    pages = [page_of_marker(int(one)) for one in np.ravel(ids)]
    for page in sorted(set(pages)):
        if page in PAGES and pages.count(page) > 1:
            own = [at for at, each in enumerate(pages) if each == page]
            finder = cv2.aruco.CharucoDetector(board_of(page))
            pixels, corners, _, _ = finder.detectBoard(
                looked, markerCorners=[markers[at] for at in own], markerIds=np.asarray(ids)[own]
            )
            if corners is not None and pixels is not None and len(corners):
                at = (np.asarray(pixels, dtype=np.float32).reshape(-1, 2) + 0.5) / size - 0.5
                sharp = at if size == 1.0 else _sharper(grey, at.astype(np.float32))
                yield Found(page, np.ravel(corners).astype(np.int64), sharp.astype(np.float64))


def _sharper(grey: NDArray[np.uint8], at: NDArray[np.float32]) -> NDArray[np.float32]:
    """The corners anew at full size, each looked for within a fifth of the way to its neighbour."""
    near = min((float(np.hypot(*(at[one] - at[other]))) for one in range(len(at)) for other in range(one)), default=15.0)
    half = max(2, min(15, int(near / 5)))
    steps = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, _SUBPIXEL_STEPS, _SUBPIXEL_GIVE)
    sharp = cv2.cornerSubPix(grey, at.reshape(-1, 1, 2), (half, half), (-1, -1), steps)
    return np.asarray(sharp, dtype=np.float32).reshape(-1, 2)
