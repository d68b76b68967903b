"""A whole house seen from above: every room with its cuts' numbers, seams, doorways and the way its pile lays."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from remnants.estimating import ROLL, Cut, Laying, Room
from remnants.geometry.outline import Point, Ring, area_mm2, bounds
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.model.house_plan import CarpetPlan
from remnants.report.board import SMALL_MM, Board, Heading, Paper, frame_of
from remnants.report.drawing import Anchor, Area, Box, Drawing, Fill, Lines, Mark, Pen, Words, shifted
from remnants.report.house_places import room_places
from remnants.report.layout import Tag, tag_all
from remnants.report.lettering import width_mm
from remnants.report.marks import disc, part_arrow, pointed, seam
from remnants.report.order_view import opening
from remnants.report.scan import box_in_ring
from remnants.report.wording import bearing_text, scale_text, stopped
from remnants.units import Unit, is_imperial

__all__ = ["HouseDrawn", "house_drawing", "legend"]

BESIDE_MM = 16.0
"""Room kept right of the house for numbers that have none in their cuts."""

NAME_SHARES = (0.88, 0.12, 0.76, 0.24, 0.64, 0.36, 0.5)
"""How far up a room its name is tried, and then how far across."""


@dataclass(frozen=True)
class HouseDrawn:
    """The drawing, and what had no room on it: numbers of cuts, and lines to tell under it."""

    drawing: Drawing
    left_out: tuple[str, ...]
    told: tuple[str, ...]


@dataclass(frozen=True)
class _Laid:
    """A room as it is laid: where its axes lie in the house (mm), its letter for the carpet, and the numbers of its cuts."""

    room: Room
    laying: Laying
    place: Point
    letter: str
    numbers: Mapping[str, int]
    sources: Mapping[str, str]

    def ring(self, board: Board, ring: Iterable[Point]) -> Ring:
        """A ring of the room's axes as drawn (paper mm)."""
        return board.frame.ring(moved_ring(tuple(ring), self.place))

    def net(self, cut: Cut) -> Ring:
        """The floor that a cut covers, in the room's axes."""
        assert cut.net is not None, "a room's cut covers floor"
        return turned_ring((largest_rectangle(cut.net) if cut.net.cutouts else cut.net).ring, self.laying.pile_deg)


def house_drawing(parts: Sequence[CarpetPlan], unit: Unit, *, name: str, room: tuple[float, float]) -> HouseDrawn:
    """The house as large as a usual scale lets it be drawn into `room` (width and height, paper mm)."""
    laid = list(_laid(parts))
    box = bounds([corner for each in laid for corner in moved_ring(each.room.outline.ring, each.place)])
    space = (room[0] - BESIDE_MM, room[1])
    board = Board(frame_of(box, space, feet=is_imperial(unit)))
    for each in laid:
        _floor(board, each)
    left_out = tag_all(board, [tag for each in laid for tag in _tags(board, each)])
    bare = [each for each in laid if not _arrow(board, each)]
    unnamed = [each.room.name for each in laid if not _name(board, each)]
    for each in laid:
        _seams(board, each)
    told = [f"{each.room.name}: the pile lays {bearing_text(each.laying.pile_deg)}." for each in bare]
    told += [f"{each}: too small for its name here." for each in unnamed]
    paper = Paper(room[0], room[1], 0.0, keyed=False, headed=False)
    scale = scale_text(board.frame.scale, unit)
    lines = [f"{each.room.name}: cuts {_listed(each)}, pile {bearing_text(each.laying.pile_deg)}" for each in laid]
    heading = Heading(f"{name}, {scale}", (), " ".join(stopped(line) for line in lines))
    return HouseDrawn(board.finish("house", heading, key=lines, paper=paper), left_out, tuple(told))


def _listed(laid: _Laid) -> str:
    return ", ".join(str(laid.numbers[cut.name]) for cut in laid.laying.cuts)


def _laid(parts: Sequence[CarpetPlan]) -> Iterator[_Laid]:
    places = room_places(parts)
    for index, part in enumerate(parts):
        rooms = {room.name: room for room in part.plan.floors.rooms}
        sources = {each.cut.name: each.source for each in part.plan.placed}
        letter = chr(ord("A") + index) if len(parts) > 1 else ""
        for laying in part.plan.layings:
            if laying.room in rooms:
                room = rooms[laying.room]
                place = places[room.name] if not room.parts else _first(places[room.parts[0].name], room.parts[0].shift)
                yield _Laid(room, laying, place, letter, part.plan.cut_numbers, sources)


def _first(place: Point, shift: Point) -> Point:
    """Where the axes of rooms laid as one lie, by the first of them."""
    return place[0] - shift[0], place[1] - shift[1]


