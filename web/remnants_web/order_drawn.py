"""The page where rooms are drawn and pushed together: rectangles and L's by their places, doorways set once for both sides.

It has the fields of the order's form, and a place for each room. It leads into the order with the rooms file that it makes.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from flask import make_response, render_template, request
from werkzeug.wrappers import Response as BaseResponse

from remnants.errors import BadInput, Fault
from remnants.exchange.plans.openings import Opens
from remnants.exchange.plans.pushed import Pushed, pushed_together
from remnants.exchange.plans.rooms import PlanRead, PlanRoom, rooms_file
from remnants.model import Role
from remnants_web.access import needs
from remnants_web.gate import rooms_sent
from remnants_web.order import area
from remnants_web.problems import STATUS
from remnants_web.rooms_form import CORNERS, MOST_ROOMS, WALLS, rooms_asked, rows_of, told_at
from remnants_web.shapes import Form, Typed, collected, entry_unit, length_at
from remnants_web.words import reader_unit

__all__ = ["area"]

FEWEST_ROWS = 3


@dataclass(frozen=True)
class RoomShown:
    """A room as the drawing shows it, y downwards: its corners, its name and where it stands, its doorways."""

    points: str
    name: str
    at: tuple[float, float]
    doorways: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True)
class DrawnShown:
    """The drawing (mm), what is told of it, and the rooms file that it makes."""

    box: str
    letters: float
    rooms: tuple[RoomShown, ...]
    told: tuple[str, ...]
    file: str


@area.get("/draw")
@needs(Role.LOOK)
def draw() -> BaseResponse:
    """The form, and what it tells so far as a drawing."""
    form = Typed({name: text for name, text in request.args.items() if text.strip()})
    try:
        shown = _shown(form) if rows_of(form) else None
    except BadInput as error:
        return make_response(_page(form, faults=error.told), STATUS[BadInput])
    return make_response(_page(form, shown=shown))


def _page(form: Typed, *, faults: tuple[Fault, ...] = (), shown: DrawnShown | None = None) -> str:
    rows = min(MOST_ROOMS, max(FEWEST_ROWS, max(rows_of(form), default=0) + 1))
    unit = "in" if reader_unit() in ("ft", "in") else reader_unit().value
    return render_template(
        "order_drawn.html", form=form, faults=faults, shown=shown, rows=rows, corners=CORNERS, walls=WALLS, entered=unit
    )


def _shown(form: Form) -> DrawnShown:
    """What the form tells. Raises BadInput at its fields."""
    try:
        file = rooms_asked(form, ())
        rooms = rooms_sent(file).floors.rooms
    except BadInput as error:
        raise told_at(error, form) from None
    faults: list[Fault] = []
    walls = collected(faults, _length, form, "wall_between")
    placed = []
    for row, room, entry in zip(rows_of(form), rooms, file["rooms"], strict=True):
        x, y = (collected(faults, _length, form, f"{axis}_{row}") or 0.0 for axis in ("x", "y"))
        ring = tuple((px + x, py + y) for px, py in room.outline.ring)
        doors = entry.get("doorways", ())
        ways = tuple((Opens(door["edge"], door["from"].mm, door["width"].mm, 0.0), "") for door in doors)
        placed.append(PlanRoom(room.name, "", ring, doorways=ways))
    if faults:
        raise BadInput(faults)
    pushed = pushed_together(placed, walls or 0.0, reader_unit())
    made = rooms_file(PlanRead(pushed.rooms, (), ()), "order", entry_unit())
    return _drawn(pushed, json.dumps(file | {"rooms": made["rooms"]}, default=str))


def _length(form: Form, name: str) -> float:
    text = form.get(name, "").strip()
    return length_at(name, text).mm if text else 0.0


def _drawn(pushed: Pushed, file: str) -> DrawnShown:
    corners = [corner for room in pushed.rooms for corner in room.ring]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    edge = max(right - left, high - low) / 30
    box = f"{left - edge:.1f} {-edge:.1f} {right - left + 2 * edge:.1f} {high - low + 2 * edge:.1f}"
    return DrawnShown(box, edge * 1.2, tuple(_room(room, high) for room in pushed.rooms), pushed.told, file)


def _room(room: PlanRoom, high: float) -> RoomShown:
    xs, ys = zip(*room.ring, strict=True)
    middle = ((min(xs) + max(xs)) / 2, high - (min(ys) + max(ys)) / 2)
    points = " ".join(f"{x:.1f},{high - y:.1f}" for x, y in room.ring)
    return RoomShown(points, room.name, middle, tuple(_way(room.ring, opens, high) for opens, _ in room.doorways))


def _way(ring: Sequence[tuple[float, float]], opens: Opens, high: float) -> tuple[float, float, float, float]:
    """A doorway's line."""
    (ax, ay), (bx, by) = ring[opens.edge], ring[(opens.edge + 1) % len(ring)]
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    start, end = opens.start_mm / length, (opens.start_mm + opens.width_mm) / length
    return (
        round(ax + start * (bx - ax), 1),
        round(high - (ay + start * (by - ay)), 1),
        round(ax + end * (bx - ax), 1),
        round(high - (ay + end * (by - ay)), 1),
    )
