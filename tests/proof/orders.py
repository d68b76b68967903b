"""Right orders, worked by hand, and the tools to plant a fault in one. Sizes are mm.

`LOUNGE`: 6000 x 5000 in two breadths, the seam at x = 2065, and a closet of 1000 x 2000 from stock; off a roll 4000 wide.
`AS_ONE`: a hall of 4000 x 5000 and a den of 3000 x 4000 beside it, laid as one in two breadths, the seam at x = 3500.
`DOOR`: a hall and a den, each in one cut, that meet in a doorway.
`PATTERNED`: a room in one cut of goods that repeat every 500.
`STAIRS`: 13 steps in runs of 7 and 6, and a winder, in the same goods.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from remnants.errors import Fault
from remnants.geometry.outline import Outline, Ring
from remnants.model import Candidate, Grade, Kind, Leftover, Match, Piece, Repeat, Seam, SeamKind, Show, Style
from remnants.model.money import Money, Per, Price
from remnants.model.order_plan import ROLL, Cut, CutKind, Laying, OrderPlan, Placed, RoomSeam, Sum
from remnants.model.order_rules import OrderRules, RepeatRule, Roll
from remnants.model.rooms import Doorway, Floors, Room, RoomPart, Stairs
from remnants.proof.orders import order_refusals
from tests.proof.plans import box

__all__ = ["AS_ONE", "DOOR", "LOUNGE", "PATTERNED", "STAIRS", "GivenOrder", "a_candidate", "turned_a_quarter"]

PLAIN = OrderRules(0.0, 0.0, 0.0)
TRIMMED = OrderRules(40.0, 25.0, 300.0, prices=(Price("EUR", Fraction(2000), Per.M2, 0.5),))


@dataclass(frozen=True)
class GivenOrder:
    """Floors, rules and stock, and the order to be proved. Each method gives the same with one thing changed."""

    floors: Floors
    rules: OrderRules
    plan: OrderPlan
    stock: Sequence[Candidate] = ()

    @property
    def refusals(self) -> Mapping[str, tuple[Fault, ...]]:
        """What the proof says, by the name of the question."""
        return order_refusals(self.plan, self.floors, self.rules, self.stock)

    def planned(self, **changes: Any) -> "GivenOrder":
        """Another order."""
        return replace(self, plan=replace(self.plan, **changes))

    def ruled(self, **changes: Any) -> "GivenOrder":
        """Other rules."""
        return replace(self, rules=replace(self.rules, **changes))

    def rolled(self, **changes: Any) -> "GivenOrder":
        """Another roll."""
        return self.planned(roll=replace(self.plan.roll, **changes))

    def room(self, at: int = 0, **changes: Any) -> "GivenOrder":
        """Another room in what is laid, and in what was asked."""
        laid = replace(self.plan.floors, rooms=_with(self.plan.floors.rooms, at, changes))
        asked = replace(self.floors, rooms=_with(self.floors.rooms, at, changes))
        return replace(self.planned(floors=laid), floors=asked)

    def laid(self, at: int = 0, **changes: Any) -> "GivenOrder":
        """Another way to lay a floor."""
        return self.planned(layings=_with(self.plan.layings, at, changes))

    def cut(self, number: int, at: int = 0, **changes: Any) -> "GivenOrder":
        """Another cut, on the floor and where it is taken from."""
        old = self.plan.layings[at].cuts[number]
        new = replace(old, **changes)
        placed = tuple(replace(each, cut=new) if each.cut == old else each for each in self.plan.placed)
        return self.laid(at, cuts=_with(self.plan.layings[at].cuts, number, changes)).planned(placed=placed)

    def seam(self, number: int = 0, **changes: Any) -> "GivenOrder":
        """Another seam of the first floor."""
        told = self.plan.layings[0].seams[number]
        return self.laid(seams=_with(self.plan.layings[0].seams, number, {"seam": replace(told.seam, **changes)}))

    def placed(self, number: int, **changes: Any) -> "GivenOrder":
        """A cut from elsewhere."""
        return self.planned(placed=_with(self.plan.placed, number, changes))

    def took(self, number: int, **changes: Any) -> "GivenOrder":
        """Something else taken of a roll."""
        return self.planned(rolls=_with(self.plan.rolls, number, changes))

    def left(self, number: int, **changes: Any) -> "GivenOrder":
        """Another leftover."""
        return self.planned(leftovers=_with(self.plan.leftovers, number, changes))

    def summed(self, **changes: Any) -> "GivenOrder":
        """Another sum of money."""
        return self.planned(sums=_with(self.plan.sums, 0, changes))


def _with(values: tuple[Any, ...], at: int, changes: Mapping[str, Any]) -> tuple[Any, ...]:
    return (*values[:at], replace(values[at], **changes), *values[at + 1 :])


def a_candidate(tag: str, width: float, length: float, *cutouts: Ring, lot: str = "77") -> Candidate:
    """A remnant that matches, of another lot."""
    piece = Piece(tag, Kind.REMNANT, "Velder Loop", "Oatmeal", lot, Outline(box(0, 0, width, length), cutouts))
    return Candidate(piece, Style("Velder Loop"), Match(Grade.OTHER_LOT, 0, "made up"))


def a_cut(name: str, room: str, kind: CutKind, net: Ring | None, needed: tuple[float, float, float, float], **more: Any) -> Cut:
    """A cut as long as its box, unless `more` says otherwise."""
    length = more.pop("length_mm", needed[3] - needed[1])
    return Cut(name, room, kind, Outline(net) if net else None, needed, length, **more)


def _lounge() -> GivenOrder:
    lounge = Room("Lounge", Outline(box(0, 0, 6000, 5000)), (40.0,) * 4, 0.0)
    closet = Room("Closet", Outline(box(0, 0, 1000, 2000)), (40.0,) * 4, 0.0, hidden=True)
    floors = Floors("Alder Court 7", (lounge, closet))
    one = a_cut("Lounge 1", "Lounge", CutKind.BREADTH, box(0, 0, 2065, 5000), (-40, -40, 2090, 5040))
    two = a_cut("Lounge 2", "Lounge", CutKind.BREADTH, box(2065, 0, 6000, 5000), (2040, -40, 6040, 5040))
    small = a_cut("Closet", "Closet", CutKind.WHOLE, box(0, 0, 1000, 2000), (-40, -40, 1040, 2040))
    seam = Seam(SeamKind.SIDE, ((2065, 0), (2065, 5000)), 5000.0, show=Show.HARDLY, sentence="side seam in cut pile")
    layings = (
        Laying("Lounge", 0.0, (one, two), (RoomSeam("Lounge", seam),)),
        Laying("Closet", 0.0, (small,)),
    )
    placed = Placed(two, ROLL, (0, 0)), Placed(one, ROLL, (0, 5080)), Placed(small, "R-1", (0, 0))
    of_roll: Ring = ((2130, 5080), (4000, 5080), (4000, 10200), (0, 10200), (0, 10160), (2130, 10160))
    of_piece: Ring = ((1080, 0), (1200, 0), (1200, 2200), (0, 2200), (0, 2080), (1080, 2080))
    rests = (
        Leftover(ROLL, Outline(of_roll), (1870, 5120), (2130, 5080)),
        Leftover("R-1", Outline(of_piece), (120, 2200), (1080, 0), usable=False),
    )
    # 4 x 10.2 m at 20.00 a m²; half of 20.00 for the 9.6596 m² kept; half for the 1.2 x 2.2 m piece that is kept no more.
    money = Sum(*(Money(minor, "EUR") for minor in (81_600, 9_660, 2_640, 74_580)))
    plan = OrderPlan(
        floors, Roll(4000.0, step_mm=100.0), layings, placed, 10_160.0, 10_160.0, 10_200.0, 32e6, rests, (money,),
        kept_mm2=9_659_600.0, spent_mm2=2_640_000.0, stock_bound_mm=10_160.0, least_mm=10_000.0,
    )  # fmt: skip
    return GivenOrder(floors, TRIMMED, plan, (a_candidate("R-1", 1200, 2200),))


def _as_one() -> GivenOrder:
    hall = Room("Hall", Outline(box(0, 0, 4000, 5000)), (40.0,) * 4, 0.0)
    den = Room("Den", Outline(box(0, 0, 3000, 4000)), (40.0,) * 4)
    ell: Ring = ((0, 0), (7000, 0), (7000, 4000), (4000, 4000), (4000, 5000), (0, 5000))
    parts = RoomPart("Hall", (0.0, 0.0)), RoomPart("Den", (4000.0, 0.0))
    whole = Room("Hall and Den", Outline(ell), (40.0,) * 6, 0.0, parts=parts)
    right: Ring = ((3500, 0), (7000, 0), (7000, 4000), (4000, 4000), (4000, 5000), (3500, 5000))
    one = a_cut("Hall 1", whole.name, CutKind.BREADTH, box(0, 0, 3500, 5000), (-40, -40, 3525, 5040))
    two = a_cut("Hall 2", whole.name, CutKind.BREADTH, right, (3475, -40, 7040, 5040))
    seam = Seam(SeamKind.SIDE, ((3500, 0), (3500, 5000)), 5000.0, show=Show.HARDLY, sentence="side seam in cut pile")
    layings = (Laying(whole.name, 0.0, (one, two), (RoomSeam(whole.name, seam),)),)
    placed = Placed(one, ROLL, (0, 0)), Placed(two, ROLL, (0, 5080))
    rest = Leftover(ROLL, Outline(box(3565, 0, 4000, 10160)), (435, 10160), (3565, 0))
    plan = OrderPlan(
        Floors("Alder Court 7", (whole,)), Roll(4000.0), layings, placed, 10_160.0, 10_160.0, 10_160.0, 32e6, (rest,),
        kept_mm2=4_419_600.0,
    )  # fmt: skip
    return GivenOrder(Floors("Alder Court 7", (hall, den)), replace(TRIMMED, prices=()), plan)


def _door() -> GivenOrder:
    to_den, to_hall = Doorway((4000, 1000), (4000, 2000), "Den"), Doorway((0, 1000), (0, 2000), "Hall")
    hall = Room("Hall", Outline(box(0, 0, 4000, 5000)), (0.0,) * 4, 0.0, (to_den,))
    den = Room("Den", Outline(box(0, 0, 3000, 4000)), (0.0,) * 4, None, (to_hall,))
    floors = Floors("Alder Court 7", (hall, den))
    one = a_cut("Hall", "Hall", CutKind.WHOLE, box(0, 0, 4000, 5000), (0, 0, 4000, 5000))
    two = a_cut("Den", "Den", CutKind.WHOLE, box(0, 0, 3000, 4000), (0, 0, 3000, 4000))
    join = Seam(SeamKind.SIDE, ((4000, 1000), (4000, 2000)), 1000.0, show=Show.HARDLY, sentence="side seam in cut pile")
    layings = Laying("Hall", 0.0, (one,), (RoomSeam("Hall", join, to="Den"),)), Laying("Den", 0.0, (two,))
    placed = Placed(one, ROLL, (0, 0)), Placed(two, ROLL, (0, 5000))
    rest = Leftover(ROLL, Outline(box(3000, 5000, 4000, 9000)), (1000, 4000), (3000, 5000))
    plan = OrderPlan(floors, Roll(4000.0), layings, placed, 9000.0, 9000.0, 9000.0, 32e6, (rest,), kept_mm2=4e6)
    return GivenOrder(floors, PLAIN, plan)


def _patterned() -> GivenOrder:
    room = Room("Study", Outline(box(0, 0, 3000, 2000)), (0.0,) * 4, 0.0, motif=(0.0, 0.0))
    floors = Floors("Alder Court 7", (room,))
    cut = a_cut("Study", "Study", CutKind.WHOLE, box(0, 0, 3000, 2000), (0, 0, 3000, 2000), origin=(500.0, 1000.0))
    rest = Leftover(ROLL, Outline(box(3000, 0, 4000, 2000)), (1000, 2000), (3000, 0))
    plan = OrderPlan(
        floors, Roll(4000.0, Repeat(500, 500)), (Laying("Study", 0.0, (cut,)),), (Placed(cut, ROLL, (0, 0)),),
        2000.0, 2000.0, 2000.0, 6e6, (rest,), kept_mm2=2e6,
    )  # fmt: skip
    return GivenOrder(floors, PLAIN, plan)


def _stairs() -> GivenOrder:
    """A step takes 430: seven 3010, six 2580; in whole repeats 3500 and 3000. The second run goes on where the first ends."""
    flight = Stairs("Stairs", 13, 800.0, 250.0, 180.0, winders=((900.0, 900.0),), most_runs=2)
    floors = Floors("Alder Court 7", (), (flight,))
    begun: dict[str, Any] = {"origin": (0.0, 0.0)}
    cuts = (
        a_cut("Stairs 1", "Stairs", CutKind.STAIR, None, (0, 0, 900, 900), length_mm=1000.0, steps=1, **begun),
        a_cut("Stairs 2", "Stairs", CutKind.STAIR, None, (0, 0, 800, 3010), length_mm=3500.0, steps=7, **begun),
        a_cut("Stairs 3", "Stairs", CutKind.STAIR, None, (0, 3010, 800, 5590), length_mm=3000.0, steps=6, **begun),
    )
    placed = Placed(cuts[0], ROLL, (0, 0)), Placed(cuts[1], ROLL, (1000, 0)), Placed(cuts[2], ROLL, (2000, 10))
    first: Ring = ((900, 0), (1000, 0), (1000, 3500), (0, 3500), (0, 1000), (900, 1000))
    hole = box(2000, 10, 2800, 3010)
    rests = (
        Leftover(ROLL, Outline(box(1800, 0, 4000, 3500), (hole,)), (1200, 3500), (2800, 0)),
        Leftover(ROLL, Outline(first), (1000, 2500), (0, 1000)),
    )
    plan = OrderPlan(
        floors, Roll(4000.0, Repeat(500, 500)), (Laying("Stairs", 0.0, cuts),), placed, 3500.0, 3500.0, 3500.0, 6.1e6, rests,
        kept_mm2=7.9e6,
    )  # fmt: skip
    return GivenOrder(floors, replace(PLAIN, repeat_rule=RepeatRule.WHOLE), plan)


def turned_a_quarter(given: GivenOrder) -> GivenOrder:
    """The lounge, its closet and the piece lie turned a quarter clockwise, their pile with them: every cut stays as it is."""

    def turned(ring: Sequence[tuple[float, float]]) -> Ring:
        return tuple((y, -x) for x, y in ring)

    def outline(old: Outline) -> Outline:
        return Outline(turned(old.ring), tuple(turned(ring) for ring in old.cutouts))

    def floors(old: Floors) -> Floors:
        rooms = tuple(
            replace(room, outline=outline(room.outline), pile_deg=90.0, motif=turned((room.motif,))[0] if room.motif else None)
            for room in old.rooms
        )
        return replace(old, rooms=rooms)

    layings = tuple(
        replace(
            laying,
            pile_deg=90.0,
            seams=tuple(
                replace(each, seam=replace(each.seam, line=(turned(each.seam.line)[0], turned(each.seam.line)[1])))
                for each in laying.seams
            ),
        )
        for laying in given.plan.layings
    )
    stock = tuple(
        replace(
            each,
            piece=replace(
                each.piece,
                outline=outline(each.piece.outline),
                pile_deg=90.0,
                motif=turned((each.piece.motif,))[0] if each.piece.motif else None,
            ),
        )
        for each in given.stock
    )
    rests = tuple(replace(left, outline=outline(left.outline)) if left.piece != ROLL else left for left in given.plan.leftovers)
    plan = replace(given.plan, floors=floors(given.plan.floors), layings=layings, leftovers=rests)
    return replace(given, floors=floors(given.floors), plan=plan, stock=stock)


LOUNGE, AS_ONE, DOOR, PATTERNED, STAIRS = _lounge(), _as_one(), _door(), _patterned(), _stairs()
