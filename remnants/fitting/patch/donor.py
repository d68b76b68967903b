"""A candidate made ready to be cut: what is left of it, turned so that its pile lies as the patch's does."""

from dataclasses import dataclass
from functools import cached_property

from remnants.geometry.lie import Ground
from remnants.geometry.outline import Outline, Point, Ring, bounds
from remnants.geometry.turn import levelled, moved_ring, turned, turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate

__all__ = ["Donor"]

QUARTERS = (0.0, 90.0, 180.0, 270.0)


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

    @property
    def lay_deg(self) -> float:
        """How far its pile lies from the patch's, degrees clockwise: one of the allowed turns."""
        return whole_turn(self.turn_deg + self.candidate.piece.pile_deg)

    @property
    def look_key(self) -> tuple[object, ...]:
        """What a part of it looks like apart from its name: construction, pattern, lay, shade, and whom it troubles."""
        style, trouble = self.candidate.style, self.candidate.trouble
        whom = trouble and (trouble.tier, trouble.weight)
        return style.construction, style.repeat is not None, self.lay_deg, self.candidate.match.shade, whom

    @property
    def name(self) -> tuple[str, str, str]:
        """Style, colour and lot."""
        piece = self.candidate.piece
        return piece.style, piece.colour, piece.lot

    @property
    def area_mm2(self) -> float:
        """Usable area, mm²."""
        return self.left.usable_area_mm2

    @cached_property
    def is_plain(self) -> bool:
        """True for a rectangle that lies along the pile, without cutouts."""
        return self.turn_deg in QUARTERS and self.left.is_rectangle

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Bounds in the pile frame, mm."""
        left, bottom, right, top = self.left.bounds
        match self.turn_deg:
            case 0.0:
                return left, bottom, right, top
            case 90.0:
                return bottom, -right, top, -left
            case 180.0:
                return -right, -top, -left, -bottom
            case 270.0:
                return -top, left, -bottom, right
        return bounds(turned_ring(self.left.ring, self.turn_deg))

    @property
    def staircase(self) -> bytes | None:
        """The packed staircase of what is left, seen along its own pile, if it is known: the piece is uncut."""
        return self.candidate.staircase if self.left is self.candidate.piece.outline else None

    @cached_property
    def ground(self) -> Ground:
        """The usable region in the pile frame."""
        lies = turned(self.left, self.turn_deg)
        return Ground(lies if self.turn_deg in QUARTERS else levelled(lies))

    @cached_property
    def motif(self) -> Point | None:
        """The piece's motif point in the pile frame, mm."""
        point = self.candidate.piece.motif
        return None if point is None else turned_point(point, self.turn_deg)

    def to_piece(self, ring: Ring, move: Point) -> Ring:
        """A ring of the pile frame, moved by `move` onto the ground, in the piece's own axes (mm)."""
        return turned_ring(moved_ring(ring, move), whole_turn(-self.turn_deg))
