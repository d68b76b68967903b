"""What is to be proved, and what follows from its parts alone: where each cut comes to lie, and where parts meet."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from remnants.errors import Fault
from remnants.model.patch import Finish, Job, Patch
from remnants.model.piece import Piece
from remnants.model.plan import Part, PatchPlan, Plan
from remnants.model.style import Style
from remnants.proof.lines import GIVE_MM, Point, Stretch, free
from remnants.proof.motion import brought
from remnants.proof.regions import Region, is_sound, region_of, touching
from remnants.proof.remains import Ground, Remains, ground_of, rests_of

__all__ = ["Case", "Laid", "Meeting", "Pair", "Question"]


@dataclass(frozen=True, eq=False)
class Laid:
    """A part whose outlines are sound: its net in patch axes, its cut in the piece's axes and as it lies in the patch's."""

    where: str
    number: int
    part: Part
    piece: Piece | None
    ground: Ground | None
    net: Region
    cut: Region
    lies: Region


@dataclass(frozen=True, slots=True)
class Meeting:
    """A straight stretch along which the nets of two parts (their numbers) meet, in patch axes (mm)."""

    parts: tuple[int, int]
    line: tuple[Point, Point]

    @property
    def length_mm(self) -> float:
        """How long."""
        return math.dist(*self.line)


@dataclass(frozen=True, eq=False)
class Pair:
    """A patch of the job and what the plan tells of it. `laid` holds its sound parts; `complete` when all are."""

    where: str
    patch: Patch
    made: PatchPlan
    laid: tuple[Laid, ...]

    @property
    def complete(self) -> bool:
        """True if there are parts, all of them sound."""
        return 0 < len(self.made.parts) == len(self.laid)

    @cached_property
    def outline(self) -> Region:
        """What is to be filled."""
        return region_of(self.patch.ring)

    @cached_property
    def meetings(self) -> tuple[Meeting, ...]:
        """Where its parts meet, each straight stretch once."""
        found = []
        for one, two in combinations(self.laid, 2):
            lines = [(t.edge.at(t.stretch[0]), t.edge.at(t.stretch[1])) for t in touching(one.net, two.net) if not t.same_way]
            found += [Meeting((one.number, two.number), line) for line in _run_on(lines)]
        return tuple(meeting for meeting in found if meeting.length_mm > 2 * GIVE_MM)

    def finishes(self, laid: Laid) -> dict[int, list[tuple[float, Finish]]]:
        """How each net edge of a part ends, by number: from so many mm along it on as the patch edge there, else in a seam."""
        taken: dict[int, list[tuple[Stretch, Finish]]] = {edge.number: [] for edge in laid.net.edges}
        for touch in touching(laid.net, self.outline):
            if touch.same_way:
                taken[touch.edge.number].append((touch.stretch, self.patch.edges[touch.other.number]))
        found = {}
        for edge in laid.net.edges:
            own = taken[edge.number]
            seams = free(edge.length, [stretch for stretch, _ in own], 2 * GIVE_MM)
            starts = [(stretch[0], finish) for stretch, finish in own] + [(start, Finish.SEAM) for start, _ in seams]
            found[edge.number] = sorted(starts) or [(0.0, Finish.SEAM)]
        return found


def _run_on(lines: Sequence[tuple[Point, Point]]) -> list[tuple[Point, Point]]:
    """The lines, with those that run on from one another made one."""
    left = list(lines)
    for one in left:
        for two in left:
            if one is not two and math.dist(one[1], two[0]) <= GIVE_MM and _off_mm(one[1], one[0], two[1]) <= GIVE_MM:
                return _run_on([line for line in left if line not in (one, two)] + [(one[0], two[1])])
    return left


def _off_mm(point: Point, start: Point, end: Point) -> float:
    """How far a point lies beside the line from start to end."""
    x, y = end[0] - start[0], end[1] - start[1]
    length = math.hypot(x, y)
    return abs(x * (point[1] - start[1]) - y * (point[0] - start[0])) / length if length > 0 else math.dist(point, start)


@dataclass(frozen=True, eq=False)
class Case:
    """A plan, and the job and stock (pieces by tag, styles by name) that it answers."""

    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    plan: Plan

    @cached_property
    def grounds(self) -> dict[str, Ground]:
        """The pieces that parts are cut from and that there are, by tag."""
        told = dict.fromkeys(part.piece for made in self.plan.patches for part in made.parts)
        outlines = {tag: self.pieces[tag].outline for tag in told if tag in self.pieces}
        return {tag: ground_of(outline.ring, outline.cutouts) for tag, outline in outlines.items()}

    @cached_property
    def remains(self) -> tuple[Remains, ...]:
        """What is left of each piece that sound parts are cut from."""
        cuts: dict[str, list[Region]] = {}
        for laid in self.laid:
            cuts.setdefault(laid.part.piece, []).append(laid.cut)
        return tuple(
            Remains(tag, ground, tuple(cuts[tag]), rests_of(self.plan.leftovers, tag))
            for tag, ground in self.grounds.items()
            if tag in cuts
        )

    @property
    def uncut(self) -> tuple[tuple[str, str], ...]:
        """Leftovers told of pieces that no part is cut from: where, and of which."""
        cut = {part.piece for made in self.plan.patches for part in made.parts}
        told = enumerate(self.plan.leftovers)
        return tuple((f"leftovers[{number}]", left.piece) for number, left in told if left.piece not in cut)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Patches and what is told of them, in order, as far as both go."""
        both = zip(self.job.patches, self.plan.patches, strict=False)
        return tuple(
            Pair(f"patches[{index}]", patch, made, tuple(self._laid(f"patches[{index}]", made)))
            for index, (patch, made) in enumerate(both)
        )

    def _laid(self, where: str, made: PatchPlan) -> Iterator[Laid]:
        for number, part in enumerate(made.parts):
            if is_sound(part.net) and is_sound(part.cut) and math.isfinite(part.turn_deg + sum(part.shift)):
                regions = region_of(part.net), region_of(part.cut), region_of(brought(part.cut, part.turn_deg, part.shift))
                piece, ground = self.pieces.get(part.piece), self.grounds.get(part.piece)
                yield Laid(f"{where}.parts[{number}]", number, part, piece, ground, *regions)

    @cached_property
    def laid(self) -> tuple[Laid, ...]:
        """Every sound part of every patch."""
        return tuple(laid for pair in self.pairs for laid in pair.laid)


Question = Callable[[Case], Iterator[Fault]]
"""What a plan is asked: its docstring is the question, its name tells which one refused; it yields each fault found."""
