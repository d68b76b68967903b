"""The room that damage lies in, as a form tells it: by its sides, or one of a rooms file or drawing that was sent.

A doorway is measured from the left or lower end of its wall, as the room lies on paper. Out come the keys of a job file's room.
"""

import json
import math
from typing import Any

from remnants.errors import BadInput, Fault
from remnants.exchange import read_job
from remnants.exchange.rooms_for_job import rooms_for_job
from remnants.exchange.source import read_json
from remnants.limits import ROOMS_FILE_BYTES
from remnants.model import Finish, RepairRoom
from remnants.model.repair_room import name_key
from remnants.units import TypedLength, parse_length
from remnants_web.choices import digits
from remnants_web.gate import rooms_sent
from remnants_web.jobs import told_before
from remnants_web.shapes import Form, Typed, bearing_of, collected, edges_of, entry_unit, length_at, outline_of
from remnants_web.words import reader_unit

__all__ = [
    "LANDMARKS",
    "MOST_DOORS",
    "doors_told",
    "pile_of",
    "room_asked",
    "room_is_known",
    "room_names",
    "room_read",
    "with_rooms",
]

MOST_DOORS = 3
MOST_LINES = 20
"""Lanes, or things that stand on the floor, that a form takes."""

LANDMARKS = (
    ("", "as the arrow says"),
    ("door_1", "towards the first doorway"),
    ("from_door_1", "away from the first doorway"),
    ("door_2", "towards the second doorway"),
    ("from_door_2", "away from the second doorway"),
    ("light", "towards the window"),
    ("from_light", "away from the window"),
)
"""Where the pile may be said to lay towards, beside the arrow."""

_UNNAMED = "room"
_OF_FILE = ("rooms_file", "plan_notes", "rooms_note", "room")
_TURNED = 180.0

Corners = list[tuple[float, float]]


def with_rooms(form: Form, text: str) -> Typed:
    """The form with the rooms of a rooms file to choose from, and the pile of a lone one. Raises BadInput at `rooms_file`."""
    if len(text) > ROOMS_FILE_BYTES:
        raise BadInput([Fault("rooms_file", f"over {ROOMS_FILE_BYTES // 1024} KB; a house fits in a few")])
    try:
        rooms, notes = rooms_for_job(rooms_sent(_rooms_alone(text)))
    except BadInput as error:
        raise BadInput(Fault("rooms_file", str(fault)) for fault in error.faults) from None
    if not rooms:
        raise BadInput([Fault("rooms_file", "no room is in it; give one that has rooms, or tell the room by its sides")])
    notes = (*form.get("plan_notes", "").splitlines(), *notes)
    told = {"rooms": json.dumps(rooms, default=str)} | ({"rooms_note": "; ".join(notes)} if notes else {})
    taken = Typed({name: value for name, value in form.items() if name not in _OF_FILE} | told)
    if len(rooms) == 1:
        taken["room"] = rooms[0]["name"]
    return taken


def room_names(form: Form) -> tuple[str, ...]:
    """The rooms of the file that was sent, by name; none where there is none, or it can't be read."""
    try:
        return tuple(str(room.get("name", _UNNAMED)) for room in told_before(form, "rooms"))
    except BadInput:
        return ()


def room_is_known(form: Form) -> bool:
    """Whether the form tells of a room, be it at fault."""
    return bool(form.get("rooms")) or form.get("room_is") != "unknown"


def room_asked(form: Form) -> dict[str, Any] | None:
    """The room as an entry of a job file; None where it isn't known. Raises BadInput at the form's fields."""
    if form.get("rooms"):
        return _of_file(form)
    if not room_is_known(form):
        return None
    faults: list[Fault] = []
    shape = collected(faults, outline_of, form) or {}
    corners = _corners_mm(shape)
    room: dict[str, Any] = {"name": form.get("room", "").strip() or _UNNAMED, **shape}
    edges = collected(faults, edges_of, form, len(corners) or 1, first=Finish.WALL) or [Finish.WALL]
    room["edges"] = edges if corners else edges[0]
    doors = [collected(faults, _doorway, form, number, corners) or {} for number in doors_told(form)]
    lanes = [collected(faults, _points, line) for line in collected(faults, _lines, form, "lanes") or ()]
    if form.get("walked") and len(doors) > 1 and not faults:
        lanes.append([_middle(corners, door) for door in doors[:2]])
    hidden = [collected(faults, _box, line) for line in collected(faults, _lines, form, "hidden") or ()]
    told = {"doorways": doors, "lanes": lanes, "hidden": hidden}
    room |= {name: value for name, value in told.items() if value}
    if form.get("light", "").strip():
        room["light"] = collected(faults, bearing_of, form, "light")
    if row := form.get("row", "").strip():
        room["row"] = collected(faults, length_at, "row", row)
    room["pile"] = collected(faults, pile_of, form, corners, doors)
    if faults:
        raise BadInput(faults)
    return room


def room_read(entry: dict[str, Any]) -> RepairRoom:
    """The room of an entry as the reader of files has it, mm. Raises BadInput at places in `rooms[0]`."""
    stands_in = {"name": "damage", "width": "1 m", "length": "1 m", "pile": 0}
    return read_job({"unit": reader_unit().value, "rooms": [entry], "patches": [stands_in]}).rooms[0]


def doors_told(form: Form) -> list[int]:
    """The numbers of the doorways that something was typed of."""
    names = ("door", "door_from", "door_width")
    return [number for number in range(1, MOST_DOORS + 1) if any(form.get(f"{name}_{number}", "").strip() for name in names)]


