"""Which roll must be ordered for these rooms, once stock has given what it can?"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from remnants.actions.shop_rules import rules_in_force
from remnants.actions.style_spelling import styles_as_known
from remnants.errors import BadInput, Fault, NoPlan
from remnants.estimating import Floors, OrderPlan, Roll
from remnants.estimating.near_misses import NearMiss, near_misses
from remnants.estimating.order import Told, choices, order_with_stock, orders_from_roll
from remnants.exchange import Stock
from remnants.exchange.rooms import RoomsAsked
from remnants.geometry import rectangle
from remnants.matching.grade import Graded, grade_pieces
from remnants.matching.stock_names import StockNames
from remnants.model import Candidate, Construction, Finish, Job, Kind, PassedOver, Patch, Piece, Style, Wanted
from remnants.packing import Watch
from remnants.proof.orders import prove_order
from remnants.rules import KeepRule, LeastSizes
from remnants.store import Catalogue, styles

__all__ = ["Limits", "Ordered", "Way", "by_shop_rules", "floors_wanted", "order_rooms"]


IN_STORE = frozenset({Kind.REMNANT, Kind.OFFCUT})
"""What an order may take, where no customer has it; what is kept with one or laid isn't ours to plan a new floor with."""

ROLL_SHARE = 0.6
"""Share of the search for the order all from the roll; the rest is for what stock can give."""

TIME_UP = "the time was up before the search was done: with more of it, another run may find a shorter roll or fewer seams"
STOPPED = "the search was stopped before it was done: another run may find a shorter roll or fewer seams"

NEAR_SHARE, NEAR_TRIES, QUARTERS = 0.25, 60, (0.0, 90.0)
"""Effort to see what a little less trim would save, with the pile along either pair of walls."""

KINDS = {Kind.KEPT: "kept with a customer", Kind.LAID: "laid on a floor"}
LENT = "with a customer"
MOST_AWAY = 20
"""Pieces that match, and are not in store, that are told one by one."""


@dataclass(frozen=True)
class Limits:
    """When to stop looking: after so many tries; when seconds by the clock handed in are over; or because somebody asked.

    Tries are effort, the same on any machine: where they end the search, the same question has the same answer. With both, the
    seconds only end what takes too long, and the answer says so.
    """

    seconds: float | None = 20.0
    tries: int | None = None
    seed: int = 0
    clock: Callable[[], float] | None = None
    stop: Callable[[], bool] = lambda: False


@dataclass(frozen=True)
class Way:
    """One roll width: the order without stock and with it, both proved.

    `choices` are orders without stock, proved too, from the fewest seams to the shortest roll; `without`, the one recommended,
    stands among them.
    """

    roll: Roll
    without: OrderPlan
    best: OrderPlan
    choices: tuple[OrderPlan, ...] = ()
    near_misses: tuple[NearMiss, ...] = ()


@dataclass(frozen=True)
class Ordered:
    """The answer: a way for each roll width, the chosen one first; widths that can't be laid are told in `refused`."""

    asked: RoomsAsked
    ways: tuple[Way, ...]
    refused: tuple[str, ...] = ()
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @property
    def chosen(self) -> Way:
        """The way to take."""
        return self.ways[0]


def floors_wanted(wanted: Wanted, *, called: str = "") -> Job:
    """The carpet of floors as a job that asks for it, as pieces are graded by jobs; how large it is says nothing."""
    return Job(called, (Patch("rooms", rectangle(1000.0, 1000.0).ring, 0.0, (Finish.WALL,) * 4, wanted),))


def by_shop_rules(catalogue: Catalogue, asked: RoomsAsked, *, today: date) -> RoomsAsked:
    """The same by the shop's rules of that day, where the file doesn't say itself: what is kept, how things are rounded."""
    shop, rules = rules_in_force(catalogue, today=today), asked.rules
    if "keep_side" not in asked.says:
        rules = replace(rules, keep=_kept_of(catalogue, asked.floors.wanted.style, shop.least))
    if "cut_step" not in asked.says:
        rules = replace(rules, cut_step_mm=shop.rules.cut_step_mm(asked.unit))
    own = {"step": shop.rules.order_step_mm, "least": shop.rules.order_least_mm, "end_loss": shop.rules.end_loss_mm}
    changes: dict[str, Any] = {f"{name}_mm": value for name, value in own.items() if name not in asked.says}
    terms, *rolls = (replace(roll, **changes) for roll in (asked.terms, *asked.rolls))
    return replace(asked, rules=rules, rolls=tuple(rolls), terms=terms)


def _kept_of(catalogue: Catalogue, asked: str, least: LeastSizes) -> KeepRule:
    """What is kept of the carpet asked for, its style written as it may be."""
    if not (least.own and asked):
        return least.shop
    meant, _ = styles_as_known([asked], styles.all_styles(catalogue), lambda *_: True)
    return least.of(meant.get(asked, asked))


