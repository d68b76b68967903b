"""The independent proof of a plan. Shares no code with what makes plans: only values, and geometry's questions for proofs.

A plan is right only if: nets tile each outline; every cut lies inside its piece and outside its cutouts; cuts on one piece
don't overlap; each cut, turned and moved, covers its net plus the allowance of every edge (a joint counts as a seam on both
sides); pile bearings agree up to an allowed turn; with a repeat, motif points coincide modulo the repeat lattice.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from remnants.errors import Fault
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, bounds
from remnants.geometry.prove import covers_with_allowance, inside, is_simple, lattice_gap_mm, overlapping, tiles
from remnants.geometry.turn import ANGLE_TOLERANCE_DEG, moved_ring, turned_point, turned_ring, whole_turn
from remnants.model.patch import Finish, Job, Patch
from remnants.model.piece import Piece
from remnants.model.plan import Part, PatchPlan, Plan, Verdict
from remnants.model.style import Style

__all__ = ["check"]


def check(job: Job, pieces: Mapping[str, Piece], styles: Mapping[str, Style], plan: Plan) -> tuple[Fault, ...]:
    """Every fault of a plan, with the figures; empty if it is right.

    `pieces` by tag and `styles` by name are the stock that the plan was made from; lengths are mm.
    """
    if len(plan.patches) != len(job.patches):
        return (Fault("patches", f"{len(plan.patches)} answers for {len(job.patches)} patches"),)
    faults: list[Fault] = []
    for index, (patch, made) in enumerate(zip(job.patches, plan.patches, strict=True)):
        where = f"patches[{index}]"
        faults += _verdict_faults(where, patch, made)
        for number, part in enumerate(made.parts):
            place = f"{where}.parts[{number}]"
            piece = pieces.get(part.piece)
            if piece is None:
                faults.append(Fault(place, f"there is no piece {part.piece!r}"))
            else:
                faults += _part_faults(place, job, patch, part, piece)
        if made.parts:
            faults += _tiling_faults(where, patch, made)
            faults += _pattern_faults(where, patch, made, pieces, styles)
            faults += _seam_faults(where, made)
            faults += _narrow_faults(where, job, patch, made)
    return (*faults, *_overlap_faults(plan), *_leftover_faults(plan, pieces), *_job_verdict_faults(plan))


def _verdict_faults(where: str, patch: Patch, made: PatchPlan) -> Iterator[Fault]:
    count = len(made.parts)
    right = {Verdict.WHOLE: count == 1, Verdict.JOINED: 2 <= count <= patch.max_parts, Verdict.NONE: count == 0}
    if not right.get(made.verdict, False):
        yield Fault(where, f"verdict {made.verdict} with {count} parts (at most {patch.max_parts} allowed)")


def _part_faults(where: str, job: Job, patch: Patch, part: Part, piece: Piece) -> Iterator[Fault]:
    if not is_simple(part.net) or not is_simple(part.cut):
        yield Fault(where, "net or cut is no simple outline")
        return
    if not inside(part.cut, piece.outline):
        yield Fault(f"{where}.cut", f"reaches outside {piece.tag} or into a cutout")
    apart = whole_turn(piece.pile_deg + part.turn_deg - patch.pile_deg)
    if not any(_same_bearing(apart, turn) for turn in patch.turns):
        yield Fault(f"{where}.turn", f"its pile lies {apart:g}° from the patch's; allowed: {list(patch.turns)}")
    laid = moved_ring(turned_ring(part.cut, part.turn_deg), part.shift)
    net = part.net if area_mm2(part.net) > 0 else part.net[::-1]
    extras = [job.allowance.of(finish) for finish in _finishes(net, patch)]
    for edge in covers_with_allowance(laid, net, extras):
        what = "the net" if edge < 0 else f"the {extras[edge]:g} mm allowance of net edge {edge}"
        yield Fault(f"{where}.cut", f"does not cover {what}")


def _finishes(net: Ring, patch: Patch) -> list[Finish]:
    """The finish of each net edge: that of the patch edge it lies on, else a seam."""
    found = []
    for index, start in enumerate(net):
        end = net[(index + 1) % len(net)]
        on = [
            finish
            for edge, finish in enumerate(patch.edges)
            if _on_line(start, patch, edge) and _on_line(end, patch, edge) and _same_way(start, end, patch, edge)
        ]
        found.append(on[0] if on else Finish.SEAM)
    return found


def _on_line(point: Point, patch: Patch, edge: int) -> bool:
    a, b = patch.ring[edge], patch.ring[(edge + 1) % len(patch.ring)]
    length = math.dist(a, b)
    along = ((point[0] - a[0]) * (b[0] - a[0]) + (point[1] - a[1]) * (b[1] - a[1])) / length
    off = abs((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])) / length
    return off <= TOLERANCE_MM and -TOLERANCE_MM <= along <= length + TOLERANCE_MM


def _same_way(start: Point, end: Point, patch: Patch, edge: int) -> bool:
    a, b = patch.ring[edge], patch.ring[(edge + 1) % len(patch.ring)]
    return (end[0] - start[0]) * (b[0] - a[0]) + (end[1] - start[1]) * (b[1] - a[1]) > 0


def _tiling_faults(where: str, patch: Patch, made: PatchPlan) -> Iterator[Fault]:
    nets = [part.net for part in made.parts]
    if not tiles(nets, patch.ring):
        missing = abs(area_mm2(patch.ring)) - sum(abs(area_mm2(net)) for net in nets)
        yield Fault(where, f"the nets don't tile the outline ({missing:.1f} mm² too little)")
    for (i, one), (j, two) in combinations(enumerate(nets), 2):
        if overlapping(one, two):
            yield Fault(where, f"the nets of parts {i} and {j} overlap")


def _pattern_faults(
    where: str, patch: Patch, made: PatchPlan, pieces: Mapping[str, Piece], styles: Mapping[str, Style]
) -> Iterator[Fault]:
    """Motif points against the patch's own, or against the first part's where the patch has none."""
    meets = patch.motif
    for number, part in enumerate(made.parts):
        piece = pieces.get(part.piece)
        style = styles.get(piece.style) if piece is not None else None
        if piece is None or style is None or style.repeat is None or (meets is None and len(made.parts) == 1):
            continue
        place = f"{where}.parts[{number}]"
        if piece.motif is None:
            yield Fault(place, f"{piece.tag} has a pattern but no motif point is recorded")
            continue
        laid = turned_point(piece.motif, part.turn_deg)
        laid = (laid[0] + part.shift[0], laid[1] + part.shift[1])
        if meets is None:
            meets = laid
            continue
        lay = piece.pile_deg + part.turn_deg
        step = turned_point((laid[0] - meets[0], laid[1] - meets[1]), whole_turn(-lay))
        gap = lattice_gap_mm(step, style.repeat.across_mm, style.repeat.along_mm, style.repeat.drop)
        if gap > TOLERANCE_MM:
            yield Fault(place, f"the pattern misses by {gap:.2f} mm")


def _seam_faults(where: str, made: PatchPlan) -> Iterator[Fault]:
    """Every seam lies between two of the parts, and every meeting of parts has its seam."""
    if len(made.parts) == 1 and made.seams:
        yield Fault(where, "a whole patch has no seams")
    for index, seam in enumerate(made.seams):
        if abs(math.dist(*seam.line) - seam.length_mm) > TOLERANCE_MM:
            yield Fault(f"{where}.seams[{index}]", f"{seam.length_mm:.2f} mm told, {math.dist(*seam.line):.2f} mm drawn")
    if len(made.parts) > 1 and len(made.seams) < len(made.parts) - 1:
        yield Fault(where, f"{len(made.parts)} parts need at least {len(made.parts) - 1} seams, not {len(made.seams)}")


def _narrow_faults(where: str, job: Job, patch: Patch, made: PatchPlan) -> Iterator[Fault]:
    """Square to each of its seams no part is narrower than allowed."""
    for index, seam in enumerate(made.seams):
        (x1, y1), (x2, y2) = seam.line
        heading = math.degrees(math.atan2(x2 - x1, y2 - y1))
        for number in seam.parts:
            if number >= len(made.parts):
                yield Fault(f"{where}.seams[{index}]", f"names part {number} of {len(made.parts)}")
                continue
            left, _, right, _ = bounds(turned_ring(made.parts[number].net, -heading))
            if right - left < job.min_part_mm - TOLERANCE_MM:
                narrow = f"{right - left:.1f} mm across its seam; {job.min_part_mm:g} mm is the least"
                yield Fault(f"{where}.parts[{number}]", narrow)


def _overlap_faults(plan: Plan) -> Iterator[Fault]:
    by_piece: dict[str, list[tuple[str, Ring]]] = {}
    for index, made in enumerate(plan.patches):
        for number, part in enumerate(made.parts):
            by_piece.setdefault(part.piece, []).append((f"patches[{index}].parts[{number}]", part.cut))
    for tag, cuts in by_piece.items():
        for (where, one), (other, two) in combinations(cuts, 2):
            if overlapping(one, two):
                yield Fault(where, f"overlaps {other} on {tag}")


def _leftover_faults(plan: Plan, pieces: Mapping[str, Piece]) -> Iterator[Fault]:
    """Cuts and leftovers of each donor add up to it, give or take what is thinner than the tolerance."""
    cuts: dict[str, list[Ring]] = {}
    for made in plan.patches:
        for part in made.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    for tag, rings in cuts.items():
        piece = pieces.get(tag)
        if piece is None:
            continue
        left = [leftover.outline for leftover in plan.leftovers if leftover.piece == tag]
        gap = piece.outline.usable_area_mm2 - sum(abs(area_mm2(ring)) for ring in rings) - _area(left)
        edge = sum(Outline(ring).usable.length for ring in rings) + piece.outline.usable.length
        if abs(gap) > 4 * TOLERANCE_MM * edge:
            yield Fault(f"leftovers of {tag}", f"cuts and leftovers miss the piece by {gap:.1f} mm²")


def _area(outlines: Sequence[Outline]) -> float:
    return sum(outline.usable_area_mm2 for outline in outlines)


def _job_verdict_faults(plan: Plan) -> Iterator[Fault]:
    verdicts = {made.verdict for made in plan.patches}
    if Verdict.NONE in verdicts:
        due = Verdict.NONE if verdicts == {Verdict.NONE} else Verdict.PARTLY
    else:
        due = Verdict.JOINED if Verdict.JOINED in verdicts else Verdict.WHOLE
    if plan.verdict is not due:
        yield Fault("verdict", f"{plan.verdict} told, {due} by its patches")


def _same_bearing(one_deg: float, two_deg: float) -> bool:
    gap = whole_turn(one_deg - two_deg)
    return min(gap, 360.0 - gap) <= ANGLE_TOLERANCE_DEG * 10
