"""Damage in rooms: builders with defaults, inches, and what is proposed for it."""

import json
from typing import Any

from remnants.actions.fit_job import offer_in_hand
from remnants.actions.propose_job import Proposed, proposals_from
from remnants.exchange import read_damaged_job, read_stock
from remnants.units import MM_PER_IN

__all__ = ["BURN", "HALL", "REMNANT", "a_job", "a_room", "a_stock", "box", "burn_at", "corners", "proposed"]

HALL: dict[str, Any] = {"name": "hall", "outline": [[0, 0], [33, 0], [33, 240], [0, 240]]}
BURN: dict[str, Any] = {
    "name": "burn",
    "room": "hall",
    "pile": 0,
    "damage": [[11.5, 110], [21.5, 110], [21.5, 120], [11.5, 120]],
}
REMNANT: dict[str, Any] = {
    "tag": "R-1",
    "kind": "remnant",
    "style": "Velder",
    "colour": "Oat",
    "lot": "1",
    "width": 40,
    "length": 66,
    "pile": 0,
}


def a_room(width: float, length: float, **changes: Any) -> dict[str, Any]:
    """A room called hall."""
    return {"name": "hall", "width": width, "length": length, **changes}


def burn_at(left: float, lower: float, right: float, upper: float, **changes: Any) -> dict[str, Any]:
    """A patch told by a burn, between these sides."""
    return BURN | {"damage": [[left, lower], [right, lower], [right, upper], [left, upper]], **changes}


def a_job(*rooms: dict[str, Any], patch: dict[str, Any] = BURN, **changes: Any) -> str:
    """A job file."""
    said = {"unit": "in", "job": "Alder Court 7", "style": "Velder", "colour": "Oat", "lot": "1", **changes}
    return json.dumps(said | {"rooms": list(rooms), "patches": [patch]})


def a_stock(*pieces: dict[str, Any], **style: Any) -> str:
    """A stock file; one remnant of cut pile, 40 x 66 in, unless others are told."""
    styles = [{"name": "Velder", "construction": "cut", "roll_width": 144, **style}]
    return json.dumps({"unit": "in", "styles": styles, "pieces": list(pieces or (REMNANT,))})


def proposed(job: str, stock: str = "") -> tuple[Proposed, ...]:
    """What is proposed for a job file from a stock file."""
    asked = read_damaged_job(job)
    return proposals_from(offer_in_hand(read_stock(stock or a_stock()), asked.job), asked)


def corners(each: Proposed, number: int = 0) -> list[tuple[float, float]]:
    """The corners of an outline, inches."""
    return [(round(x / MM_PER_IN, 3), round(y / MM_PER_IN, 3)) for x, y in each.proposal.outlines[number].ring]


def box(each: Proposed, number: int = 0) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of an outline, inches."""
    xs, ys = zip(*corners(each, number), strict=True)
    return min(xs), min(ys), max(xs), max(ys)
