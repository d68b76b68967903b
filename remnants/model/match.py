"""How well a piece matches what was asked for, and the piece as a candidate."""

from dataclasses import dataclass
from enum import IntEnum

from remnants.model.piece import Piece
from remnants.model.style import Style

__all__ = ["Candidate", "Grade", "Match"]


class Grade(IntEnum):
    """Match grade, best first (lowest number)."""

    SAME_LOT = 0
    THIS_HOUSE = 1
    """The job tells no lot, but all carpet of its house that has one has this."""
    LOT_NOT_KNOWN = 2
    """Of the room or of the piece."""
    OTHER_LOT = 3
    CLOSE_SHADE = 4
    SUBSTITUTE = 5
    NO_MATCH = 6

    @property
    def word(self) -> str:
        """The grade as files and screens write it: `same-lot`, `lot-not-known`, `no-match`."""
        return self.name.lower().replace("_", "-")

    @property
    def told(self) -> str:
        """The grade as people read it: `same lot`, `this house's lot`, `lot not known`."""
        return "this house's lot" if self is Grade.THIS_HOUSE else self.word.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Match:
    """A match grade, the wear steps within it (0 best), and the sentence that says why.

    `delta_e` is the measured difference of shade (CIEDE2000), None where piece or job has no measured colour.
    """

    grade: Grade
    wear_steps: int
    sentence: str
    delta_e: float | None = None

    @property
    def rank(self) -> tuple[int, int, float]:
        """Sorts matches, best first: by grade, then wear, then measured shade (not measured comes first)."""
        return int(self.grade), self.wear_steps, self.delta_e or 0.0


@dataclass(frozen=True)
class Candidate:
    """A piece that could give parts to a patch: the piece, its style, and how it matches.

    `staircase` is the piece's packed staircase of rectangles (`geometry.staircase`), where the catalogue keeps one.
    """

    piece: Piece
    style: Style
    match: Match
    staircase: bytes | None = None
