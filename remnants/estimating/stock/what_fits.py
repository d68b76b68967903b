"""What pieces in stock can give: which cuts may come from which pieces, and where they lie on them.

Floors seen together must be of one lot. A cut may join roll goods only if its piece is of the roll's own lot; pieces of another
lot may give all cuts of what is seen together, or none.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from remnants.estimating.pattern_places import lattice_of
from remnants.estimating.stock.leftovers import cut_ring, worth_mm2
from remnants.geometry import Outline, Point, Ring
from remnants.geometry.bands import holds
from remnants.geometry.lie import Ground, region
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import between, moved_ring, turned, turned_point
from remnants.model import Candidate, Grade, PassedOver
from remnants.model.order_plan import Cut, Laying, Placed
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors

__all__ = ["Option", "lay_on_stock", "lot_of", "most_from_stock", "options", "seen_together", "usable_stock", "views"]

MOST_STEPS = 120
"""Steps of the search for places on the pieces."""

MOST_CORNERS = 4


@dataclass(frozen=True)
class Option:
    """Cuts that may come from these pieces together; `same_lot` when they may lie beside roll goods."""

    cuts: tuple[Cut, ...]
    stock: tuple[Candidate, ...]
    same_lot: bool


def usable_stock(candidates: Sequence[Candidate], roll: Roll) -> tuple[tuple[Candidate, ...], tuple[PassedOver, ...]]:
    """The candidates that can meet the roll's pattern, and the others with the reason."""
    if roll.repeat is None:
        return tuple(candidates), ()
    kept = tuple(candidate for candidate in candidates if candidate.piece.motif is not None)
    reason = "its pattern's reference point is not recorded, so the pattern can't be met"
    return kept, tuple(PassedOver(each.piece.tag, reason) for each in candidates if each.piece.motif is None)


def views(floors: Floors, layings: Sequence[Laying]) -> tuple[tuple[Cut, ...], ...]:
    """The cuts of floors seen together, group by group."""
    laid = {laying.room: laying.cuts for laying in layings}
    return tuple(tuple(cut for name in names for cut in laid[name]) for names in seen_together(floors))


def seen_together(floors: Floors) -> tuple[tuple[str, ...], ...]:
    """Names of the floors that are seen together, group by group, in the order given."""
    names = [room.name for room in floors.rooms] + [flight.name for flight in floors.stairs]
    leader = {name: name for name in names}

    def first(name: str) -> str:
        while leader[name] != name:
            name = leader[name]
        return name

    hidden = {room.name for room in floors.rooms if room.hidden}
    links = [(room.name, door.to) for room in floors.rooms for door in room.doorways if door.to and not door.shut]
    links += [(flight.name, flight.joins) for flight in floors.stairs if flight.joins]
    for one, other in links:
        if one not in hidden and other not in hidden:
            leader[first(other)] = first(one)
    heads = dict.fromkeys(first(name) for name in names)
    return tuple(tuple(name for name in names if first(name) == head) for head in heads)


def most_from_stock(floors: Floors, stock: Sequence[Candidate], roll: Roll) -> tuple[frozenset[str], float]:
    """The floors that stock might give whole, as some lot has the area for all that is seen together, and the area (mm²) that
    the roll's own lot might give of the others."""
    areas = {room.name: room.outline.usable_area_mm2 for room in floors.rooms}
    lots: dict[tuple[str, ...], float] = {}
    for each in stock:
        lot = lot_of(each, roll)
        lots[lot] = lots.get(lot, 0.0) + each.piece.outline.usable_area_mm2
    own = lots.pop((), 0.0)
    most = max(lots.values(), default=0.0)
    whole = [names for names in seen_together(floors) if sum(areas.get(name, 0.0) for name in names) <= most]
    return frozenset(name for names in whole for name in names), own


def lot_of(candidate: Candidate, roll: Roll) -> tuple[str, ...]:
    """What two pieces must share to lie in one view: style, colour and lot; () for the roll's own lot."""
    piece = candidate.piece
    return () if _is_rolls_own(candidate, roll) else (piece.style, piece.colour, piece.lot)


def _is_rolls_own(candidate: Candidate, roll: Roll) -> bool:
    return bool(roll.lot.strip()) and candidate.match.grade is Grade.SAME_LOT


def options(groups: Sequence[tuple[Cut, ...]], stock: Sequence[Candidate], roll: Roll) -> Iterator[Option]:
    """What may come from stock: single cuts from the roll's lot, and whole views from any one lot."""
    lots: dict[tuple[str, ...], list[Candidate]] = {}
    for candidate in stock:
        lots.setdefault(lot_of(candidate, roll), []).append(candidate)
    same = tuple(lots.pop((), ()))
    for cuts in groups:
        if same:
            yield from (Option((cut,), same, True) for cut in cuts)
        yield from (Option(cuts, tuple(pieces), False) for pieces in lots.values())


