"""How far from the marker pages, and how much aslant, what is measured may lie; what goes beyond is refused with what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.marker_page import BOARD_MM
from remnants.photo.measures import MeasuredOutline
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import Solved

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["PAPER_MM", "away_mm", "off_paper", "reach_mm", "refuse_far", "refuse_tilted", "refuse_wide_bar"]

MOST_TILT_DEG = 40.0

REACH_MM, REACH_OF_TWO_MM = 600.0, 900.0
"""From the edge of the board, of one page and of two or more."""

PAPER_MM = 30.0
"""White paper round the board, which is no carpet."""


def reach_mm(camera: Solved) -> float:
    """How far from the edge of a board one may measure in this picture (mm)."""
    return REACH_MM if len(camera.pages) == 1 else REACH_OF_TWO_MM


def away_mm(camera: Solved, points: Floats) -> Floats:
    """How far each point of the carpet (rows of x, y in mm) lies from the nearest page's board (mm)."""
    return np.asarray(np.min([np.hypot(*np.maximum(beyond, 0.0)) for beyond in _beyond(camera, *points.T)], axis=0))


def off_paper(camera: Solved, x: Floats, y: Floats) -> NDArray[np.bool_]:
    """Which points of the carpet (mm) lie under no page's paper."""
    clear = [(across >= PAPER_MM) | (up >= PAPER_MM) for across, up in _beyond(camera, x, y)]
    return np.asarray(np.all(clear, axis=0), dtype=np.bool_)


def refuse_far(camera: Solved, points: Floats) -> None:
    """Raises NotMeasured where a point (rows of x, y in mm) lies too far from every page, or past the horizon."""
    away, reach = away_mm(camera, points), reach_mm(camera)
    if (away <= reach).all():
        return
    worst = float(np.nanmax(np.where(np.isnan(away), np.inf, away)))
    far = f"{worst:.0f} mm" if np.isfinite(worst) else "past the horizon"
    raise refused(
        WhyNot.FAR_FROM_PAGE,
        f"a corner lies {far} from the marker page, and {reach:g} mm is the most: lay it nearer, or a second one too",
    )


def refuse_tilted(camera: Solved) -> None:
    """Raises NotMeasured where the camera looks too much aslant for outlines."""
    if camera.tilt_deg > MOST_TILT_DEG:
        told = f"the camera looks {camera.tilt_deg:.0f} degrees away from straight down: hold it within {MOST_TILT_DEG:g}"
        raise refused(WhyNot.TILTED, f"{told}, over what is measured")


def refuse_wide_bar(found: MeasuredOutline, most_bar_mm: float | None) -> None:
    """Raises NotMeasured where an outline may be further off than `most_bar_mm`; None bounds nothing."""
    if most_bar_mm is not None and found.bar_mm > most_bar_mm:
        raise refused(
            WhyNot.WIDE_BAR,
            f"the outline may be {found.bar_mm:.0f} mm off, over half of its allowance of {2 * most_bar_mm:.0f} mm: "
            "lay the page beside it, come nearer, and tap its corners more closely",
        )


def _beyond(camera: Solved, x: Floats, y: Floats) -> list[tuple[Floats, Floats]]:
    """For each page how far points lie beyond its board, across and up in its own axes (mm); inside it below zero."""
    found = []
    for (page_x, page_y, turn), scale in zip(camera.middles_mm(), camera.scales, strict=True):
        own_x = (x - page_x) * np.cos(turn) + (y - page_y) * np.sin(turn)
        own_y = (y - page_y) * np.cos(turn) - (x - page_x) * np.sin(turn)
        found.append((np.abs(own_x) - BOARD_MM[0] * scale / 2, np.abs(own_y) - BOARD_MM[1] * scale / 2))
    return found
