"""How a point on the carpet comes into a picture, and back: a pinhole with a focal length, a middle, and two radial terms.

The carpet is the plane z = 0 of the first page's axes (mm; x right, y up, z towards the camera). A page lies on it but for its
curl, three terms: z = a u² + b u v + c v² with u and v the distances from its middle in halves of the board's height. The lens is
D. C. Brown's, Close-range camera calibration, Photogrammetric Engineering 37 (1971): what is seen at r moves by k1 r³ + k2 r⁵.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.marker_page import BOARD_MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
else:
    np = Late("numpy")

__all__ = ["CAMERA", "CURL", "FURTHER", "curled", "on_plane", "project", "turn_of"]

CAMERA = 11
"""Figures of a camera: a turn (3), the first page's middle seen from it (3, mm), the log of the focal length (pixels), the middle
(2, pixels from the picture's), and the two radial terms."""

CURL = 3
FURTHER = 3
"""Figures of each further page before those of its curl: its middle on the carpet (mm) and its turn."""

_BACK_STEPS = 12
"""Of undoing the lens: each gains more than a digit for lenses of phones."""


def turn_of(turn: NDArray[np.float64]) -> NDArray[np.float64]:
    """The matrix of a turn about an axis by its length (O. Rodrigues, 1840)."""
    angle = float(np.linalg.norm(turn))
    if angle == 0.0:
        return np.eye(3)
    x, y, z = turn / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross)


def curled(flat: NDArray[np.float64], curl: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far above the carpet each point of a page lies (mm)."""
    u, v = (flat / (BOARD_MM[1] / 2)).T
    return np.asarray(curl[0] * u * u + curl[1] * u * v + curl[2] * v * v)


def project(camera: NDArray[np.float64], base: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where points (rows of x, y, z in mm) are seen, in pixels from the picture's middle. `base` is what the turn starts from."""
    seen = points @ (turn_of(camera[:3]) @ base).T + camera[3:6]
    plain = seen[:, :2] / seen[:, 2:]
    far = (plain * plain).sum(axis=1)
    lens = 1.0 + camera[9] * far + camera[10] * far * far
    return np.asarray(np.exp(camera[6]) * plain * lens[:, None] + camera[7:9])


def on_plane(
    camera: NDArray[np.float64], base: NDArray[np.float64], pixels: NDArray[np.float64], above_mm: float = 0.0
) -> NDArray[np.float64]:
    """Where pixels (from the picture's middle) lie on the plane so far above the carpet: rows of x, y in mm.

    A pixel that looks past the horizon gives no number (NaN).
    """
    bent = (pixels - camera[7:9]) / np.exp(camera[6])
    plain = bent
    for _ in range(_BACK_STEPS):
        far = (plain * plain).sum(axis=1)
        plain = bent / (1.0 + camera[9] * far + camera[10] * far * far)[:, None]
    turn = turn_of(camera[:3]) @ base
    rays = np.column_stack((plain, np.ones(len(plain)))) @ turn
    eye = -camera[3:6] @ turn
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (above_mm - eye[2]) / rays[:, 2]
        at = eye[:2] + along[:, None] * rays[:, :2]
    return np.where((along > 0)[:, None], at, np.nan)
