"""Which strokes of a plan are doors by what they are called, and which make one door."""

import re
from collections.abc import Sequence
from typing import TypeAlias

from remnants.exchange.plans.drawn import Stroke
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry.net import together

__all__ = ["Door", "door_groups", "doors_on", "names_doors"]

Door: TypeAlias = tuple[Stroke, ...]
"""The strokes of one door."""

_DOOR = re.compile(r"(?<!in)(?<!out)door", re.IGNORECASE)

_SLIP_MM = 5.0
"""Strokes of one door meet within this (common practice, no source)."""


def names_doors(name: str) -> bool:
    """Whether the name of a layer or block says that doors are on it."""
    return _DOOR.search(name) is not None


def doors_on(names: tuple[str, ...], said: PlanSaid) -> bool:
    """Whether doors are on one of these layers or blocks, by its name or by what was said."""
    told = {name.lower() for name in said.doors}
    return any(names_doors(name) or name.lower() in told for name in names)


def door_groups(strokes: Sequence[Stroke]) -> tuple[Door, ...]:
    """Strokes of doors that stand alone, those that meet together."""
    groups = together([stroke.points for stroke in strokes], _SLIP_MM)
    return tuple(tuple(strokes[index] for index in group) for group in groups)
