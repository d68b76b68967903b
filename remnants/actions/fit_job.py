"""Can these pieces make this job? From the catalogue or from a stock in hand."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from functools import partial

from remnants.actions.bargaining import Anew, bargains_of
from remnants.actions.fetched import fetch_notes, refuse_unknown_branch
from remnants.actions.fitted import Fitted
from remnants.actions.grading import Grading
from remnants.actions.kept_view import view_kept
from remnants.actions.left_alone import assumed_notes, house_notes, one_floor_notes, refuse_unknown_tags, with_asking
from remnants.actions.measure_again import measure_again
from remnants.actions.near_tags import tags_to_compare
from remnants.actions.pattern_untold import pattern_notes
from remnants.actions.photo_within import photo_notes
from remnants.actions.pinning import pinned
from remnants.actions.prove_plan import proved_plan
from remnants.actions.sent_away import sent_and_matching, sent_notes
from remnants.actions.shop_rules import least_sizes
from remnants.actions.ways_beside import ways_beside
from remnants.belonging import asking_of, why_left_alone
from remnants.exchange import Stock
from remnants.fitting import FitRules, Told, fit
from remnants.ledger import Standing
from remnants.matching.grade import Graded, possible_styles
from remnants.matching.stock_names import Label, StockNames, label_of
from remnants.model import Asked, Job, MeasureAgain, PassedOver, Piece, Plan, Short, Style
from remnants.packing import Watch
from remnants.rules import LeastSizes
from remnants.store import Catalogue, pieces, styles
from remnants.store.branches import all_branches
from remnants.store.shelf import on_shelf

__all__ = [
    "ALL_TOLD",
    "Fitted",
    "Offer",
    "Searching",
    "fit_job",
    "fit_offer",
    "fit_stock",
    "names_of",
    "names_on_hand",
    "offer_in_hand",
    "offer_of",
]

ALL_TOLD = 2_000
"""Pieces on hand up to which each one is looked at and told; beyond, styles that can't match are left out and counted."""

MOST_NAMED = 2
_NAMED: dict[bytes, tuple[Mapping[str, int], StockNames]] = {}
"""Names of what is on hand, by the mark that they were read under."""


@dataclass(frozen=True, eq=False)
class Searching:
    """How long many patches may search for a better way to share the donors: the seed, the watch that ends it, who is told.

    `beside` ends the looking for ways beside the plan and for changes that would help; without it only a stop by hand ends the
    first, and the watch the second.
    """

    seed: int = 0
    watch: Watch | None = None
    told: Told = lambda _merit, _bound: None
    beside: Callable[[], bool] | None = None


@dataclass(frozen=True, eq=False)
class Offer:
    """What a stock offers for a job: with the job, all that answering takes. Plain values, so that another process can answer.

    `names` are those of a larger stock that this one was picked from, `held` what is on hand but free only for other jobs,
    `versions` those of the pieces in the catalogue by tag, `staircases` the packed staircases of its odd ones, `others` how
    many pieces of other styles were left out, `keep` which leftovers the shop keeps, `notes` what is to be said of the job's own
    words. `held_back` are the held ones themselves, each with the day until which it is.
    """

    stock: Stock
    names: StockNames | None = None
    held: tuple[PassedOver, ...] = ()
    versions: Mapping[str, int] = field(default_factory=dict)
    staircases: Mapping[str, bytes] = field(default_factory=dict)
    others: int = 0
    keep: LeastSizes = field(default_factory=LeastSizes)
    notes: tuple[str, ...] = ()
    held_back: tuple[tuple[Piece, str], ...] = ()

    def beside(self, pieces: Sequence[Piece]) -> "Offer":
        """The same with some pieces more, which are then no longer told as held; a style that nobody knows is made bare."""
        if not pieces:
            return self
        tags = {piece.tag for piece in pieces}
        held = tuple(one for one in self.held if one.piece not in tags)
        new = dict.fromkeys(piece.style for piece in pieces if piece.style not in self.stock.style_of)
        stock = replace(self.stock, styles=(*self.stock.styles, *map(Style, new)), pieces=(*self.stock.pieces, *pieces))
        return replace(self, stock=stock, held=held, names=self.names and self.names.beside(map(label_of, pieces)))

    def but(self, tags: Collection[str]) -> "Offer":
        """The same without the pieces of these tags: other ways are looked for without reading the stock again."""
        kept = tuple(piece for piece in self.stock.pieces if piece.tag not in tags)
        held = tuple(one for one in self.held if one.piece not in tags)
        back = tuple(each for each in self.held_back if each[0].tag not in tags)
        return replace(self, stock=replace(self.stock, pieces=kept), held=held, held_back=back)


