"""Where a part can lie on a ground beside others, kept up as one after the other is laid: its places less those that each bars.

All is on the grid of `lie`, in whole micrometres: what a part bars to another is worked out once, and moved where that one lies.
"""

from collections.abc import Iterable

import pyclipper

from remnants.geometry.hull import grid_hull
from remnants.geometry.lie import SLACK, Ground, Paths, grid_shares, region
from remnants.geometry.outline import Ring

__all__ = ["Step", "barred", "lowest", "open_beside", "places", "quarter_turned", "still_open"]

CONTACT = 2
"""Micrometres that parts may overlap each other and the edge: so a gap that a part just fills is a place, and not a line."""

Step = tuple[int, int]
"""A move in whole micrometres."""


def places(ground: Ground, part: Ring) -> Paths:
    """The moves that bring a part (mm) inside the ground; none where it has no place."""
    return _grown(region(ground, part).paths, CONTACT - SLACK)


def barred(laid: Ring, part: Ring) -> Paths:
    """The moves of a part at which it overlaps one that is laid at no move (both mm)."""
    hulls = [
        grid_hull([(int(p[0] - q[0]), int(p[1] - q[1])) for p in one for q in two])
        for one in grid_shares(laid)
        for two in grid_shares(part)
    ]
    return _grown(pyclipper.SimplifyPolygons(hulls, pyclipper.PFT_NONZERO), -CONTACT)


def still_open(here: Paths, bars: Paths, laid: Step) -> Paths:
    """The places of `here` that are left once another part is laid at a move; `bars` are those that it bars at no move."""
    return open_beside(here, ((bars, laid),))


def open_beside(here: Paths, laid: Iterable[tuple[Paths, Step]]) -> Paths:
    """The same once several are laid: what each bars at no move, and its move."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(here, pyclipper.PT_SUBJECT, True)
    for bars, (x0, y0) in laid:
        if bars:
            clipper.AddPaths([[(x + x0, y + y0) for x, y in path] for path in bars], pyclipper.PT_CLIP, True)
    left: Paths = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return left


def lowest(here: Paths, *, lean: float) -> Step:
    """The lowest of some places, there must be one, where the level rises by `lean` from left to right; below 0 it falls."""
    _, x, y = min([(y + lean * x, x, y) for path in here for x, y in path])
    return x, y


def quarter_turned(paths: Paths, quarters: int) -> Paths:
    """The moves seen from axes in which everything is turned clockwise by so many quarters."""
    for _ in range(quarters):
        paths = [[[y, -x] for x, y in path] for path in paths]
    return paths


def _grown(paths: Paths, by: int) -> Paths:
    """Paths grown by so many micrometres, drawn in where that is below 0."""
    if not paths:
        return []
    offset = pyclipper.PyclipperOffset(2.0)
    offset.AddPaths(paths, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
    grown: Paths = offset.Execute(by)
    return grown
