"""Outlines that were fitted, how they compare, and which few of them are told."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from remnants.fitting.outline.drawn import Drawn
from remnants.geometry.outline import Ring
from remnants.model.merit import STEP_MM2, Merit
from remnants.model.proposal import Outlined, StopKind

__all__ = ["MOST_MORE_MM2", "MOST_TOLD", "Found", "Looked", "told_of"]

MOST_TOLD = 3
"""Outlines that are proposed at most."""

MOST_MORE_MM2 = 1_000_000.0
"""An outline that takes more than 1 m² beyond the least one is only another way (common practice, no source)."""

Ends = tuple[StopKind, ...]


@dataclass(frozen=True, eq=False)
class Looked:
    """An outline, or several where damages are taken apart, with how good the best plan of each alone is, put together.

    `merit.unfilled` counts those that no piece of the stock makes. `ample`: they take over 1 m² more than the least.
    """

    outlines: tuple[Outlined, ...]
    merit: Merit
    ample: bool = False

    @property
    def area_mm2(self) -> float:
        """How much carpet they take, without allowance."""
        return sum(outlined.area_mm2 for outlined in self.outlines)

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Their outlines (mm)."""
        return tuple(outlined.ring for outlined in self.outlines)

    @property
    def key(self) -> tuple[object, ...]:
        """Sorts them, the recommended one first."""
        return self.merit.unfilled, self.ample, self.merit.key, round(self.area_mm2), self.rings


@dataclass
class Found:
    """The outlines round some damage fitted so far: the best of each way to end that stock makes, and the least that it doesn't.

    `most_mm2`: what takes more is only another way. `least`: the least that stock makes, where it ends as a better one does.
    """

    most_mm2: float
    filled: dict[Ends, Looked] = field(default_factory=dict)
    unfilled: Looked | None = None
    least: Looked | None = None

    def add(self, each: Drawn, merit: Merit) -> bool:
        """Takes one in; true if stock makes it."""
        looked = Looked((each.outlined,), merit, each.area_mm2 > self.most_mm2)
        if merit.unfilled:
            before = self.unfilled
            self.unfilled = looked if before is None or looked.area_mm2 < before.area_mm2 else before
            return False
        ends = _ends(each)
        known = self.filled.get(ends)
        if known is None or looked.key < known.key:
            self.filled[ends] = looked
        return True

    def add_least(self, each: Drawn, merit: Merit) -> bool:
        """Takes the least one in, also beside a better one that ends alike if it takes a step less; true if stock makes it."""
        if not self.add(each, merit):
            return False
        better = self.filled[_ends(each)]
        if better.area_mm2 - each.area_mm2 >= STEP_MM2:
            self.least = Looked((each.outlined,), merit, each.area_mm2 > self.most_mm2)
        return True

    def has_better(self, each: Drawn, bound: Merit) -> bool:
        """True if one that ends in the same way is better than any plan of this one with that look."""
        known = self.filled.get(_ends(each))
        return known is not None and (known.merit.look, known.merit.trouble) < (bound.look, bound.trouble)

    def has(self, each: Drawn) -> bool:
        """True if this very outline is among those that stock makes."""
        known = self.filled.get(_ends(each))
        return known is not None and known.rings == (each.outlined.ring,)

    def is_settled(self, bound: Merit) -> bool:
        """True once no plan with that look can be better than the best that doesn't take too much."""
        ready = [looked for looked in self.filled.values() if not looked.ample]
        best = min(ready, key=lambda looked: looked.key).merit if ready else None
        return best is not None and (bound.look, bound.trouble) > (best.look, best.trouble)

    @property
    def looked(self) -> tuple[Looked, ...]:
        """All that stock makes; else the least that it doesn't."""
        least = (self.least,) if self.least else ()
        return (*self.filled.values(), *least) or ((self.unfilled,) if self.unfilled else ())


def told_of(looked: Sequence[Looked]) -> tuple[Looked, ...]:
    """The recommended one first, then such as beat all before in something: the best look, the least carpet, and so on."""
    ordered = sorted(looked, key=lambda each: each.key)
    told = ordered[:1]
    rest = ordered[1:]
    for wanted in (_by_look, _by_area, _by_key):
        for each in sorted(rest, key=wanted):
            if len(told) < MOST_TOLD and each not in told and all(_beats_somewhere(each, before) for before in told):
                told.append(each)
                if wanted is not _by_key:
                    break
    return tuple(told)


def _by_look(one: Looked) -> tuple[object, ...]:
    return one.merit.unfilled, one.merit.key, one.key


def _by_area(one: Looked) -> tuple[object, ...]:
    return one.merit.unfilled, round(one.area_mm2), one.key


def _by_key(one: Looked) -> tuple[object, ...]:
    return one.key


def _beats_somewhere(one: Looked, two: Looked) -> bool:
    if one.merit.unfilled > two.merit.unfilled:
        return False
    return (
        one.merit.look < two.merit.look
        or one.merit.trouble < two.merit.trouble
        or one.merit.spent < two.merit.spent
        or round(one.area_mm2) < round(two.area_mm2)
    )


def _ends(each: Drawn) -> Ends:
    """What tells outlines apart that a person would call different: on which sides they end at a wall, a doorway, or a seam."""
    return tuple(kind if kind in (StopKind.WALL, StopKind.DOORWAY) else StopKind.DAMAGE for kind in each.kinds)
