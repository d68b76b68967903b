"""Damage in a room as a form asks for it, turned into the keys of a job file, from which the patch is then proposed.

Damage is measured from two walls of its room, as the room lies on paper.
"""

import math
from typing import Any

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.exchange import read_damaged_job
from remnants.model import RepairRoom
from remnants.model.damage import USUAL_MARGIN_MM
from remnants.units import TypedLength, typed_size
from remnants_web.jobs import header_asked
from remnants_web.room_form import doors_told, pile_of, room_asked, room_is_known, room_read
from remnants_web.shapes import Form, Typed, at_fields, collected, entry_unit, length_at, patch_more_of

__all__ = ["MOST_DAMAGES", "WALLS_ACROSS", "WALLS_UP", "damages_asked", "damages_told", "proposal_asked", "told_at_damage"]

MOST_DAMAGES = 4
"""Damaged places that one patch is proposed for."""

WALLS_ACROSS = (("left", "the left"), ("right", "the right"))
WALLS_UP = (("lower", "the lower"), ("upper", "the upper"))

MOST_RING = 100
"""Corners of an outline from a photograph."""

_SAME_MM = 1.0
"""A size that is typed in sixteenths of an inch still is that of the photograph."""

ROUND_CORNERS = 24
"""Corners of what is drawn round a round place: under 1 % wider than it between its four sides, which it touches."""

_SIZES = ("damage_x", "damage_y", "damage_width", "damage_length")

_FURTHEST_MM = 10_000.0
"""No outline in a photograph reaches so far."""

Box = tuple[float, float, float, float]
Point = tuple[float, float]

_STANDS_IN: Box = (0.0, 0.0, 1000.0, 1000.0)
"""Walls of a room whose own are at fault, or not told."""

_STAND_IN = TypedLength("1000 mm", 1000.0)
"""A side of a patch whose damage is at fault, or not told."""


def damages_told(form: Form) -> list[int]:
    """The numbers of the damaged places that something was typed of."""
    return [number for number in range(1, MOST_DAMAGES + 1) if any(form.get(f"{name}_{number}", "").strip() for name in _SIZES)]


def damages_asked(form: Form, room: RepairRoom | None) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The corners of each damaged place in the room's axes, mm. Raises BadInput at the form's fields."""
    box = _box_of(room) if room else None
    return tuple(tuple((x.mm, y.mm) for x, y in _damage(form, number, box)) for number in damages_told(form))


def proposal_asked(form: Form) -> dict[str, Any]:
    """What is in the job's file: the room, and the damage in it. Raises BadInput at the form's fields, with all its faults."""
    faults: list[Fault] = []
    job = collected(faults, header_asked, form)
    while job is None:  # what else it says is looked at all the same
        at_fault = {fault.where for fault in faults}
        left = Typed({field: text for field, text in form.items() if field not in at_fault})
        job = collected(faults, header_asked, left) or ({} if at_fault == {fault.where for fault in faults} else None)
    room = collected(faults, room_asked, form)
    known = collected(faults, room_read, room) if room else None
    patch: dict[str, Any] = {"name": form.get("name", "").strip() or "patch"}
    if room:
        patch["room"] = room["name"]
        job["rooms"] = [room]
    elif not room_is_known(form):
        patch["pile"] = collected(faults, pile_of, form, [], [])
    box = _box_of(known) if known else _STANDS_IN if room_is_known(form) else None
    numbers = damages_told(form)
    if not numbers:
        what = "no damage is told: tap two corners on the drawing, or type how wide and long it is"
        faults.append(Fault("damage_width_1", what))
    patch["damage"] = [collected(faults, _damage, form, number, box) for number in numbers]
    if margin := form.get("margin", "").strip():
        patch["margin"] = collected(faults, length_at, "margin", margin)
    _mark_photographed(patch, form, faults)
    patch |= patch_more_of(form)
    if faults:
        raise BadInput([*faults, *_also(job, patch, known is not None)])
    return job | {"patches": [patch]}


def _also(job: dict[str, Any], patch: dict[str, Any], room_is_sound: bool) -> list[Fault]:
    """What is wrong beside the fields that can't be read, at the places of a job file; stand-ins take their place."""
    told = {key: value for key, value in patch.items() if value is not None and key not in ("damage", "room")}
    damages = patch["damage"]
    sound = [at for at, damage in enumerate(damages) if damage is not None]
    if sound:
        told["damage"] = [damages[at if at in sound else sound[0]] for at in range(len(damages))]
    else:
        told = {key: value for key, value in told.items() if key != "margin"} | {"width": _STAND_IN, "length": _STAND_IN}
    if room_is_sound:
        told["room"] = patch["room"]
    else:
        job = {key: value for key, value in job.items() if key != "rooms"}
        told.setdefault("pile", 0)
    try:
        read_damaged_job(job | {"patches": [told]})
    except BadInput as error:
        return [fault for fault in error.faults if not _is_stand_in(fault, sound)]
    return []


