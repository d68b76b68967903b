"""A rooms file of a whole house: rooms and stairs that name their carpet, split into what each carpet is laid in.

A file that names no `carpets` is an order in one, as ever. Each carpet is read by the reader of rooms files, so that what can be
said of a roll can be said of each of several.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from remnants.errors import BadFile, Fault, join_place
from remnants.exchange.entries import WantedEntry
from remnants.exchange.reading import Note, Reading, quiet, shown
from remnants.exchange.room_entries import RoomsHeader
from remnants.exchange.rooms import RoomsAsked, read_rooms
from remnants.exchange.source import Source, in_file
from remnants.limits import CARPETS, ROOMS, STAIRS
from remnants.units import Unit

__all__ = ["CarpetAsked", "HouseAsked", "house_of", "read_house"]

_LISTS = ("rooms", "stairs")
_OWN = frozenset({*WantedEntry.model_fields, "roll", "prices"})
"""What a carpet never takes from the file: a price or a lot of another carpet would be a false one."""

_OF_FILE = frozenset({"unit", "order", "drawing"})
_RULES = frozenset(RoomsHeader.model_fields) - _OWN - _OF_FILE
"""How rooms are laid: what a carpet leaves out is as the file says."""

_PLACE = re.compile(r"(rooms|stairs)\[(\d+)\](.*)")


@dataclass(frozen=True)
class CarpetAsked:
    """What is laid in one carpet. `name` is the carpet's in the file, "" for the one that the file itself tells."""

    name: str
    asked: RoomsAsked

    @property
    def called(self) -> str:
        """What it is called on papers: its name, or else its style and colour."""
        wanted = self.asked.floors.wanted
        return self.name or ", ".join(part for part in (wanted.style, wanted.colour) if part) or "carpet"


@dataclass(frozen=True)
class HouseAsked:
    """An order for a house: at least one carpet with its rooms, in the order of the file, the file's own first."""

    carpets: tuple[CarpetAsked, ...]

    @property
    def name(self) -> str:
        """The order's name."""
        return self.carpets[0].asked.floors.name

    @property
    def unit(self) -> Unit:
        """The unit that the file speaks in."""
        return self.carpets[0].asked.unit

    @property
    def is_one(self) -> bool:
        """Whether all of it is laid in the carpet that the file itself tells."""
        return len(self.carpets) == 1 and not self.carpets[0].name


def house_of(asked: RoomsAsked) -> HouseAsked:
    """An order in one carpet."""
    return HouseAsked((CarpetAsked("", asked),))


def read_house(source: Source, *, note: Note = quiet) -> HouseAsked:
    """What a rooms file asks for, carpet by carpet, lengths in mm. A doorway to a room in another carpet leads `beyond`.

    Raises BadFile with every fault, its place in the file and the room's name.
    """
    reading = Reading(source, "a rooms file", note)
    if "carpets" not in reading.raw:
        return house_of(read_rooms(source, note=note))
    split = _Split(reading)
    reading.close()
    folder = source.parent if isinstance(source, Path) else Path()
    carpets, faults = [], []
    for name, at, raw, owners in split.parts():
        try:
            told = _noted(note, at, owners)
            carpets.append(CarpetAsked(name, read_rooms(raw, note=told, folder=folder)))
        except BadFile as error:
            faults += [_placed(fault, at, owners) for fault in error.faults]
    if faults:
        raise BadFile(in_file(source, dict.fromkeys(faults)))
    return HouseAsked(tuple(carpets))


def _noted(note: Note, at: int | None, owners: "_Owners") -> Note:
    """The same note, told at its place in the file."""
    return lambda fault: note(_placed(fault, at, owners))


_Owners = Mapping[str, Sequence[int]]
"""Of `rooms` and `stairs`: the place in the file of each that a carpet has."""


def _placed(fault: Fault, at: int | None, owners: _Owners) -> Fault:
    """A fault of one carpet's own file, at its place in the house's."""
    found = _PLACE.match(fault.where)
    if found and int(found[2]) < len(owners[found[1]]):
        return replace(fault, where=f"{found[1]}[{owners[found[1]][int(found[2])]}]{found[3]}")
    key = fault.where.partition(".")[0].partition("[")[0]
    return fault if at is None or key not in _OWN else replace(fault, where=join_place(f"carpets[{at}]", fault.where))