def _floor(board: Board, laid: _Laid) -> None:
    """Walls, cuts and doorways of one room."""
    rings = (laid.room.outline.ring, *laid.room.outline.cutouts)
    board.add(Area(tuple(laid.ring(board, ring) for ring in rings), Fill.PAPER, Pen.THICK))
    for cut in laid.laying.cuts:
        if cut.net is not None:
            ring = laid.ring(board, turned_ring(cut.net.ring, laid.laying.pile_deg))
            board.add(Area((ring,), Fill.NONE, Pen.HAIR))
    for door in (*laid.room.doorways, *laid.room.openings):
        a, b = laid.ring(board, (door.start, door.end))
        board.add(Area((opening(a, b),), Fill.PAPER, Pen.PLAIN))


def _seams(board: Board, laid: _Laid) -> None:
    """Drawn last: no name may hide one."""
    for each in laid.laying.seams:
        a, b = laid.ring(board, each.seam.line)
        board.add(*seam(a, b, Pen.PLAIN))


def _cuts_drawn(board: Board, laid: _Laid) -> list[Ring]:
    """The floor of each cut as drawn, the largest first."""
    rings = [laid.ring(board, laid.net(cut)) for cut in laid.laying.cuts if cut.net is not None]
    return sorted(rings, key=lambda ring: -abs(area_mm2(ring)))


def _arrow(board: Board, laid: _Laid) -> bool:
    """The way the pile lays, in the largest of the cuts that have room for it."""
    return any(part_arrow(board, ring, laid.laying.pile_deg) for ring in _cuts_drawn(board, laid))


def _name(board: Board, laid: _Laid) -> bool:
    """Writes the room's name in one of its cuts, or across them, with its carpet's letter; False where it has no room."""
    return any(_name_in(board, laid, ring) for ring in (*_cuts_drawn(board, laid), laid.ring(board, laid.room.outline.ring)))


def _name_in(board: Board, laid: _Laid, ring: Ring) -> bool:
    left, low, right, top = bounds(ring)
    called = f"{laid.room.name} ({laid.letter})" if laid.letter else laid.room.name
    for words in (called, called if len(called) < NAME_LETTERS else f"{called[: NAME_LETTERS - 1]}…"):
        for lean in (0.0, 90.0):
            for up in NAME_SHARES:
                for over in NAME_SHARES[::-1]:
                    at = (left + (right - left) * (over if not lean else up), low + (top - low) * (up if not lean else over))
                    made = Words(words, at, SMALL_MM, Anchor.MIDDLE, bold=True, lean_deg=lean, halo=True)
                    if board.free(made.box) and box_in_ring(_wider(made.box), ring):
                        board.write(made)
                        return True
    return False


NAME_LETTERS = 14
"""Letters of a name that is cut short where the whole has no room."""


def _wider(box: Box) -> Box:
    return box[0] - 0.8, box[1] - 0.4, box[2] + 0.8, box[3] + 0.4


def _tags(board: Board, laid: _Laid) -> Iterator[Tag]:
    for cut in laid.laying.cuts:
        if cut.net is not None:
            from_stock = laid.sources[cut.name] != ROLL
            yield Tag(str(laid.numbers[cut.name]), laid.ring(board, laid.net(cut)), (), square=from_stock)


def legend(*, stock: bool) -> tuple[tuple[Mark, ...], float]:
    """What the signs mean, on a line: the marks (paper mm, about y = 0 from x = 0), and how wide they are."""
    marks: list[Mark] = []
    x = 0.0
    for sign, words in _signs(stock=stock):
        marks += [*(shifted(mark, x, 0.0) for mark in sign), Words(words, (x + SIGN_MM + 1.2, 0.0), SMALL_MM)]
        x += SIGN_MM + width_mm(words, SMALL_MM) + 5.0
    return tuple(marks), x - 5.0


SIGN_MM = 8.0
"""How wide a sign of the legend is."""


def _signs(*, stock: bool) -> Iterator[tuple[tuple[Mark, ...], str]]:
    middle = SIGN_MM / 2
    number = Words("1", (middle, 0.0), SMALL_MM, Anchor.MIDDLE, bold=True)
    box = ((middle - 2.2, -2.2), (middle + 2.2, -2.2), (middle + 2.2, 2.2), (middle - 2.2, 2.2))
    yield (Area((disc((middle, 0.0), 2.4),), Fill.PAPER, Pen.PLAIN), number), "cut, its number on its back"
    if stock:
        yield (Area((box,), Fill.PAPER, Pen.PLAIN), number), "cut from stock"
    yield (Lines((((0.0, 0.0), (SIGN_MM, 0.0)),), Pen.THICK),), "wall"
    yield tuple(seam((0.0, 0.0), (SIGN_MM, 0.0), Pen.PLAIN)), "seam"
    yield (Area((opening((0.0, 0.0), (SIGN_MM, 0.0)),), Fill.PAPER, Pen.PLAIN),), "doorway"
    yield tuple(pointed((SIGN_MM, 0.0), (0.0, 0.0))), "the pile lays this way"