def pile_of(form: Form, corners: Corners, doors: list[dict[str, Any]]) -> float:
    """The way the pile lays, degrees clockwise from up: by the landmark that is named, else by the arrow. Raises BadInput."""
    named = form.get("pile_by", "")
    if not named:
        return bearing_of(form, "pile")
    landmark = named.removeprefix("from_")
    away = _TURNED if landmark != named else 0.0
    if landmark == "light" and form.get("light", "").strip():
        return (bearing_of(form, "light") + away) % 360
    number = doors_told(form).index(int(landmark[-1])) if landmark in _doors_named(form) else None
    if number is None or number >= len(doors) or "edge" not in doors[number]:
        what = f"{named[:40]!r} needs that doorway, or where the light comes from: tell it above, or let the arrow say"
        raise BadInput([Fault("pile_by", what)])
    return (_outward_deg(corners, doors[number]["edge"]) + away) % 360


def _doors_named(form: Form) -> tuple[str, ...]:
    return tuple(f"door_{number}" for number in doors_told(form))


def _rooms_alone(text: str) -> dict[str, Any]:
    raw = read_json(text)
    if not isinstance(raw, dict):
        raise BadInput("a rooms file is a JSON object {...}")
    if raw.get("drawing"):
        raise BadInput("it names a drawing, which lies elsewhere: send the drawing itself")
    return raw


def _of_file(form: Form) -> dict[str, Any]:
    """The room that is chosen of the rooms in the form, its pile as the form has it."""
    rooms = told_before(form, "rooms")
    wanted = name_key(form.get("room", ""))
    named = [room for room in rooms if name_key(str(room.get("name", ""))) == wanted]
    if len(rooms) > 1 and not named:
        raise BadInput([Fault("room", "the file holds several rooms: choose the one that the damage lies in")])
    room = dict((named or rooms)[0])
    arrow = form.get("pile", "").strip()
    return room | ({"pile": bearing_of(form, "pile")} if arrow or "pile" not in room else {})


def _doorway(form: Form, number: int, corners: Corners) -> dict[str, Any]:
    faults: list[Fault] = []
    side = digits(form.get(f"door_{number}", "").strip()) or 0
    if not 1 <= side <= len(corners):
        told = f"it has sides 1 to {len(corners)}" if corners else "a round room has none, so give its corners"
        faults.append(Fault(f"door_{number}", f"say in which side of the room it is: {told}"))
    start = collected(faults, length_at, f"door_from_{number}", form.get(f"door_from_{number}") or "0")
    width = collected(faults, length_at, f"door_width_{number}", form.get(f"door_width_{number}", ""))
    if faults or start is None or width is None:
        raise BadInput(faults)
    edge = side - 1
    (x1, y1), (x2, y2) = corners[edge], corners[(edge + 1) % len(corners)]
    if x2 + y2 < x1 + y1:  # the corners run back along this wall
        start = _worked_out(math.dist((x1, y1), (x2, y2)) - start.mm - width.mm)
    return {"edge": edge, "from": start, "width": width}


def _corners_mm(shape: dict[str, Any]) -> Corners:
    """The corners of a shape of straight sides, in the order in which they are told."""
    if "outline" in shape:
        return [(parse_length(x, entry_unit()), parse_length(y, entry_unit())) for x, y in shape["outline"]]
    if "width" not in shape:
        return []
    width, length = shape["width"].mm, shape["length"].mm
    return [(0.0, 0.0), (width, 0.0), (width, length), (0.0, length)]


def _outward_deg(corners: Corners, edge: int) -> float:
    """The bearing out of the room, square to one of its sides."""
    (x1, y1), (x2, y2) = corners[edge], corners[(edge + 1) % len(corners)]
    turn = 1.0 if sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)) > 0 else -1.0
    return round(math.degrees(math.atan2((y2 - y1) * turn, (x1 - x2) * turn)), 9) % 360


def _middle(corners: Corners, door: dict[str, Any]) -> list[TypedLength]:
    start, end = corners[door["edge"]], corners[(door["edge"] + 1) % len(corners)]
    share = (door["from"].mm + door["width"].mm / 2) / (math.dist(start, end) or 1.0)
    return [_worked_out(a + (b - a) * share) for a, b in zip(start, end, strict=True)]


def _lines(form: Form, field: str) -> list[str]:
    lines = [line.strip() for line in form.get(field, "").splitlines() if line.strip()]
    if len(lines) > MOST_LINES:
        raise BadInput([Fault(field, f"{len(lines)} lines, and at most {MOST_LINES} are taken: give those that matter")])
    return lines


def _points(line: str) -> list[list[TypedLength]]:
    """Points with semicolons between, each how far right, a comma, how far up."""
    points = [[length_at("lanes", part) for part in point.split(",")] for point in line.split(";") if point.strip()]
    if len(points) < 2 or any(len(point) != 2 for point in points):
        what = f"{line[:40]!r} is no line: give two points or more, such as 0, 20; 60, 20"
        raise BadInput([Fault("lanes", what)])
    return points


def _box(line: str) -> list[list[TypedLength]]:
    """What stands on the floor: how far right and up its lower left corner is, how wide and how long it is."""
    told = [length_at("hidden", part) for part in line.split(",")]
    if len(told) != 4:
        what = f"{line[:40]!r} is no place: give how far right, how far up, how wide, how long, such as 0, 60, 20, 40"
        raise BadInput([Fault("hidden", what)])
    x, y, width, length = told
    right, top = _worked_out(x.mm + width.mm), _worked_out(y.mm + length.mm)
    return [[x, y], [right, y], [right, top], [x, top]]


def _worked_out(length_mm: float) -> TypedLength:
    """A length that nobody typed."""
    return TypedLength(f"{length_mm:g} mm", length_mm)
