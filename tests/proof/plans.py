"""Right plans, worked by hand, and the tools to plant a fault in one. Sizes are mm; a seam takes 25, a wall 75.

`TWO`: a hall of 1000 x 800 from two pieces, side by side, the seam at x = 450.
`THREE`: the same hall from three: a seam along at x = 650, and one across at y = 450 on its right.
`PATTERNED`: as `TWO`, in goods that repeat every 300 across and 200 along, each column half a repeat higher.
`SHARED`: a hall of 400 x 300 with a wall below and, its pile along x, a door of 300 x 400, both from one piece with a cutout;
and a loft of 2000 x 400 that nothing makes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from remnants.errors import Fault
from remnants.geometry.outline import Outline, Point, Ring
from remnants.geometry.turn import turned, turned_point, turned_ring
from remnants.model import (
    Allowance,
    Finish,
    Job,
    Kind,
    Leftover,
    Part,
    Patch,
    PatchPlan,
    Piece,
    Plan,
    Repeat,
    Seam,
    SeamKind,
    Short,
    Show,
    Style,
    Verdict,
)
from remnants.proof import refusals

__all__ = ["CUTOUT", "PATTERNED", "SHARED", "THREE", "TWO", "Given", "box", "floor_turned", "moved", "pieces_turned_a_quarter"]

PLAIN = Style("Velder Twist")
TRELLIS = Style("Velder Trellis", repeat=Repeat(300, 200, 0.5))
ALL_SEAMS = (Finish.SEAM,) * 4


def box(left: float, low: float, right: float, high: float) -> Ring:
    """A rectangle along the axes, from its lower left corner on."""
    return (left, low), (right, low), (right, high), (left, high)


def moved(ring: Ring, by: Point) -> Ring:
    """The ring moved."""
    return tuple((x + by[0], y + by[1]) for x, y in ring)


@dataclass(frozen=True)
class Given:
    """A job, stock and the plan to be proved. Each method gives the same with one thing changed."""

    job: Job
    pieces: Mapping[str, Piece]
    plan: Plan

    @property
    def refusals(self) -> Mapping[str, tuple[Fault, ...]]:
        """What the proof says, by the name of the question."""
        return refusals(self.job, self.pieces, {style.name: style for style in (PLAIN, TRELLIS)}, self.plan)

    def planned(self, **changes: Any) -> "Given":
        """Another plan."""
        return replace(self, plan=replace(self.plan, **changes))

    def asked(self, **changes: Any) -> "Given":
        """Another job."""
        return replace(self, job=replace(self.job, **changes))

    def patched(self, at: int = 0, **changes: Any) -> "Given":
        """Another patch asked for."""
        return self.asked(patches=_with(self.job.patches, at, changes))

    def stocked(self, tag: str, **changes: Any) -> "Given":
        """Another piece."""
        return replace(self, pieces={**self.pieces, tag: replace(self.pieces[tag], **changes)})

    def made(self, at: int = 0, **changes: Any) -> "Given":
        """Another answer to a patch."""
        return self.planned(patches=_with(self.plan.patches, at, changes))

    def part(self, number: int, at: int = 0, **changes: Any) -> "Given":
        """Another part."""
        return self.made(at, parts=_with(self.plan.patches[at].parts, number, changes))

    def seam(self, number: int, **changes: Any) -> "Given":
        """Another seam of the first patch."""
        return self.made(seams=_with(self.plan.patches[0].seams, number, changes))

    def left(self, number: int, **changes: Any) -> "Given":
        """Another leftover."""
        return self.planned(leftovers=_with(self.plan.leftovers, number, changes))


def _with(values: tuple[Any, ...], at: int, changes: Mapping[str, Any]) -> tuple[Any, ...]:
    return (*values[:at], replace(values[at], **changes), *values[at + 1 :])


def a_piece(tag: str, width: float, length: float, *cutouts: Ring, style: Style = PLAIN, motif: Point | None = None) -> Piece:
    """A remnant, its pile along y."""
    return Piece(tag, Kind.REMNANT, style.name, "Oatmeal", "4471-B", Outline(box(0, 0, width, length), cutouts), 0.0, motif)


def a_part(tag: str, net: Ring, grown: Ring, shift: Point) -> Part:
    """A part that isn't turned: its net and what it is with allowances, both as they lie in the patch."""
    return Part(tag, net, moved(grown, (-shift[0], -shift[1])), 0.0, shift, ALL_SEAMS)


