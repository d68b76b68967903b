"""Which of the things that stock could give it shall give: what leaves the least roll to order, then what spares most worth."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from remnants.estimating.roll.work import Work
from remnants.estimating.stock.leftovers import kept_mm2, leftovers_of, spent_mm2, worth_mm2
from remnants.estimating.stock.what_fits import Option, lay_on_stock
from remnants.model import Candidate
from remnants.model.order_plan import ROLL, Cut, Placed
from remnants.packing import Watch

__all__ = ["Use", "bound_with_stock_mm", "possible_options", "uses_of_stock", "worth_of"]

MOST_NODES = 600
"""Sets of options looked at; up to eight options that are not alike it is every one of them."""

NODES_PER_TRY = 4

MOST_LOTS = 4
"""Lots looked at for the same cuts: what one of them must give elsewhere another may give here."""

Alike = tuple[tuple[tuple[float, ...], ...], tuple[str, ...]]

TRIP_MM2 = 100_000.0
"""Worth that a piece must spare to be fetched where it shortens no roll: 0.1 m² (ours)."""


@dataclass(frozen=True)
class Use:
    """Options taken, cuts laid on stock, cuts that remain; `ordered_mm` is roll for the rest by a quick packing."""

    options: tuple[Option, ...]
    placed: tuple[Placed, ...]
    rest: tuple[Cut, ...]
    ordered_mm: float

    @property
    def pieces(self) -> int:
        """How many pieces are cut."""
        return len({each.source for each in self.placed})


def uses_of_stock(work: Work, cuts: Sequence[Cut], possible: Sequence[Option], watch: Watch) -> tuple[Use, ...]:
    """The use of stock with the least roll found, and the one that at no more roll spares most worth; none where none helps."""
    none = Use((), (), tuple(cuts), work.roll.ordered_mm(work.quick_mm(cuts)))
    search = _Search(work, tuple(cuts), possible, watch.part(0.6))
    shortest = search.run(_one_by_one(work, none, possible, watch.part(0.3)))
    worthiest = _worthiest(work, shortest, possible, watch)
    return tuple(use for use in dict.fromkeys((shortest, worthiest)) if use.placed)


def bound_with_stock_mm(work: Work, cuts: Sequence[Cut], possible: Iterable[Option]) -> float:
    """Roll (mm) that these cuts take even if stock gave every one that it could give alone."""
    given = {cut.name for option in possible for cut in option.cuts}
    return work.bound_mm(cut for cut in cuts if cut.name not in given)


def possible_options(work: Work, options: Iterable[Option]) -> tuple[Option, ...]:
    """What can be laid on its pieces when it is alone, largest first; of lots that could give the same cuts, the best few.

    Those are the lots that lose least worth by it, then those of which fewest pieces are cut.
    """
    found: dict[tuple[str, ...], list[tuple[float, int, int, Option]]] = {}
    for place, option in enumerate(options):
        placed = lay_on_stock((option,), work.roll, work.rules)
        if placed:
            tags = {each.source for each in placed}
            spent = sum(
                worth_mm2(each.piece.outline, each.piece.pile_deg, work.rules) for each in option.stock if each.piece.tag in tags
            )
            found.setdefault(tuple(cut.name for cut in option.cuts), []).append((spent, len(tags), place, option))
    kept = [each[-1] for alike in found.values() for each in sorted(alike, key=lambda each: each[:3])[:MOST_LOTS]]
    return tuple(sorted(kept, key=lambda option: -sum(cut.width_mm * cut.length_mm for cut in option.cuts)))


def worth_of(work: Work, placed: Sequence[Placed], ordered_mm: float, stock: Sequence[Candidate]) -> float:
    """Area worth keeping (mm²) of the roll's leftovers, less what the pieces cut lose of theirs, less the trips to fetch them."""
    tags = {each.source for each in placed} - {ROLL}
    left = leftovers_of(placed, work.roll.width_mm, [(0.0, ordered_mm)] if ordered_mm > 0 else [], stock, work.rules)
    return kept_mm2(left) - spent_mm2(left, tags, stock, work.rules) - TRIP_MM2 * len(tags)


def _use(work: Work, cuts: Sequence[Cut], chosen: tuple[Option, ...], laid: tuple[Placed, ...] = ()) -> Use | None:
    """The options laid together, or None when they take a cut twice or no places were found."""
    names = [cut.name for option in chosen for cut in option.cuts]
    if len(names) != len(set(names)):
        return None
    placed = lay_on_stock(chosen, work.roll, work.rules, laid=laid)
    if placed is None:
        return None
    rest = tuple(cut for cut in cuts if cut.name not in names)
    return Use(chosen, placed, rest, work.roll.ordered_mm(work.quick_mm(rest)))


