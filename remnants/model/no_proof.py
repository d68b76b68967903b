"""What stands behind a no: what was searched to the end, what was left undecided, and what was not tried at all."""

from dataclasses import dataclass

__all__ = ["NoProof", "RoomFigure"]


@dataclass(frozen=True, slots=True)
class RoomFigure:
    """How far a piece reaches across and along the pile (mm) where it lies at an allowed turn (degrees clockwise)."""

    piece: str
    turn_deg: float
    across_mm: float
    along_mm: float


@dataclass(frozen=True, slots=True)
class NoProof:
    """The ground for telling that a patch can't be made. It is `proved` only where nothing was left `undecided`.

    `figures`: of a rectangle, those from which alone it follows that no piece makes it whole and no two parts make it; empty
    where the figures of the pieces' bounds don't say so, or where they are too many to tell.
    """

    patch: str
    proved: bool
    searched: tuple[str, ...] = ()
    undecided: tuple[str, ...] = ()
    not_tried: tuple[str, ...] = ()
    figures: tuple[RoomFigure, ...] = ()
