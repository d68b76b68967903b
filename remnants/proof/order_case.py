"""An order that is to be proved, and what follows from its cuts alone: where they lie on floor, roll and pieces, and meet."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from remnants.errors import Fault
from remnants.model.match import Candidate
from remnants.model.order_plan import ROLL, Cut, Laying, OrderPlan, Placed, RoomSeam
from remnants.model.order_rules import OrderRules
from remnants.model.rooms import Floors, Room
from remnants.proof.lines import TOLERANCE_MM, Edge, Ring, edges_of
from remnants.proof.motion import brought
from remnants.proof.regions import Region, region_of, touching
from remnants.proof.remains import Ground, Remains, ground_of, rests_of

__all__ = ["Covered", "OrderCase", "OrderQuestion", "Spread"]


@dataclass(frozen=True, eq=False)
class Covered:
    """A cut and the floor that it covers, its pile along +y."""

    cut: Cut
    net: Region


@dataclass(frozen=True, eq=False)
class Spread:
    """A room as it is laid, turned so that its pile lies along +y: walls, islands, and what each cut covers."""

    room: Room
    laying: Laying
    walls: Region
    islands: tuple[Region, ...]
    cuts: tuple[Covered, ...]

    @cached_property
    def meetings(self) -> list[Edge]:
        """The stretches along which what two cuts cover meets."""
        found = []
        for one, two in combinations(self.cuts, 2):
            for touch in touching(one.net, two.net):
                if not touch.same_way:
                    found += edges_of([touch.edge.at(touch.stretch[0]), touch.edge.at(touch.stretch[1])])[:1]
        return found

    @property
    def seams(self) -> list[tuple[str, RoomSeam, Edge]]:
        """Seams told between its own cuts: where, and how each is drawn, its pile along +y. One without length is left out."""
        away = {door.to for door in self.room.doorways}
        return [
            (f"{self.room.name}.seams[{index}]", seam, edge)
            for index, seam in enumerate(self.laying.seams)
            if not seam.to or seam.to not in away
            for edge in edges_of(brought(seam.seam.line, -self.laying.pile_deg, (0.0, 0.0)))[:1]
        ]


@dataclass(frozen=True, eq=False)
class OrderCase:
    """An order, and what it answers: the floors asked for, the rules, and the stock that it may take."""

    plan: OrderPlan
    asked: Floors
    rules: OrderRules
    stock: Sequence[Candidate]

    @cached_property
    def pieces(self) -> Mapping[str, Candidate]:
        """The stock by tag."""
        return {each.piece.tag: each for each in self.stock}

    @cached_property
    def layings(self) -> Mapping[str, Laying]:
        """How each floor is laid, by its name."""
        return {laying.room: laying for laying in self.plan.layings}

    @cached_property
    def spreads(self) -> tuple[Spread, ...]:
        """Every room that is laid."""
        return tuple(_spread(room, self.layings[room.name]) for room in self.plan.floors.rooms if room.name in self.layings)

    @cached_property
    def sources(self) -> Mapping[str, list[tuple[Placed, Region]]]:
        """The cuts from the roll and from each piece, each as it lies with the pile along +y."""
        found: dict[str, list[tuple[Placed, Region]]] = {}
        for placed in self.plan.placed:
            found.setdefault(placed.source, []).append((placed, region_of(_ring(placed))))
        return found

    @cached_property
    def remains(self) -> tuple[Remains, ...]:
        """What is left of the roll ordered and of each piece that is cut."""
        found = []
        rests = rests_of(self.plan.leftovers, ROLL)
        for place, (start, end) in enumerate(self.lengths if 0 < self.plan.ordered_mm < math.inf else ()):
            width = self.plan.roll.width_mm
            ground = ground_of(((0.0, start), (width, start), (width, end), (0.0, end)))
            cuts = tuple(region for placed, region in self.sources.get(ROLL, ()) if self.roll_at(placed.at[1]) == place)
            found.append(
                Remains("the roll", ground, cuts, tuple(each for each in rests if self.roll_at(each.region.box[1]) == place))
            )
        for tag, cuts_of in self.sources.items():
            if tag in self.pieces:
                piece = self.pieces[tag].piece
                turned = tuple(region_of(brought(_ring(placed), piece.pile_deg, (0.0, 0.0))) for placed, _ in cuts_of)
                rests = rests_of(self.plan.leftovers, tag, piece.pile_deg)
                found.append(Remains(tag, self.ground(tag), turned, rests))
        return tuple(found)

    @property
    def lengths(self) -> list[tuple[float, float]]:
        """Where each length of roll starts and ends, its end loss taken off, one behind the other (mm)."""
        loss = self.plan.roll.end_loss_mm
        rolls = [(each.start_mm, each.start_mm + each.ordered_mm - loss) for each in self.plan.rolls]
        return rolls or [(0.0, self.plan.ordered_mm - loss)]

    def roll_at(self, along_mm: float) -> int:
        """Which of the lengths of roll lies there: the last that has started."""
        started = [place for place, (start, _) in enumerate(self.lengths) if start <= along_mm + TOLERANCE_MM]
        return max(started, default=0)

    def ground(self, tag: str) -> Ground:
        """The piece of a tag."""
        outline = self.pieces[tag].piece.outline
        return ground_of(outline.ring, outline.cutouts)

    @property
    def uncut(self) -> tuple[tuple[str, str], ...]:
        """Leftovers told of what isn't cut: where, and of what."""
        cut = {*self.sources, *([ROLL] if self.plan.ordered_mm > 0 else [])}
        told = enumerate(self.plan.leftovers)
        return tuple((f"leftovers[{number}]", left.piece) for number, left in told if left.piece not in cut)


def _spread(room: Room, laying: Laying) -> Spread:
    def seen(ring: Ring) -> Region:
        return region_of(brought(ring, -laying.pile_deg, (0.0, 0.0)))

    nets = tuple(Covered(cut, region_of(cut.net.ring, cut.net.cutouts)) for cut in laying.cuts if cut.net is not None)
    return Spread(room, laying, seen(room.outline.ring), tuple(map(seen, room.outline.cutouts)), nets)


def _ring(placed: Placed) -> Ring:
    (x, y), width, length = placed.at, placed.cut.width_mm, placed.cut.length_mm
    return (x, y), (x + width, y), (x + width, y + length), (x, y + length)


OrderQuestion = Callable[[OrderCase], Iterator[Fault]]
"""What an order is asked: its docstring is the question, its name tells which one refused; it yields each fault found."""
