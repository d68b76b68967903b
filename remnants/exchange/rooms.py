"""The rooms file: what must be laid, from which roll, by which rules."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from remnants.errors import BadFile, BadInput, Fault
from remnants.estimating import Floors, OrderRules, Price, Roll, RollThere, Room, Stairs, Weights, amount_of
from remnants.exchange.drawing_rooms import read_drawing
from remnants.exchange.reading import Note, Reading, quiet
from remnants.exchange.room_entries import PriceEntry, RollEntry, RoomEntry, RoomsHeader, StairsEntry
from remnants.exchange.room_shapes import made_room
from remnants.exchange.source import Source
from remnants.exchange.wanted import wanted_of
from remnants.geometry import Ring
from remnants.limits import PRICES, ROOMS, STAIRS
from remnants.model import Construction, Repeat
from remnants.model.money import minor_digits
from remnants.rules import AT_FIRST, KeepRule
from remnants.units import Unit

__all__ = ["RoomsAsked", "read_rooms"]

_LISTS = ("rooms", "stairs", "prices")
_NAME_SHOWN = 40


NO_WIDTH = Roll(1.0)


@dataclass(frozen=True)
class RoomsAsked:
    """Floors, the rolls (none when the file names no width), the rules, and the pile's construction if stated.

    The first roll is the one to order from, unless `cheapest` is to be found among them. `says` names what the file says itself
    of what the shop has rules for: `keep_side`, `cut_step`, `step`, `least`, `end_loss`. `terms` is the roll but for its width.
    """

    floors: Floors
    rolls: tuple[Roll, ...]
    rules: OrderRules
    construction: Construction | None = None
    repeat: Repeat | None = None
    cheapest: bool = False
    says: frozenset[str] = frozenset()
    terms: Roll = NO_WIDTH

    @property
    def unit(self) -> Unit:
        """The unit that the file speaks in."""
        return Unit(self.floors.unit)


def read_rooms(source: Source, *, note: Note = quiet, folder: Path | None = None) -> RoomsAsked:
    """What a rooms file (a Path, whose `drawing` is looked for beside it or in `folder`) or a JSON text asks for, lengths in mm.

    Raises BadFile with every fault, its place and the room's name.
    """
    reading = Reading(source, "a rooms file", note)
    raw = reading.raw
    header = reading.entry(RoomsHeader, {key: raw[key] for key in raw if key not in _LISTS}, "")
    drawn = _drawn(reading, header, folder or (source.parent if isinstance(source, Path) else Path()))
    prices = _prices(reading)
    rules = reading.made("", _rules, header, prices) if header else None
    rooms = _rooms(reading, rules or OrderRules(), drawn)
    stairs = _stairs(reading)
    repeat = reading.made("roll.repeat", _repeat, header.roll.repeat) if header and header.roll.repeat else None
    rolls = _rolls(reading, header, repeat) if header else ()
    terms = reading.made("roll", _roll, header.roll, 1.0, repeat) if header and not _widths(header.roll) else None
    reading.close()
    assert header is not None and rules is not None, "a file without faults has both"
    floors = reading.made("", _floors, header, rooms, stairs)
    reading.close()
    assert floors is not None, "floors without faults are made"
    return RoomsAsked(
        floors,
        rolls,
        rules,
        header.roll.construction,
        repeat,
        cheapest=header.roll.width is None,
        says=_said(header),
        terms=rolls[0] if rolls else terms or NO_WIDTH,
    )


def _said(header: RoomsHeader) -> frozenset[str]:
    said = {name for name in ("keep_side", "cut_step") if getattr(header, name) is not None}
    return frozenset(said | ({"step", "least", "end_loss"} & header.roll.model_fields_set))


def _roll(entry: RollEntry, width_mm: float, repeat: Repeat | None) -> Roll:
    """Of rolls that are all of one lot, that is the roll's."""
    there = tuple(RollThere(each.name.strip(), each.length, each.lot.strip()) for each in entry.rolls)
    lots = {each.lot.casefold() for each in there}
    lot = entry.lot if not there else there[0].lot if len(lots) == 1 else ""
    return Roll(width_mm, repeat, entry.step, entry.least, lot, entry.length or 0.0, entry.end_loss or 0.0, there)


def _drawn(reading: Reading, header: RoomsHeader | None, folder: Path) -> Mapping[str, tuple[tuple[Ring, ...], ...]]:
    if header is None or not header.drawing:
        return {}
    try:
        return read_drawing(folder / header.drawing, header.unit, note=reading.note)
    except BadFile as error:
        reading.faults += [Fault("drawing", str(fault)) for fault in error.faults]
        return {}


def _prices(reading: Reading) -> tuple[Price, ...]:
    prices = []
    for index, raw in enumerate(reading.items("prices", PRICES, needed=False)):
        entry = reading.entry(PriceEntry, raw, f"prices[{index}]")
        price = reading.made(f"prices[{index}]", _price, entry) if entry else None
        if price:
            prices.append(price)
    return tuple(prices)


