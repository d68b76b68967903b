"""Which of the things that stock could give it shall give: what leaves the least roll, then the fewest and smallest pieces."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from remnants.estimating.combine import Work
from remnants.estimating.plan import Cut, Placed
from remnants.estimating.stock_use import Option, lay_on_stock
from remnants.model import Candidate
from remnants.packing import Watch

__all__ = ["Use", "best_use"]

MOST_OPTIONS = 8
"""So many options are tried in every combination; more are taken one by one, largest first, and dropped where they don't help."""


@dataclass(frozen=True)
class Use:
    """Cuts laid on stock, the cuts that remain, and how good that is: roll for the rest (mm), pieces cut, their area (mm²)."""

    placed: tuple[Placed, ...]
    rest: tuple[Cut, ...]
    merit: tuple[float, int, float]


def best_use(work: Work, cuts: Sequence[Cut], options: Iterable[Option], length_mm: float, watch: Watch) -> Use:
    """The best use of stock found; one without any stock when nothing shortens the roll of `length_mm`."""
    none = Use((), tuple(cuts), (length_mm, 0, 0.0))
    possible = [option for option in options if _may_suffice(option) and lay_on_stock((option,), work.roll)]
    possible.sort(key=lambda option: -sum(cut.width_mm * cut.length_mm for cut in option.cuts))
    if len(possible) > MOST_OPTIONS:
        return min(none, _one_by_one(work, cuts, possible, watch), key=lambda use: use.merit)
    best = none
    for size in range(1, len(possible) + 1):
        for chosen in combinations(possible, size):
            if watch.over():
                return best
            use = _use(work, cuts, chosen)
            best = use if use and use.merit < best.merit else best
    return best


def _one_by_one(work: Work, cuts: Sequence[Cut], possible: Sequence[Option], watch: Watch) -> Use:
    """Takes each option that can be had beside those taken and lengthens nothing, then drops those that are not needed."""
    taken: tuple[Option, ...] = ()
    best = Use((), tuple(cuts), (work.quick_mm(cuts), 0, 0.0))
    for option in possible:
        if watch.over():
            return best
        use = _use(work, cuts, (*taken, option))
        if use and use.merit[0] <= best.merit[0]:
            taken, best = (*taken, option), use
    for option in reversed(taken):
        fewer = tuple(other for other in taken if other is not option)
        use = _use(work, cuts, fewer)
        if use and use.merit <= best.merit:
            taken, best = fewer, use
    return best


def _use(work: Work, cuts: Sequence[Cut], chosen: Sequence[Option]) -> Use | None:
    """The options laid together, or None when they take a cut twice or no places were found."""
    names = [cut.name for option in chosen for cut in option.cuts]
    if len(names) != len(set(names)):
        return None
    placed = lay_on_stock(chosen, work.roll)
    if placed is None:
        return None
    rest = tuple(cut for cut in cuts if cut.name not in set(names))
    pieces: dict[str, Candidate] = {each.piece.tag: each for option in chosen for each in option.stock}
    used = {each.source for each in placed}
    spoiled = sum(pieces[tag].piece.outline.usable_area_mm2 for tag in sorted(used))
    return Use(placed, rest, (work.quick_mm(rest), len(used), spoiled))


def _may_suffice(option: Option) -> bool:
    """False when the pieces are too small in all, which needs no search."""
    needed = sum(cut.width_mm * cut.length_mm for cut in option.cuts)
    return needed <= sum(each.piece.outline.usable_area_mm2 for each in option.stock) + 1.0
