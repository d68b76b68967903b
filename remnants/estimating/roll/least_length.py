"""How much roll no way of laying goes below, whatever the seams: a bound over all layouts, not only over the cuts chosen.

Every line of the floor along the pile must be covered by cuts at least as long as the floor is there, with its trims. So rooms
fall into columns of a width and a length. Cut to pieces of one length h, columns give rows of pieces that are all equally long,
and of those a roll holds only so many side by side: h times the rows, rounded up, is a true bound for every h.
"""

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from remnants.estimating.rooms.run_through import run_throughs
from remnants.geometry import TOLERANCE_MM, Outline, Point
from remnants.geometry.bands import band, is_thinner_outside, on_line
from remnants.geometry.turn import between, turned, turned_point
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors, Laid, Room, Stairs

__all__ = ["least_mm"]

MOST_COMBINATIONS = 64
"""Bearings of unconnected rooms are looked at together up to so many combinations; beyond, each length is bounded by itself."""

MOST_PIECES = 6
"""Lengths h are tried down to so many to a column."""

MOST_LENGTHS = 240
"""Lengths h tried at most: of more, each second or third is taken. Any of them gives a true bound."""


@dataclass(frozen=True)
class Column:
    """Floor that needs cuts `length_mm` long in all over `width_mm`, in at most `joints` + 1 pieces, with `area_mm2` of them."""

    width_mm: float
    length_mm: float
    area_mm2: float
    joints: int = 0

    def pieces(self, length_mm: float) -> int:
        """So many pieces of this length its cuts hold for certain: each joint may lose one."""
        return max(0, math.floor(round(self.length_mm / length_mm, 9)) - self.joints)


def least_mm(
    floors: Floors,
    bearings: Sequence[Sequence[float]],
    roll: Roll,
    rules: OrderRules,
    *,
    given: Collection[str] = (),
    stock_mm2: float = 0.0,
) -> float:
    """Roll (mm) below which no way of laying goes; `bearings` are those of each group of connected rooms (degrees).

    Stock may give the floors named in `given`, and of the others any part with `stock_mm2` of area in all.
    """
    shared = {part.name for way in run_throughs(floors) for room in way.rooms for part in room.parts}
    groups = [
        [
            tuple(
                column
                for room in group
                if room.name not in given
                for column in _columns(room, bearing, roll, rules, alone=room.name not in shared)
            )
            for bearing in each
        ]
        for group, each in zip(floors.groups, bearings, strict=True)
    ]
    groups += [[tuple(_stair_columns(flight, roll, rules))] for flight in floors.stairs if flight.name not in given]
    areas = sum(min(sum(column.area_mm2 for column in columns) for columns in each) for each in groups)
    by_area = max(0.0, areas - stock_mm2) / (roll.width_mm + TOLERANCE_MM)
    if stock_mm2:
        return by_area
    if math.prod(len(each) for each in groups) > MOST_COMBINATIONS:
        return max(by_area, _by_rows(groups, roll))
    return max(by_area, min(_by_rows([[columns] for columns in whole], roll) for whole in product(*groups)))


