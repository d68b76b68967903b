"""What a job's pieces take to get at, and the ways beside its plan, each proved like the plan itself."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from remnants.belonging import asks_from, fetch_of, tier_of
from remnants.exchange import Stock
from remnants.fitting import FitRules, Known, fit_ways
from remnants.matching.grade import Graded
from remnants.model import Candidate, Job, Kind, PassedOver, Plan, Way
from remnants.model.branches import Branches
from remnants.proof import check_plan

__all__ = ["ways_beside", "with_tiers"]

NOT_LIFTED = "not in this way: it must be lifted or asked for"
NOT_FETCHED = "not in this way: it must be fetched from elsewhere"


def with_tiers(graded: Sequence[Graded], job: Job, ours: Branches) -> tuple[Graded, ...]:
    """The same with what it takes to get at each candidate, and to fetch it from elsewhere in the shop."""
    own = asks_from(job.branch, ours)
    return tuple(replace(each, candidates=tuple(_tiered(one, job, own, ours) for one in each.candidates)) for each in graded)


def _tiered(candidate: Candidate, job: Job, own: str, ours: Branches) -> Candidate:
    piece = candidate.piece
    if piece.kind in (Kind.REMNANT, Kind.OFFCUT) and not piece.customer:
        fetch = fetch_of(piece, own, ours)
        return replace(candidate, fetch=fetch) if fetch else candidate
    return replace(candidate, tier=int(tier_of(piece, job)))


def _with_what_waits(way: Plan, first: Plan, offered: Sequence[Sequence[Candidate]]) -> Plan:
    """The way, and of pieces that would have to be lifted or asked for and it says nothing of, that it does without them."""
    told = {passed.piece: passed.reason for passed in first.passed_over}
    known = {passed.piece for passed in way.passed_over} | {part.piece for patch in way.patches for part in patch.parts}
    waiting = dict.fromkeys(
        each.piece.tag for own in offered for each in own if each.trouble is not None and each.piece.tag not in known
    )
    amiss = {tag: reason for tag, reason in told.items() if not reason.startswith("would do")}
    elsewhere = {each.piece.tag for own in offered for each in own if each.fetch}
    left = tuple(PassedOver(tag, amiss.get(tag, NOT_FETCHED if tag in elsewhere else NOT_LIFTED)) for tag in waiting)
    return replace(way, passed_over=(*way.passed_over, *left))


def ways_beside(
    job: Job,
    stock: Stock,
    graded: Sequence[Graded],
    plan: Plan,
    *,
    told: Callable[[Plan], Plan],
    rules: FitRules | None = None,
    seed: int = 0,
    stop: Callable[[], bool] = lambda: False,
    known: Known | None = None,
) -> tuple[Way, ...]:
    """The plan and up to two ways beside it, as `told` tells them; one that fails its proof is left out.

    `known` is what the fit of the plan found out. Where the job says what it must use, that decides, and there is one way; as
    where it has to `stop` already.
    """
    if job.use or stop():
        return (Way(plan),)
    found = fit_ways(job, [each.candidates for each in graded], plan, rules, seed=seed, stop=stop, known=known)
    offered = [each.candidates for each in graded]
    others = [replace(way, plan=told(_with_what_waits(way.plan, plan, offered))) for way in found[1:]]
    proved = [way for way in others if not check_plan(job, stock.piece_of, stock.style_of, way.plan)]
    return (replace(found[0], plan=plan), *proved)
