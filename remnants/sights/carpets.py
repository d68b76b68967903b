"""What of a laid carpet a seam's look depends on."""

from dataclasses import dataclass

from remnants.model import Candidate, Construction

__all__ = ["Carpet"]


@dataclass(frozen=True, slots=True)
class Carpet:
    """A carpet as it lies in a patch: `name` its style, colour and lot, `lay_deg` how far its pile lies from the patch's."""

    name: tuple[str, str, str]
    construction: Construction
    patterned: bool
    lay_deg: float = 0.0

    @classmethod
    def of(cls, candidate: Candidate, lay_deg: float = 0.0) -> "Carpet":
        """The carpet of a candidate piece."""
        piece, style = candidate.piece, candidate.style
        return cls((piece.style, piece.colour, piece.lot), style.construction, style.repeat is not None, lay_deg)