def _by_rows(groups: Sequence[Sequence[tuple[Column, ...]]], roll: Roll) -> float:
    """The best bound by rows of one length, each group at whichever of its bearings gives fewest."""
    columns = [column for each in groups for way in each for column in way]
    long = [column for column in columns if column.length_mm > TOLERANCE_MM]
    lengths = {column.length_mm / count for column in long for count in range(1, MOST_PIECES + column.joints)}
    best = 0.0
    for length in sorted(lengths)[:: 1 + len(lengths) // MOST_LENGTHS]:
        width = sum(min(sum(column.width_mm * column.pieces(length) for column in way) for way in each) for each in groups)
        rows = math.ceil(round(width / (roll.width_mm + TOLERANCE_MM), 6))
        best = max(best, rows * length)
    return best


Wall = tuple[Point, Point, float]


@dataclass(frozen=True)
class _Strip:
    """A part of the floor with no corner inside, between x = `left` and `right`: its lower and upper ends at both (mm)."""

    left: float
    right: float
    lows: tuple[float, float]
    highs: tuple[float, float]

    @property
    def shortest_mm(self) -> float:
        return min(high - low for low, high in zip(self.lows, self.highs, strict=True))

    def trims_mm(self, walls: Sequence[Wall]) -> float:
        """What the walls at both ends add to the length: their trims, less where they run aslant."""
        x = (self.left + self.right) / 2
        ends = [(x, sum(self.lows) / 2), (x, sum(self.highs) / 2)]
        return sum(
            max((trim * abs(b[0] - a[0]) / math.dist(a, b) for a, b, trim in walls if on_line(end, a, b)), default=0.0)
            for end in ends
        )

    def beside_mm(self, walls: Sequence[Wall]) -> float:
        """What walls along the whole of a side add to the width: beside a part of it the trim may lie in a cut that runs on."""
        added = 0.0
        for x, low, high in zip((self.left, self.right), self.lows, self.highs, strict=True):
            trims = [trim for a, b, trim in walls if on_line((x, low), a, b) and on_line((x, high), a, b)]
            added += max(trims, default=0.0)
        return added

    def holds(self, y: float) -> bool:
        return max(self.lows) < y < min(self.highs)


def _columns(room: Room, pile_deg: float, roll: Roll, rules: OrderRules, *, alone: bool) -> Iterator[Column]:
    """The room's columns at a bearing: every strip between corners with its trims, and what seams add to their width.

    Whole repeats are counted where no other floor lies before or behind that one cut might cover too: none beyond an island or a
    recess. A room through whose doorway carpet may run into another (not `alone`) counts neither them nor trims.
    """
    floor = turned(room.outline, between(pile_deg, 0.0))
    walls = _walls(room, pile_deg) if alone else ()
    strips = _strips(floor)
    at = Counter(strip.left for strip in strips)
    lengths = {}
    for strip in strips:
        trims = strip.trims_mm(walls)
        length = strip.shortest_mm + trims
        if alone and at[strip.left] == 1:
            length = rules.cut_length_mm(length, roll.repeat)
        lengths[strip] = length
        wide = strip.right - strip.left
        beside = strip.beside_mm(walls)
        mean = sum(high - low for low, high in zip(strip.lows, strip.highs, strict=True)) / 2 + trims
        yield Column(wide + beside, length, max(length, mean) * wide + length * beside, rules.cross_seams)
    if rules.cross_seams == 0:
        yield from _widened(strips, lengths, walls, roll, rules)


def _strips(floor: Outline) -> list[_Strip]:
    corners = sorted({x for ring in (floor.ring, *floor.cutouts) for x, _ in ring})
    found = []
    for left, right in pairwise(corners):
        if right - left > TOLERANCE_MM:
            for part in band(floor, left, right):
                ends = [[y for x, y in part.ring if abs(x - at) <= TOLERANCE_MM] for at in (left, right)]
                if all(ends):
                    lows, highs = (min(ends[0]), min(ends[1])), (max(ends[0]), max(ends[1]))
                    found.append(_Strip(left, right, lows, highs))
    return found


def _widened(
    strips: Sequence[_Strip], lengths: Mapping[_Strip, float], walls: Sequence[Wall], roll: Roll, rules: OrderRules
) -> Iterator[Column]:
    """Where the floor is widest it takes so many cuts, and each seam between them adds its trims."""
    ends = sorted({y for strip in strips for y in (*strip.lows, *strip.highs)})
    best: tuple[int, float] = (0, 0.0)
    for low, high in pairwise(ends):
        run: list[_Strip] = []
        for strip in (each for each in strips if each.holds((low + high) / 2)):
            run = [*run, strip] if run and abs(run[-1].right - strip.left) <= TOLERANCE_MM else [strip]
            width = run[-1].right - run[0].left + sum(each.beside_mm(walls) for each in run)
            best = max(best, (_fewest_seams(width, roll, rules), min(lengths[each] for each in run)))
    seams, length = best
    if seams:
        added = 2 * rules.seam_mm * seams
        yield Column(added, length, added * length)


def _fewest_seams(width_mm: float, roll: Roll, rules: OrderRules) -> int:
    """Seams that a floor this wide, with the trims at its sides, can't do without."""
    usable = roll.width_mm - 2 * rules.seam_mm
    return max(0, math.ceil(round((width_mm - 2 * rules.seam_mm) / usable, 6)) - 1) if usable > 0 else 0


def _walls(room: Room, pile_deg: float) -> tuple[Wall, ...]:
    """Edges of walls and islands with their trims, in the pile frame.

    None at all where a wall or an island is thinner than the trims at its two sides, as both might be the same carpet there.
    """
    around = max(room.trims_mm)
    if is_thinner_outside(room.outline, 2 * around):
        return ()
    turn = between(pile_deg, 0.0)
    ring = room.outline.ring
    sides = list(zip(ring, (*ring[1:], ring[0]), room.trims_mm, strict=True))
    sides += [(a, b, around) for island in room.outline.cutouts for a, b in zip(island, (*island[1:], island[0]), strict=True)]
    return tuple((turned_point(a, turn), turned_point(b, turn), trim) for a, b, trim in sides)


def _stair_columns(stairs: Stairs, roll: Roll, rules: OrderRules) -> Iterator[Column]:
    """Every winder and every step by itself, or the flight in one run that may be cut into several."""

    def column(width: float, length: float, joints: int = 0) -> Column:
        length = rules.cut_length_mm(length, roll.repeat)
        return Column(width, length, width * length, joints)

    yield from (column(width, length) for width, length in stairs.winders)
    if stairs.laid is Laid.STEPS:
        yield from (column(stairs.cut_width_mm, stairs.step_mm + stairs.run_mm) for _ in range(stairs.steps))
    elif stairs.steps:
        joints = min(stairs.most_runs, stairs.steps) - 1
        yield column(stairs.cut_width_mm, stairs.steps * stairs.step_mm + stairs.run_mm, joints)