def fit_job(
    catalogue: Catalogue,
    job: Job,
    *,
    today: date | None = None,
    rules: FitRules | None = None,
    without: Collection[str] = (),
    search: Searching | None = None,
    ways: bool = False,
    own: str | None = None,
) -> Fitted:
    """The plan for a job from what the catalogue holds, but the pieces tagged in `without`.

    Pieces that are held for another job on the day (`today`, else this one) are passed over. `ways`: others are looked for too.
    Raises Unproved when no plan passes its proof.
    """
    offer = offer_of(catalogue, job, today=today, without=without, own=own)
    return fit_offer(offer, job, rules=rules, search=search, ways=ways)


def offer_in_hand(stock: Stock, job: Job) -> Offer:
    """What a stock in hand offers for a job. Raises BadInput where the job names tags that no piece has."""
    tags = {piece.tag.casefold() for piece in stock.pieces}
    refuse_unknown_tags(job, lambda tag: tag.casefold() in tags, lambda _: list(stock.piece_of))
    refuse_unknown_branch(job, stock.branches)
    return Offer(stock, notes=house_notes(job, (piece.place for piece in stock.pieces)))


def offer_of(
    catalogue: Catalogue, job: Job, *, today: date | None = None, without: Collection[str] = (), own: str | None = None
) -> Offer:
    """What the catalogue offers for a job on a day, but the pieces tagged in `without`.

    `own` is what the ledger calls the job, whose held pieces are offered too: "" for a new one's, None for those of its name.
    Raises BadInput where the job names tags that no piece has.
    """
    refuse_unknown_tags(job, lambda tag: pieces.find_standing(catalogue, tag) is not None, partial(tags_to_compare, catalogue))
    refuse_unknown_branch(job, ours := all_branches(catalogue))
    day = today or datetime.now(UTC).date()
    holder = job.name if own is None else own
    known = styles.all_styles(catalogue)
    names, wanted, others = _shortlist(catalogue, job, known)
    shelf = on_shelf(catalogue, wanted)
    offered = [standing for standing, _ in shelf if standing.piece.tag not in without]
    free = tuple(standing.piece for standing in offered if standing.free_for(holder, day))
    held = tuple(
        PassedOver(each.piece.tag, why_left_alone(each.piece, job) or _held_words(each))
        for each in offered
        if not each.free_for(holder, day)
    )
    versions = {each.piece.tag: each.version for each in offered}
    staircases = {standing.piece.tag: staircase for standing, staircase in shelf if staircase is not None}
    keep = least_sizes(catalogue, today=day)
    notes = house_notes(job, pieces.places(catalogue)) if job.house else ()
    back = tuple((each.piece, _held_words(each)) for each in offered if each.hold and not each.free_for(holder, day))
    stock, sent = Stock(tuple(known.values()), free, branches=ours), sent_and_matching(catalogue, job, known.values())
    return Offer(stock, names, (*held, *sent), versions, staircases, others, keep, (*notes, *sent_notes(sent)), back)


def _held_words(standing: Standing) -> str:
    """Why a piece that is held isn't free, without the other job's name: that is often another customer's address."""
    return f"held for another job {standing.hold.until_words}" if standing.hold else standing.words


