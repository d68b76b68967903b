"""Builders with defaults, so that a test shows only what matters. Lengths may be typed."""

from collections.abc import Sequence
from typing import Any

from remnants.estimating import Doorway, Floors, OrderPlan, OrderRules, Roll, Room, Stairs, Weights
from remnants.estimating.order import order_with_stock, orders_from_roll
from remnants.geometry import rectangle
from remnants.model import Candidate, Grade, Kind, Match, Piece, Style
from remnants.packing import Watch
from remnants.proof.orders import check_order
from remnants.units import Unit, parse_length
from tests.thorough import share

PLAIN = OrderRules(wall_mm=0.0, seam_mm=0.0, least_fill_mm=0.0)
"""No trims: the sums of published examples, which leave them out."""

LENGTH_ONLY = Weights(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""No drawback weighs anything: the shortest roll, however it is seamed."""


def mm(text: str | float) -> float:
    return parse_length(text, Unit.MM)


def a_room(width: str = "14 ft", length: str = "16 ft", *, name: str = "Lounge", trim: float = 0.0, **more: Any) -> Room:
    outline = rectangle(mm(width), mm(length))
    return Room(name, outline, (trim,) * 4, **more)


def a_door(x1: str, y1: str, x2: str, y2: str, *, to: str = "", **more: Any) -> Doorway:
    return Doorway((mm(x1), mm(y1)), (mm(x2), mm(y2)), to, **more)


def a_roll(width: str = "12 ft", **more: Any) -> Roll:
    return Roll(mm(width), **more)


def a_remnant(
    tag: str, width: str, length: str, *, lot: str = "77", grade: Grade = Grade.OTHER_LOT, pile: float = 0.0
) -> Candidate:
    piece = Piece(tag, Kind.REMNANT, "Velder Loop", "Oatmeal", lot, rectangle(mm(width), mm(length)), pile_deg=pile)
    return Candidate(piece, Style("Velder Loop"), Match(grade, 0, "made up"))


def order(
    *floors: Room | Stairs,
    roll: Roll | None = None,
    rules: OrderRules = PLAIN,
    stock: Sequence[Candidate] = (),
    tries: int = share(400),
) -> OrderPlan:
    """The proved order; with stock, if any is given."""
    asked = Floors(
        "test",
        tuple(floor for floor in floors if isinstance(floor, Room)),
        tuple(floor for floor in floors if isinstance(floor, Stairs)),
    )
    plans = orders_from_roll(asked, roll or a_roll(), rules=rules, watch=Watch(tries=tries))
    plan = plans[0]
    assert check_order(plan, asked, rules) == ()
    if stock:
        plan = order_with_stock(plans, asked, stock, rules=rules, watch=Watch(tries=tries))
        assert check_order(plan, asked, rules, stock) == ()
    return plan
