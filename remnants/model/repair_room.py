"""A room that patches lie in, as far as a job tells: its walls, where people walk, where light comes from, what nobody sees."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.model.finish import Finish

__all__ = ["Opening", "RepairRoom", "name_key", "names_twice"]


@dataclass(frozen=True, slots=True)
class Opening:
    """A doorway in a room's edge: `start_mm` from the edge's first corner, perhaps `to` another room.

    A `shut` one isn't walked through; the pile should face the `entry`.
    """

    edge: int
    start_mm: float
    width_mm: float
    to: str = ""
    shut: bool = False
    entry: bool = False


@dataclass(frozen=True)
class RepairRoom:
    """A room in its own axes (mm), those of the patches that name it where it has an outline.

    `ring` is counter-clockwise, () where the outline isn't known; `edges[i]` is the finish from corner i to i + 1. `lanes` are
    lines along which people walk, `hidden` rings that furniture covers. `light_deg` is the bearing from which light comes in,
    `pile_deg` the way the pile lays, degrees clockwise from +y. Rows run along the pile, `row_mm` apart, counted from `row_from`
    (None: the room's (0, 0)).
    """

    name: str
    ring: Ring = ()
    edges: tuple[Finish, ...] = ()
    doorways: tuple[Opening, ...] = ()
    lanes: tuple[tuple[Point, ...], ...] = ()
    hidden: tuple[Ring, ...] = ()
    light_deg: float | None = None
    pile_deg: float | None = None
    row_mm: float | None = None
    row_from: Point | None = None

    def __post_init__(self) -> None:
        faults = [] if self.name.strip() else [Fault("name", "the room needs a name, so that patches can name it")]
        if len(self.edges) != len(self.ring):
            counts = f"{len(self.edges)} finishes for {len(self.ring)} edges"
            faults.append(Fault("edges", f"{counts}: give one for each, or one word for all"))
        faults += self._without_outline() if not self.ring else self._off_the_wall()
        faults += [fault for index, lane in enumerate(self.lanes) for fault in _faults_of_lane(lane, f"lanes[{index}]")]
        faults += [
            Fault(where, f"{bearing!r} is no bearing: give degrees clockwise from the room's +y")
            for where, bearing in (("light", self.light_deg), ("pile", self.pile_deg))
            if bearing is not None and not math.isfinite(bearing)
        ]
        if self.row_mm is not None and not (math.isfinite(self.row_mm) and self.row_mm > TOLERANCE_MM):
            faults.append(Fault("row", f"{self.row_mm!r} mm is no spacing of rows: give one above zero"))
        if faults:
            raise BadInput(faults)

    def _without_outline(self) -> list[Fault]:
        given = (("doorways", self.doorways), ("lanes", self.lanes), ("hidden", self.hidden), ("row_from", self.row_from))
        what = "this lies in the room's axes: give the room's outline too, or leave this out"
        return [Fault(where, what) for where, value in given if value]

    def _off_the_wall(self) -> list[Fault]:
        return [
            Fault(f"doorways[{index}]", "the doorway is off the wall: it must lie on one edge and be no wider than it")
            for index, door in enumerate(self.doorways)
            if not 0 <= door.edge < len(self.ring)
            or door.width_mm <= TOLERANCE_MM
            or door.start_mm < -TOLERANCE_MM
            or door.start_mm + door.width_mm > math.dist(*self._edge(door.edge)) + TOLERANCE_MM
        ]

    def _edge(self, edge: int) -> tuple[Point, Point]:
        return self.ring[edge], self.ring[(edge + 1) % len(self.ring)]

    def line_of(self, door: Opening) -> tuple[Point, Point]:
        """The stretch of the room's edge that a doorway opens (mm)."""
        (x1, y1), (x2, y2) = self._edge(door.edge)
        length = math.dist((x1, y1), (x2, y2))
        along = ((x2 - x1) / length, (y2 - y1) / length)
        start, end = ((x1 + along[0] * far, y1 + along[1] * far) for far in (door.start_mm, door.start_mm + door.width_mm))
        return start, end


def _faults_of_lane(lane: Sequence[Point], where: str) -> Iterator[Fault]:
    if len(lane) < 2:
        points = "1 point" if len(lane) == 1 else "no points"
        yield Fault(where, f"this lane has {points}: give where people come from and where they go, at least two")
    elif all(math.dist(lane[0], point) <= TOLERANCE_MM for point in lane):
        yield Fault(where, "this lane has no length: its points are one and the same; give where people come from and go")


def name_key(name: str) -> str:
    """What tells rooms apart: upper and lower case and blanks don't count."""
    return " ".join(name.casefold().split())


def names_twice(names: Iterable[str]) -> Iterator[Fault]:
    """A fault for each room whose name one before it has."""
    seen: dict[str, int] = {}
    for index, name in enumerate(names):
        first = seen.setdefault(name_key(name), index)
        if first != index and name.strip():
            yield Fault(f"rooms[{index}].name", f"{name!r} is the name of rooms[{first}] too: give each room its own")