def fit_offer(
    offer: Offer, job: Job, *, rules: FitRules | None = None, search: Searching | None = None, ways: bool = False
) -> Fitted:
    """The plan for a job from what is offered for it. Raises Unproved when no plan passes its proof.

    `ways`: others are looked for too, and what would fill the patches that are left open, or make them show less.
    """
    grading = Grading(offer.stock, offer.names or names_of(offer.stock), offer.staircases)
    fitted = _from_offer(offer, job, rules=rules, search=search, ways=ways, grading=grading)
    once_more = Searching((search or Searching()).seed, Watch(tries=1))
    read = photo_notes(offer.stock, job, fitted, lambda stock, asked: fit_stock(stock, asked, rules=rules, search=once_more).plan)
    fitted = replace(fitted, notes=(*fitted.notes, *read))
    if not ways:
        return fitted
    how = search or Searching()
    stop = how.beside or (how.watch.timed_out if how.watch else lambda: False)
    quick = Searching(how.seed, Watch(tries=1, stop=stop))

    def tell(asked: Asked) -> Plan:
        same = None if asked.beside else grading
        return _from_offer(offer.beside(asked.beside), asked.job, rules=rules, search=quick, grading=same).plan

    anew = Anew(grading, tell, rules=rules or FitRules(keep=offer.keep), seed=how.seed, stop=stop)
    plans = [fitted.plan, *(way.plan for way in fitted.ways[1:])]
    bargains = bargains_of(job, plans, anew, held=offer.held_back, others=offer.others, stop=stop)
    measure = _measured_again(offer, job, fitted.plan, grading, quick) if not stop() else ()
    return replace(fitted, bargains=bargains, measure=measure, known_versions=offer.versions)


def _measured_again(offer: Offer, job: Job, plan: Plan, grading: Grading, quick: Searching) -> tuple[MeasureAgain, ...]:
    """What to measure again among the floors and kept pieces that may give to the job."""

    def fits(asked: Job, piece: Piece) -> Plan:
        alone = replace(offer, stock=replace(offer.stock, pieces=(piece,)), names=grading.names, staircases={}, held=())
        return _from_offer(alone, asked, search=quick).plan

    own = tuple(tuple(each.piece for each in graded.candidates) for graded in grading.of(job)[0])
    return measure_again(job, plan, own, fits)


def _from_offer(
    offer: Offer,
    job: Job,
    *,
    rules: FitRules | None = None,
    search: Searching | None = None,
    ways: bool = False,
    grading: Grading | None = None,
) -> Fitted:
    rules = rules or FitRules(keep=offer.keep)
    own = grading or Grading(offer.stock, offer.names or names_of(offer.stock), offer.staircases)
    fitted = fit_stock(offer.stock, job, rules=rules, search=search, ways=ways, grading=own)
    used = {part.piece for patch in fitted.plan.patches for part in patch.parts}
    told = (f"{offer.others} pieces of other styles were not looked at one by one",) if offer.others else ()
    return replace(
        fitted,
        plan=replace(fitted.plan, passed_over=(*fitted.plan.passed_over, *offer.held)),
        ways=tuple(replace(way, plan=replace(way.plan, passed_over=(*way.plan.passed_over, *offer.held))) for way in fitted.ways),
        known_versions=offer.versions if fitted.ways else {},
        versions={tag: version for tag, version in offer.versions.items() if tag in used},
        notes=(*offer.notes, *fitted.notes, *told),
    )


def _shortlist(
    catalogue: Catalogue, job: Job, known: Mapping[str, Style]
) -> tuple[StockNames | None, tuple[str, ...] | None, int]:
    """The names on hand, the styles whose pieces are worth looking at (None: all), and how many pieces that leaves out.

    A small stock is looked at piece by piece, so that each one that is passed over is told.
    """
    counts, names = names_on_hand(catalogue, known)
    if sum(counts.values()) <= ALL_TOLD:
        return None, None, 0
    wanted = possible_styles(job, names, counts)
    return names, tuple(sorted(wanted)), sum(count for style, count in counts.items() if style not in wanted)


def names_on_hand(catalogue: Catalogue, known: Mapping[str, Style]) -> tuple[Mapping[str, int], StockNames]:
    """How many pieces of each style there are, and their names: made once for as long as those stay as they are."""
    mark = pieces.names_mark(catalogue)
    named = _NAMED.get(mark)
    if named is None:
        if len(_NAMED) >= MOST_NAMED:
            _NAMED.clear()
        names = StockNames((Label(*label) for label in pieces.labels(catalogue)), known)
        named = _NAMED[mark] = pieces.count_by_style(catalogue), names
    return named


def names_of(stock: Stock) -> StockNames:
    """The names of all that a stock holds."""
    return StockNames(map(label_of, stock.pieces), stock.style_of)


