"""Orders that were saved: a line for each, and what one revision has otherwise than another, in words."""

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from remnants.estimating.roll_lengths import write_roll_length
from remnants.geometry import TOLERANCE_MM
from remnants.model.money import Money
from remnants.model.order_kept import CarpetKept, OrderKept, RoomKept
from remnants.units import Unit, write_length

__all__ = ["compared", "ordered_told"]

V = TypeVar("V")


def ordered_told(kept: OrderKept, unit: Unit) -> str:
    """What it orders, and what that comes to, in a line."""
    rolls = [f"{_called(each)}{_roll(each, unit)}" for each in kept.carpets]
    quoted = [f"quoted {kept.quoted}"] if kept.quoted else []
    return "; ".join([*rolls, *(str(each) for each in _summed(kept)), *quoted])


def compared(before: OrderKept, after: OrderKept, unit: Unit) -> list[str]:
    """What is otherwise in the later one, a clause each: rooms, then rolls and seams, then money. Nothing where all is alike."""
    told = [] if before.name == after.name else [f"called {after.name}, before {before.name}"]
    told += _named(before.rooms, after.rooms, lambda room: room.name, lambda old, new: _room(old, new, unit), unit)
    told += _carpets(before, after, unit)
    told += _money(before, after)
    return told


def _named(
    before: Sequence[RoomKept],
    after: Sequence[RoomKept],
    key: Callable[[RoomKept], str],
    changed: Callable[[RoomKept, RoomKept], str],
    unit: Unit,
) -> list[str]:
    old, new = _by(before, key), _by(after, key)
    told = [f"{name} added, {_size(room, unit)}" for name, room in new.items() if name not in old]
    told += [f"{name} taken out" for name in old if name not in new]
    return told + [words for name in new if name in old and (words := changed(old[name], new[name]))]


def _by(values: Sequence[V], key: Callable[[V], str]) -> Mapping[str, V]:
    return {key(each): each for each in values}


def _size(room: RoomKept, unit: Unit) -> str:
    if room.steps:
        return f"{room.steps} step{'s' * (room.steps != 1)}"
    return f"{write_length(room.width_mm, unit)} x {write_length(room.length_mm, unit)}"


def _room(old: RoomKept, new: RoomKept, unit: Unit) -> str:
    sides = ((old.width_mm, new.width_mm), (old.length_mm, new.length_mm), (old.steps, new.steps))
    told = []
    if any(abs(one - two) > TOLERANCE_MM for one, two in sides):
        told.append(f"{_size(new, unit)}, before {_size(old, unit)}")
    if old.carpet != new.carpet:
        told.append(f"in {new.carpet or 'the one carpet'}, before in {old.carpet or 'the one carpet'}")
    return f"{new.name} {'; '.join(told)}" if told else ""


def _carpets(before: OrderKept, after: OrderKept, unit: Unit) -> list[str]:
    old, new = (_by(kept.carpets, lambda each: each.carpet) for kept in (before, after))
    told = [f"no {name} any more" for name in old if name not in new]
    for name, each in new.items():
        was = old.get(name)
        if was is None:
            told.append(f"{_called(each)}{_roll(each, unit)}, new")
        elif abs(was.ordered_mm - each.ordered_mm) > TOLERANCE_MM or abs(was.width_mm - each.width_mm) > TOLERANCE_MM:
            told.append(f"{_called(each)}{_roll(each, unit)}, before {_roll(was, unit)}")
        if was is not None and was.seams != each.seams:
            told.append(f"{_called(each)}{each.seams} seam{'s' * (each.seams != 1)}, before {was.seams}")
    return told


def _called(each: CarpetKept) -> str:
    return f"{each.carpet}: " if each.carpet else ""


def _roll(each: CarpetKept, unit: Unit) -> str:
    return f"{write_roll_length(each.ordered_mm, unit)} of roll {write_roll_length(each.width_mm, unit)} wide"


def _summed(kept: OrderKept) -> tuple[Money, ...]:
    """What the carpets come to together, in each currency that all of them have."""
    sums = [{money.currency: money.minor for money in each.sums} for each in kept.carpets]
    shared = [currency for currency in (sums[0] if sums else ()) if all(currency in each for each in sums)]
    return tuple(Money(sum(each[currency] for each in sums), currency) for currency in shared)


def _money(before: OrderKept, after: OrderKept) -> list[str]:
    was = {money.currency: money for money in _summed(before)}
    told = [
        f"carpet {money}, before {was.get(money.currency, 'not priced')}"
        for money in _summed(after)
        if money != was.get(money.currency)
    ]
    if before.quoted != after.quoted:
        told.append(f"quoted {after.quoted or 'nothing'}, before {before.quoted or 'nothing'}")
    return told
