"""What was foretold of a repair and what was seen of it, as entries tell it, beside each other."""

from dataclasses import dataclass

from remnants.geometry.outline import Point
from remnants.ledger.entries import Signed
from remnants.model.look import Grades, Look, LookKind
from remnants.model.sight import MOST_SEEN, Sight

__all__ = ["KeptLook", "SightLooked"]


@dataclass(frozen=True, slots=True)
class KeptLook:
    """A look as its entry tells it: what the ledger calls its job, the entry's number, and who signed it when."""

    job: str
    number: int
    look: Look
    signed: Signed


@dataclass(frozen=True, slots=True)
class SightLooked:
    """A sight of a cut job: its number, counted from 1, as it was foretold, and what was seen by eye and by photograph.

    `tags` are the pieces that its patch was cut from, `ring` the patch's corners in the axes of a seam's line (mm).
    """

    number: int
    sight: Sight
    kind: LookKind
    tags: tuple[str, ...]
    eye: KeptLook | None = None
    photograph: KeptLook | None = None
    ring: tuple[Point, ...] = ()

    @property
    def foretold(self) -> Grades:
        """The grades foretold, best and worst."""
        return min(self.sight.best, MOST_SEEN), min(self.sight.worst, MOST_SEEN)

    @property
    def measurable(self) -> bool:
        """Whether a step in shade from the floor can be told of it."""
        return self.kind is LookKind.SHADE and bool(self.sight.patch)

    @property
    def looks(self) -> tuple[KeptLook, ...]:
        """What was seen of it: by eye, then by photograph."""
        return tuple(each for each in (self.eye, self.photograph) if each)
