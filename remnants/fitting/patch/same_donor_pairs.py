"""Two parts of one patch from one donor, at one allowed turn or at two, wherever the seam lies between them."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.free_parts import Free, free_part
from remnants.fitting.patch.layout import Joint, Leaf
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field, Floats
from remnants.fitting.patch.same_donor import Row, place_together
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.seam_events import stretches
from remnants.fitting.patch.seam_intervals import free_half
from remnants.fitting.patch.seam_spans import Where, clear_of, every_span
from remnants.fitting.patch.shape import Shape, Split
from remnants.fitting.patch.side_by_side import may_lie_side_by_side, widths_round
from remnants.geometry.lie import apart, overlap, region
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring, area_mm2, bounds, perimeter_mm
from remnants.geometry.turn import moved_ring, turned_point, turned_ring, whole_turn

__all__ = ["MEETS_MM", "TOO_MANY_EVENTS", "Sides", "clear", "one_donor_pairs", "turned_apart"]

MEETS_MM = TOLERANCE_MM / 10
"""How closely a part is held to a move."""

TOO_MANY_EVENTS = "how the parts change their shape along so many corners"


@dataclass(frozen=True, eq=False)
class Sides:
    """The donors of a low and a high part: two pieces, or one piece at one allowed turn or at two.

    Both parts of one piece are read in the axes in which the low one lies: the high one is swung by the difference.
    """

    low: Donor
    high: Donor

    @property
    def one_piece(self) -> bool:
        """True if both are cut from the same carpet."""
        return self.low.tag == self.high.tag

    @cached_property
    def swing_deg(self) -> float:
        """What the high part is turned by, clockwise, to lie in the low one's axes; 0 for two pieces."""
        return whole_turn(self.low.turn_deg - self.high.turn_deg) if self.one_piece else 0.0

    @property
    def grounds(self) -> tuple[Donor, Donor]:
        """The donors in whose axes either part is read."""
        return (self.low, self.low) if self.one_piece else (self.low, self.high)

    @cached_property
    def _widths(self) -> Floats:
        return widths_round(self.low.ground.outline.ring)

    def may_hold(self, split: Split, least: float, greatest: float) -> bool:
        """False where the one piece is nowhere wide enough for both parts, the seam anywhere between two positions (mm)."""
        return may_lie_side_by_side(self._widths, split, self.swing_deg, least, greatest)

    def swung(self, ring: Ring) -> Ring:
        """A ring of the high part in the axes that it is read in."""
        return turned_ring(ring, self.swing_deg) if self.swing_deg else ring

    def cuts(self, split: Split, at: float) -> tuple[Ring, Ring]:
        """Both cuts with the seam at a position, in the axes that they are read in (mm)."""
        low, high = split.halves(at)
        return low.cut, self.swung(high.cut)

    def free(self, split: Split, low: float, high: float) -> tuple[Free, Free] | None:
        """Both halves as parts whose corners move with the seam, read off at the middle of a stretch and beside it."""
        one = free_half(split, self.grounds[0], (low, high), side=0)
        two = free_half(split, self.grounds[1], (low, high), side=1, swing_deg=self.swing_deg)
        return None if one is None or two is None else (one, two)

    def still(self, split: Split, at: float) -> tuple[Free, Free] | None:
        """Both halves with the seam at one position."""
        swings = (0.0, self.swing_deg)
        one, two = (
            free_part(donor, (half,), (), (), swing_deg=swing)
            for donor, half, swing in zip(self.grounds, split.halves(at), swings, strict=True)
        )
        return None if one is None or two is None else (one, two)

    def option(self, split: Split, at: float, moves: Sequence[Point]) -> Option:
        """The layout with its moves as they were found."""
        low, high = split.halves(at)
        own = (moves[0], turned_point(moves[1], whole_turn(-self.swing_deg)) if self.swing_deg else moves[1])
        return Option(Joint(split, at, Leaf(low, self.low), Leaf(high, self.high)), own)

    def swung_move(self, move: Point) -> Point:
        """A move of the high part, from its own axes to those that it is read in."""
        return turned_point(move, self.swing_deg) if self.swing_deg else move


