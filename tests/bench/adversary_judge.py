"""The adversary's judge: is a plan right on the floor? Plain geometry of its own; it shares no code with makers or proof."""

import math
from collections.abc import Mapping, Sequence

from remnants.model import Job, Part, Patch, PatchPlan, Piece, Plan, Repeat, Style
from tests.bench.plain_geometry import Place, area, extent, moved, shared, turned_clockwise

__all__ = ["two_rectangles_can", "what_is_wrong"]

GIVE_MM = 0.02
"""What two lengths may differ by: twice the tolerance that part and piece have."""


def what_is_wrong(job: Job, pieces: Mapping[str, Piece], styles: Mapping[str, Style], plan: Plan) -> list[str]:
    """What makes the plan wrong, in words; nothing of a right one."""
    found: list[str] = []
    cuts: dict[str, list[Part]] = {}
    for patch, made in zip(job.patches, plan.patches, strict=True):
        if made.parts:
            found += _of_patch(job, patch, made, pieces, styles)
        for part in made.parts:
            cuts.setdefault(part.piece, []).append(part)
    for tag, parts in cuts.items():
        found += _of_piece(pieces[tag], parts)
    return found


def _give(ring: Sequence[Place]) -> float:
    """The area that a give along all its edges has, mm²."""
    return GIVE_MM * sum(math.dist(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))


def _within(inner: Sequence[Place], outer: Sequence[Place]) -> bool:
    return shared([inner, outer], lambda held: held[0] and not held[1]) <= _give(inner)


def _of_piece(piece: Piece, parts: Sequence[Part]) -> list[str]:
    found = []
    for index, part in enumerate(parts):
        if not _within(part.cut, piece.outline.ring):
            found.append(f"a cut reaches out of {piece.tag}")
        for hole in piece.outline.cutouts:
            if shared([part.cut, hole], all) > _give(part.cut):
                found.append(f"a cut reaches over a cutout of {piece.tag}")
        for other in parts[:index]:
            if shared([part.cut, other.cut], all) > _give(part.cut):
                found.append(f"two cuts of {piece.tag} share carpet")
    return found


def _of_patch(job: Job, patch: Patch, made: PatchPlan, pieces: Mapping[str, Piece], styles: Mapping[str, Style]) -> list[str]:
    found = []
    nets = [part.net for part in made.parts]
    if abs(sum(area(net) for net in nets) - area(patch.ring)) > _give(patch.ring):
        found.append("the nets don't add up to the patch")
    if not all(_within(net, patch.ring) for net in nets):
        found.append("a net reaches out of the patch")
    if any(shared([one, two], all) > _give(one) for i, one in enumerate(nets) for two in nets[:i]):
        found.append("two nets share floor")
    if len(made.parts) > patch.max_parts:
        found.append("more parts than are allowed")
    for part in made.parts:
        piece = pieces[part.piece]
        off = (piece.pile_deg + part.turn_deg - patch.pile_deg) % 360
        if not any(min(abs(off - turn) % 360, 360 - abs(off - turn) % 360) < 1e-6 for turn in patch.turns):
            found.append(f"the pile of a part of {piece.tag} lies {off} degrees off")
        lies = moved(turned_clockwise(part.cut, part.turn_deg), part.shift)
        found += [f"a part of {piece.tag} {fault}" for fault in _bare(job, patch, part.net, lies)]
        if len(made.parts) > 1 and _narrowest(patch, part.net) < job.min_part_mm - GIVE_MM:
            found.append(f"a part of {piece.tag} is too narrow")
    return found + _pattern(patch, made, pieces, styles)


def _bare(job: Job, patch: Patch, net: Sequence[Place], lies: Sequence[Place]) -> list[str]:
    """What of a net and the allowance square to its edges the cut doesn't reach."""
    found = [] if _within(net, lies) else ["doesn't cover its net"]
    for (ax, ay), (bx, by) in zip(net, [*net[1:], net[0]], strict=True):
        length = math.dist((ax, ay), (bx, by))
        ux, uy = (bx - ax) / length, (by - ay) / length
        for first, last, take in _takes(job, patch, (ax, ay), (ux, uy), length):
            if take <= 0 or last - first <= GIVE_MM:
                continue
            foot = [(ax + at * ux, ay + at * uy) for at in (first, last)]
            strip = [foot[0], *((x + take * uy, y - take * ux) for x, y in foot), foot[1]]
            if not _within(strip, lies):
                found.append("lacks its allowance at an edge")
    return found


