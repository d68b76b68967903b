"""Where a patch should end: an outline round damage, why it stops where it does, and the plan that then follows."""

from dataclasses import dataclass
from enum import StrEnum

from remnants.geometry.outline import Ring, area_mm2
from remnants.model.finish import Finish
from remnants.model.patch import Job
from remnants.model.plan import Plan

__all__ = ["Outlined", "Proposal", "Stop", "StopKind"]


class StopKind(StrEnum):
    """What a side of a proposed outline stops at."""

    DAMAGE = "damage"
    """Just past the damage and its margin, at a row where rows are known."""
    WALL = "wall"
    DOORWAY = "doorway"
    JAMB = "jamb"
    """Past the end of a doorway, so that no seam meets it."""
    FURNITURE = "furniture"
    """Under what hides it."""
    LANE = "lane"
    """Past where people walk."""
    CORNER = "corner"
    """In line with a corner of the room."""
    PATTERN = "pattern"
    DONOR = "donor"
    """As far as a piece of the stock reaches."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One of the four sides of an outline. `side` is its name in the room: left, right, lower or upper."""

    side: str
    kind: StopKind
    words: str


@dataclass(frozen=True)
class Outlined:
    """An outline proposed for some damage, counter-clockwise in the patch's axes (mm); `edges[i]` from corner i to i + 1.

    `damage_of` is the patch that the damage was told of, `patch` the outline's own name: another one where damages of one patch
    are taken apart.
    """

    patch: str
    ring: Ring
    edges: tuple[Finish, ...]
    stops: tuple[Stop, ...]
    damage_of: str

    @property
    def area_mm2(self) -> float:
        """How much carpet it takes, without allowance."""
        return area_mm2(self.ring)


@dataclass(frozen=True)
class Proposal:
    """One answer to where the damage should be cut: an outline, or several where damages are taken apart; the job with them.

    `plan` is that job's, proved; it may be a no. `words` tell the outline: what it is, why it stops there, what will be seen.
    """

    outlines: tuple[Outlined, ...]
    job: Job
    plan: Plan
    words: tuple[str, ...] = ()

    @property
    def patch(self) -> str:
        """The name of the first patch that is outlined."""
        return self.outlines[0].patch

    @property
    def outline(self) -> Ring:
        """The outline of the first one (mm)."""
        return self.outlines[0].ring

    @property
    def edges(self) -> tuple[Finish, ...]:
        """The finishes of the first one's edges."""
        return self.outlines[0].edges