def fit_stock(
    stock: Stock,
    job: Job,
    *,
    rules: FitRules | None = None,
    names: StockNames | None = None,
    staircases: Mapping[str, bytes] | None = None,
    search: Searching | None = None,
    ways: bool = False,
    grading: Grading | None = None,
) -> Fitted:
    """The plan for a job from those pieces of a stock in hand that it may use, and from no other.

    `names` are those of a larger stock that this one was picked from, `staircases` the packed ones of its odd pieces. Where it
    leaves a patch open, what asking would fill it is told. Where a plan fails its proof the next option is taken, and a note
    tells so. Raises Unproved when no plan passes (see `proved_plan`).
    """
    grading = grading or Grading(stock, names or names_of(stock), staircases)
    answered = partial(_fitted, grading, rules=rules, search=search)
    fitted, apart = answered(job, ways=ways)
    fitted = view_kept(
        fitted, job, lambda asked: answered(asked, ways=ways)[0], lambda left, holes: fit_stock(left, holes, rules=rules).plan
    )
    if not fitted.plan.short or not apart:
        return fitted
    plan = with_asking(fitted.plan, job, apart, lambda asked: answered(asked)[0].plan)
    return replace(fitted, plan=plan)


def _fitted(
    grading: Grading,
    job: Job,
    *,
    rules: FitRules | None,
    search: Searching | None,
    ways: bool = False,
) -> tuple[Fitted, tuple[Piece, ...]]:
    """The proved plan, and the pieces that match and are left alone."""
    stock = grading.stock
    by_tag, by_name = stock.piece_of, stock.style_of
    graded, left_alone = grading.of(job)
    how, known = search or Searching(), grading.known
    fits = partial(fit, rules=rules, seed=how.seed, watch=how.watch, told=how.told, known=known)

    def plan_of(graded: Sequence[Graded]) -> tuple[Plan, tuple[str, ...]]:
        best = fits(job, tuple(each.candidates for each in graded))
        plan, pins = pinned(job, graded, best, fits, told=_reasons(graded, left_alone))
        return _told(plan, job, graded, stock=stock.pieces, left_alone=left_alone), tuple(pins)

    plan, told = proved_plan(job, stock, graded, plan_of)
    used = {part.piece for patch in plan.patches for part in patch.parts}
    cut = [piece for piece in stock.pieces if piece.tag in used]
    patterns = pattern_notes(job, plan, by_tag, by_name)
    own = (*dict.fromkeys(note for each in graded for note in each.notes), *assumed_notes(job, cut), *one_floor_notes(cut))
    notes = (*told, *own, *patterns, *fetch_notes(plan, job, stock.branches))
    fitted = Fitted(plan, job, by_tag, by_name, notes)
    if ways:
        beside = partial(_told, job=job, graded=graded, stock=stock.pieces, left_alone=left_alone)
        stop = how.beside or (how.watch.stopped if how.watch else lambda: False)
        found = ways_beside(job, stock, graded, plan, told=beside, rules=rules, seed=how.seed, stop=stop, known=known)
        fitted = replace(fitted, ways=found)
    return fitted, tuple(by_tag[passed.piece] for passed in left_alone)


def _told(plan: Plan, job: Job, graded: Sequence[Graded], *, stock: Sequence[Piece], left_alone: Sequence[PassedOver]) -> Plan:
    """The plan with every piece that it leaves out told, whom to ask first, and why no style matches where none does."""
    refusals = {each.patch: each.refusal for each in graded if each.refusal and not each.candidates}
    used = {part.piece for patch in plan.patches for part in patch.parts}
    reasons = _reasons(graded, (*plan.passed_over, *left_alone))
    left_out = [PassedOver(piece.tag, reasons.get(piece.tag, "not needed")) for piece in stock if piece.tag not in used]
    return replace(
        plan,
        patches=tuple(replace(patch, reason=refusals.get(patch.name, patch.reason)) for patch in plan.patches),
        short=tuple(Short(short.patch, refusals[short.patch]) if short.patch in refusals else short for short in plan.short),
        passed_over=tuple(left_out),
        asking=asking_of((piece for piece in stock if piece.tag in used), job),
    )


def _reasons(graded: Sequence[Graded], more: Sequence[PassedOver]) -> dict[str, str]:
    """Why pieces are not used, by tag."""
    return {passed.piece: passed.reason for passed in (*(each for grades in graded for each in grades.refused), *more)}
