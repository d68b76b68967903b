"""How well a piece matches what was asked for, and the piece as a candidate."""

from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

from remnants.model.piece import Kind, Piece
from remnants.model.style import Style

__all__ = ["Candidate", "Fetch", "Fetched", "Grade", "Match", "Troubled"]


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

    @property
    def seen(self) -> tuple[int, int]:
        """How plainly such a piece will be seen beside the floor, at best and at worst (common practice, no source).

        0 hard to find, 1 seen when looked for, 2 seen, 3 plain. See `matching.seen` for wear, measurements and lots not known.
        """
        return SEEN[self]


SEEN = {
    Grade.SAME_LOT: (0, 1),
    Grade.THIS_HOUSE: (0, 1),
    Grade.LOT_NOT_KNOWN: (0, 3),
    Grade.OTHER_LOT: (1, 3),
    Grade.CLOSE_SHADE: (1, 3),
    Grade.SUBSTITUTE: (2, 3),
    Grade.NO_MATCH: (3, 3),
}


@dataclass(frozen=True, slots=True)
class Match:
    """A match grade, the wear steps within it (0 best), and the sentence that says why.

    `delta_e` is the measured difference of shade (CIEDE2000), None where piece or job has no measured colour. `seen` is how
    plainly its shade will be seen, at best and at worst, wear counted in and going on past 3; None: as grade and wear alone say.
    """

    grade: Grade
    wear_steps: int
    sentence: str
    delta_e: float | None = None
    seen: tuple[int, int] | None = None

    @property
    def shade(self) -> tuple[int, int]:
        """How its shade is compared: the grade of its sight at worst, then at best; the least is best."""
        best, worst = self.seen or (self.grade.seen[0] + max(0, self.wear_steps - 1), self.grade.seen[1] + self.wear_steps)
        return worst, best

    @property
    def rank(self) -> tuple[int, int, float]:
        """Sorts matches, best first: by grade, then wear, then measured shade (not measured comes first)."""
        return int(self.grade), self.wear_steps, self.delta_e or 0.0


class Fetched(IntEnum):
    """From where a piece of the shop's own must be fetched, least trouble first; any floor or customer is more (`Troubled`)."""

    VAN = -2
    """A van of the own branch, whose custodian is asked."""
    BRANCH = -1
    """Another branch, so far away as the shop tells it."""
    FAR_UNTOLD = 0
    """Another branch, and nobody told how far that is."""


@dataclass(frozen=True, slots=True)
class Fetch:
    """A place that a piece must be fetched from: its name, how far it is in whole km where that counts, and both in words."""

    how: Fetched
    name: str
    count: int = 1
    words: str = ""


class Troubled(NamedTuple):
    """Whom or what a piece troubles: its tier, which floor, person or branch, and for how much it counts (km of a branch)."""

    tier: int
    which: str
    weight: int = 1


@dataclass(frozen=True)
class Candidate:
    """A piece that could give parts to a patch: the piece, its style, and how it matches.

    `staircase` is the piece's packed staircase of rectangles (`geometry.staircase`), where the catalogue keeps one. `tier` is
    what it takes to get at it for the job, 0 a shelf to 3 a floor in view; None: 1 for a laid piece, else 0. `fetch` is where a
    piece of the shop's own must be fetched from; None for one that lies ready.
    """

    piece: Piece
    style: Style
    match: Match
    staircase: bytes | None = None
    tier: int | None = None
    fetch: Fetch | None = None

    @property
    def trouble(self) -> Troubled | None:
        """The floor, the person or the branch that is troubled for it; None for a shelf where the job asks from."""
        piece = self.piece
        tier = (1 if piece.kind is Kind.LAID else 0) if self.tier is None else self.tier
        if not tier:
            fetch = self.fetch
            return Troubled(int(fetch.how), fetch.name.casefold(), fetch.count) if fetch else None
        which = (piece.customer if piece.kind is Kind.KEPT else "") or f"{piece.place}, {piece.room}".strip(", ") or piece.tag
        return Troubled(tier, " ".join(which.casefold().split()))
