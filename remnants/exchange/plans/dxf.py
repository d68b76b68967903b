"""A DXF drawing as a plan: blocks resolved, layers that are off or frozen left out, doors and texts set apart.

What reads drawings comes with the extra `drawings`, and is loaded when there is one to read. Whoever made the drawing may mean
harm: blocks in blocks are counted before they are resolved, and other files that it refers to are refused.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from remnants.errors import BadFile, BadOutline, Fault
from remnants.exchange.plans.doors import Door, door_groups, doors_on
from remnants.exchange.plans.drawn import Drawn, LayerSeen, Shown, Spot, Stroke, TextDrawn, hidden_told
from remnants.exchange.plans.dxf_strokes import strokes_of
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.plans.swings import swings_of, unsure_told, with_arcs
from remnants.geometry import Point
from remnants.late import Late
from remnants.limits import DRAWING_DEPTH, DRAWING_ENTITIES, DRAWING_POINTS
from remnants.units import Unit, parse_length, write_length

if TYPE_CHECKING:
    from ezdxf import enums as dxf_enums
    from ezdxf import units as dxf_units
    from ezdxf.document import Drawing
else:
    dxf_enums, dxf_units = Late("ezdxf.enums"), Late("ezdxf.units")

__all__ = ["dxf_drawn", "dxf_layers"]

_UNLAID = "0"
"""What lies in a block on this layer takes the layer on which the block is placed (DXF reference)."""

_TEXTLESS = (
    "DIMENSION",
    "LEADER",
    "MULTILEADER",
    "POINT",
    "VIEWPORT",
    "ATTDEF",
    "IMAGE",
    "WIPEOUT",
    "RAY",
    "XLINE",
    "SOLID",
    "TRACE",
)
"""Kinds that bound no room: left out without a word."""

_ROUND = ("CIRCLE", "HATCH", "MPOLYGON")
"""Kinds that are closed whatever they hold."""


@dataclass(frozen=True)
class _Placed:
    """An entity with the layer that it takes, the blocks that it lies in, from the outermost, and the door that it is part of."""

    entity: Any
    layer: str
    blocks: tuple[str, ...] = ()
    door: str = ""


@dataclass
class _Sheet:
    """What is gathered while the drawing is gone through."""

    shown: dict[str, Shown]
    strokes: list[tuple[_Placed, Stroke]] = field(default_factory=list)
    texts: list[TextDrawn] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    closed: Counter[str] = field(default_factory=Counter)
    unread: Counter[tuple[str, str]] = field(default_factory=Counter)
    faults: list[Fault] = field(default_factory=list)
    called: dict[str, str] = field(default_factory=dict)
    points: int = 0

    def shown_on(self, layer: str) -> Shown:
        """Whether the drawing shows this layer; one that it has no line for is."""
        return self.shown.get(layer.lower(), Shown.SHOWN)


def dxf_drawn(drawing: Drawing, name: str, said: PlanSaid) -> Drawn:
    """All that the drawing shows, in mm.

    Raises BadFile: no unit is stated and none was said, a file that it refers to, over a limit (at `name`); corners that are no
    places or reach further than a floor (at their entity).
    """
    unit_mm = _unit_mm(drawing, name, said)
    sheet = _Sheet({layer.dxf.name.lower(): _shown(layer, said) for layer in drawing.layers})
    for placed in _walked(drawing, name, sheet, said):
        _taken(sheet, placed, unit_mm, name)
    if sheet.faults:
        raise BadFile(sheet.faults)
    layers = tuple(
        LayerSeen(layer, sheet.counts[layer], sheet.closed[layer], sheet.shown_on(layer)) for layer in sorted(sheet.counts)
    )
    hidden = [layer for layer in layers if layer.shown is not Shown.SHOWN]
    notes = [hidden_told(layers)] if hidden else []
    notes += [
        f"{count} {kind} on layer {layer!r} can't be read: draw what bounds a room as lines"
        for (kind, layer), count in sorted(sheet.unread.items())
    ]
    doors = [(placed, stroke) for placed, stroke in sheet.strokes if _is_door(placed, said)]
    found = swings_of([stroke for placed, stroke in sheet.strokes if not _is_door(placed, said)])
    drawn = Drawn(found.strokes, tuple(sheet.texts), (*_door_groups(doors), *found.doors), layers, (), unit_mm)
    return replace(drawn, notes=(*notes, *unsure_told(found, drawn.place)))


def dxf_layers(drawing: Drawing, name: str) -> tuple[LayerSeen, ...]:
    """The layers on which anything stands that is read, by name, in whichever unit it is drawn. Raises BadFile over a limit."""
    said = PlanSaid()
    sheet = _Sheet({layer.dxf.name.lower(): _shown(layer, said) for layer in drawing.layers})
    for placed in _walked(drawing, name, sheet, said):
        entity, layer = placed.entity, sheet.called.setdefault(placed.layer.lower(), placed.layer)
        if not entity.dxf.invisible and entity.dxftype() not in (*_TEXTLESS, "INSERT"):
            sheet.counts[layer] += 1
            sheet.closed[layer] += entity.dxftype() in _ROUND or bool(getattr(entity, "is_closed", False))
    return tuple(
        LayerSeen(layer, sheet.counts[layer], sheet.closed[layer], sheet.shown_on(layer)) for layer in sorted(sheet.counts)
    )


def _unit_mm(drawing: Drawing, name: str, said: PlanSaid) -> float:
    """What one in the drawing's figures is (mm). Raises BadFile where neither it nor anybody says so."""
    if said.unit:
        return parse_length(1.0, said.unit)
    code = drawing.header.get("$INSUNITS", 0)
    try:
        stated = (
            float(dxf_units.conversion_factor(dxf_enums.InsertUnits(code), dxf_enums.InsertUnits.Millimeters)) if code else 0.0
        )
    except (TypeError, ValueError, LookupError):
        stated = 0.0
    if stated:
        return stated
    if said.unit_unstated:
        return parse_length(1.0, said.unit_unstated)
    sizes = _sizes_in_units(drawing)
    if not sizes:
        return 1.0
    raise BadFile([Fault(name, f"the drawing states no unit: say which one it is in; what is longest in it would be {sizes}")])