def a_leftover(tag: str, ring: Ring, width: float, length: float, at: Point, *cutouts: Ring) -> Leftover:
    """Waste, with its largest rectangle."""
    return Leftover(tag, Outline(ring, cutouts), (width, length), at, usable=False)


HALL = Patch("hall", box(0, 0, 1000, 800), 0.0, ALL_SEAMS)
SIDE = "This side seam runs with the pile and should hardly show; no seam is invisible."


def _two(tags: tuple[str, str], sentence: str, show: Show) -> Plan:
    left, right = tags
    parts = (
        a_part(left, box(0, 0, 450, 800), box(-25, -25, 475, 825), (-25, -25)),
        a_part(right, box(450, 0, 1000, 800), box(425, -25, 1025, 825), (425, -25)),
    )
    seam = Seam(SeamKind.SIDE, ((450, 0), (450, 800)), 800.0, (0, 1), show, sentence)
    ell = ((500.0, 0.0), (700.0, 0.0), (700.0, 1200.0), (0.0, 1200.0), (0.0, 850.0), (500.0, 850.0))
    rests = a_leftover(left, ell, 700, 350, (0, 850)), a_leftover(right, box(0, 850, 600, 900), 600, 50, (0, 850))
    reason = "No one piece that matches as well makes it whole; two parts side by side make it, with a seam along the pile."
    return Plan("Alder Court 7", Verdict.JOINED, (PatchPlan("hall", Verdict.JOINED, parts, (seam,), reason),), rests)


def _three() -> Plan:
    parts = (
        a_part("R-1", box(0, 0, 650, 800), box(-25, -25, 675, 825), (-25, -25)),
        a_part("R-2", box(650, 0, 1000, 450), box(625, -25, 1025, 475), (625, -25)),
        a_part("R-3", box(650, 450, 1000, 800), box(625, 425, 1025, 825), (625, 425)),
    )
    cross = "This cross seam will show slightly: it runs across the pile."
    seams = (
        Seam(SeamKind.SIDE, ((650, 0), (650, 450)), 450.0, (0, 1), Show.HARDLY, SIDE),
        Seam(SeamKind.SIDE, ((650, 450), (650, 800)), 350.0, (0, 2), Show.HARDLY, SIDE),
        Seam(SeamKind.CROSS, ((650, 450), (1000, 450)), 350.0, (1, 2), Show.SLIGHTLY, cross),
    )
    rests = (
        a_leftover("R-1", box(0, 850, 700, 900), 700, 50, (0, 850)),
        a_leftover("R-2", box(400, 0, 450, 500), 50, 500, (400, 0)),
        a_leftover("R-3", ((400, 0), (450, 0), (450, 500), (0, 500), (0, 400), (400, 400)), 450, 100, (0, 400)),
    )
    reason = "Three parts are needed; three parts together make it, with a seam along the pile and a seam across the pile."
    return Plan("Alder Court 7", Verdict.JOINED, (PatchPlan("hall", Verdict.JOINED, parts, seams, reason),), rests)


def _shared() -> Plan:
    hall = replace(
        a_part("R-5", box(0, 0, 400, 300), box(-25, -75, 425, 325), (-25, -75)), finishes=(Finish.WALL, *(Finish.SEAM,) * 3)
    )
    # Laid with its pile along x: (x, y) of the piece comes to lie at (y - 25, 875 - x).
    door = Part("R-5", box(0, 0, 300, 400), box(450, 0, 900, 350), 90.0, (-25, 875), ALL_SEAMS)
    rest: Ring = ((0, 400), (450, 400), (450, 350), (900, 350), (900, 0), (1500, 0), (1500, 1000), (0, 1000))
    hall_why = "Remnant R-5 (Bay 3) makes it in one piece: the cut is 450 mm across by 400 mm along the pile, allowance included."
    door_why = "Remnant R-5 (Bay 3) makes it in one piece: the cut is 450 mm across by 350 mm along the pile, allowance included."
    need = "loft needs 2050 mm across by 450 mm along the pile, allowance included; no piece makes it whole."
    return Plan(
        "Alder Court 7",
        Verdict.PARTLY,
        (
            PatchPlan("hall", Verdict.WHOLE, (hall,), (), hall_why),
            PatchPlan("door", Verdict.WHOLE, (door,), (), door_why),
            PatchPlan("loft", Verdict.NONE, (), (), need),
        ),
        (a_leftover("R-5", rest, 1500, 600, (0, 400), CUTOUT),),
        short=(Short("loft", need),),
    )


