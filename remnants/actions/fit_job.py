"""Can these pieces make this job? From the catalogue or from a stock in hand."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.errors import Unproved
from remnants.exchange import Stock
from remnants.fitting import Rules, check, fit
from remnants.matching.grade import Graded, grade_pieces
from remnants.model import Job, PassedOver, Piece, Plan, Short, Style
from remnants.store import Catalogue, pieces, styles

__all__ = ["Fitted", "fit_job", "fit_stock"]


@dataclass(frozen=True)
class Fitted:
    """A proved plan, the stock that it was made from, and what typed names were taken for."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    notes: tuple[str, ...] = ()


def fit_job(catalogue: Catalogue, job: Job, *, rules: Rules | None = None, without: Collection[str] = ()) -> Fitted:
    """The plan for a job from what the catalogue holds, but the pieces tagged in `without`.

    Raises Unproved when the plan fails its independent check.
    """
    known = styles.all_styles(catalogue)
    offered = tuple(piece for piece in pieces.all_pieces(catalogue) if piece.tag not in without)
    return fit_stock(Stock(tuple(known.values()), offered), job, rules=rules)


def fit_stock(stock: Stock, job: Job, *, rules: Rules | None = None) -> Fitted:
    """The plan for a job from a stock in hand. Raises Unproved when the plan fails its independent check."""
    by_tag, by_name = stock.piece_of, stock.style_of
    graded = grade_pieces(job, stock.pieces, by_name)
    plan = fit(job, tuple(each.candidates for each in graded), rules)
    faults = check(job, by_tag, by_name, plan)
    if faults:
        told = "; ".join(str(fault) for fault in faults)
        raise Unproved(
            f"the plan for {job.name!r} failed its check and is withheld: {told}. Please report this with the job file"
        )
    return Fitted(_told(plan, graded, stock.pieces), job, by_tag, by_name, tuple(_notes(graded)))


def _told(plan: Plan, graded: Sequence[Graded], stock: Sequence[Piece]) -> Plan:
    """The plan with every piece that it leaves out told, and why no style matches where none does."""
    refusals = {each.patch: each.refusal for each in graded if each.refusal and not each.candidates}
    used = {part.piece for patch in plan.patches for part in patch.parts}
    reasons = {passed.piece: passed for each in graded for passed in each.refused}
    reasons |= {passed.piece: passed for passed in plan.passed_over}
    left_out = [reasons.get(piece.tag) or PassedOver(piece.tag, "not needed") for piece in stock if piece.tag not in used]
    return replace(
        plan,
        patches=tuple(replace(patch, reason=refusals.get(patch.name, patch.reason)) for patch in plan.patches),
        short=tuple(Short(short.patch, refusals[short.patch]) if short.patch in refusals else short for short in plan.short),
        passed_over=tuple(left_out),
    )


def _notes(graded: Sequence[Graded]) -> list[str]:
    return list(dict.fromkeys(note for each in graded for note in each.notes))
