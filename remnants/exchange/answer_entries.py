"""The shape of the answer file, key by key (pydantic). Lengths come out in millimetres."""

from typing import Annotated, Any, Literal

from pydantic import Field

from remnants.exchange.entries import Corner, Corners, Entry, Length, Number, Whole
from remnants.model import MayUse, SeamKind, Show, SightKind, Verdict
from remnants.units import Unit

__all__ = [
    "AnswerFile",
    "FigureEntry",
    "LeftoverEntry",
    "MatchEntry",
    "PartEntry",
    "PatchPlanEntry",
    "ProofEntry",
    "SeamEntry",
    "SightEntry",
]

GradeWord = Literal["same-lot", "this-house", "lot-not-known", "other-lot", "close-shade", "substitute", "no-match"]


class PartEntry(Entry):
    """One piece of a patch: `net` in patch axes, `cut` in the piece's own axes."""

    piece: str
    net: tuple[Corner, ...]
    cut: tuple[Corner, ...]
    turn: Number
    shift: Corner
    finishes: tuple[str, ...] = ()


class SeamEntry(Entry):
    """A joint, in patch axes."""

    kind: SeamKind
    line: tuple[Corner, Corner]
    length: Length
    parts: tuple[Whole, Whole] = (0, 1)
    show: Show = Show.SLIGHTLY
    sentence: str = ""


class MatchEntry(Entry):
    """How well the pieces match what was asked for."""

    grade: GradeWord
    wear_steps: Whole = 0
    sentence: str = ""
    delta_e: Number | None = None


class PatchPlanEntry(Entry):
    """What becomes of one patch."""

    name: str
    verdict: Verdict
    parts: tuple[PartEntry, ...] = ()
    seams: tuple[SeamEntry, ...] = ()
    reason: str = ""
    match: MatchEntry | None = None


class LargestEntry(Entry):
    """The largest rectangle in a leftover, and its corner."""

    width: Length
    length: Length
    at: Corner = (0.0, 0.0)


class LeftoverEntry(Entry):
    """What remains of a piece after its cuts, in its own axes."""

    piece: str
    outline: tuple[Corner, ...]
    cutouts: tuple[Corners, ...] = ()
    largest: LargestEntry
    usable: bool = True
    chosen: bool = False


class PassedOverEntry(Entry):
    """A piece not used, and why."""

    piece: str
    reason: str


class ShortEntry(Entry):
    """A patch that can't be made, and what is missing."""

    patch: str
    reason: str
    nearest: str = ""
    missing: Length | None = None


class SightEntry(Entry):
    """Something that will be seen, with its grades from 0 hard to find to 3 plain.

    Files from before it was a key don't tell which seam is `inside`.
    """

    kind: SightKind
    patch: str = ""
    line: tuple[Corner, ...] = ()
    inside: bool | None = None
    best: Whole
    worst: Whole
    sentence: str


class AskingEntry(Entry):
    """A piece that is cut because the job allows it: whose consent it needs, told without a name."""

    piece: str
    may_use: MayUse
    told: str = ""


class FigureEntry(Entry):
    """How far a piece reaches across and along the pile where it lies at an allowed turn."""

    piece: str
    turn: Number
    across: Length
    along: Length


class ProofEntry(Entry):
    """What stands behind a no: what was searched to the end, what was not, and figures from which it follows."""

    patch: str
    proved: bool
    searched: tuple[str, ...] = ()
    undecided: tuple[str, ...] = ()
    not_tried: tuple[str, ...] = ()
    figures: tuple[FigureEntry, ...] = ()


class SpareEntry(Entry):
    """How far a tape may be out before the plan fails, and how far each seam may move."""

    plan: Length
    parts: tuple[Length, ...] = ()
    seams: tuple[tuple[Length, Length], ...] = ()


class AnswerFile(Entry):
    """A whole answer file."""

    job: str
    unit: Unit
    verdict: Verdict
    patches: tuple[PatchPlanEntry, ...]
    leftovers: tuple[LeftoverEntry, ...] = ()
    passed_over: tuple[PassedOverEntry, ...] = ()
    passed_over_more: Annotated[Whole, Field(ge=0)] = 0
    short: tuple[ShortEntry, ...] = ()
    bound: str = ""
    sights: tuple[SightEntry, ...] = ()
    asking: tuple[AskingEntry, ...] = ()
    spare: SpareEntry | None = None
    bargains: tuple[dict[str, Any], ...] = ()
    no_help: tuple[str, ...] = ()
    measure_again: tuple[dict[str, Any], ...] = ()
    why_not: dict[str, Any] | None = None
    ways: tuple[dict[str, Any], ...] = ()
    proof: tuple[ProofEntry, ...] = ()
    notes: tuple[str, ...] = ()