def turned_apart(field: Field, shape: Shape) -> Iterator[tuple[int, int]]:
    """The places of two turns of one piece, either way round.

    A half turn of a rectangle's parts is no other part: that is left out, for it only shows more.
    """
    by_piece: dict[int, list[int]] = {}
    for place in np.flatnonzero(np.bincount(field.pieces)[field.pieces] > 1).tolist():
        by_piece.setdefault(int(field.pieces[place]), []).append(place)
    for places in by_piece.values():
        for one, two in product(places, places):
            half_turn = (field.turns[one] - field.turns[two]) % 360.0 == 180.0
            plain = field.donors[one].candidate.style.repeat is None
            if one != two and not (half_turn and shape.is_rectangle and plain):
                yield one, two


def one_donor_pairs(
    ask: Ask,
    shape: Shape,
    field: Field,
    tries: int | None = None,
    *,
    where: Where = (),
    places: Sequence[tuple[int, int]] | None = None,
    may_win: Callable[[Donor], bool] = lambda _donor: True,
) -> Iterator[Option]:
    """Two parts from one donor, the smallest donors first. Nothing if none can give both (of the first `tries`, if given).

    Seams are tried along the pile and across it, or `where` it is told; beside a doorway up to three places of the seam for each
    donor.
    `places`: the donors of the low and the high part, one piece at two turns; without, each donor gives both at its own.
    Of those tried only such are looked at as `may_win`.
    """
    tried = where or every_span(ask, shape)
    families = [split for split, _ in tried]
    reaches = [(Reaches.of(ask, field, split, low=True), Reaches.of(ask, field, split, low=False)) for split in families]
    chosen = np.array([(place, place) for place in range(len(field.donors))] if places is None else places, dtype=np.int64)
    ones, twos = chosen.reshape(-1, 2).T
    may = [lows.at[ones] >= highs.at[twos] - TOLERANCE_MM for lows, highs in reaches]
    any_may = np.logical_or.reduce(may) if may else np.zeros(len(ones), dtype=bool)
    able = np.flatnonzero(any_may & (field.areas[ones] >= area_mm2(shape.ring) - TOLERANCE_MM * perimeter_mm(shape.ring)))
    for number in able[np.argsort(field.areas[ones[able]], kind="stable")][:tries]:
        sides = Sides(field.donors[ones[number]], field.donors[twos[number]])
        if not may_win(sides.low):
            continue
        for (split, span), (lows, highs), can in zip(tried, reaches, may, strict=True):
            if not can[number]:
                continue
            if not sides.may_hold(split, span.low, span.high):
                continue
            both = lows.meets(int(ones[number]), highs, int(twos[number]))
            if both is None or not _room(split, sum(both) / 2, sides.low):
                continue
            low, high = both
            least, greatest = max(min(high, low), span.low), min(max(high, low), span.high)
            if least > greatest:
                continue
            if not sides.may_hold(split, least, greatest):
                continue
            off = clear_of(span, least, greatest)
            try:
                option = _both(ask, split, sides, *off)
                if option is None and off != (least, greatest):
                    option = _both(ask, split, sides, least, greatest)
            except GaveUp:
                ask.undecided.add(f"both parts from {sides.low.tag}")
                continue
            if option is not None:
                yield option
                if ask.by_doorway and ask.motif is None:
                    yield from _at_ends(split, sides, *off)


def _at_ends(split: Split, sides: Sides, least: float, greatest: float) -> Iterator[Option]:
    """The same parts with the seam at either end of its range: where it lies matters beside a doorway."""
    if greatest - least > 4 * TOLERANCE_MM:
        for at in (least + TOLERANCE_MM, greatest - TOLERANCE_MM):
            option = _both_at(split, sides, (at,))
            if option is not None:
                yield option


