"""From the ways a file gives a size to a checked outline, and its edges kept with it."""

from collections.abc import Sequence
from typing import Any

from remnants.errors import BadInput, BadOutline, Fault, join_place
from remnants.exchange.entries import Circled, PieceEntry, RoundEntry, Sized
from remnants.exchange.job_entries import PatchEntry
from remnants.exchange.reading import MISSING
from remnants.geometry import Outline, Point, Ring
from remnants.geometry.outline import area_mm2, outline_of, rectangle, ring_of, round_outline
from remnants.limits import CORNERS
from remnants.model import Finish

__all__ = ["damage_rings", "edge_finishes", "patch_shape", "piece_outline", "shape_corners", "sized_corners"]


def piece_outline(entry: PieceEntry) -> Outline:
    """The outline of a piece, mm. Raises BadInput with places inside the entry."""
    corners = sized_corners(entry, outside=False)
    if sum(map(len, entry.cutouts)) > CORNERS:
        raise BadInput([Fault("cutouts", f"more than {CORNERS:,} corners in all; give fewer, each where the edge turns")])
    if not entry.cutouts and entry.width is not None and entry.length is not None:
        return rectangle(entry.width, entry.length)
    try:
        return outline_of(corners, entry.cutouts)
    except BadOutline as error:
        raise _placed(error) from None


def patch_shape(entry: PatchEntry) -> tuple[Ring, tuple[Finish, ...]]:
    """The counter-clockwise ring of a patch, mm, and the finish of each of its edges.

    Edges are counted from the corners as given: edge i runs from corner i to i + 1, whichever way round they run.
    """
    corners = sized_corners(entry, outside=True)
    try:
        ring = ring_of(corners)
    except BadOutline as error:
        raise _placed(error) from None
    edges = edge_finishes(entry.edges, given=len(corners), needed=len(ring))
    return ring, tuple(reversed(edges)) if area_mm2(corners) < 0 else edges


def damage_rings(entry: PatchEntry) -> tuple[Ring, ...]:
    """The rings (mm, counter-clockwise) of what must go, circles drawn round outside. Raises BadOutline at `damage`."""
    told: Any = entry.damage
    several = not isinstance(told, RoundEntry) and not (told and isinstance(told[0], tuple) and isinstance(told[0][0], float))
    shapes = [(shape, f"damage[{index}]") for index, shape in enumerate(told)] if several else [(told, "damage")]
    rings: list[Ring] = []
    faults: list[Fault] = []
    for shape, place in shapes:
        try:
            rings.append(ring_of(shape_corners(shape, "", outside=True), "damage"))
        except BadOutline as error:
            faults += error.at(place).faults
    if faults:
        raise BadOutline(faults)
    return tuple(rings)


def edge_finishes(edges: Finish | tuple[Finish, ...], *, given: int, needed: int) -> tuple[Finish, ...]:
    """The finish of each of the edges that are `needed`, from one word for all or one for each of the corners `given`."""
    if isinstance(edges, Finish):
        return (edges,) * needed
    if len(edges) == needed:
        return edges
    if len(edges) == given == needed + 1:  # the first corner is repeated, and so the edge that would close it has no length
        return edges[:needed]
    raise BadInput([Fault("edges", f"{len(edges)} finishes for {needed} edges: give one for each, or one word for all")])


def sized_corners(entry: Sized, *, outside: bool) -> Sequence[Point]:
    """The corners of an outline as given (mm); a circle's lie `outside` it or inside. Raises BadInput."""
    sides, circle = (entry.width, entry.length), (entry.centre, entry.radius, entry.diameter)
    ways = [entry.outline is not None, any(side is not None for side in sides), any(value is not None for value in circle)]
    if sum(ways) != 1:
        what = "no size is given" if not any(ways) else "its size is given in two ways"
        raise BadInput([Fault("", f"{what}: give width and length, or an outline, or a radius or diameter")])
    if entry.outline is not None:
        return shape_corners(entry.outline, "outline", outside=outside)
    if entry.width is not None and entry.length is not None:
        return rectangle(entry.width, entry.length).ring
    if ways[2]:
        return _round(entry, "", outside=outside)
    lacking = "width" if entry.width is None else "length"
    raise BadInput([Fault(lacking, MISSING)])


def shape_corners(shape: Sequence[Point] | RoundEntry, place: str, *, outside: bool) -> Sequence[Point]:
    """The corners of an outline given as corners or as a circle (mm), at a place of the entry. Raises BadOutline."""
    return _round(shape, place, outside=outside) if isinstance(shape, RoundEntry) else shape


def _round(entry: Circled, place: str, *, outside: bool) -> Ring:
    radius_mm = entry.radius if entry.diameter is None else entry.diameter / 2
    if radius_mm is None or (entry.radius is not None and entry.diameter is not None):
        what = MISSING if radius_mm is None else "given beside `diameter`; give one of them"
        raise BadInput([Fault(join_place(place, "radius"), what)])
    try:
        return round_outline(entry.centre or (radius_mm, radius_mm), radius_mm, outside=outside).ring
    except BadOutline as error:
        raise error.at(place) from None


def _placed(error: BadOutline) -> BadOutline:
    """Places on the ring itself are places in `outline`; those on cutouts stay."""
    return BadOutline(
        fault if fault.where.startswith("cutouts") else BadOutline([fault]).at("outline").faults[0] for fault in error.faults
    )
