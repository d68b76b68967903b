"""Parts whose corners move with the seams beside them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.shape import Shape
from remnants.geometry.outline import Ring
from remnants.geometry.pockets import Corners, share_corners
from remnants.geometry.turn import turned_ring

__all__ = ["Free", "free_part"]

SEEN_MM = 0.5
"""How far a corner may be from where its first millimetre says that it comes to lie."""


@dataclass(frozen=True)
class Free:
    """A part whose corners move with the seams: at seam positions s its share j has corners base[j] + sum s[k] * step[j][k]."""

    donor: Donor
    bases: tuple[Corners, ...]
    steps: tuple[tuple[Corners, ...], ...]

    def at(self, positions: Sequence[float]) -> list[Corners]:
        """Corners of every share with the seams at these positions."""
        return [
            base + sum((s * k for s, k in zip(step, positions, strict=True)), np.zeros_like(base))
            for base, step in zip(self.bases, self.steps, strict=True)
        ]


def free_part(
    donor: Donor,
    at: Sequence[Shape],
    origin: Sequence[float],
    reach: Sequence[float],
    *,
    swing_deg: float = 0.0,
    far: tuple[Shape, float] | None = None,
) -> Free | None:
    """The part that is `at[0]` at seam positions `origin` and `at[1 + k]` where position k is moved on by `reach[k]`.

    `far`: the part with the one seam moved on by so much that what its corners are rounded to tells for nothing.
    `swing_deg`: turned clockwise by so much more than the donor lies, for a part at another allowed turn than its neighbour.
    None if its corners don't correspond.
    """
    rings = [turned_ring(shape.cut, swing_deg) if swing_deg else shape.cut for shape in at]
    if len({len(ring) for ring in rings}) != 1 or not all(shape.is_simple for shape in at):
        return None
    rings = [rings[0], *(_begun_alike(ring, rings[0]) for ring in rings[1:])]
    bases, steps = [], []
    for indexes in share_corners(rings[0]):
        corners = [np.array([ring[index] for index in indexes], dtype=np.float64) for ring in rings]
        step = tuple((moved - corners[0]) / size for moved, size in zip(corners[1:], reach, strict=True))
        if far is not None:
            step = (_seen_from_far(corners[0], step[0], turned_ring(far[0].cut, swing_deg), far[1]),)
        steps.append(step)
        bases.append(corners[0] - sum((s * k for s, k in zip(step, origin, strict=True)), np.zeros_like(corners[0])))
    return Free(donor, tuple(bases), tuple(steps))


def _seen_from_far(corners: Corners, step: Corners, ring: Ring, reach: float) -> Corners:
    """The step of each corner as a ring tells it that is moved on by `reach`; as it was where no corner of that is near."""
    told = np.array(ring, dtype=np.float64)
    found = step.copy()
    for index, corner in enumerate(corners + reach * step):
        nearest = told[np.hypot(*(told - corner).T).argmin()]
        if math.dist(nearest, corner) <= SEEN_MM:
            found[index] = (nearest - corners[index]) / reach
    return found


def _begun_alike(ring: Ring, like: Ring) -> Ring:
    """The ring begun at the corner that lets it lie nearest to one of as many corners."""

    def off(place: int) -> float:
        return sum(math.dist(a, b) for a, b in zip(ring[place:] + ring[:place], like, strict=True))

    place = min(range(len(ring)), key=off)
    return ring[place:] + ring[:place]
