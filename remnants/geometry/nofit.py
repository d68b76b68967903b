"""How deep two convex shapes overlap, and the straight conditions that keep them apart (mm).

Seen from a standing convex shape A, another one B at the move v overlaps it if and only if v is inside A + -B. Every edge of that
sum is parallel to an edge of A or of B; so its half-planes follow from the normals of both, without making the sum.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from remnants.geometry.lie import Ground
from remnants.geometry.outline import TOLERANCE_MM, Outline, Ring
from remnants.geometry.pockets import Corners, hull_and_pockets
from remnants.geometry.shares import convex_shares

__all__ = ["Planes", "hull_planes", "shares_of", "stacked", "standing"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Planes:
    """For each of n bodies e half-planes: v is inside the body where `normals[i] @ v < offsets[i]` holds for all of them.

    `normals` is (n, e, 2), `offsets` (n, e); what a body has no edge for is padded with an offset of infinity.
    """

    normals: Floats
    offsets: Floats

    @cached_property
    def _by_edge(self) -> tuple[Floats, Floats]:
        """Normals (2, e * n) and offsets (e, n), so that the least of each body's edges is found fast."""
        return np.ascontiguousarray(self.normals.transpose(2, 1, 0)).reshape(2, -1), np.ascontiguousarray(self.offsets.T)

    def standing_at(self, anchors: Floats) -> Floats:
        """Offsets (e, n) of the bodies moved to `anchors` (n, 2)."""
        normals, offsets = self._by_edge
        edges, count = offsets.shape
        across, along = normals.reshape(2, edges, count)
        moved: Floats = offsets + across * anchors[:, 0] + along * anchors[:, 1]
        return moved

    def depths(self, moves: Floats, offsets: Floats) -> Floats:
        """How deep (mm) each move (k, 2) is inside each body: (k, n), zero outside. Deep means far from the nearest edge.

        `offsets` are those of `standing_at`.
        """
        inside = offsets[None] - (moves @ self._by_edge[0]).reshape(len(moves), *offsets.shape)
        deep: Floats = np.maximum(inside.min(axis=1), 0.0)
        return deep


def shares_of(ring: Ring) -> tuple[Corners, ...]:
    """The convex shares of a ring (mm) as arrays of corners, counter-clockwise."""
    return tuple(np.array(share, dtype=np.float64) for share in convex_shares(ring))


def standing(outline: Outline) -> tuple[Corners, tuple[Corners, ...]]:
    """A piece as the hull of its usable region, and convex shapes in that hull that are no part of it."""
    return hull_and_pockets(Ground(outline))


def hull_planes(hull: Corners, ring: Ring) -> tuple[Floats, Floats]:
    """Normals (e, 2) and limits (e): a part `ring` at the move v is inside the hull where `normals @ v <= limits`."""
    normals = _normals(hull)
    corners = np.array(ring, dtype=np.float64)
    return normals, (hull @ normals.T).max(axis=0) - (corners @ normals.T).max(axis=0)


def overlap_planes(stands: Corners, moves: Corners) -> tuple[Floats, Floats]:
    """Normals (e, 2) and offsets (e) of the moves at which one convex shape overlaps another that stands still."""
    normals = np.concatenate([_normals(stands), -_normals(moves)])
    return normals, (stands @ normals.T).max(axis=0) - (moves @ normals.T).min(axis=0)


def stacked(pairs: list[tuple[Corners, Corners]]) -> Planes:
    """The half-planes of many pairs (what stands, what moves) in one array."""
    found = [overlap_planes(*pair) for pair in pairs]
    most = max((len(offsets) for _, offsets in found), default=1)
    normals, offsets = np.zeros((len(found), most, 2)), np.full((len(found), most), np.inf)
    for index, (own_normals, own_offsets) in enumerate(found):
        normals[index, : len(own_offsets)] = own_normals
        offsets[index, : len(own_offsets)] = own_offsets
    return Planes(normals, offsets)


def _normals(corners: Corners) -> Floats:
    """Outward unit normals of the edges that have a length."""
    along = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(along[:, 0], along[:, 1])
    along = along[lengths > TOLERANCE_MM / 10] / lengths[lengths > TOLERANCE_MM / 10, None]
    return np.column_stack([along[:, 1], -along[:, 0]])
