"""How each seamed edge of a patch is cut: with the row, across it or along a slant, as its construction asks. Lengths mm.

The ways are common practice, no source; cutting between rows is preferred at every seam (CRI 2011, 12.1).
"""

import math
from collections.abc import Sequence
from enum import Enum

from remnants.model import Construction, Patch
from remnants.sights.runs import Run, runs_round
from remnants.units import Unit, write_length

__all__ = ["Lie", "lie_of", "looped", "seam_edge_lines"]

SQUARE_DEG = 1.0
"""An edge this near to the pile, or to square across it, is cut with the row or straight across."""


class Lie(Enum):
    """How an edge lies to the pile: what it is called, and how it is cut."""

    ALONG = ("along the pile", "a row cut")
    ACROSS = ("across the pile", "a cross cut along a straightedge, square to the rows")
    SLANTED = ("on a slant", "along a straightedge, row by row")
    CURVED = ("on a curve", "along the line drawn, row by row")


_ALONG = {
    Construction.CUT: "part the pile with a blunt tool, blade between two rows of tufts",
    Construction.LOOP: "blade between two rows of loops, from the pile side; cut no loop",
    Construction.CUT_AND_LOOP: "part the pile, blade between two rows; cut no loop",
    Construction.WOVEN: "along one thread of the weave, and seal it at once",
    Construction.NEEDLED: "along a straightedge, for there are no rows",
}
_LOOPED = (Construction.LOOP, Construction.CUT_AND_LOOP)


def looped(construction: Construction | None) -> bool:
    """True for carpet with loops that a cut across the rows must go through."""
    return construction in _LOOPED


def lie_of(run: Run, pile_deg: float) -> Lie:
    """How a run lies to the pile (degrees clockwise from up)."""
    if len({round(stretch.bearing_deg) % 180 for stretch in run.stretches}) > 1:
        return Lie.CURVED
    off = abs(math.remainder(run.stretches[0].bearing_deg - pile_deg, 180.0))
    if off <= SQUARE_DEG:
        return Lie.ALONG
    return Lie.ACROSS if 90.0 - off <= SQUARE_DEG else Lie.SLANTED


def seam_edge_lines(patch: Patch, construction: Construction | None, unit: Unit) -> tuple[str, ...]:
    """A line for each way of lying that the seamed edges have: which edges those are, how long, and how they are cut."""
    runs = runs_round(patch.ring, patch.edges)
    lines = []
    for lie in Lie:
        edges = [f"{_side(run)} {write_length(run.length_mm, unit)}" for run in runs if lie_of(run, patch.pile_deg) is lie]
        if edges:
            called, _ = lie.value
            lines.append(f"{patch.name}, {called} ({', '.join(edges)}): {_how(lie, construction)}.")
    return tuple(lines)


def _how(lie: Lie, construction: Construction | None) -> str:
    _, cut = lie.value
    if lie is Lie.ALONG:
        return f"{cut}: {_ALONG[construction]}" if construction else cut
    if looped(construction):
        return f"{cut}; cut every loop through with scissors, and pull none"
    if construction is Construction.WOVEN:
        return f"{cut}; seal it at once, for woven edges run"
    return cut


def _side(run: Run) -> str:
    """Which edge of the patch's drawing a run is, by where its outside lies."""
    if len({round(stretch.bearing_deg) for stretch in run.stretches}) > 1:
        return "curve"
    outward = (run.stretches[0].bearing_deg + 90.0) % 360.0  # the ring runs counter-clockwise: its outside lies to the right
    names: Sequence[str] = ("top", "right", "bottom", "left")
    nearest = round(outward / 90.0) % 4
    return names[nearest] if abs(math.remainder(outward - nearest * 90.0, 360.0)) <= SQUARE_DEG else "slant"