def order_rooms(
    asked: RoomsAsked,
    stock: Stock,
    *,
    limits: Limits,
    told: Told = lambda _length, _bound: None,
    names: StockNames | None = None,
) -> Ordered:
    """The order for these rooms: from the roll stated, or else the cheapest of those compared.

    `names` are those of a larger stock that this one was picked from.

    Raises BadInput without any roll width, NoPlan when no width can be laid, Unproved when an order fails its check.
    """
    graded = _graded(asked, stock, names)
    rolls = asked.rolls or _roll_of(asked, graded, stock)
    construction = asked.construction or _style(graded, stock).construction
    whole = Watch(tries=limits.tries, seconds=limits.seconds, clock=limits.clock, stop=limits.stop, patient=True)
    ways, refused = [], []
    for index, roll in enumerate(rolls):
        watch = whole.part(1 / (len(rolls) - index))
        try:
            way = _way(asked, roll, graded.candidates, construction, watch=watch, seed=limits.seed, told=told)
            ways.append(replace(way, best=replace(way.best, passed_over=(*way.best.passed_over, *graded.refused))))
        except NoPlan as error:
            refused.append(str(error))
    if not ways:
        raise NoPlan("; ".join(refused))
    ordered = sorted(ways, key=_worth) if asked.cheapest else ways
    notes = (*graded.notes, *_refusal(graded), *_hurried(whole))
    return Ordered(asked, tuple(ordered), tuple(refused), stock.piece_of, notes)


def _hurried(watch: Watch) -> tuple[str, ...]:
    """What is to be said where the search was ended before its work was done."""
    if not watch.hurried:
        return ()
    return (STOPPED,) if watch.stopped() else (TIME_UP,)


def _worth(way: Way) -> tuple[float, float]:
    cost = way.best.sums[0].net.minor if way.best.sums else way.best.area_mm2
    return float(cost), way.best.merit_mm


def _way(
    asked: RoomsAsked,
    roll: Roll,
    stock: Sequence[Candidate],
    construction: Construction,
    *,
    watch: Watch,
    seed: int,
    told: Told,
) -> Way:
    floors, rules = asked.floors, asked.rules
    plans = orders_from_roll(  # the same share with and without stock, so that stock can never make it longer
        floors, roll, rules=rules, watch=watch.part(ROLL_SHARE), construction=construction, seed=seed, told=told
    )
    without = prove_order(plans[0], floors, rules)
    offered = tuple(plan if plan is without else prove_order(plan, floors, rules) for plan in choices(plans))
    near: tuple[NearMiss, ...] = ()
    if not watch.over():

        def order(other: Floors) -> OrderPlan:
            part = watch.part(NEAR_SHARE, tries=NEAR_TRIES)
            plans = orders_from_roll(other, roll, rules=rules, watch=part, construction=construction, seed=seed)
            return prove_order(plans[0], other, rules)

        near = near_misses(without, floors, rules, QUARTERS, order)
    if not stock:
        return Way(roll, without, without, offered, near)
    best = order_with_stock(plans, floors, stock, rules=rules, watch=watch, construction=construction, seed=seed, told=told)
    return Way(roll, without, prove_order(best, floors, rules, stock), offered, near)


def _graded(asked: RoomsAsked, stock: Stock, names: StockNames | None) -> Graded:
    """The pieces in store that match, and as refused those that match and are elsewhere."""
    wanted = asked.floors.wanted
    if not (wanted.style or wanted.colour or wanted.lot) or not (stock.pieces or names):
        return Graded("", ())
    graded = grade_pieces(floors_wanted(wanted, called=asked.floors.name), stock.pieces, stock.style_of, names=names)[0]
    away = [each.piece for each in graded.candidates if not _is_in_store(each.piece)]
    more = (f"{len(away) - MOST_AWAY} more pieces match that are not in store",) if len(away) > MOST_AWAY else ()
    kept = tuple(each for each in graded.candidates if _is_in_store(each.piece))
    return replace(graded, candidates=kept, refused=_passed(away[:MOST_AWAY]), notes=(*graded.notes, *more))


def _is_in_store(piece: Piece) -> bool:
    return piece.kind in IN_STORE and not piece.customer


def _passed(away: Sequence[Piece]) -> tuple[PassedOver, ...]:
    told = [(piece.tag, KINDS.get(piece.kind, LENT)) for piece in away]
    return tuple(PassedOver(tag, f"matches, but is {where}: orders take only what is in store") for tag, where in told)


def _refusal(graded: Graded) -> tuple[str, ...]:
    return (f"nothing in stock is used: {graded.refusal}",) if graded.refusal else ()


def _style(graded: Graded, stock: Stock) -> Style:
    named = next((candidate.piece.style for candidate in graded.candidates), "")
    return stock.style_of.get(named) or Style("any")


def _roll_of(asked: RoomsAsked, graded: Graded, stock: Stock) -> tuple[Roll, ...]:
    """The roll as the stock's style has it, where the file names no width."""
    style = _style(graded, stock)
    if style.roll_width_mm is None:
        raise BadInput([Fault("roll.width", "say how wide the roll is, as the stock doesn't know the style's roll width")])
    return (replace(asked.terms, width_mm=style.roll_width_mm, repeat=asked.repeat or style.repeat),)
