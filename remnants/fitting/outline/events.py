"""Where each side of an outline may stop: between two such places nothing changes but its length, and nearer is shorter."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from remnants.fitting.outline.place import Place
from remnants.geometry.lattice import Rows
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring, bounds
from remnants.model.proposal import StopKind

__all__ = ["SIDES", "Event", "Side", "sides_of"]

MOST_EVENTS = 9
"""Places at which one side may stop, in all: the nearest ones, and the walls beyond."""

MOST_CORNERS = 12
"""Of what has more corners than this, such as a round table, only the ends count."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Side:
    """A side of a box: its axis (0 across the pile, 1 along it), and the way out (-1 or 1)."""

    axis: int
    out: int

    @property
    def place(self) -> int:
        """Its place in (least x, least y, greatest x, greatest y)."""
        return self.axis + (2 if self.out > 0 else 0)


SIDES = (Side(0, -1), Side(1, -1), Side(0, 1), Side(1, 1))
"""In the order of a box."""


@dataclass(frozen=True, slots=True)
class Event:
    """A place (mm along its side's axis) at which a side may stop, and why there."""

    at: float
    kind: StopKind


def sides_of(place: Place, damage: Sequence[Ring], sizes: Iterable[tuple[float, float]]) -> tuple[tuple[Event, ...], ...]:
    """The places at which each of `SIDES` may stop round some of the damage, the nearest first.

    `sizes` are extents (across, along the pile; mm) of outlines that pieces of the stock can fill.
    """
    box = bounds([point for ring in damage for point in ring])
    nearest = tuple(
        _on_row(place, side, box[side.place] + side.out * place.margin_mm) if not _beyond(place, side, box) else _end(place, side)
        for side in SIDES
    )
    told = tuple(sizes)
    return tuple(_settled(place, side, nearest, told) for side in SIDES)


def _beyond(place: Place, side: Side, box: Box) -> bool:
    """True if the damage with its margin reaches the room's end on this side."""
    if not place.room:
        return False
    return side.out * (box[side.place] + side.out * place.margin_mm - _end(place, side)) >= -TOLERANCE_MM


def _end(place: Place, side: Side) -> float:
    return bounds(place.room)[side.place]


def _settled(place: Place, side: Side, nearest: Sequence[float], sizes: Sequence[tuple[float, float]]) -> tuple[Event, ...]:
    start = nearest[side.place]
    if place.room and side.out * (start - _end(place, side)) >= -TOLERANCE_MM:
        return (Event(_end(place, side), StopKind.WALL),)
    opposite = nearest[side.axis + (0 if side.out > 0 else 2)]
    found: dict[float, Event] = {}
    for event in (Event(start, StopKind.DAMAGE), *_events(place, side, start, opposite=opposite, sizes=sizes)):
        is_past = side.out * (event.at - start) > -TOLERANCE_MM
        within = not place.room or side.out * (event.at - _end(place, side)) <= TOLERANCE_MM
        if is_past and within:
            found.setdefault(round(event.at, 2), event)
    ordered = sorted(found.values(), key=lambda event: side.out * event.at)
    return (*ordered[: MOST_EVENTS - 1], ordered[-1]) if len(ordered) > MOST_EVENTS else tuple(ordered)


def _events(place: Place, side: Side, start: float, *, opposite: float, sizes: Sequence[tuple[float, float]]) -> Iterator[Event]:
    axis, out = side.axis, side.out

    def past(figure: float, kind: StopKind) -> Event:
        return Event(_on_row(place, side, figure + out * 2 * TOLERANCE_MM), kind)

    for figure in _figures(place.room, axis):
        yield Event(figure, StopKind.WALL if abs(figure - _end(place, side)) <= TOLERANCE_MM else StopKind.CORNER)
    for door in place.doors:
        yield from (past(point[axis], StopKind.JAMB) for point in door)
    for ring in place.hidden:
        yield from (past(figure, StopKind.FURNITURE) for figure in _figures(ring, axis))
    for lane in place.lanes:
        yield from (past(figure, StopKind.LANE) for figure in _figures(lane, axis))
    if place.pattern is not None:
        lattice, motif = place.pattern
        lines = Rows((lattice.across_mm, lattice.along_mm)[axis], motif[axis])
        yield Event(lines.at_or_after(start) if out > 0 else lines.at_or_before(start), StopKind.PATTERN)
    for size in sizes:
        yield Event(_on_row(place, Side(axis, -out), opposite + out * size[axis]), StopKind.DONOR)


def _figures(points: Sequence[Point], axis: int) -> tuple[float, ...]:
    """Where a line of points has its corners along an axis; of very many only the ends."""
    figures = tuple(dict.fromkeys(point[axis] for point in points))
    return figures if len(figures) <= MOST_CORNERS else (min(figures), max(figures))


def _on_row(place: Place, side: Side, figure: float) -> float:
    """The first row or mark at or beyond a figure, on the way out."""
    rows = place.rows[side.axis]
    return rows.at_or_after(figure) if side.out > 0 else rows.at_or_before(figure)
