"""What would make a job's no a yes, or its yes show less, from the stock that it is offered: weighed quickly, then proved."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from remnants.actions.grading import Grading
from remnants.belonging import needed_for
from remnants.fitting import FitRules, weigh
from remnants.fitting.bargains import MOST_WORK, Beside, bargains_for
from remnants.matching.grade import read_wanted
from remnants.model import Asked, Bargains, ChangeKind, Job, Kind, MayUse, Merit, Piece, Plan, Style
from remnants.packing import Watch

__all__ = ["Anew", "bargains_of", "work_worth"]

WORK_OF_PIECES = 1_200_000
"""Pieces times work that a search is worth; of fewer pieces no more than `MOST_WORK`."""


class Anew:
    """Answers the same job with changes from one stock. `tell` gives the whole answer, proved."""

    def __init__(
        self,
        grading: Grading,
        tell: Callable[[Asked], Plan],
        *,
        rules: FitRules | None = None,
        seed: int = 0,
        stop: Callable[[], bool] = lambda: False,
    ) -> None:
        self.grading, self._tell = grading, tell
        self._rules, self._seed, self._stop = _roughly(rules or FitRules()), seed, stop
        self._beside: dict[tuple[str, ...], Grading] = {(): grading}

    def weigh(self, asked: Asked) -> Merit:
        """How its plan compares; what it spends, roughly. Where the job says what must be used, only the whole answer tells."""
        if asked.job.use:
            return self.tell(asked).merit or Merit(len(asked.job.patches))
        grading = self._with(asked.beside)
        offered = [each.candidates for each in grading.of(asked.job)[0]]
        watch = Watch(tries=1, stop=self._stop)
        return weigh(asked.job, offered, self._rules, seed=self._seed, watch=watch, known=grading.known)

    def tell(self, asked: Asked) -> Plan:
        """Its plan, proved and told."""
        return self._tell(asked)

    def style_of(self, job: Job) -> dict[str, Style]:
        """The style that each patch asks for, by the patch's name, where one is known."""
        names = self.grading.names
        asked = {patch.name: read_wanted(patch.wanted, names).style for patch in job.patches}
        return {name: names.style_of(style) for name, style in asked.items() if style}

    def colour_of(self, job: Job) -> dict[str, str]:
        """The colour that each patch asks for, by the patch's name, as it goes in stock; "" where nothing there has it."""
        return {patch.name: read_wanted(patch.wanted, self.grading.names).colour for patch in job.patches}

    def _with(self, beside: tuple[Piece, ...]) -> Grading:
        """The grading of the stock and some pieces beside it."""
        key = tuple(piece.tag for piece in beside)
        if key not in self._beside:
            self._beside[key] = self.grading.beside(beside)
        return self._beside[key]


def _roughly(rules: FitRules) -> FitRules:
    """Rules by which a plan is only weighed: what these bear on is what it spends alone, and no change is made for that."""
    return replace(rules, placements=2, donors_weighed=2)


def work_worth(count: int) -> int:
    """How much work a search is worth in a stock of so many pieces: some 2 seconds of it on an ordinary machine."""
    return min(MOST_WORK, WORK_OF_PIECES // max(1, count))


def bargains_of(
    job: Job,
    ways: Sequence[Plan],
    anew: Anew,
    *,
    held: tuple[tuple[Piece, str], ...] = (),
    others: int = 0,
    stop: Callable[[], bool] = lambda: False,
) -> Bargains:
    """What would help the job, whose `ways` these are. Pieces that are `held` have the day until which they are.

    `others`: how many pieces of other styles weren't looked at. The seam of a changed job lies where it is best, wherever a
    person had moved it.
    """
    settled = replace(job, patches=tuple(replace(patch, seam_shift_mm=None) for patch in job.patches))
    untried = frozenset(_untried(job, anew.grading.stock.pieces, others))
    beside = Beside(held, anew.style_of(job), anew.colour_of(job), untried)
    return bargains_for(settled, ways, anew, beside=beside, most_work=work_worth(len(anew.grading.stock.pieces)), stop=stop)


def _untried(job: Job, pieces: Sequence[Piece], others: int) -> Iterator[ChangeKind]:
    """Changes of which the stock can tell nothing: other styles weren't read, and nobody has carpet to be asked for."""
    if others:
        yield ChangeKind.SUBSTITUTE
    asked = {needed_for(piece, job) for piece in pieces if piece.customer or piece.kind not in (Kind.REMNANT, Kind.OFFCUT)}
    for needed, kind in ((MayUse.OTHER_CUSTOMERS, ChangeKind.OTHER_CUSTOMERS), (MayUse.IN_VIEW, ChangeKind.IN_VIEW)):
        if needed not in asked:
            yield kind