def _sizes_in_units(drawing: Drawing) -> str:
    """How long its longest straight line would be in each unit, so that the right one is seen; nothing where there is none."""
    lengths = [float(line.dxf.start.distance(line.dxf.end)) for line in drawing.modelspace().query("LINE")]
    polylines: Any = drawing.modelspace().query("LWPOLYLINE")
    for polyline in polylines:
        corners = [(point[0], point[1]) for point in polyline.get_points()]
        lengths += [max(values) - min(values) for values in zip(*corners, strict=True)]
    longest = max((length for length in lengths if 0 < length < 1e6), default=0.0)
    return " or ".join(write_length(parse_length(longest, unit), unit) for unit in Unit) if longest else ""


def _shown(layer: Any, said: PlanSaid) -> Shown:
    """Whether a layer is shown; one that was said for by its name is."""
    if layer.dxf.name.lower() in (name.lower() for name in (*said.layers, *said.islands, *said.doors)):
        return Shown.SHOWN
    return Shown.FROZEN if layer.is_frozen() else Shown.OFF if layer.is_off() else Shown.SHOWN


def _walked(drawing: Drawing, name: str, sheet: _Sheet, said: PlanSaid) -> Iterator[_Placed]:
    """Every entity of the model space, those in blocks where they are placed. Raises BadFile over a limit."""
    waiting = [_Placed(entity, str(entity.dxf.layer)) for entity in drawing.modelspace()][::-1]
    left = DRAWING_ENTITIES - len(waiting)
    if left < 0:
        raise BadFile([Fault(name, _LARGE)])
    while waiting:
        placed = waiting.pop()
        yield placed
        frozen = sheet.shown_on(placed.layer) is Shown.FROZEN or placed.entity.dxf.invisible
        if placed.entity.dxftype() == "INSERT" and not frozen:
            inside = _resolved(placed, left, said)
            left -= len(inside) + 1
            waiting += inside[::-1]


