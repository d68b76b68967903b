"""An order that was saved, as JSON values and back, lengths in mm."""

from collections.abc import Mapping, Sequence
from typing import Any

from remnants.geometry import Outline
from remnants.geometry.outline import outline_of
from remnants.model.money import Money
from remnants.model.order_kept import CarpetKept, LeftoverKept, OrderKept, RoomKept

__all__ = ["kept_json", "kept_of", "leftover_json", "leftover_of"]

ROUNDED = 4
"""Decimals of a mm that are kept."""


def kept_json(kept: OrderKept) -> dict[str, Any]:
    """The values that are kept of it."""
    return {
        "name": kept.name,
        "rooms": [
            {
                "name": room.name,
                "carpet": room.carpet,
                "width": round(room.width_mm, ROUNDED),
                "length": round(room.length_mm, ROUNDED),
                "steps": room.steps,
            }
            for room in kept.rooms
        ],
        "carpets": [
            {
                "carpet": each.carpet,
                "width": round(each.width_mm, ROUNDED),
                "ordered": round(each.ordered_mm, ROUNDED),
                "seams": each.seams,
                "sums": [_money(money) for money in each.sums],
            }
            for each in kept.carpets
        ],
        "leftovers": [leftover_json(each) for each in kept.leftovers],
        "quoted": _money(kept.quoted) if kept.quoted else None,
    }


def kept_of(file: Mapping[str, Any]) -> OrderKept:
    """The order of the values that `kept_json` made."""
    return OrderKept(
        file["name"],
        tuple(RoomKept(each["name"], each["carpet"], each["width"], each["length"], each["steps"]) for each in file["rooms"]),
        tuple(
            CarpetKept(
                each["carpet"], each["width"], each["ordered"], each["seams"], tuple(Money(*money) for money in each["sums"])
            )
            for each in file["carpets"]
        ),
        tuple(map(leftover_of, file["leftovers"])),
        Money(*file["quoted"]) if file["quoted"] else None,
    )


def leftover_json(left: LeftoverKept) -> dict[str, Any]:
    """The values that are kept of a leftover."""
    rings: Sequence[Any] = (left.outline.ring, *left.outline.cutouts)
    corners = [[[round(x, ROUNDED), round(y, ROUNDED)] for x, y in ring] for ring in rings]
    return {"style": left.style, "colour": left.colour, "lot": left.lot, "rings": corners, "largest": list(left.largest_mm)}


def leftover_of(file: Mapping[str, Any]) -> LeftoverKept:
    """The leftover of the values that `leftover_json` made."""
    ring, *cutouts = (tuple((x, y) for x, y in ring) for ring in file["rings"])
    outline: Outline = outline_of(ring, cutouts)
    return LeftoverKept(file["style"], file["colour"], file["lot"], outline, (file["largest"][0], file["largest"][1]))


def _money(money: Money) -> list[Any]:
    return [money.minor, money.currency]