CUTOUT = box(1100, 300, 1200, 400)
ALLOWANCE = Allowance(25.0, 75.0, 75.0)

TWO = Given(
    Job("Alder Court 7", (HALL,), ALLOWANCE, 150.0),
    {"R-1": a_piece("R-1", 700, 1200), "R-2": a_piece("R-2", 600, 900)},
    _two(("R-1", "R-2"), SIDE, Show.HARDLY),
)
THREE = Given(
    Job("Alder Court 7", (replace(HALL, max_parts=3),), ALLOWANCE, 150.0),
    {"R-1": a_piece("R-1", 700, 900), "R-2": a_piece("R-2", 450, 500), "R-3": a_piece("R-3", 450, 500)},
    _three(),
)
PATTERNED = Given(
    Job("Alder Court 7", (replace(HALL, motif=(0.0, 0.0)),), ALLOWANCE, 150.0),
    {
        "P-1": a_piece("P-1", 700, 1200, style=TRELLIS, motif=(25, 25)),  # lies at (0, 0)
        "P-2": a_piece("P-2", 600, 900, style=TRELLIS, motif=(475, 125)),  # at (900, 100): three columns on, half a repeat up
    },
    _two(
        ("P-1", "P-2"),
        "This side seam will show slightly: the pattern crosses it. The pattern repeats 4.0 times along it.",
        Show.SLIGHTLY,
    ),
)
SHARED = Given(
    Job(
        "Alder Court 7",
        (
            Patch("hall", box(0, 0, 400, 300), 0.0, (Finish.WALL, *(Finish.SEAM,) * 3)),
            Patch("door", box(0, 0, 300, 400), 90.0, ALL_SEAMS),
            Patch("loft", box(0, 0, 2000, 400), 0.0, ALL_SEAMS),
        ),
        ALLOWANCE,
        150.0,
    ),
    {"R-5": a_piece("R-5", 1500, 1000, CUTOUT)},
    _shared(),
)


def floor_turned(given: Given, degrees: float) -> Given:
    """The same floor lying another way: patches, nets and seams turned clockwise, the pieces as they are."""
    patches = tuple(
        replace(
            patch,
            ring=turned_ring(patch.ring, degrees),
            pile_deg=patch.pile_deg + degrees,
            motif=turned_point(patch.motif, degrees) if patch.motif else None,
        )
        for patch in given.job.patches
    )
    made = tuple(
        replace(
            each,
            parts=tuple(
                replace(
                    part,
                    net=turned_ring(part.net, degrees),
                    turn_deg=part.turn_deg + degrees,
                    shift=turned_point(part.shift, degrees),
                )
                for part in each.parts
            ),
            seams=tuple(
                replace(seam, line=(turned_point(seam.line[0], degrees), turned_point(seam.line[1], degrees)))
                for seam in each.seams
            ),
        )
        for each in given.plan.patches
    )
    return given.asked(patches=patches).planned(patches=made)


def pieces_turned_a_quarter(given: Given) -> Given:
    """The same pieces measured from another side: each turned a quarter clockwise, its cuts and leftovers with it."""

    pieces = {
        tag: replace(
            piece,
            outline=turned(piece.outline, 90.0),
            pile_deg=piece.pile_deg + 90.0,
            motif=turned_point(piece.motif, 90.0) if piece.motif else None,
        )
        for tag, piece in given.pieces.items()
    }
    made = tuple(
        replace(
            each,
            parts=tuple(replace(part, cut=turned_ring(part.cut, 90.0), turn_deg=part.turn_deg - 90.0) for part in each.parts),
        )
        for each in given.plan.patches
    )
    # a rectangle's lower left corner is its upper left one before it was turned
    rests = tuple(
        replace(
            left,
            outline=turned(left.outline, 90.0),
            largest=left.largest[::-1],
            largest_at=(left.largest_at[1], -left.largest_at[0] - left.largest[0]),
        )
        for left in given.plan.leftovers
    )
    return replace(given.planned(patches=made, leftovers=rests), pieces=pieces)