def lay_on_stock(
    chosen: Sequence[Option], roll: Roll, rules: OrderRules, *, laid: Sequence[Placed] = ()
) -> tuple[Placed, ...] | None:
    """Places for all cuts of the options on their pieces, those worth least first; None when none were found.

    Where the cuts `laid` already may stay, they do.
    """
    wanted = [(cut, option.stock) for option in chosen for cut in option.cuts]
    wanted.sort(key=lambda each: (-each[0].width_mm * each[0].length_mm, each[0].name))
    pieces = {each.piece.tag: each.piece for _, stock in wanted for each in stock}
    grounds: dict[str, tuple[Outline, ...]] = {
        tag: (_in_pile_frame(piece.outline, piece.pile_deg),) for tag, piece in pieces.items()
    }
    if sum(cut.width_mm * cut.length_mm for cut, _ in wanted) > 1.0 + sum(g.usable_area_mm2 for (g,) in grounds.values()):
        return None
    if laid:
        kept = {each.cut.name for each in laid}
        rest = {tag: _less(ground, [each for each in laid if each.source == tag]) for tag, ground in grounds.items()}
        more = _Search(roll, rules).run([each for each in wanted if each[0].name not in kept], rest)
        if more is not None:
            return (*laid, *more)
    return _Search(roll, rules).run(wanted, grounds)


def _less(grounds: Sequence[Outline], placed: Sequence[Placed]) -> tuple[Outline, ...]:
    rings = [cut_ring(each) for each in placed]
    return tuple(part for ground in grounds for part in remainders(ground, rings))


@lru_cache(maxsize=4096)
def _in_pile_frame(outline: Outline, pile_deg: float) -> Outline:
    return turned(outline, between(pile_deg, 0.0))


class _Search:
    """Depth first over pieces and corners, with a limit on the steps."""

    def __init__(self, roll: Roll, rules: OrderRules) -> None:
        self._roll = roll
        self._rules = rules
        self._steps = MOST_STEPS

    def run(
        self, wanted: Sequence[tuple[Cut, Sequence[Candidate]]], grounds: dict[str, tuple[Outline, ...]]
    ) -> tuple[Placed, ...] | None:
        """Places for the rest of the cuts on what is left of the pieces."""
        if not wanted:
            return ()
        (cut, stock), rest = wanted[0], wanted[1:]
        for candidate in sorted(stock, key=lambda each: self._worth(each.piece.tag, grounds)):
            tag = candidate.piece.tag
            for at, ring in self._places(cut, candidate, grounds[tag]):
                self._steps -= 1
                if self._steps < 0:
                    return None
                left = tuple(part for ground in grounds[tag] for part in remainders(ground, [ring]))
                found = self.run(rest, {**grounds, tag: left})
                if found is not None:
                    return (Placed(cut, tag, at), *found)
        return None

    def _worth(self, tag: str, grounds: Mapping[str, Sequence[Outline]]) -> tuple[float, float, str]:
        """What is left of a piece: the part worth keeping, all of it (mm²)."""
        worth = sum(worth_mm2(ground, 0.0, self._rules) for ground in grounds[tag])
        return worth, sum(ground.usable_area_mm2 for ground in grounds[tag]), tag

    def _places(self, cut: Cut, candidate: Candidate, grounds: Sequence[Outline]) -> Iterator[tuple[Point, Ring]]:
        """Corners at which the cut lies on what is left of the piece, in the piece's pile frame (mm)."""
        part = ((0.0, 0.0), (cut.width_mm, 0.0), (cut.width_mm, cut.length_mm), (0.0, cut.length_mm))
        for ground in grounds:
            left, low, right, top = ground.bounds
            if right - left < cut.width_mm - 1 or top - low < cut.length_mm - 1:
                continue
            for at in self._corners(cut, candidate, ground, part):
                ring = moved_ring(part, at)
                if holds(ground, ring):
                    yield at, ring

    def _corners(self, cut: Cut, candidate: Candidate, ground: Outline, part: Ring) -> Iterator[Point]:
        piece = candidate.piece
        if self._roll.repeat is None or cut.origin is None or piece.motif is None:
            found = region(Ground(ground), part)
            yield from (*found.middles(), *found.corners()[:MOST_CORNERS])
            return
        # q - motif and box - origin agree on the lattice: the piece's pattern starts at its motif, not at its corner.
        motif = turned_point(piece.motif, between(piece.pile_deg, 0.0))
        lattice = lattice_of(cut, self._roll.repeat, motif)
        assert lattice is not None
        left, low, right, top = (value * 1000 for value in ground.bounds)
        k = int((left - lattice.x0) // lattice.across)
        while (x := lattice.x0 + k * lattice.across) <= right - cut.width_mm * 1000 + 10:
            start = lattice.y0 + k * lattice.drop
            m = int((low - start) // lattice.along)
            while (y := start + m * lattice.along) <= top - cut.length_mm * 1000 + 10:
                yield x / 1000, y / 1000
                m += 1
            k += 1
