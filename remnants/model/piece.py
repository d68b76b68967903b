"""A piece: anything in the catalogue that carpet can be cut from."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from remnants.errors import BadInput, Fault
from remnants.geometry.outline import Outline, Point
from remnants.model.money import Money
from remnants.model.shade import Lab

__all__ = ["MOST_DEG", "MOST_WORN", "WORN_STEPS", "WORN_WORDS", "Kind", "Piece"]

WORN_WORDS = ("new", "hardly worn", "worn", "clearly worn", "heavily worn")
"""What the steps of wear are called, from 0."""
MOST_WORN = len(WORN_WORDS) - 1
WORN_STEPS: Mapping[str, int] = {word: step for step, word in enumerate(WORN_WORDS)} | {
    "as new": 0,
    "good": 1,
    "fair": 2,
    "poor": 4,
}
"""The step that a word for wear means: what we print is read back, and what many shops write is read too."""

MOST_DEG = 3600.0
"""Bearings and turns up to ten times round are read; far beyond, a float is coarser than a degree."""


class Kind(StrEnum):
    """Where a piece comes from, and so where it lies."""

    REMNANT = "remnant"
    OFFCUT = "offcut"
    KEPT = "kept"
    LAID = "laid"


@dataclass(frozen=True)
class Piece:
    """A piece in its own axes (mm): x across the roll, y along it. `pile_deg` is clockwise from +y.

    `motif` is a point of the piece where the pattern's reference point lies; `worn` runs from 0 new to 4 heavily worn.
    `lab` is its measured shade; `room` names the room that a laid or kept piece lies or lay in.
    `customer` is the reference of whoever has it, empty for the shop itself. `hidden` tells of a laid piece whether nobody sees
    that floor; None where it is not known. `cost` is what was paid for
    all that is left of it, `offered_at` the price that it is offered for. Until `keep_until` it is not listed as something to
    clear out. `photo_bar_mm` is how
    far off its outline may be, which is drawn in by that already, where it was measured from the photograph of that digest.
    """

    tag: str
    kind: Kind
    style: str
    colour: str
    lot: str
    outline: Outline
    pile_deg: float = 0.0
    motif: Point | None = None
    place: str = ""
    worn: int = 0
    lab: Lab | None = None
    room: str = ""
    customer: str = ""
    fibre: str = ""
    supplier: str = ""
    roll_number: str = ""
    received_on: date | None = None
    cost: Money | None = None
    offered_at: Money | None = None
    keep_until: date | None = None
    hidden: bool | None = None
    photo_bar_mm: float | None = None
    photo_digest: str = ""

    def __post_init__(self) -> None:
        faults = [
            Fault(where, f"the piece needs a {where}")
            for where, text in (("tag", self.tag), ("style", self.style))
            if not text.strip()
        ]
        if not abs(self.pile_deg) <= MOST_DEG:
            faults.append(Fault("pile", f"{self.pile_deg!r} is no bearing: give degrees clockwise from the piece's +y"))
        if not 0 <= self.worn <= MOST_WORN:
            faults.append(Fault("worn", f"{self.worn!r} is no grade of wear: give 0 (new) to 4 (heavily worn)"))
        if self.motif is not None and not all(math.isfinite(value) for value in self.motif):
            faults.append(Fault("motif", f"{self.motif!r} is no point: give two finite figures"))
        if faults:
            raise BadInput(faults)