def _room(split: Split, at: float, donor: Donor) -> bool:
    """True unless the two parts together have more area than the donor.

    A rectangle's two cuts have one area wherever the seam falls; of other shapes only the nets have.
    """
    halves = split.halves(at)
    needed = sum(area_mm2(half.cut if split.shape.is_rectangle else half.ring) for half in halves)
    dust = 2 * TOLERANCE_MM * donor.left.usable.length
    return bool(needed <= donor.left.usable_area_mm2 + dust)


def _both(ask: Ask, split: Split, sides: Sides, least: float, greatest: float) -> Option | None:
    if ask.motif is not None and sides.low.candidate.style.repeat is not None:
        return _both_on_lattice(ask, split, sides, least, greatest)
    effort = ask.effort()
    open_to, at, complete = stretches(split, least, greatest)
    for low, high in open_to:
        frees = sides.free(split, low, high)
        found = place_together(frees, [(low, high)], effort=effort) if frees is not None else None
        if found is not None:
            return sides.option(split, found[0][0], found[1])
    option = _both_at(split, sides, (*at, *((least, greatest) if not open_to else ())))
    if option is None and not complete:
        ask.undecided.add(TOO_MANY_EVENTS)
    return option


def _both_at(split: Split, sides: Sides, positions: Sequence[float]) -> Option | None:
    """Both halves at one of a few seam positions, exact for each."""
    ground = sides.low.ground
    for at in positions:
        if all(half.is_simple for half in split.halves(at)):
            low, high = sides.cuts(split, at)
            moves = apart(low, high, region(ground, low), region(ground, high))
            if moves is not None:
                return sides.option(split, at, moves)
    return None


def _both_on_lattice(ask: Ask, split: Split, sides: Sides, least: float, greatest: float) -> Option | None:
    """Both halves on lattice moves, those first that can be with the seam at an end of its range or in its middle.

    Moves at which even the nets of the smallest parts overlap are left out.
    """
    for at in (least, (least + greatest) / 2, greatest):
        low, high = split.halves(at)
        for one, two in product(ask.moves(low, sides.low) or (), ask.moves(high, sides.high) or ()):
            if clear(moved_ring(low.cut, one), sides.swung(moved_ring(high.cut, two))):
                return sides.option(split, at, (one, sides.swung_move(two)))
    effort = ask.effort()
    open_to, at_events, complete = stretches(split, least, greatest)
    frees = [(limits, sides.free(split, *limits)) for limits in open_to]
    positions = sorted({least, greatest, *at_events, *(at for limits in open_to for at in limits)})
    low, high = split.halves(least)[0], split.halves(greatest)[1]
    ones = dict.fromkeys(move for at in positions for move in ask.moves(split.halves(at)[0], sides.low) or ())
    twos = dict.fromkeys(move for at in positions for move in ask.moves(split.halves(at)[1], sides.high) or ())
    for one, two in product(ones, twos):
        if not clear(moved_ring(low.ring, one), sides.swung(moved_ring(high.ring, two))):
            continue
        moves = (one, sides.swung_move(two))
        for limits, both in frees:
            found = place_together(both, [limits], _held(moves, seams=1), effort) if both is not None else None
            if found is not None:
                return sides.option(split, found[0][0], moves)
        for at in at_events:
            still = sides.still(split, at)
            if still is not None and place_together(still, [], _held(moves, seams=0), effort) is not None:
                return sides.option(split, at, moves)
    if not complete:
        ask.undecided.add(TOO_MANY_EVENTS)
    return None


def _held(moves: Sequence[Point], *, seams: int) -> list[Row]:
    """Conditions that hold both parts to moves. Columns: seams, then x and y of each."""
    rows: list[Row] = []
    for column, value in enumerate((*moves[0], *moves[1]), start=seams):
        rows += [({column: 1.0}, value + MEETS_MM), ({column: -1.0}, MEETS_MM - value)]
    return rows


def clear(first: Ring, second: Ring) -> bool:
    """True if two rings (mm) don't overlap."""
    (l1, b1, r1, t1), (l2, b2, r2, t2) = bounds(first), bounds(second)
    return max(l2 - r1, l1 - r2, b2 - t1, b1 - t2) >= -TOLERANCE_MM or not overlap(first, second)
