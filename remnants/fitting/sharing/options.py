"""The ways in which each patch of a job may be made, before it is known which of them go together."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Leaf
from remnants.fitting.patch.look import least_look, look_of
from remnants.fitting.patch.out_of_reach import has_uneven_edges
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.seam_spans import Span, every_span
from remnants.fitting.patch.shape import Split
from remnants.geometry.outline import TOLERANCE_MM, area_mm2
from remnants.model.merit import Merit

__all__ = ["PartKey", "Way", "WayPart", "ways_of"]

MOST_PAIRS = 6000
"""Pairs of donors times families of seams, of all patches together, up to which joins are looked at one by one."""

PartKey = tuple[object, ...]
"""What tells a part apart: its patch, its piece and turn, and for one of two the family of seams and the side."""


@dataclass(frozen=True, eq=False)
class WayPart:
    """A part of a patch on a donor: all of it, or one half of a split (side 0: the low one), the seam within `limits` (mm)."""

    patch: int
    donor: Donor
    split: Split | None = None
    side: int = 0
    limits: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def key(self) -> PartKey:
        """Parts of one key are the same question to a piece."""
        family = () if self.split is None else (self.split.axis, self.split.rising, self.split.falling, self.limits, self.side)
        return self.patch, self.donor.tag, self.donor.turn_deg, *family


@dataclass(frozen=True, eq=False)
class Way:
    """A way to make a patch that no look of it beats `look`. Without parts: some way or other, of which nothing else is known.

    A join is made with the seam somewhere within `limits` (mm).
    """

    patch: int
    look: Merit
    parts: tuple[WayPart, ...] = ()
    limits: tuple[float, float] = (0.0, 0.0)

    def area_on(self, ask: Ask, part: WayPart) -> float:
        """The carpet (mm²) that a part takes at the least."""
        if part.split is None:
            return area_mm2(ask.shape.cut)
        half = part.split.halves(self.limits[part.side])[part.side]
        return area_mm2(half.ring)


def ways_of(index: int, ask: Ask, field: Field, patches: int) -> list[Way]:
    """The ways to make one of so many patches from untouched stock: what isn't among them is no way.

    Or it is stood for by one without parts: joins of very many pieces, or of more than two parts. Raises OutOfTime.
    """
    found = [
        Way(index, look_of(ask, Leaf(ask.shape, donor)), (WayPart(index, donor),))
        for donor in field.donors
        if ask.has_pins({donor.tag}) and ask.lies(ask.shape, donor)
    ]
    most, open_to = ask.patch.max_parts, bool(ask.undecided)
    if most > 1:
        tried = every_span(ask, ask.shape)
        if has_uneven_edges(ask) or len(tried) * len(field.donors) ** 2 * patches > MOST_PAIRS:
            open_to = True
        else:
            for split, span in tried:
                found += _joins(index, ask, field, (split, span))
    if (most > 2 or open_to) and field.donors:
        inner = 1 if open_to else 2
        looks = [least_look(ask, None, (donor,), inner=inner) for donor in field.looks[1]]
        found.append(Way(index, Merit() if ask.undecided else min(looks, key=lambda look: look.key)))
    return found


def _joins(index: int, ask: Ask, field: Field, where: tuple[Split, Span]) -> Iterator[Way]:
    """Two parts with the seam in a span of a family: each pair of donors that reach one another, also of one piece."""
    split, span = where
    lows, highs = Reaches.of(ask, field, split, low=True), Reaches.of(ask, field, split, low=False)
    reach, (first, last) = (_settled(lows), _settled(highs)), split.limits(ask.min_part_mm)
    looks: dict[tuple[object, ...], Merit] = {}
    for low, one in enumerate(field.donors):
        for high, two in enumerate(field.donors):
            least, greatest = max(reach[1][high], span.low), min(reach[0][low], span.high)
            if not least <= greatest + TOLERANCE_MM or not ask.has_pins({one.tag, two.tag}):
                continue
            kinds = one.name, one.look_key, two.name, two.look_key
            if kinds not in looks:
                looks[kinds] = least_look(ask, split.axis, (one, two), inner=1, view=span.view)
            own = (max(first, span.low), reach[0][low]), (reach[1][high], min(last, span.high))
            parts = tuple(WayPart(index, donor, split, side, own[side]) for side, donor in enumerate((one, two)))
            yield Way(index, looks[kinds], parts, (min(least, greatest), max(least, greatest)))


def _settled(reaches: Reaches) -> Sequence[float]:
    """The true figure of every donor; NaN of those that can't fill the family from that side."""
    return [reaches.settle(place) for place in range(len(reaches.field.donors))]
