"""A photograph made flat, to go on measuring in when the photograph itself is gone: its carpet from above, and the camera.

Points are mm of the carpet, in the axes of the first page.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PIL import Image

from remnants.errors import BadInput, Fault
from remnants.late import Late
from remnants.photo.camera import CAMERA, project
from remnants.photo.flat import Flat, whole_flat
from remnants.photo.measures import Length, MeasuredOutline, Point, length_between, outline_through, tap_px_of
from remnants.photo.reach import away_mm, reach_mm, refuse_far, refuse_tilted, refuse_wide_bar
from remnants.photo.solve import Solved, middle_of
from remnants.photo.view import MOST_CORNERS, ByPhone, View

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["Flattened", "flattened", "flattened_of"]


@dataclass(frozen=True)
class Flattened:
    """The carpet from above, the camera that saw it, the photograph's SHA-256, and how far above the page the plane lies (mm)."""

    flat: Flat
    camera: Solved
    digest: str
    above_mm: float = 0.0
    by_phone: ByPhone = ByPhone.NONE

    def length(self, one: Point, other: Point) -> Length:
        """The length between two points. Raises NotMeasured where one lies too far from a page, BadInput outside the picture."""
        first, second = self._seen([one, other])
        return length_between(self.camera, first, second, tap_px=tap_px_of(self.camera.size), above_mm=self.above_mm)

    def outline(self, ring: Sequence[Point], *, edge_mm: float = 0.0) -> MeasuredOutline:
        """The outline through corners; `edge_mm` is how far its edge itself may lie off. Raises as `View.outline`."""
        if not 3 <= len(ring) <= MOST_CORNERS:
            raise BadInput([Fault("corners", f"an outline has 3 to {MOST_CORNERS} corners, not {len(ring)}: set each once")])
        refuse_tilted(self.camera)
        tap_px = tap_px_of(self.camera.size)
        return outline_through(self.camera, self._seen(ring), tap_px=tap_px, above_mm=self.above_mm).with_edge(edge_mm)

    def refuse_wide(self, found: MeasuredOutline, most_bar_mm: float) -> None:
        """Raises NotMeasured where an outline in it may be further off than that."""
        refuse_wide_bar(found, most_bar_mm)

    def refuse_outside(self, points: Sequence[Point]) -> None:
        """Raises BadInput for points that the photograph doesn't show, all at once."""
        x, y = np.asarray(points, dtype=np.float64).T
        outside = np.flatnonzero(~self.in_picture(x, y))
        if outside.size:
            what = "lies outside the photograph: move it onto the carpet that is shown"
            raise BadInput(Fault(f"corners[{at}]", f"corner {at + 1} {what}") for at in outside.tolist())

    def in_picture(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Which points of the carpet (mm) the photograph shows."""
        seen = self._pixels(np.column_stack((np.ravel(x), np.ravel(y))))
        across, down = self.camera.size
        inside = (seen >= -0.5).all(axis=1) & (seen[:, 0] <= across - 0.5) & (seen[:, 1] <= down - 0.5)
        return np.asarray(inside.reshape(np.shape(x)), dtype=np.bool_)

    def in_reach(self, x: Floats, y: Floats) -> bool:
        """Whether all these points (mm) are near enough to a page to be measured."""
        return bool((away_mm(self.camera, np.column_stack((x, y))) <= reach_mm(self.camera)).all())

    def share_off(self, at: Point, side_mm: float) -> float:
        """What share of any length in a square round a point (mm) may be off, 95 times of 100, but for what reads it."""
        half = side_mm / 2
        ends = [(at[0] - half, at[1]), (at[0] + half, at[1]), (at[0], at[1] - half), (at[0], at[1] + half)]
        seen = self._seen(ends)
        told = [length_between(self.camera, *pair, tap_px=0.0, above_mm=self.above_mm) for pair in (seen[:2], seen[2:])]
        return max(each.bar_mm / each.mm for each in told)

    def colour(self, box: tuple[int, int, int, int]) -> NDArray[np.uint8]:
        """What is in a box (pixels: left, upper, right, lower) of the carpet from above, rows x columns x 3."""
        with Image.open(io.BytesIO(self.flat.jpeg), formats=("JPEG",)) as image:
            return np.asarray(image.crop(box).convert("RGB"), dtype=np.uint8)

    def told(self) -> dict[str, Any]:
        """All but the picture itself, as plain values that can be kept as text."""
        camera = self.camera
        return {
            "px_per_mm": self.flat.px_per_mm,
            "corner_mm": list(self.flat.corner_mm),
            "flat_size": list(self.flat.size),
            "digest": self.digest,
            "above_mm": self.above_mm,
            "size": list(camera.size),
            "pages": list(camera.pages),
            "figures": camera.figures.tolist(),
            "base": camera.base.tolist(),
            "covariance": camera.covariance.tolist(),
            "rms_px": camera.rms_px,
            "curls_mm": list(camera.curls_mm),
            "scales": list(camera.scales),
            "focal_sds": camera.focal_sds,
            "by_phone": self.by_phone.value,
        }

    def _seen(self, points: Sequence[Point]) -> list[Point]:
        """Where points are in the photograph. Raises BadInput and NotMeasured."""
        self.refuse_outside(points)
        at = np.asarray(points, dtype=np.float64)
        refuse_far(self.camera, at)
        return [(float(x), float(y)) for x, y in self._pixels(at)]

    def _pixels(self, points: Floats) -> Floats:
        camera = self.camera
        placed = np.column_stack((points, np.full(len(points), self.above_mm)))
        return project(camera.figures[:CAMERA], camera.base, placed) + middle_of(camera.size)


def flattened(view: View, *, above_mm: float = 0.0) -> Flattened:
    """What may be measured in a photograph, made flat on the plane so far above its page. Raises NotMeasured if too aslant."""
    refuse_tilted(view.camera)
    return Flattened(whole_flat(view, above_mm=above_mm), view.camera, view.picture.digest, above_mm, view.by_phone)


def flattened_of(jpeg: bytes, told: Mapping[str, Any]) -> Flattened:
    """What `told` gave, with its picture again."""
    corner, size = told["corner_mm"], told["flat_size"]
    camera = Solved(
        (told["size"][0], told["size"][1]),
        tuple(told["pages"]),
        np.asarray(told["figures"], dtype=np.float64),
        np.asarray(told["base"], dtype=np.float64),
        np.asarray(told["covariance"], dtype=np.float64),
        told["rms_px"],
        tuple(told["curls_mm"]),
        tuple(told["scales"]),
        told["focal_sds"],
    )
    flat = Flat(jpeg, told["px_per_mm"], (corner[0], corner[1]), (size[0], size[1]))
    return Flattened(flat, camera, told["digest"], told["above_mm"], ByPhone(told.get("by_phone", "")))
