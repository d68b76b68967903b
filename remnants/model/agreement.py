"""What a customer agreed to: the words that stood before them, their name, and how they drew it. Times are UTC."""

from dataclasses import dataclass
from datetime import datetime

__all__ = ["GLASS", "Agreement", "Strokes"]

GLASS = (600, 200)
"""Width and height of the field in which a name is drawn, in its own units: the screen tells no finer."""

Strokes = tuple[tuple[tuple[int, int], ...], ...]
"""A drawn name: its lines, each the points that a finger passed, x right and y down within GLASS."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """One agreement to the plan of the job of that number; an earlier one stays beside a later one.

    `read` is the text that was read, to the letter, `digest` its SHA-256, `plan` that of the plan's parts. Where no line was
    drawn the typed name counts. An `erased` one has neither name, lines nor text: the customer was forgotten.
    """

    number: int
    job: int
    plan: str
    name: str
    strokes: Strokes
    read: str
    digest: str
    at: datetime
    erased: bool = False