def _resolved(placed: _Placed, left: int, said: PlanSaid) -> list[_Placed]:
    """What a block holds, where it is placed; nothing of one that is missing. Raises BadFile for another file, over a limit."""
    insert = placed.entity
    block, spot = insert.block(), _spot(placed)
    x, y = insert.dxf.insert.x, insert.dxf.insert.y
    where = str(replace(spot, at=(x, y)))
    if block is None:
        return []
    if block.block is not None and (block.block.is_xref or block.block.is_xref_overlay):
        raise BadFile(
            [Fault(where, f"block {insert.dxf.name!r} is another drawing's file; bind it into this one, then save anew")]
        )
    if len(placed.blocks) >= DRAWING_DEPTH:
        raise BadFile([Fault(where, f"over {DRAWING_DEPTH} blocks, one in the other; explode them, then save anew")])
    if insert.mcount * (len(block) + len(insert.attribs) + 1) > left:
        raise BadFile([Fault(where, _LARGE)])
    blocks = (*placed.blocks, str(insert.dxf.name))
    found: list[_Placed] = []
    for number, one in enumerate(insert.multi_insert() if insert.mcount > 1 else [insert]):
        door = placed.door or (f"{spot.handle} {number} {x} {y}" if doors_on((blocks[-1], placed.layer), said) else "")
        for entity in (*one.attribs, *one.virtual_entities()):
            layer = str(entity.dxf.layer)
            found.append(_Placed(entity, placed.layer if layer == _UNLAID else layer, blocks, door))
    return found


def _taken(sheet: _Sheet, placed: _Placed, unit_mm: float, name: str) -> None:
    """Adds an entity to what is gathered."""
    entity, layer = placed.entity, sheet.called.setdefault(placed.layer.lower(), placed.layer)
    placed = replace(placed, layer=layer)
    kind = entity.dxftype()
    if entity.dxf.invisible or kind in _TEXTLESS:
        return
    sheet.counts[layer] += 1
    if sheet.shown_on(layer) is not Shown.SHOWN:
        return
    spot = _spot(placed)
    if kind in ("TEXT", "MTEXT", "ATTRIB"):
        sheet.texts += _text_of(entity, unit_mm)
        return
    if kind == "INSERT":
        return
    try:
        strokes = strokes_of(entity, spot, unit_mm)
    except BadOutline as error:
        sheet.faults += [Fault(str(spot), fault.what) for fault in error.faults]
        return
    if strokes is None:
        sheet.unread[kind, layer] += 1
        return
    sheet.points += sum(len(stroke.points) for stroke in strokes)
    if sheet.points > DRAWING_POINTS:
        raise BadFile([Fault(name, f"over {DRAWING_POINTS:,} points, curves flattened: keep only what bounds the rooms in it")])
    placed_at = [Stroke(s.points, s.closed, _at(spot, s, unit_mm), s.curved, s.centre, s.filled) for s in strokes]
    sheet.strokes += [(placed, stroke) for stroke in placed_at]
    sheet.closed[layer] += sum(stroke.closed for stroke in strokes)


def _spot(placed: _Placed) -> Spot:
    entity = placed.entity
    source = entity.source_of_copy if entity.dxf.handle is None else entity
    handle = str(source.dxf.handle) if source is not None and source.dxf.handle else ""
    return Spot(entity.dxftype(), handle, placed.layer, None, placed.blocks[-1] if placed.blocks else "")


def _at(spot: Spot, stroke: Stroke, unit_mm: float) -> Spot:
    x, y = stroke.points[0]
    return Spot(spot.kind, spot.handle, spot.layer, (x / unit_mm, y / unit_mm), spot.block)


def _text_of(entity: Any, unit_mm: float) -> Iterator[TextDrawn]:
    """The lines of a text, each as one."""
    if entity.dxftype() == "MTEXT":
        text, height, at = str(entity.plain_text()), entity.dxf.char_height, entity.dxf.insert
    else:
        text, height, at = str(entity.plain_text()), entity.dxf.height, entity.ocs().to_wcs(entity.get_placement()[1])
    for number, line in enumerate(text.splitlines()):
        if line.strip():
            place: Point = (float(at.x) * unit_mm, (float(at.y) - number * float(height) / 100) * unit_mm)
            yield TextDrawn(line.strip(), place, float(height) * unit_mm)


def _is_door(placed: _Placed, said: PlanSaid) -> bool:
    return bool(placed.door) or doors_on((placed.layer,), said)


def _door_groups(doors: list[tuple[_Placed, Stroke]]) -> tuple[Door, ...]:
    """The strokes of each door: those of a block together, and of what stands alone what meets."""
    blocks: dict[str, list[Stroke]] = {}
    for placed, stroke in doors:
        if placed.door:
            blocks.setdefault(placed.door, []).append(stroke)
    alone = [stroke for placed, stroke in doors if not placed.door]
    return (*(with_arcs(door, closed=True) for door in blocks.values()), *door_groups(with_arcs(alone, closed=True)))


_LARGE = f"over {DRAWING_ENTITIES:,} entities, its blocks resolved: keep only what bounds the rooms in the drawing"
