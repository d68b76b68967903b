"""Jobs and plans laid out by hand, with defaults, so that a test shows only what matters. Names and tags are invented."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from remnants.geometry.grow import grown
from remnants.geometry.outline import Outline, Point, Ring, rectangle
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import between, moved_ring, turned_point, turned_ring
from remnants.model import (
    Allowance,
    Construction,
    Finish,
    Grade,
    Job,
    Kind,
    Leftover,
    Match,
    Part,
    Patch,
    PatchPlan,
    Piece,
    Plan,
    RepairRoom,
    Seam,
    SeamKind,
    Short,
    Show,
    Style,
    Verdict,
)
from remnants.units import Unit

IN = 25.4
FT = 304.8


def a_style(name: str = "Velder Loop", construction: Construction = Construction.LOOP, row_mm: float | None = 6.35) -> Style:
    return Style(name, construction, 144 * IN, None, row_mm)


def a_piece(
    tag: str = "R-0142", outline: Outline | None = None, *, pile_deg: float = 0.0, kind: Kind = Kind.REMNANT, place: str = "Bay 3"
) -> Piece:
    return Piece(tag, kind, "Velder Loop", "Oatmeal", "4471-B", outline or rectangle(40 * IN, 66 * IN), pile_deg, None, place, 1)


def a_patch(
    name: str = "hall",
    ring: Ring | None = None,
    *,
    pile_deg: float = 0.0,
    edges: Sequence[str] | str = "seam",
) -> Patch:
    shape = ring or rectangle(14 * IN, 38 * IN).ring
    names = [edges] * len(shape) if isinstance(edges, str) else edges
    return Patch(name, shape, pile_deg, tuple(Finish(word) for word in names))


@dataclass
class Layout:
    """A plan in the making: patches with their parts, laid on donors by hand."""

    pieces: dict[str, Piece]
    allowance: Allowance = field(default_factory=lambda: Allowance(1 * IN, 3 * IN, 3 * IN))
    unit: Unit = Unit.IN
    name: str = "Alder Court 7"
    patches: list[Patch] = field(default_factory=list)
    answers: list[PatchPlan] = field(default_factory=list)
    cuts: dict[str, list[Ring]] = field(default_factory=dict)
    rooms: tuple[RepairRoom, ...] = ()

    def part(self, patch: Patch, tag: str, corner: Point, net: Ring | None = None, finishes: Sequence[str] = ()) -> Part:
        """A part of `patch`, its cut's least corner laid at `corner` of the donor; `net` and its finishes where it's not all."""
        piece = self.pieces[tag]
        turn = between(piece.pile_deg, patch.pile_deg)
        region = net or patch.ring
        words = tuple(finishes) or tuple(patch.edges)
        extra = [self.allowance.of(Finish(word)) for word in words]
        flat = turned_ring(grown(region, extra), -turn)
        left, bottom = min(x for x, _ in flat), min(y for _, y in flat)
        move = (corner[0] - left, corner[1] - bottom)
        cut = moved_ring(flat, move)
        turned = turned_point(move, turn)
        self.cuts.setdefault(tag, []).append(cut)
        return Part(tag, region, cut, turn, (-turned[0], -turned[1]), words)

    def whole(self, patch: Patch, tag: str, corner: Point = (0.0, 0.0)) -> "Layout":
        part = self.part(patch, tag, corner)
        match = Match(Grade.SAME_LOT, 1, "same style, colour and dye lot, one step more worn")
        self.patches.append(patch)
        self.answers.append(PatchPlan(patch.name, Verdict.WHOLE, (part,), (), f"{tag} holds it in one piece", match))
        return self

    def joined(
        self, patch: Patch, parts: Sequence[Part], seams: Sequence[Seam], reason: str = "no one piece is long enough"
    ) -> "Layout":
        match = Match(Grade.SAME_LOT, 0, "same style, colour and dye lot")
        self.patches.append(patch)
        self.answers.append(PatchPlan(patch.name, Verdict.JOINED, tuple(parts), tuple(seams), reason, match))
        return self

    def none(self, patch: Patch, reason: str = "nothing is long enough") -> "Layout":
        self.patches.append(patch)
        self.answers.append(PatchPlan(patch.name, Verdict.NONE, (), (), reason))
        return self

    @property
    def job(self) -> Job:
        return Job(self.name, tuple(self.patches), self.allowance, 6 * IN, self.unit, rooms=self.rooms)

    @property
    def plan(self) -> Plan:
        left = []
        for tag, cuts in self.cuts.items():
            piece = self.pieces[tag]
            for outline in remainders(piece.outline, cuts):
                best = largest_rectangle(outline)
                size = (best.width_mm, best.length_mm)
                left.append(Leftover(tag, outline, size, (best.x, best.y), min(size) > 300))
        verdicts = {answer.verdict for answer in self.answers}
        verdict = Verdict.JOINED if Verdict.JOINED in verdicts else Verdict.WHOLE
        if Verdict.NONE in verdicts:
            verdict = Verdict.NONE if len(verdicts) == 1 else Verdict.PARTLY
        short = tuple(
            Short(answer.name, answer.reason, "R-0009, 8 1/2 in short", 215.9) for answer in self.answers if not answer.parts
        )
        return Plan(self.name, verdict, tuple(self.answers), tuple(left), (), short, self.unit)


def a_layout(*pieces: Piece, **others: Any) -> Layout:
    chosen = pieces or (a_piece(),)
    return Layout({piece.tag: piece for piece in chosen}, **others)


def a_joined_layout() -> Layout:
    """A hallway patch joined from two parts of a closet piece across one cross seam, 20 in along."""
    layout = a_layout(a_piece("K-0031", rectangle(34 * IN, 70 * IN), kind=Kind.LAID, place="Alder Court 7, back bedroom closet"))
    patch = a_patch("hall", rectangle(40 * IN, 14 * IN).ring, pile_deg=90, edges=["seam", "transition", "seam", "wall"])
    first = ((0.0, 0.0), (20 * IN, 0.0), (20 * IN, 14 * IN), (0.0, 14 * IN))
    second = ((20 * IN, 0.0), (40 * IN, 0.0), (40 * IN, 14 * IN), (20 * IN, 14 * IN))
    parts = (
        layout.part(patch, "K-0031", (0.0, 0.0), first, ["seam", "seam", "seam", "wall"]),
        layout.part(patch, "K-0031", (0.0, 26 * IN), second, ["seam", "transition", "seam", "seam"]),
    )
    sentence = "The loops stop at this seam and start again: it will show as a line from the door, in daylight most."
    line = ((20 * IN, 0.0), (20 * IN, 14 * IN))
    return layout.joined(patch, parts, (Seam(SeamKind.CROSS, line, 14 * IN, (0, 1), Show.CLEARLY, sentence),))