class _Split:
    """The file's rooms and stairs by carpet, while it is read: faults of the splitting go to the reading."""

    def __init__(self, reading: Reading) -> None:
        self._raw = reading.raw
        self._carpets = [each if isinstance(each, dict) else {} for each in reading.items("carpets", CARPETS, needed=True)]
        self._names: dict[str, int] = {}
        for index, each in enumerate(self._carpets):
            name = each.get("name")
            key = _key(name)
            once = [f"carpets[{index}].{key}" for key in sorted({*_LISTS, *_OF_FILE} & each.keys())]
            reading.faults += [Fault(place, "this is told once, by the file itself: take it out of the carpet") for place in once]
            if not key:
                reading.faults.append(Fault(f"carpets[{index}].name", "give the carpet a name, by which rooms ask for it"))
            elif key in self._names:
                reading.faults.append(Fault(f"carpets[{index}].name", f"{shown(name)} names two carpets; give each its own"))
            else:
                self._names[key] = index
        self._entries = {
            "rooms": reading.items("rooms", ROOMS, needed=False),
            "stairs": reading.items("stairs", STAIRS, needed=False),
        }
        self._of = {kind: [self._carpet_of(reading, kind, at) for at in range(len(self._entries[kind]))] for kind in _LISTS}
        named = zip(self._entries["rooms"], self._of["rooms"], strict=True)
        self._rooms = {name.strip(): of for each, of in named if isinstance(name := _got(each, "name"), str)}
        reading.faults += self._twice()
        for index, each in enumerate(self._carpets):
            if _key(each.get("name")) and not any(index in of for of in self._of.values()):
                reading.note(Fault(f"carpets[{index}]", f"nothing is laid in {shown(each.get('name'))}; it is left out"))

    def parts(self) -> Iterable[tuple[str, int | None, dict[str, Any], _Owners]]:
        """Each carpet that something is laid in: its name, its place in `carpets`, its own rooms file, and whose they are."""
        for at in (None, *range(len(self._carpets))):
            owners = {kind: [place for place, of in enumerate(self._of[kind]) if of == at] for kind in _LISTS}
            if not any(owners.values()) and any(of for of in self._of.values()):
                continue
            own = {} if at is None else self._carpets[at]
            kept = _RULES if at is not None else frozenset(self._raw) - {"carpets"}
            raw = {key: value for key, value in self._raw.items() if key in kept | _OF_FILE}
            raw |= {key: value for key, value in own.items() if key != "name"}
            raw |= {kind: [self._entry(kind, place) for place in owners[kind]] for kind in _LISTS}
            yield "" if at is None else str(own["name"]).strip(), at, raw, owners

    def _carpet_of(self, reading: Reading, kind: str, at: int) -> int | None:
        named = _got(self._entries[kind][at], "carpet")
        if not _key(named):
            return None
        if _key(named) not in self._names:
            known = ", ".join(shown(each["name"]) for each in self._carpets if _key(each.get("name"))) or "none with a name"
            reading.faults.append(Fault(f"{kind}[{at}].carpet", f"{shown(named)} is none of the carpets: there are {known}"))
        return self._names.get(_key(named))

    def _twice(self) -> Iterable[Fault]:
        """Two floors of one name in two carpets; those in one are told by their reader."""
        seen: dict[str, int | None] = {}
        for kind in _LISTS:
            for at, entry in enumerate(self._entries[kind]):
                name = _got(entry, "name")
                of = self._of[kind][at]
                if isinstance(name, str) and name.strip() and seen.setdefault(name.strip(), of) != of:
                    what = f"{shown(name.strip())} is the name of two floors; give each its own"
                    yield Fault(f"{kind}[{at}].name", what)

    def _entry(self, kind: str, place: int) -> Any:
        """A room or flight as its carpet's own file has it: what it is told of rooms in another carpet is only named."""
        entry, of = self._entries[kind][place], self._of[kind][place]
        if not isinstance(entry, dict):
            return entry
        entry = {key: value for key, value in entry.items() if key != "carpet"}
        if isinstance(entry.get("joins"), str) and self._is_apart(entry["joins"], of):
            del entry["joins"]
        doors = entry.get("doorways")
        return entry | {"doorways": [self._door(door, of) for door in doors]} if isinstance(doors, list) else entry

    def _door(self, door: Any, of: int | None) -> Any:
        to = _got(door, "to")
        if not isinstance(to, str) or not self._is_apart(to, of):
            return door
        return {key: value for key, value in door.items() if key != "to"} | {"beyond": to.strip()}

    def _is_apart(self, room: str, of: int | None) -> bool:
        """Whether a room of that name is laid in another carpet."""
        return room.strip() in self._rooms and self._rooms[room.strip()] != of


def _key(name: Any) -> str:
    return name.strip().casefold() if isinstance(name, str) else ""


def _got(entry: Any, key: str) -> Any:
    return entry.get(key) if isinstance(entry, dict) else None
