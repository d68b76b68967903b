"""Which outlines of a plan are rooms: by their sizes, by what lies in what, by their layers. Lengths are millimetres."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.errors import BadFile, Fault
from remnants.exchange.plans.drawn import Drawn
from remnants.exchange.plans.outlines import LEAST_MM, Found, Outlines
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry import TOLERANCE_MM, Ring
from remnants.geometry.net import pairs_alike, within_others
from remnants.geometry.outline import area_mm2, bounds
from remnants.units import Unit, write_length

__all__ = ["RoomFound", "Sorted", "sorted_rooms"]

MOST_MM = 100_000.0
"""What a room measures at the most each way (common practice, no source): beyond it the unit is wrong."""

FRAME_MM = 20_000.0
"""What is longer than this and has others inside is asked about too: few rooms are, and a house or a sheet is."""

FRAME_SHARE = 0.5
"""What is filled by others to more than this is said about: it may be the house or the sheet's frame, and no room."""


@dataclass(frozen=True)
class RoomFound:
    """An outline that is a room, and its islands."""

    found: Found
    islands: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class Sorted:
    """The rooms by layer, the larger first, and what was left out of them."""

    rooms: tuple[RoomFound, ...]
    notes: tuple[str, ...]


def sorted_rooms(outlines: Outlines, drawn: Drawn, name: str, said: PlanSaid, unit: Unit) -> Sorted:
    """The rooms among the outlines. Raises BadFile where there is none, or what is meant must be said."""
    found = sorted(outlines.found, key=lambda one: (one.filled, one.spot.layer, -area_mm2(one.ring), one.ring))
    found = _once(found)
    around = _around(found, said)
    islands = [said.all_islands or one.spot.layer in said.islands for one in found]
    small = [_is_small(one) and not island for one, island in zip(found, islands, strict=True)]
    rooms = [
        index
        for index, above in enumerate(around)
        if not above and not small[index] and found[index].spot.layer not in said.islands
    ]
    _refuse_faults(outlines, found, drawn, name=name, unit=unit, rooms=rooms)
    if not said.all_islands:
        _refuse_frames(found, around, small)
    if not said.layers and not said.every_layer:
        _refuse_many_layers([found[index] for index in rooms], name)
    held: dict[int, list[Ring]] = {index: [] for index in rooms}
    left: list[Found] = []
    for index, above in enumerate(around):
        if above and islands[index] and above[-1] in held:
            held[above[-1]].append(found[index].ring)
        elif index not in held and not small[index]:
            left.append(found[index])
    dropped = [one for one, little in zip(found, small, strict=True) if little]
    return Sorted(tuple(RoomFound(found[index], tuple(held[index])) for index in rooms), _told(outlines, left, dropped))


def _once(found: Sequence[Found]) -> list[Found]:
    """Each outline once where a layer has it twice, and none of a hatch that fills another."""
    alike = pairs_alike([one.ring for one in found])
    gone: set[int] = set()
    for first, second in alike:
        one, two = found[first], found[second]
        if first not in gone and (one.spot.layer == two.spot.layer or two.filled):
            gone.add(second)
    kept = [one for index, one in enumerate(found) if index not in gone]
    return sorted(kept, key=lambda one: (one.spot.layer, -area_mm2(one.ring), one.ring))


def _around(found: Sequence[Found], said: PlanSaid) -> list[tuple[int, ...]]:
    """For each outline those that it lies in, smallest first; of its own layer alone where each layer is read by itself."""
    if not said.every_layer:
        return list(within_others([one.ring for one in found]))
    around: list[tuple[int, ...]] = [()] * len(found)
    for layer in {one.spot.layer for one in found}:
        own = [index for index, one in enumerate(found) if one.spot.layer == layer]
        for index, above in zip(own, within_others([found[index].ring for index in own]), strict=True):
            around[index] = tuple(own[other] for other in above)
    return around


def _sides(ring: Ring) -> tuple[float, float]:
    left, bottom, right, top = bounds(ring)
    return right - left, top - bottom


def _is_small(one: Found) -> bool:
    return min(_sides(one.ring)) < LEAST_MM - TOLERANCE_MM