def _is_stand_in(fault: Fault, sound: list[int]) -> bool:
    """Whether it is a fault of what only stands in for a damaged place."""
    match fault.path:
        case ("patches", int(), "damage", int(at), *_):
            return at not in sound
        case ("patches", int(), "width" | "length", *_):
            return True
        case _:
            return False


def told_at_damage(error: BadInput, form: Form) -> BadInput:
    """The faults of what `proposal_asked` made, at the fields of the form that it was made from."""
    return BadInput(dict.fromkeys(_at_field(fault, form) for fault in error.faults))


def _at_field(fault: Fault, form: Form) -> Fault:
    match fault.path:
        case ("rooms", *_) if form.get("rooms"):
            return Fault("room", str(fault))
        case ("rooms", int(), *steps):
            return Fault(_room_field(steps, form), fault.what)
        case ("patches", int(), "damage", int(index), *_) if index < len(damages_told(form)):
            return Fault(f"damage_x_{damages_told(form)[index]}", fault.what)
        case ("patches", int(), "damage", *_) | ("patches", int()) | ("patches",):
            return Fault(f"damage_x_{(damages_told(form) or [1])[0]}", fault.what)
        case _:
            (told,) = at_fields(BadInput([fault])).faults
            return told


def _room_field(steps: list[str | int], form: Form) -> str:
    """`doorways[1].from` is `door_from_3` where the second doorway that is told stands in row 3."""
    match steps:
        case ("doorways", int(index), *rest):
            numbers = doors_told(form)
            number = numbers[index] if index < len(numbers) else 1
            within = {"from": "door_from", "width": "door_width"}.get(str(rest[0]) if rest else "", "door")
            return f"{within}_{number}"
        case ("doorways", *_):
            return "door_1"
        case ("lanes" | "hidden" | "light" | "row" as name, *_):
            return name
        case ("name", *_):
            return "room"
        case ("edges", *_):
            return "edge_0"
        case _:
            by_shape = {"ell": "ell_width", "round": "across", "corners": "corners"}
            own = {"length": "length"}.get(str(steps[0]) if steps else "", "width")
            return by_shape.get(form.get("shape", ""), own)


def _box_of(room: RepairRoom) -> Box | None:
    """The upright box round a room's walls; None where they aren't told."""
    xs, ys = [x for x, _ in room.ring], [y for _, y in room.ring]
    return (min(xs), min(ys), max(xs), max(ys)) if room.ring else None


def _damage(form: Form, number: int, box: Box | None) -> list[list[TypedLength]]:
    """The corners of a damaged place, or round a round one, in the axes of the room that `box` is round.

    Raises BadInput at its fields.
    """
    faults: list[Fault] = []
    width, length = (collected(faults, _size, form, f"{name}_{number}") for name in _SIZES[2:])
    x, y = (collected(faults, _off, form, f"{name}_{number}", needed=box is not None) for name in _SIZES[:2])
    far = [form.get(f"damage_from_x_{number}") == "right", form.get(f"damage_from_y_{number}") == "upper"]
    if any(far) and box is None:
        where = f"damage_from_{'x' if far[0] else 'y'}_{number}"
        faults.append(Fault(where, "without the room it can't be told where that wall is: measure from the left and lower walls"))
    if faults or width is None or length is None or x is None or y is None:
        raise BadInput(faults)
    left, bottom, right, top = box or _STANDS_IN
    x1 = right - x.mm - width.mm if far[0] else left + x.mm
    y1 = top - y.mm - length.mm if far[1] else bottom + y.mm
    x2, y2 = x1 + width.mm, y1 + length.mm
    if ring := _traced(form, number, (width.mm, length.mm)):
        corners = tuple((x1 + across, y1 + up) for across, up in ring)
    elif form.get(f"damage_round_{number}"):
        corners = _round_within((x1, y1), width.mm, length.mm)
    else:
        corners = ((x1, y1), (x2, y1), (x2, y2), (x1, y2))
    return [[TypedLength(f"{each:g} mm", each) for each in corner] for corner in corners]