def _alike(option: Option) -> Alike:
    """The same for options that may stand for each other: cuts of one size and pattern from the same pieces."""
    sizes = []
    for cut in option.cuts:
        x, y = cut.origin or cut.box[:2]
        sizes.append((cut.width_mm, cut.length_mm, cut.box[0] - x, cut.box[1] - y))
    return tuple(sizes), tuple(each.piece.tag for each in option.stock)


def _one_by_one(work: Work, none: Use, possible: Sequence[Option], watch: Watch) -> Use:
    """Takes each option that can be had beside those taken and lengthens nothing: a good start, and all that haste allows."""
    best = none
    for option in possible:
        if watch.over():
            break
        use = _use(work, none.rest, (*best.options, option), best.placed)
        if use and use.ordered_mm <= best.ordered_mm:
            best = use
    return best if best.ordered_mm < none.ordered_mm else none


class _Search:
    """Depth first over the options, each taken or left; a branch ends where even all that it may take can't shorten the roll."""

    def __init__(self, work: Work, cuts: tuple[Cut, ...], possible: Sequence[Option], watch: Watch) -> None:
        self._work = work
        self._cuts = cuts
        self._possible = possible
        self._watch = watch
        self._nodes = MOST_NODES

    def run(self, start: Use) -> Use:
        """The shortest use found, `start` if nothing is shorter."""
        self._best = start
        none = Use((), (), self._cuts, self._work.roll.ordered_mm(self._work.quick_mm(self._cuts)))
        self._look(none, 0, frozenset())
        return self._best

    def _look(self, use: Use, index: int, left: frozenset[Alike]) -> None:
        """Looks at the options from `index` on; of those alike, once one is `left` the others are."""
        if (use.ordered_mm, use.pieces) < (self._best.ordered_mm, self._best.pieces):
            self._best = use
        while index < len(self._possible) and _alike(self._possible[index]) in left:
            index += 1
        self._nodes -= 1
        if self._nodes % NODES_PER_TRY == 0:
            self._watch.count()
        if index == len(self._possible) or self._nodes < 0 or self._watch.over() or self._is_hopeless(use, index):
            return
        option = self._possible[index]
        more = _use(self._work, self._cuts, (*use.options, option), use.placed)
        if more:
            self._look(more, index + 1, left)
        self._look(use, index + 1, left | {_alike(option)})

    def _is_hopeless(self, use: Use, index: int) -> bool:
        given = {cut.name for option in self._possible[index:] for cut in option.cuts}
        least = self._work.bound_mm(cut for cut in use.rest if cut.name not in given)
        return self._work.roll.ordered_mm(least) >= self._best.ordered_mm


def _worthiest(work: Work, use: Use, possible: Sequence[Option], watch: Watch) -> Use:
    """Takes, leaves or exchanges one option at a time while that spares worth and needs no more roll."""
    stock = tuple({each.piece.tag: each for option in possible for each in option.stock}.values())
    best, worth = use, _worth(work, use, stock)
    tried = {use.options}
    better = True
    while better and not watch.over():
        better = False
        for chosen in _moves(best.options, possible):
            if watch.over() or len(tried) > MOST_NODES:
                return best
            trial = None if chosen in tried else _use(work, (*use.rest, *(each.cut for each in use.placed)), chosen)
            tried.add(chosen)
            if trial is None or trial.ordered_mm > use.ordered_mm:
                continue
            trial_worth = _worth(work, trial, stock)
            if trial_worth > worth + 1.0:
                best, worth, better = trial, trial_worth, True
                break
    return best


def _worth(work: Work, use: Use, stock: Sequence[Candidate]) -> float:
    _, corners = work.quick(use.rest)
    return worth_of(work, (*work.on_roll(use.rest, corners), *use.placed), use.ordered_mm, stock)


def _moves(chosen: tuple[Option, ...], possible: Sequence[Option]) -> Iterator[tuple[Option, ...]]:
    """One option fewer, one more, or one for another, in the order of `possible`."""
    places = {id(option): place for place, option in enumerate(possible)}
    others = [option for option in possible if option not in chosen]
    fewer = [tuple(other for other in chosen if other is not option) for option in chosen]
    for options in (*fewer, *((*less, option) for less in (chosen, *fewer) for option in others)):
        yield tuple(sorted(options, key=lambda option: places[id(option)]))
