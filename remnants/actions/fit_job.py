"""Asking whether the catalogue's pieces make a job's patches."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from remnants.errors import Unproved
from remnants.fitting import check, fit
from remnants.matching.grade import grade_pieces, read_wanted
from remnants.matching.stock_names import Label, StockNames
from remnants.model import Job, Piece, Plan, Style
from remnants.store import Catalogue, pieces, styles

__all__ = ["Fitted", "fit_job"]


@dataclass(frozen=True)
class Fitted:
    """A job's plan, proved; the donors as they are, by tag; the styles by name; and which names were taken for which."""

    job: Job
    plan: Plan
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    notes: tuple[str, ...] = ()


def fit_job(catalogue: Catalogue, job: Job, *, without: Collection[str] = ()) -> Fitted:
    """The best plan for the job from the pieces in the catalogue, but those tagged in `without`. Changes nothing.

    Raises Unproved when the plan fails its independent check.
    """
    known = styles.all_styles(catalogue)
    candidates = [
        piece for piece in pieces.all_pieces(catalogue, styles=_spellings(catalogue, job, known)) if piece.tag not in without
    ]
    graded = grade_pieces(job, candidates, known)
    plan = fit(job, [each.candidates for each in graded])
    by_tag = {piece.tag: piece for piece in candidates}
    faults = check(job, by_tag, known, plan)
    if faults:
        told = "; ".join(str(fault) for fault in faults)
        raise Unproved(f"the plan failed its check and is withheld: {told}. Please report this, with the job")
    told_already = {passed.piece for passed in plan.passed_over}
    refused = tuple(dict.fromkeys(one for each in graded for one in each.refused if one.piece not in told_already))
    donors = {part.piece for patch in plan.patches for part in patch.parts}
    notes = tuple(dict.fromkeys(note for each in graded for note in (*each.notes, *filter(None, [each.refusal]))))
    return Fitted(
        job, replace(plan, passed_over=plan.passed_over + refused), {tag: by_tag[tag] for tag in sorted(donors)}, known, notes
    )


def _spellings(catalogue: Catalogue, job: Job, known: Mapping[str, Style]) -> list[str] | None:
    """The styles, as pieces have them written, that the job can mean; None when any may do."""
    labels = [Label(*label) for label in pieces.labels(catalogue)]
    names = StockNames(labels, known)
    meant: set[str] = set()
    for wanted in {patch.wanted for patch in job.patches}:
        asked = read_wanted(wanted, names)
        if wanted.substitute or not (asked.style or asked.refusal):
            return None
        meant.add(asked.style)
    return sorted({label.style for label in labels if names.style_name(label.style) in meant})
