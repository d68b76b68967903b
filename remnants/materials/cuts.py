"""The cuts of a plan in the order in which they are cut. Lengths mm."""

from collections.abc import Sequence
from dataclasses import dataclass

from remnants.geometry.outline import Ring, bounds
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.model import Leftover, Part, Piece, Plan

__all__ = ["Cut", "cuts_of", "donor_cuts", "donors_of", "leftovers_of", "patch_cuts"]

TAPE_MM = 0.5
"""Less than this can't be read from a tape measure."""


@dataclass(frozen=True)
class Cut:
    """One cut: its number in the job, the patch it fills, which part of it, and the part."""

    number: int
    patch: str
    patch_index: int
    part_index: int
    part: Part

    @property
    def piece(self) -> str:
        """Tag of the donor."""
        return self.part.piece

    @property
    def net_on_piece(self) -> Ring:
        """The net outline in the donor's own axes, mm."""
        back = (-self.part.shift[0], -self.part.shift[1])
        return turned_ring(moved_ring(self.part.net, back), -self.part.turn_deg)

    def place_on(self, piece: Piece) -> tuple[float, float]:
        """Distance of the cut from the piece's left edge and from its bottom edge, mm; what no tape can tell from 0 is 0."""
        left, bottom, _, _ = piece.outline.bounds
        x, y, _, _ = bounds(self.part.cut)
        return _on_tape(x - left), _on_tape(y - bottom)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Extent of the cut across and along the donor, mm."""
        left, bottom, right, top = bounds(self.part.cut)
        return right - left, top - bottom


def _on_tape(distance_mm: float) -> float:
    return distance_mm if abs(distance_mm) > TAPE_MM else 0.0


def donors_of(plan: Plan) -> tuple[str, ...]:
    """Tags of the donors in the order in which the plan first uses them."""
    return tuple(dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts))


def cuts_of(plan: Plan) -> tuple[Cut, ...]:
    """Every cut, numbered from 1 through the job: donor by donor, from the end unrolled first (least y), left to right."""
    found = [
        (patch.name, patch_index, part_index, part)
        for patch_index, patch in enumerate(plan.patches)
        for part_index, part in enumerate(patch.parts)
    ]
    order = {tag: index for index, tag in enumerate(donors_of(plan))}

    def place(item: tuple[str, int, int, Part]) -> tuple[float, ...]:
        left, bottom, _, _ = bounds(item[3].cut)
        return order[item[3].piece], round(bottom, 2), round(left, 2), item[1], item[2]

    return tuple(Cut(number, *item) for number, item in enumerate(sorted(found, key=place), start=1))


def donor_cuts(cuts: Sequence[Cut], tag: str) -> tuple[Cut, ...]:
    """The cuts on one donor, in order."""
    return tuple(cut for cut in cuts if cut.piece == tag)


def patch_cuts(cuts: Sequence[Cut], patch_index: int) -> tuple[Cut, ...]:
    """The cuts that fill one patch, by part."""
    return tuple(sorted((cut for cut in cuts if cut.patch_index == patch_index), key=lambda cut: cut.part_index))


def leftovers_of(plan: Plan, tag: str) -> tuple[Leftover, ...]:
    """What stays of one donor."""
    return tuple(left for left in plan.leftovers if left.piece == tag)
