"""The answer: which piece gives what, how it lies, what is left, and why.

A plan is frozen. One that is wrong on the floor may exist and is told so by `proof.check_plan`; only a proved one is shown.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from remnants.geometry.outline import Outline, Point, Ring
from remnants.model.match import Fetch, Match
from remnants.model.merit import Merit
from remnants.model.no_proof import NoProof
from remnants.model.patch import MayUse
from remnants.model.sight import Sight
from remnants.units import Unit

__all__ = [
    "Asking",
    "Leftover",
    "Part",
    "PassedOver",
    "PatchPlan",
    "Plan",
    "Seam",
    "SeamKind",
    "Short",
    "Show",
    "Spare",
    "Verdict",
    "Way",
]


class Verdict(StrEnum):
    """Of a patch: whole, joined, none. Of a job: the worst of its patches, or partly when only some have none."""

    WHOLE = "whole"
    JOINED = "joined"
    PARTLY = "partly"
    NONE = "none"


class SeamKind(StrEnum):
    """How a seam runs against the pile."""

    SIDE = "side"
    CROSS = "cross"
    ANGLED = "angled"


class Show(StrEnum):
    """How a seam is expected to show, best first: a stated rule of trade habit, not a measurement."""

    HARDLY = "hardly"
    SLIGHTLY = "slightly"
    CLEARLY = "clearly"
    STRONGLY = "strongly"


@dataclass(frozen=True)
class Part:
    """One piece of a patch. `net` lies in patch axes, `cut` (allowance included) in the donor's own axes; mm.

    Patch point = piece point turned `turn_deg` clockwise about (0, 0), then moved by `shift` (mm).
    `finishes[i]` is the finish of net edge i (a joint counts as a seam).
    """

    piece: str
    net: Ring
    cut: Ring
    turn_deg: float
    shift: Point
    finishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Seam:
    """A straight joint between two parts, in patch axes (mm). `parts` are the two indexes into the patch's parts."""

    kind: SeamKind
    line: tuple[Point, Point]
    length_mm: float
    parts: tuple[int, int] = (0, 1)
    show: Show = Show.SLIGHTLY
    sentence: str = ""


@dataclass(frozen=True)
class PatchPlan:
    """What becomes of one patch. `match` is the worst among its parts' pieces; None without parts."""

    name: str
    verdict: Verdict
    parts: tuple[Part, ...] = ()
    seams: tuple[Seam, ...] = ()
    reason: str = ""
    match: Match | None = None


@dataclass(frozen=True)
class Leftover:
    """A connected remainder of a donor, in the donor's axes (mm); `largest` is its largest rectangle (width, length).

    `largest_at` is that rectangle's corner; `usable` when it is worth keeping, else waste; `chosen` when a person said which.
    """

    piece: str
    outline: Outline
    largest: tuple[float, float]
    largest_at: Point = (0.0, 0.0)
    usable: bool = True
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class PassedOver:
    """A piece not used, with the first test that it failed and the figure."""

    piece: str
    reason: str


@dataclass(frozen=True, slots=True)
class Short:
    """A patch that can't be made: what is missing, by how much, and the nearest miss."""

    patch: str
    reason: str
    nearest: str = ""
    missing_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Asking:
    """A piece that is cut because the job allows it, and what it allows: somebody must be asked before it is fetched."""

    piece: str
    allowed: MayUse


@dataclass(frozen=True, slots=True)
class Spare:
    """How far a tape may be out, at each edge of every piece and cut, before the plan fails (mm): at all, and of each part.

    `seams_mm`: how far each seam may move, back and forth (to lower and higher places across it in the pile frame), all else as
    it is. Parts and seams in the order of the plan's patches.
    """

    plan_mm: float
    parts_mm: tuple[float, ...]
    seams_mm: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Plan:
    """The whole answer to a job. `bound` tells how far from the best it can be, `sights` what will be seen of it, `merit` how it
    compares, `spare` how exact the tape must be; None for a plan that was not made here. `asking` are the pieces for which
    somebody must be asked first, `proof` tells of each patch without parts what stands behind the no. `fetched` are the places
    elsewhere in the shop that pieces come from, each with their tags. `more_passed` are the pieces passed over beside those that
    `passed_over` names, of a plan that was kept with the most telling of them alone.
    """

    job: str
    verdict: Verdict
    patches: tuple[PatchPlan, ...]
    leftovers: tuple[Leftover, ...] = ()
    passed_over: tuple[PassedOver, ...] = ()
    short: tuple[Short, ...] = field(default=())
    unit: Unit = Unit.MM
    bound: str = ""
    sights: tuple[Sight, ...] = ()
    merit: Merit | None = None
    asking: tuple[Asking, ...] = ()
    proof: tuple[NoProof, ...] = ()
    spare: Spare | None = None
    fetched: tuple[tuple[Fetch, tuple[str, ...]], ...] = ()
    more_passed: int = 0

    @property
    def leftover_names(self) -> tuple[str, ...]:
        """What each leftover is called: its donor's tag, with /1, /2 and so on behind it where that leaves several."""
        tags = [left.piece for left in self.leftovers]
        return tuple(f"{tag}/{tags[: place + 1].count(tag)}" if tags.count(tag) > 1 else tag for place, tag in enumerate(tags))


@dataclass(frozen=True)
class Way:
    """One plan beside others that nothing beats in every term, with what speaks for it and against it."""

    plan: Plan
    speaks_for: tuple[str, ...] = ()
    speaks_against: tuple[str, ...] = ()