def _traced(form: Form, number: int, size: Point) -> tuple[Point, ...]:
    """The outline from a photograph (mm, from its lower left corner), empty where none counts. Raises BadInput at its size."""
    if not form.get(f"damage_traced_{number}"):
        return ()
    where = f"damage_width_{number}"
    try:
        ring = tuple(
            (float(x), float(y)) for x, y in (word.split(",") for word in form.get(f"damage_ring_{number}", "").split(";"))
        )
    except ValueError:
        ring = ()
    if not 3 <= len(ring) <= MOST_RING or not all(0.0 <= side < _FURTHEST_MM for point in ring for side in point):
        raise BadInput([Fault(where, "the outline from the photograph can't be read: measure it again")])
    if any(abs(max(axis) - side) > _SAME_MM for axis, side in zip(zip(*ring, strict=True), size, strict=True)):
        what = "this is no longer the size in the photograph: untick its outline, and a box of this size counts"
        raise BadInput([Fault(where, what)])
    return ring


def _mark_photographed(patch: dict[str, Any], form: Form, faults: list[Fault]) -> None:
    """Marks a patch whose damage was measured from photographs by the widest bar of them, and adds that to its margin."""
    bars = []
    for number in damages_told(form):
        if text := form.get(f"damage_bar_{number}", "").strip():
            bar = collected(faults, _bar, text, number)
            bars += [] if bar is None else [(bar, form.get(f"damage_photo_{number}", "").strip(), number)]
    if not bars:
        return
    bar, digest, number = max(bars)
    margin = patch.get("margin")
    margin_mm = (USUAL_MARGIN_MM if margin is None else margin.mm) + bar
    shown = TypedLength(f"{margin_mm:g} mm", margin_mm)
    patch |= {"photo_bar": TypedLength(f"{bar:g} mm", bar), "photo_digest": digest, "margin": shown}
    patch |= _page_told(form, number, patch["damage"][damages_told(form).index(number)])


def _page_told(form: Form, number: int, ring: list[list[TypedLength]] | None) -> dict[str, Any]:
    """Where the photograph's page lies, as the keys of a patch whose damage is this ring; nothing where that can't be told."""
    told = form.get(f"damage_page_{number}", "").split(",")
    try:
        across, up, turn = (float(part) for part in told)
    except ValueError:
        return {}
    if ring is None or not all(abs(each) < _FURTHEST_MM for each in (across, up, turn)):
        return {}
    at = [min(side.mm for side in axis) + off for axis, off in zip(zip(*ring, strict=True), (across, up), strict=True)]
    return {"photo_at": [TypedLength(f"{each:g} mm", each) for each in at], "photo_turn": turn}


def _bar(text: str, number: int) -> float:
    try:
        bar = float(text)
    except ValueError:
        bar = math.nan
    if not 0.0 < bar < _FURTHEST_MM:
        raise BadInput([Fault(f"damage_width_{number}", "how far the photograph may be off can't be read: measure it again")])
    return bar


def _round_within(corner: tuple[float, float], width_mm: float, length_mm: float) -> tuple[tuple[float, float], ...]:
    """Corners round the circle or ellipse in a box with that lower left corner; nothing of it lies outside them."""
    step = 2 * math.pi / ROUND_CORNERS
    reach = 0.5 / math.cos(step / 2)  # a regular outline round a circle has its corners further out than its sides
    angles = [(number + 0.5) * step for number in range(ROUND_CORNERS)]
    x, y = corner[0] + width_mm / 2, corner[1] + length_mm / 2
    return tuple((x + width_mm * reach * math.cos(angle), y + length_mm * reach * math.sin(angle)) for angle in angles)


def _size(form: Form, field: str) -> TypedLength:
    try:
        if not form.get(field, "").strip():
            raise BadMeasure("give a length")
        return typed_size(form[field], entry_unit())
    except BadMeasure as error:
        raise BadInput([Fault(field, str(error))]) from None


def _off(form: Form, field: str, *, needed: bool) -> TypedLength:
    """How far from a wall; where the room isn't known that says nothing."""
    text = form.get(field, "").strip()
    if not text and needed:
        raise BadInput([Fault(field, "say how far it is from that wall: 0 where it touches it")])
    return length_at(field, text or "0")