def _rules(header: RoomsHeader, prices: tuple[Price, ...]) -> OrderRules:
    given = {
        "wall_mm": header.trim.wall,
        "seam_mm": header.trim.seam,
        "least_fill_mm": header.least_fill,
        "cross_seams": header.cross_seams,
        "repeat_rule": header.repeat_rule,
        "cut_step_mm": AT_FIRST.cut_step_mm(header.unit) if header.cut_step is None else header.cut_step,
    }
    weights = {f"{key}_mm": value for key, value in dict(header.weights).items() if value is not None}
    kept: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
    if header.keep_side is not None:
        kept["keep"] = KeepRule(header.keep_side, max(header.keep_side, KeepRule().long_mm))
    return OrderRules(**kept, weights=Weights(**weights), prices=prices)


def _price(entry: PriceEntry) -> Price:
    currency = entry.currency.strip().upper()
    where = "currency"
    try:
        minor_digits(currency)
        where = "amount"
        return Price(currency, amount_of(entry.amount, currency), entry.per, entry.credit)
    except BadInput as error:
        raise BadInput(Fault(fault.where or where, fault.what) for fault in error.faults) from None


def _rolls(reading: Reading, header: RoomsHeader, repeat: Repeat | None) -> tuple[Roll, ...]:
    entry = header.roll
    rolls = []
    for place, width in _widths(entry):
        try:
            rolls.append(_roll(entry, width, repeat))
        except BadInput as error:
            reading.faults += [
                Fault(place if fault.where == "width" else f"roll.{fault.where}", fault.what) for fault in error.faults
            ]
    return tuple(rolls)


def _widths(entry: RollEntry) -> list[tuple[str, float]]:
    """The widths told, each once, with its place."""
    told: dict[float, str] = {} if entry.width is None else {entry.width: "roll.width"}
    for index, width in enumerate(entry.widths):
        told.setdefault(width, f"roll.widths[{index}]")
    return [(place, width) for width, place in told.items()]


def _repeat(entry: Any) -> Repeat:
    return Repeat(entry.across, entry.along, entry.drop)


def _rooms(reading: Reading, rules: OrderRules, drawn: Mapping[str, tuple[tuple[Ring, ...], ...]]) -> list[Room]:
    rooms: list[Room] = []
    for index, raw in enumerate(reading.items("rooms", ROOMS, needed=False)):
        place, before = f"rooms[{index}]", len(reading.faults)
        entry = reading.entry(RoomEntry, raw, place)
        name = _name_of(raw, entry, f"room {index + 1}")
        room = reading.made(place, _room, entry, name, rules, drawn) if entry else None
        reading.faults[before:] = _called(name, reading.faults[before:])
        if room:
            rooms.append(room)
    return rooms


def _called(name: str, faults: Sequence[Fault]) -> list[Fault]:
    """The faults of a room or flight, each beginning with its name."""
    short = name if len(name) <= _NAME_SHOWN else f"{name[:_NAME_SHOWN]}..."
    return [Fault(fault.where, f"{short}: {fault.what}") for fault in faults]


def _name_of(raw: Any, entry: RoomEntry | StairsEntry | None, unnamed: str) -> str:
    layer = entry.layer if isinstance(entry, RoomEntry) else None
    given = entry.name or layer if entry else raw.get("name") if isinstance(raw, dict) else None
    return given.strip() if isinstance(given, str) and given.strip() else unnamed


def _room(entry: RoomEntry, name: str, rules: OrderRules, drawn: Mapping[str, tuple[tuple[Ring, ...], ...]]) -> Room:
    if entry.layer is None:
        return made_room(entry, name, rules.wall_mm)
    rooms = drawn.get(entry.layer, ())
    if len(rooms) != 1:
        known = ", ".join(repr(layer) for layer in drawn) or "none, as no drawing is read"
        raise BadInput([Fault("layer", f"the drawing has {len(rooms)} rooms on layer {entry.layer!r}; its layers are {known}")])
    return made_room(entry, name, rules.wall_mm, rooms[0])


def _stairs(reading: Reading) -> list[Stairs]:
    flights = []
    for index, raw in enumerate(reading.items("stairs", STAIRS, needed=False)):
        place, before = f"stairs[{index}]", len(reading.faults)
        entry = reading.entry(StairsEntry, raw, place)
        name = _name_of(raw, entry, f"stairs {index + 1}")
        flight = reading.made(place, _flight, entry, name) if entry else None
        reading.faults[before:] = _called(name, reading.faults[before:])
        if flight:
            flights.append(flight)
    return flights


def _flight(entry: StairsEntry, name: str) -> Stairs:
    return Stairs(
        name=name,
        steps=entry.steps,
        width_mm=entry.width,
        tread_mm=entry.tread,
        riser_mm=entry.riser,
        nosing_mm=entry.nosing,
        tuck_mm=entry.tuck,
        side_mm=entry.side,
        run_mm=entry.run,
        width_step_mm=entry.width_step,
        step_step_mm=entry.step_step,
        winders=tuple((winder.width, winder.length) for winder in entry.winders),
        laid=entry.laid,
        most_runs=entry.most_runs,
        joins=entry.joins.strip(),
    )


def _floors(header: RoomsHeader, rooms: Sequence[Room], stairs: Sequence[Stairs]) -> Floors:
    named = Floors(header.order.strip() or "order", tuple(rooms), tuple(stairs), wanted_of(header))
    return replace(named, unit=header.unit.value)
