"""Which breadths and fills do rooms and stairs take, what can stock give of them, and how long a roll is needed for the rest?"""

from remnants.estimating.money import Money, Per, Price, amount_of
from remnants.estimating.plan import ROLL, Cut, CutKind, Laying, OrderPlan, Placed, RoomSeam, Sum
from remnants.estimating.rooms import Doorway, Floors, Laid, Room, RoomPart, Stairs
from remnants.estimating.rules import RepeatRule, Roll, Rules, Weights

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
    "Per",
    "Placed",
    "Price",
    "RepeatRule",
    "Roll",
    "Room",
    "RoomPart",
    "RoomSeam",
    "Rules",
    "Stairs",
    "Sum",
    "Weights",
    "amount_of",
]