def _refuse_faults(
    outlines: Outlines, found: Sequence[Found], drawn: Drawn, *, name: str, unit: Unit, rooms: Sequence[int]
) -> None:
    """Raises BadFile with outlines that cross themselves, sizes of no room, or what stands in the way of any room."""
    faults = list(outlines.faults)
    faults += [_size_fault(one, drawn, unit) for one in found if max(_sides(one.ring)) > MOST_MM]
    if not rooms and not faults:
        faults += [_size_fault(one, drawn, unit) for one in found if _is_small(one)]
    if not rooms and not faults and outlines.walls:
        strips = f"all that lines enclose ({outlines.walls} faces) is narrower than a room"
        faults.append(Fault(name, f"{strips}: {drawn.remedy}, or choose the layers of the rooms"))
    if not rooms and not faults:
        faults += [_open_fault(layer, path, drawn) for layer, path in outlines.loose]
    if not rooms and not faults:
        seen = (
            "; its layers are " + ", ".join(f"{each.name!r} ({each.count})" for each in drawn.layers[:20]) if drawn.layers else ""
        )
        faults.append(Fault(name, f"no outline of a room is in it: draw each as a closed polyline, or as lines that meet{seen}"))
    if faults:
        raise BadFile(faults)


def _size_fault(one: Found, drawn: Drawn, unit: Unit) -> Fault:
    across, up = (write_length(side, unit) for side in _sides(one.ring))
    return Fault(str(one.spot), f"would be {across} × {up}: {drawn.remedy}, or leave out of it what is no room")


def _open_fault(layer: str, path: Sequence[tuple[float, float]], drawn: Drawn) -> Fault:
    where = f"layer {layer!r} at {drawn.place(path[0])}"
    return Fault(where, "a line ends here and meets nothing: close the outline, or say up to which width gaps are to be closed")


def _refuse_frames(found: Sequence[Found], around: Sequence[tuple[int, ...]], small: Sequence[bool]) -> None:
    """Raises BadFile for an outline that others fill: whether they or it are rooms can't be told."""
    faults = []
    for index, one in enumerate(found):
        inside = [inner for inner, above in enumerate(around) if above and above[0] == index and not small[inner]]
        filled = sum(area_mm2(found[inner].ring) for inner in inside)
        if not inside:
            continue
        full = len(inside) > 1 and filled > FRAME_SHARE * area_mm2(one.ring)
        if full or max(_sides(one.ring)) > FRAME_MM:
            held = "is filled by 1 outline" if len(inside) == 1 else f"is filled by {len(inside)} outlines"
            what = f"{held} inside it: choose the layers of the rooms, or take it out of the drawing"
            faults.append(Fault(str(one.spot), what))
    if faults:
        raise BadFile(faults)


def _refuse_many_layers(rooms: Sequence[Found], name: str) -> None:
    """Raises BadFile where layers hold several rooms each: which are rooms can't be told. One layer a room is no question."""
    counts = Counter(one.spot.layer for one in rooms)
    if len(counts) > 1 and max(counts.values()) > 1:
        told = ", ".join(f"{layer!r} ({count})" for layer, count in sorted(counts.items())[:20])
        raise BadFile([Fault(name, f"outlines stand on several layers: {told}; say on which the rooms are")])


def _told(outlines: Outlines, left: Sequence[Found], dropped: Sequence[Found]) -> tuple[str, ...]:
    """What is no room, in a line each layer."""
    notes = []
    for layer, count in sorted(Counter(one.spot.layer for one in left).items()):
        what = "1 outline lies" if count == 1 else f"{count} outlines lie"
        notes.append(f"{what} inside a room on layer {layer!r}: carpet runs under it; say if it is an island")
    for layer, count in sorted(Counter(one.spot.layer for one in dropped).items()):
        first = next(one for one in dropped if one.spot.layer == layer)
        what = "1 outline is" if count == 1 else f"{count} outlines are"
        notes.append(f"{what} too small for a room on layer {layer!r}, and left out: {first.spot}")
    if outlines.walls:
        strips = "1 strip" if outlines.walls == 1 else f"{outlines.walls} strips"
        notes.append(f"{strips} between lines, narrower than a room, taken for walls")
    return tuple(notes)
