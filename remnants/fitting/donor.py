"""A candidate made ready to be cut: what is left of it, turned so that its pile lies as the patch's does."""

from dataclasses import dataclass
from functools import cached_property

from remnants.geometry.lie import Ground
from remnants.geometry.outline import Outline, Point, Ring
from remnants.geometry.turn import moved_ring, turned, turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate

__all__ = ["Donor"]


@dataclass(frozen=True, eq=False)
class Donor:
    """What is left of a candidate piece (`left`, the piece's own axes, mm) for patches whose pile is +y.

    `turn_deg` brings the piece's axes to the pile frame of the patch: an allowed turn less the piece's own bearing.
    """

    candidate: Candidate
    left: Outline
    turn_deg: float

    @property
    def tag(self) -> str:
        """Tag of the piece."""
        return self.candidate.piece.tag

    @cached_property
    def ground(self) -> Ground:
        """The usable region in the pile frame."""
        return Ground(turned(self.left, self.turn_deg))

    @cached_property
    def motif(self) -> Point | None:
        """The piece's motif point in the pile frame, mm."""
        point = self.candidate.piece.motif
        return None if point is None else turned_point(point, self.turn_deg)

    def to_piece(self, ring: Ring, move: Point) -> Ring:
        """A ring of the pile frame, moved by `move` onto the ground, in the piece's own axes (mm)."""
        return turned_ring(moved_ring(ring, move), whole_turn(-self.turn_deg))
