"""What is left of a ground that is cut, as it is told."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.model.plan import Leftover
from remnants.proof.lines import SLACK_MM, TOLERANCE_MM
from remnants.proof.motion import turned
from remnants.proof.regions import Region, area_mm2, can_be_left, region_of

__all__ = ["NEAR_MM", "Ground", "Remains", "Rest", "ground_of", "rests_of"]

NEAR_MM = math.sqrt(2) * TOLERANCE_MM + SLACK_MM
"""Corners of what is left are set on those of the piece, across and along each within the tolerance; this is aslant."""


@dataclass(frozen=True, eq=False)
class Ground:
    """What can be cut from, in its own axes: its outline, and each of its cutouts."""

    outline: Region
    cutouts: tuple[Region, ...]


def ground_of(ring: Sequence[tuple[float, float]], cutouts: Sequence[Sequence[tuple[float, float]]] = ()) -> Ground:
    """The ground in a ring (mm) and outside of its cutouts, which may overlap."""
    return Ground(region_of(tuple(ring)), tuple(region_of(tuple(cutout)) for cutout in cutouts))


@dataclass(frozen=True, eq=False)
class Rest:
    """A told leftover whose outline is sound, and where it is told. `pile_deg`: how its largest rectangle lies."""

    where: str
    told: Leftover
    region: Region
    pile_deg: float = 0.0

    @cached_property
    def along_pile(self) -> Region:
        """The same, turned so that the pile lays along +y."""
        if not self.pile_deg:
            return self.region
        return Region(tuple(tuple(turned(point, -self.pile_deg) for point in ring) for ring in self.region.rings))

    @property
    def area_mm2(self) -> float:
        """Area."""
        return sum(area_mm2(ring) for ring in self.region.rings)

    @property
    def is_sliver(self) -> bool:
        """True if it is nowhere thicker than a few times the tolerance."""
        return self.area_mm2 <= 4 * NEAR_MM * sum(edge.length for edge in self.region.edges)


@dataclass(frozen=True, eq=False)
class Remains:
    """A ground that is cut, what is cut from it, and the leftovers told of it. `tag` names it."""

    tag: str
    ground: Ground
    cuts: tuple[Region, ...]
    rests: tuple[Rest, ...]


def rests_of(leftovers: Sequence[Leftover], tag: str, pile_deg: float = 0.0) -> tuple[Rest, ...]:
    """Those of the leftovers that are told of a tag and whose outline is sound."""
    return tuple(
        Rest(f"leftovers[{number}]", left, region_of(left.outline.ring, left.outline.cutouts), pile_deg)
        for number, left in enumerate(leftovers)
        if left.piece == tag and can_be_left(left.outline.ring, left.outline.cutouts)
    )
