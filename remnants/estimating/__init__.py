"""Which breadths and fills do rooms and stairs take, what can stock give of them, and how long a roll is needed for the rest?"""

from remnants.model.money import Money, Per, Price, amount_of
from remnants.model.order_plan import ROLL, Cut, CutKind, Laying, OrderPlan, Placed, RoomSeam, Sum, Taken
from remnants.model.order_rules import OrderRules, RepeatRule, Roll, RollThere, Weights
from remnants.model.rooms import Doorway, Floors, Laid, Room, RoomPart, Stairs

__all__ = [
    "ROLL",
    "Cut",
    "CutKind",
    "Doorway",
    "Floors",
    "Laid",
    "Laying",
    "Money",
    "OrderPlan",
    "OrderRules",
    "Per",
    "Placed",
    "Price",
    "RepeatRule",
    "Roll",
    "RollThere",
    "Room",
    "RoomPart",
    "RoomSeam",
    "Stairs",
    "Sum",
    "Taken",
    "Weights",
    "amount_of",
]
