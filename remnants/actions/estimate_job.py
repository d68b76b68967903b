"""Rooms and repairs of one job: everything cut from new roll beside what stock gives, repairs first."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from remnants.actions.fit_job import Fitted, Offer, fit_offer, offer_of
from remnants.actions.job_lines import list_jobs
from remnants.actions.job_state import State
from remnants.actions.keep_job import find_job
from remnants.actions.make_sheet import kept_plan
from remnants.actions.order_rooms import Limits, Ordered, floors_wanted, order_rooms
from remnants.errors import BadInput, Fault
from remnants.estimating import Money, OrderPlan, Roll, Sum
from remnants.exchange import Stock
from remnants.exchange.rooms import RoomsAsked
from remnants.geometry.outline import area_mm2
from remnants.matching.stock_names import StockNames
from remnants.model import Job, Patch
from remnants.question import How, Stop, here
from remnants.store import Catalogue, ledger
from remnants.store.styles import all_styles
from remnants.units import TypedLength

__all__ = ["Estimate", "EstimateSearch", "asked_as_room", "estimate_job", "held_names", "held_repairs", "stock_mark"]


@dataclass(frozen=True)
class Estimate:
    """One job both ways, on one roll width. `ordered` is what stock leaves to order, its chosen way first.

    `without` is the order with rooms and repairs all cut from that roll; `repairs` are the proved plans from stock.
    """

    ordered: Ordered
    without: OrderPlan
    repairs: tuple[Fitted, ...] = ()

    @property
    def best(self) -> OrderPlan:
        """The order once stock has given what it can; its length is zero where nothing is left to order."""
        return self.ordered.chosen.best

    @property
    def repairs_mm2(self) -> float:
        """Carpet that the repairs take out of stock, allowances included (mm²)."""
        parts = (part for each in self.repairs for patch in each.plan.patches for part in patch.parts)
        return sum(abs(area_mm2(part.cut)) for part in parts)

    @property
    def tags(self) -> frozenset[str]:
        """The pieces that it takes, for the rooms and for the repairs."""
        return frozenset(self.best.tags) | _donors(self.repairs)

    @property
    def uses_stock(self) -> bool:
        """Whether stock gives anything at all."""
        return bool(_made(self.repairs)) or self.best.placed != self.without.placed


def asked_as_room(patch: Patch, job: Job) -> dict[str, object]:
    """A repair as an entry of a rooms file, for the order in which it is cut from roll: its edges' allowances are the trims."""
    return {
        "name": _room_name(patch),
        "outline": [[_known(x), _known(y)] for x, y in patch.ring],
        "trims": [_known(job.allowance.of(edge)) for edge in patch.edges],
        "pile": patch.pile_deg,
        "hidden": True,
    }


def _known(length_mm: float) -> TypedLength:
    return TypedLength(f"{length_mm:g} mm", length_mm)


def held_names(catalogue: Catalogue) -> tuple[tuple[str, str], ...]:
    """Number and name of the jobs whose repairs are held today, newest first."""
    return tuple((kept.number, kept.label) for kept in list_jobs(catalogue) if kept.stage is State.HELD)


def held_repairs(catalogue: Catalogue, name: str) -> Fitted:
    """The plan held for a job, proved anew. Raises NotFound, BadInput when nothing is held for it, StockChanged."""
    kept = find_job(catalogue, name)
    if kept.stage is not State.HELD:
        raise BadInput([Fault("held", f"nothing is held for {name!r}; take a job that is held, or none")])
    return kept_plan(catalogue, kept.plan, kept.job)


def stock_mark(catalogue: Catalogue) -> int:
    """A number that is another one after every change of the stock."""
    return ledger.next_number(catalogue)


@dataclass(frozen=True)
class EstimateSearch:
    """Rooms, repairs and what the `stock` gives for them, to be worked out within `limits` from when it is begun, wherever.

    `repairs` is a job and what is offered for it, without the donors of the plan that is `held`. `names` are those of a larger
    stock that this one was picked from.
    """

    asked: RoomsAsked
    repairs: tuple[Job, Offer] | None = field(repr=False)
    held: Fitted | None = field(repr=False)
    stock: Stock = field(repr=False)
    limits: Limits
    names: StockNames | None = field(default=None, repr=False)

    def answer(self, stop: Stop) -> Estimate:
        """The job both ways, sooner when `stop` says so. Raises as `order_rooms`."""
        fitted = [fit_offer(self.repairs[1], self.repairs[0])] if self.repairs else []
        fitted += [self.held] if self.held else []
        return _both_ways(self.asked, fitted, self.stock, replace(self.limits, stop=stop), self.names)


