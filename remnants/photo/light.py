"""The light on carpet seen from above: a plane fitted to what lies round a place, so that what is laid there is lit alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remnants.late import Late

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Mask = NDArray[np.uint8]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["light_round"]

CELLS = 48
"""Of the longer side: tufts are evened out in each."""

LEAST_CELLS = 60
"""Of carpet round the place: fewer tell no slope of light."""

HELD = 0.6
"""So much of a cell must be carpet."""

MOST_LIGHT, LEAST_LIGHT = 1.5, 0.67
"""Of the middle of the place: light that falls off more is no plane."""

_FAR_SDS = 2.0
_ROUNDS = 3


def light_round(colours: NDArray[np.uint8], carpet: Mask, place: Mask) -> Floats | None:
    """How bright each pixel is lit, 1 on the mean in the place; None where too little carpet lies round it to tell.

    `carpet` is 255 where sound carpet is seen, `place` 255 where something is to be laid.
    """
    down, across = carpet.shape
    share = CELLS / max(across, down)
    size = max(2, round(across * share)), max(2, round(down * share))
    grey = cv2.cvtColor(colours, cv2.COLOR_RGB2GRAY).astype(np.float32)
    held = cv2.resize((carpet == 255).astype(np.float32), size, interpolation=cv2.INTER_AREA)
    cells = cv2.resize(grey * (carpet == 255), size, interpolation=cv2.INTER_AREA) / np.maximum(held, HELD / 2)
    rows, columns = np.nonzero(held > HELD)
    if len(rows) < LEAST_CELLS:
        return None
    x, y, seen = (columns + 0.5) / share, (rows + 0.5) / share, cells[rows, columns].astype(np.float64)
    plane = _plane(x, y, seen)
    high, wide = np.mgrid[0:down, 0:across].astype(np.float64)
    lit = plane[0] + plane[1] * wide + plane[2] * high
    middle = float(lit[place > 0].mean()) if (place > 0).any() else 0.0
    if not middle > 0:
        return None
    return np.asarray(np.clip(lit / middle, LEAST_LIGHT, MOST_LIGHT))


def _plane(x: Floats, y: Floats, seen: Floats) -> Floats:
    """The plane through what is seen, without what lies far from it: stains, furniture, the marks of feet."""
    kept = np.ones(len(seen), dtype=bool)
    plane = np.zeros(3)
    for _ in range(_ROUNDS):
        known = np.column_stack((np.ones(kept.sum()), x[kept], y[kept]))
        plane = np.linalg.lstsq(known, seen[kept], rcond=None)[0]
        off = np.abs(seen - np.column_stack((np.ones(len(seen)), x, y)) @ plane)
        near = off <= _FAR_SDS * max(float(np.median(off)) * 1.4826, 0.5)
        if near.sum() < LEAST_CELLS // 2:
            break
        kept = near
    return np.asarray(plane)
