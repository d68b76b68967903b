"""Questions about each part: what it is cut from, whether that is there, and whether it fits where it goes."""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from remnants.errors import Fault
from remnants.proof.case import Case, Laid, Question
from remnants.proof.lines import DUST_MM, GIVE_MM, Edge, Point, edges_of
from remnants.proof.motion import apart_deg, brought, lattice_gap_mm, turned
from remnants.proof.regions import Region, overlap_mm, sticks_out_mm

__all__ = ["QUESTIONS", "strips"]

SAME_DEG = 1e-5
"""Bearings this near are equal: over 100 m of carpet it is 0.02 mm."""


def inside(case: Case) -> Iterator[Fault]:
    """Does every cut lie in its piece, clear of cutouts?"""
    for laid in case.laid:
        if laid.ground is None:
            continue
        tag, out = laid.part.piece, sticks_out_mm(laid.cut, laid.ground.outline)
        if out:
            yield Fault(f"{laid.where}.cut", f"reaches {out:.2f} mm outside {tag}")
        deep = max((overlap_mm(laid.cut, cutout) for cutout in laid.ground.cutouts), default=0.0)
        if deep:
            yield Fault(f"{laid.where}.cut", f"reaches {deep:.2f} mm into a cutout of {tag}")


def cuts_apart(case: Case) -> Iterator[Fault]:
    """Do no two cuts share carpet of one piece?"""
    by_tag: dict[str, list[Laid]] = {}
    for laid in case.laid:
        by_tag.setdefault(laid.part.piece, []).append(laid)
    for tag, cuts in by_tag.items():
        for one, two in combinations(cuts, 2):
            if deep := overlap_mm(one.cut, two.cut):
                yield Fault(f"{one.where}.cut", f"reaches {deep:.2f} mm into that of {two.where} on {tag}")


def pile(case: Case) -> Iterator[Fault]:
    """Does the pile of every part lie as the patch allows?"""
    for pair in case.pairs:
        for laid in pair.laid:
            if laid.piece is None:
                continue
            apart = math.fmod(laid.piece.pile_deg + laid.part.turn_deg - pair.patch.pile_deg, 360.0)
            if all(apart_deg(apart, turn) > SAME_DEG for turn in pair.patch.turns):
                yield Fault(f"{laid.where}.turn", f"its pile lies {apart:g}° from the patch's; allowed: {list(pair.patch.turns)}")


def pattern(case: Case) -> Iterator[Fault]:
    """Does every patterned part meet the patch's motif point, or where it has none, that of the first such part?"""
    for pair in case.pairs:
        meets = pair.patch.motif
        for laid in pair.laid:
            style = case.styles.get(laid.piece.style) if laid.piece else None
            if laid.piece is None or style is None or style.repeat is None or (meets is None and len(pair.laid) == 1):
                continue
            if laid.piece.motif is None:
                yield Fault(laid.where, f"{laid.part.piece} has a pattern, but no motif point is recorded")
                continue
            (here,) = brought([laid.piece.motif], laid.part.turn_deg, laid.part.shift)
            meets = meets or here
            lay = laid.piece.pile_deg + laid.part.turn_deg
            step = turned((here[0] - meets[0], here[1] - meets[1]), -lay)
            gap = lattice_gap_mm(step, style.repeat.across_mm, style.repeat.along_mm, style.repeat.drop)
            if gap > GIVE_MM:
                yield Fault(laid.where, f"its pattern misses by {gap:.2f} mm")


def finishes(case: Case) -> Iterator[Fault]:
    """Is each net edge told to end as it does: as the patch edge that it lies on, or in a seam?"""
    for pair in case.pairs:
        for laid in pair.laid if pair.complete else ():
            told = laid.part.finishes
            if told and len(told) != len(laid.part.net):
                yield Fault(f"{laid.where}.finishes", f"{len(told)} told for {len(laid.part.net)} edges")
                continue
            for number, stretches in sorted(pair.finishes(laid).items()) if told else ():
                due = {finish for _, finish in stretches}
                if told[number] not in due:
                    what = f"{told[number]} told, but it ends in {' and '.join(sorted(due))}"
                    yield Fault(f"{laid.where}.finishes[{number}]", what)


def covered(case: Case) -> Iterator[Fault]:
    """Does every cut, turned and moved, cover its net?"""
    for laid in case.laid:
        if bare := sticks_out_mm(laid.net, laid.lies):
            yield Fault(f"{laid.where}.cut", f"leaves {bare:.2f} mm of the net bare")


def allowance(case: Case) -> Iterator[Fault]:
    """Does every cut reach past each net edge by what it takes there, and at outward corners to where both strips meet?"""
    for pair in case.pairs:
        for laid in pair.laid:
            corners, extras, numbers = [], [], []
            finishes = pair.finishes(laid)
            for edge in edges_of(laid.part.net):
                for place, (start, finish) in enumerate(finishes[edge.number]):
                    corners.append(edge.at(start) if place else (edge.ax, edge.ay))
                    extras.append(case.job.allowance.of(finish))
                    numbers.append(edge.number)
            for index, region in strips(corners, extras):
                if bare := sticks_out_mm(region, laid.lies):
                    what = f"{bare:.2f} mm of the {extras[index]:g} mm allowance of net edge {numbers[index]}"
                    yield Fault(f"{laid.where}.cut", f"leaves {what} bare")


def strips(net: Sequence[Point], extras: Sequence[float]) -> Iterator[tuple[int, Region]]:
    """What a cut must hold beside each net edge, and round the corner at its end, with the number of the edge.

    `extras[i]` (mm) is the allowance of net edge i; the net runs counter-clockwise.
    """
    edges = edges_of(net)
    for edge, after in zip(edges, (*edges[1:], edges[0]), strict=True):
        one, two = extras[edge.number], extras[after.number]
        x, y = edge.uy * one, -edge.ux * one
        start, end = (edge.ax, edge.ay), (edge.bx, edge.by)
        if one > 0:
            yield edge.number, Region(((start, (start[0] + x, start[1] + y), (end[0] + x, end[1] + y), end),))
        tip = _tip(edge, one, after, two)
        if tip is not None:
            foot = end[0] + after.uy * two, end[1] - after.ux * two
            yield edge.number, Region(((end, (end[0] + x, end[1] + y), tip, foot),))


def _tip(edge: Edge, one: float, after: Edge, two: float) -> Point | None:
    """Where the outer sides of two strips meet past the outward corner between them; None if short of either's end.

    A free edge has no strip: its own line is its outer side.
    """
    sine = edge.ux * after.uy - edge.uy * after.ux
    if sine <= DUST_MM:
        return None
    # corner + one * normal + ahead * edge is on both sides; and as far back along the second edge
    cosine = edge.ux * after.ux + edge.uy * after.uy
    ahead, back = (two - one * cosine) / sine, (one - two * cosine) / sine
    if min(ahead, back) < (0.0 if one > 0 and two > 0 else DUST_MM):
        return None
    return edge.bx + one * edge.uy + ahead * edge.ux, edge.by - one * edge.ux + ahead * edge.uy


QUESTIONS: tuple[Question, ...] = (
    inside,
    cuts_apart,
    pile,
    pattern,
    finishes,
    covered,
    allowance,
)
