"""What an order comes to: the cuts, where each is cut from, the seams, the roll, the leftovers and the money. Lengths mm."""

from dataclasses import dataclass
from enum import StrEnum

from remnants.geometry import TOLERANCE_MM, Outline, Point
from remnants.model import Leftover, PassedOver, Seam
from remnants.model.money import Money
from remnants.model.order_rules import Roll
from remnants.model.rooms import Floors

__all__ = ["ROLL", "Cut", "CutKind", "Laying", "OrderPlan", "Placed", "RoomSeam", "Sum", "Taken"]

ROLL = ""
"""The source of a cut that comes off the new roll; any other is a piece's tag."""


class CutKind(StrEnum):
    """What a cut is in its room."""

    WHOLE = "whole"
    BREADTH = "breadth"
    FILL = "fill"
    STAIR = "stair"


@dataclass(frozen=True)
class Cut:
    """A rectangle to be cut for a room or flight, in the frame of the room turned so that its pile lays along +y.

    `net` is the floor that it covers, `box` (left, low, right, high) what is needed with trims; `length_mm` the length to cut,
    which a repeat may make more than the box is long. `origin` is the pattern's reference point in that frame.
    `steps` counts the steps that a stair cut covers. `rounded_mm` is what rounding up to whole steps added to width and length.
    """

    name: str
    room: str
    kind: CutKind
    net: Outline | None
    box: tuple[float, float, float, float]
    length_mm: float
    origin: Point | None = None
    steps: int = 0
    rounded_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def width_mm(self) -> float:
        """Width to cut, across the pile (mm)."""
        return self.box[2] - self.box[0]


@dataclass(frozen=True, slots=True)
class Placed:
    """A cut's corner (least x, least y) in the pile frame of its source: the new roll (`ROLL`) or a piece by its tag (mm)."""

    cut: Cut
    source: str
    at: Point


@dataclass(frozen=True, slots=True)
class RoomSeam:
    """A seam of a room, its line in room axes (mm); `faults` says what it would rather not do.

    One in a doorway, where the carpet of room `to` begins, stands with the room that names the doorway.
    """

    room: str
    seam: Seam
    faults: tuple[str, ...] = ()
    to: str = ""


@dataclass(frozen=True)
class Laying:
    """How one room or flight is laid: its pile bearing (degrees, 0 for stairs), cuts, seams, and what drawbacks weigh (mm)."""

    room: str
    pile_deg: float
    cuts: tuple[Cut, ...]
    seams: tuple[RoomSeam, ...] = ()
    drawback_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Sum:
    """In one currency: what the roll costs, what its leftovers are credited at, what the pieces cut lose of that worth, and what
    remains (roll - credit + stock). `rounding` is the part of the roll's cost that rounding up makes."""

    roll: Money
    credit: Money
    stock: Money
    net: Money
    rounding: Money | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """What is taken of one roll: its name and lot, what its cuts take and what is ordered of it (mm).

    Lengths taken lie one behind the other, each without its end loss: it starts at `start_mm` along them, where its cuts do.
    """

    name: str
    lot: str
    start_mm: float
    length_mm: float
    ordered_mm: float


@dataclass(frozen=True)
class OrderPlan:
    """One whole way to lay everything; in `floors` some of the rooms asked for may be laid as one.

    `length_mm` is what the cuts take of the roll, `bound_mm` the least that they could, `least_mm` the least that any way of
    laying could at the bearings that were looked at.
    `exact_mm` is what the same cuts would take, laid alike, if none were rounded up (None: nobody asked).
    `ordered_mm` is rounded as the supplier sells. `leftovers` are of the roll and of the pieces cut; `waste_share` is the share
    of all carpet used up (roll ordered and pieces' cuts, less leftovers worth keeping) that ends on no floor. `kept_mm2` is the
    area of the roll's leftovers worth keeping, `spent_mm2` what the pieces cut lose of theirs. With stock, `stock_bound_mm` is
    the roll that these layings take whatever stock gives. `hurried`: time, or somebody who asked, ended the search before its
    work was done, so that another run may find another plan. `rolls`: what is taken of each, where it is told how long rolls are.
    `first_cut` is the number of its first cut: an order for a house counts on from carpet to carpet.
    """

    floors: Floors
    roll: Roll
    layings: tuple[Laying, ...]
    placed: tuple[Placed, ...]
    length_mm: float
    bound_mm: float
    ordered_mm: float
    floor_mm2: float
    leftovers: tuple[Leftover, ...] = ()
    sums: tuple[Sum, ...] = ()
    passed_over: tuple[PassedOver, ...] = ()
    stopped: str = ""
    kept_mm2: float = 0.0
    spent_mm2: float = 0.0
    stock_bound_mm: float | None = None
    least_mm: float = 0.0
    hurried: bool = False
    exact_mm: float | None = None
    rolls: tuple[Taken, ...] = ()
    first_cut: int = 1

    @property
    def taken(self) -> tuple[Taken, ...]:
        """What is taken of each roll, of one without a name where nobody told how long rolls are."""
        if self.rolls or not self.ordered_mm > 0:
            return self.rolls
        return (Taken("", self.roll.lot, 0.0, self.length_mm, self.ordered_mm),)

    def roll_of(self, placed: Placed) -> Taken:
        """The roll that a cut from the roll lies on."""
        return self.roll_at(placed.at[1])

    def roll_at(self, along_mm: float) -> Taken:
        """The roll that lies so far along what is taken of all of them."""
        return max((each for each in self.taken if each.start_mm <= along_mm + TOLERANCE_MM), key=lambda each: each.start_mm)

    def along_mm(self, placed: Placed) -> float:
        """How far a cut lies along its own roll, or its piece (mm)."""
        return placed.at[1] if placed.source != ROLL else placed.at[1] - self.roll_of(placed).start_mm

    @property
    def cut_numbers(self) -> dict[str, int]:
        """The cuts by name, numbered as they come off the roll, then piece by piece, from `first_cut` on."""
        ordered = sorted(self.placed, key=lambda each: (each.source, each.at[1], each.at[0]))
        return {each.cut.name: number for number, each in enumerate(ordered, start=self.first_cut)}

    @property
    def seams(self) -> tuple[RoomSeam, ...]:
        """All seams, room by room."""
        return tuple(seam for laying in self.layings for seam in laying.seams)

    @property
    def seam_mm(self) -> float:
        """Length of all seams (mm)."""
        return sum(seam.seam.length_mm for seam in self.seams)

    @property
    def area_mm2(self) -> float:
        """Area of roll ordered (mm²)."""
        return self.roll.width_mm * self.ordered_mm

    @property
    def merit_mm(self) -> float:
        """Roll taken and drawbacks, in mm of roll: the less the better."""
        return self.length_mm + sum(laying.drawback_mm for laying in self.layings)

    @property
    def tags(self) -> tuple[str, ...]:
        """The pieces that are cut."""
        return tuple(sorted({placed.source for placed in self.placed} - {ROLL}))

    @property
    def waste_share(self) -> float:
        """Share of the carpet used up that ends on no floor, neither kept: 0 to 1."""
        from_stock = sum(placed.cut.width_mm * placed.cut.length_mm for placed in self.placed if placed.source != ROLL)
        used = self.area_mm2 + from_stock - self.kept_mm2
        return max(0.0, 1 - self.floor_mm2 / used) if used else 0.0