def estimate_job(
    catalogue: Catalogue,
    asked: RoomsAsked,
    *,
    repairs: Job | None = None,
    held: Fitted | None = None,
    today: date,
    limits: Limits,
    how: How = here,
    without: frozenset[str] = frozenset(),
) -> Estimate:
    """The job both ways. `asked` holds the rooms, and each repair as `asked_as_room` tells it; `how` works it out.

    Repairs take from stock first, the `held` ones as they are held; what is left of the stock serves the rooms; a repair that
    stock can't make is cut from the roll. Half of the `limits` go to each way. The pieces `without` are given to others already.

    Raises as `order_rooms`.
    """
    taken = _donors([held] if held else []) | without
    offered = (repairs, offer_of(catalogue, repairs, today=today, without=taken)) if repairs else None
    own = replace(limits, stop=_never)
    stock, names = _stock_for(catalogue, asked, today, without)
    found: Estimate = how(EstimateSearch(asked, offered, held, stock, own, names), limits.stop)
    return found


def _never() -> bool:
    return False


def _both_ways(asked: RoomsAsked, fitted: Sequence[Fitted], stock: Stock, limits: Limits, names: StockNames | None) -> Estimate:
    half = replace(limits, seconds=limits.seconds and limits.seconds / 2, tries=limits.tries and -(-limits.tries // 2))
    made = _made(fitted)
    left = Stock(stock.styles, tuple(piece for piece in stock.pieces if piece.tag not in _donors(fitted)))
    if not made:
        ordered = order_rooms(asked, left, limits=limits, names=names)
        return Estimate(ordered, ordered.chosen.without, tuple(fitted))
    rest = tuple(room for room in asked.floors.rooms if room.name not in made)
    if not rest and not asked.floors.stairs:
        everything = order_rooms(asked, Stock(stock.styles, ()), limits=limits)
        ways = tuple(replace(way, best=_nothing(way.roll, way.without)) for way in everything.ways)
        return Estimate(replace(everything, ways=ways), everything.chosen.without, tuple(fitted))
    ordered = order_rooms(replace(asked, floors=replace(asked.floors, rooms=rest)), left, limits=half, names=names)
    on_it = replace(asked, rolls=(ordered.chosen.roll,), cheapest=False)
    everything = order_rooms(on_it, Stock(stock.styles, ()), limits=half)
    told = tuple(dict.fromkeys((*ordered.notes, *everything.notes)))
    return Estimate(replace(ordered, notes=told), everything.chosen.without, tuple(fitted))


def _stock_for(catalogue: Catalogue, asked: RoomsAsked, today: date, without: frozenset[str]) -> tuple[Stock, StockNames | None]:
    """What is free that day, of styles that can match, and the names of all where that is only some of the stock.

    Nothing where no carpet is named, as stock is left alone then.
    """
    wanted = asked.floors.wanted
    if not (wanted.style or wanted.colour or wanted.lot):
        return Stock(tuple(all_styles(catalogue).values()), ()), None
    offer = offer_of(catalogue, floors_wanted(wanted), today=today, without=without)
    return offer.stock, offer.names


def _room_name(patch: Patch) -> str:
    return f"{patch.name} (repair)"


def _made(fitted: Sequence[Fitted]) -> frozenset[str]:
    """The rooms of the repairs that stock makes."""
    return frozenset(
        _room_name(patch)
        for each in fitted
        for patch, answer in zip(each.job.patches, each.plan.patches, strict=True)
        if answer.parts
    )


def _donors(fitted: Sequence[Fitted]) -> frozenset[str]:
    return frozenset(part.piece for each in fitted for patch in each.plan.patches for part in patch.parts)


def _nothing(roll: Roll, without: OrderPlan) -> OrderPlan:
    """An order of no roll at all, its sums in the currencies of the other way."""
    free = [Money(0, each.roll.currency) for each in without.sums]
    return OrderPlan(without.floors, roll, (), (), 0.0, 0.0, 0.0, 0.0, sums=tuple(Sum(zero, zero, zero, zero) for zero in free))