def _takes(job: Job, patch: Patch, start: Place, along: Place, length: float) -> list[tuple[float, float, float]]:
    """Stretches of a net edge with what each takes: as the patch edge that it lies on, else as a seam."""
    own = []
    for index, (a, word) in enumerate(zip(patch.ring, patch.edges, strict=True)):
        b = patch.ring[(index + 1) % len(patch.ring)]
        off = [abs((x - start[0]) * along[1] - (y - start[1]) * along[0]) for x, y in (a, b)]
        if max(off) <= GIVE_MM:
            ends = [(x - start[0]) * along[0] + (y - start[1]) * along[1] for x, y in (a, b)]
            if ends[0] < ends[1] and min(ends[1], length) - max(ends[0], 0.0) > GIVE_MM:
                own.append((max(ends[0], 0.0), min(ends[1], length), job.allowance.of(word)))
    found, at = [], 0.0
    for first, last, take in sorted(own):
        found += [(at, first, job.allowance.seam_mm), (first, last, take)]
        at = last
    return [*found, (at, length, job.allowance.seam_mm)]


def _narrowest(patch: Patch, net: Sequence[Place]) -> float:
    """The least extent of a part square to any of its seams, mm; the pile frame's axes, for straight seams lie along them."""
    frame = turned_clockwise(net, -patch.pile_deg)
    outline = turned_clockwise(patch.ring, -patch.pile_deg)
    least = math.inf
    for a, b in zip(frame, [*frame[1:], frame[0]], strict=True):
        for axis in (0, 1):
            if abs(a[axis] - b[axis]) <= GIVE_MM and not _on_edge(outline, a, b, axis):
                least = min(least, extent(frame, axis))
    return least


def _on_edge(outline: Sequence[Place], a: Place, b: Place, axis: int) -> bool:
    """True if a level line from a to b lies along edges of the outline, all of it."""
    lies = 0.0
    low, high = sorted((a[1 - axis], b[1 - axis]))
    for c, d in zip(outline, [*outline[1:], outline[0]], strict=True):
        if max(abs(c[axis] - a[axis]), abs(d[axis] - a[axis])) <= GIVE_MM:
            first, last = sorted((c[1 - axis], d[1 - axis]))
            lies += max(0.0, min(last, high) - max(first, low))
    return lies >= high - low - GIVE_MM


def _pattern(patch: Patch, made: PatchPlan, pieces: Mapping[str, Piece], styles: Mapping[str, Style]) -> list[str]:
    """Where motif points, brought to the room, are not whole repeats from the patch's own, or from the first part's."""
    wanted = None if patch.motif is None else turned_clockwise([patch.motif], -patch.pile_deg)[0]
    for part in made.parts:
        repeat, motif = styles[pieces[part.piece].style].repeat, pieces[part.piece].motif
        if repeat is None or (motif is None and wanted is None and len(made.parts) == 1):
            continue
        if motif is None:
            return [f"{part.piece} is patterned, and nobody knows where"]
        lies = turned_clockwise(moved(turned_clockwise([motif], part.turn_deg), part.shift), -patch.pile_deg)[0]
        wanted = lies if wanted is None else wanted
        if not _whole_repeats(repeat, (lies[0] - wanted[0], lies[1] - wanted[1])):
            return [f"the pattern of {part.piece} doesn't meet"]
    return []


def _whole_repeats(repeat: Repeat, step: Place) -> bool:
    across = round(step[0] / repeat.across_mm)
    rest = step[1] - across * repeat.drop * repeat.along_mm
    along = round(rest / repeat.along_mm)
    return abs(step[0] - across * repeat.across_mm) <= GIVE_MM and abs(rest - along * repeat.along_mm) <= GIVE_MM


def two_rectangles_can(
    patch: Place, takes: tuple[float, float, float, float], seam: float, pieces: Sequence[Place], least: float
) -> bool:
    """Whether a rectangle (across, along; mm) can be made whole or from two parts of plain rectangles that keep their lie.

    `takes` are the allowances at its left, bottom, right and top edge, `seam` that of a joint. Closed form: with one seam,
    each part is as wide as its piece allows; both parts of one piece lie beside or above one another.
    """
    for axis in (0, 1):
        size, other = patch[axis], patch[1 - axis] + takes[1 - axis] + takes[3 - axis]
        low, high = takes[axis], takes[axis + 2]
        fit = [piece for piece in pieces if piece[1 - axis] >= other - GIVE_MM]
        if any(piece[axis] >= size + low + high - GIVE_MM for piece in fit):
            return True
        for i, one in enumerate(fit):
            for j, two in enumerate(fit):
                reach, rest = min(one[axis] - low - seam, size - least), min(two[axis] - high - seam, size - least)
                both = reach >= least - GIVE_MM and rest >= least - GIVE_MM and reach + rest >= size - GIVE_MM
                beside = one[axis] >= size + low + high + 2 * seam - GIVE_MM
                above = one[1 - axis] >= 2 * other - GIVE_MM
                if both and (i != j or beside or above):
                    return True
    return False
