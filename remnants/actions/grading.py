"""The pieces of a stock that may give to a job's patches, graded, with what it takes to get at them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from remnants.actions.ways_beside import with_tiers
from remnants.belonging import divided
from remnants.exchange import Stock
from remnants.fitting import Known
from remnants.matching.grade import Graded, grade_pieces
from remnants.matching.stock_names import StockNames, label_of
from remnants.model import Candidate, Job, PassedOver, Piece

__all__ = ["Grading"]

GradedStock = tuple[tuple[Graded, ...], tuple[PassedOver, ...]]
"""The candidates for each patch among what the job may use, and the pieces that match and are left alone."""


class Grading:
    """Grades one stock for a job and for the same job with changes; what is found out for one of them serves the next.

    `known` is what fits find out of the candidates, `names` those of a larger stock that this one was picked from.
    """

    def __init__(self, stock: Stock, names: StockNames, staircases: Mapping[str, bytes] | None = None) -> None:
        self.stock, self.names, self.known = stock, names, Known()
        self._staircases = staircases
        self._graded: dict[object, GradedStock] = {}
        self._alike: dict[object, tuple[Candidate, ...]] = {}

    def of(self, job: Job) -> GradedStock:
        """The stock graded; the same values again for a job that asks for the same carpet and may use the same."""
        key = tuple(patch.wanted for patch in job.patches), job.may_use, job.avoid, job.branch
        if key not in self._graded:
            self._graded[key] = self._grade(job)
        graded, left_alone = self._graded[key]
        named = zip(graded, job.patches, strict=True)
        return tuple(each if each.patch == patch.name else replace(each, patch=patch.name) for each, patch in named), left_alone

    def beside(self, pieces: Sequence[Piece]) -> "Grading":
        """The same for the stock with some pieces more, and their names."""
        names = self.names.beside(map(label_of, pieces))
        return Grading(replace(self.stock, pieces=(*self.stock.pieces, *pieces)), names, self._staircases)

    def _grade(self, job: Job) -> GradedStock:
        allowed, left_alone = divided(self.stock.pieces, job)
        graded = grade_pieces(job, self.stock.pieces, self.stock.style_of, names=self.names, staircases=self._staircases)
        if left_alone:
            matching = {candidate.piece.tag for each in graded for candidate in each.candidates}
            left_alone = tuple(passed for passed in left_alone if passed.piece in matching)
        if left_alone:
            free = frozenset(piece.tag for piece in allowed)
            graded = tuple(each.among(free) for each in graded)
        tiered = with_tiers(graded, job, self.stock.branches)
        return tuple(replace(each, candidates=self._known(each.candidates)) for each in tiered), left_alone

    def _known(self, candidates: tuple[Candidate, ...]) -> tuple[Candidate, ...]:
        """Those that were had before, where they are alike: what was found out of them then holds as well."""
        key = tuple((each.piece.tag, each.match.sentence, each.match.shade, each.tier, each.fetch) for each in candidates)
        return self._alike.setdefault(key, candidates)
