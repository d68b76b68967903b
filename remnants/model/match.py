"""How well a piece matches what was asked for, and the piece as a candidate."""

from dataclasses import dataclass
from enum import IntEnum

from remnants.model.piece import Piece
from remnants.model.style import Style

__all__ = ["Candidate", "Grade", "Match"]


class Grade(IntEnum):
    """Match grade, best first (lowest number)."""

    SAME_LOT = 0
    OTHER_LOT = 1
    CLOSE_SHADE = 2
    SUBSTITUTE = 3
    NO_MATCH = 4


@dataclass(frozen=True, slots=True)
class Match:
    """A match grade, the wear step within it (0 best), and the sentence that says why."""

    grade: Grade
    wear_steps: int
    sentence: str

    @property
    def rank(self) -> tuple[int, int]:
        """Sorts matches, best first."""
        return int(self.grade), self.wear_steps


@dataclass(frozen=True)
class Candidate:
    """A piece that could give parts to a patch: the piece, its style, and how it matches."""

    piece: Piece
    style: Style
    match: Match
