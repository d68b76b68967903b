"""A floor in view that gives carpet is seen itself: whether its own patch spoils more than it mends.

What fills the hole there is planned as the hole of any laid donor, and its sights are put with the job's.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from remnants.actions.fitted import Fitted
from remnants.exchange import Stock
from remnants.geometry.remainders import remainders
from remnants.materials.backfill import backfill_tries
from remnants.model import Job, MayUse, PassedOver, Piece, Plan, Sight, Verdict

__all__ = ["view_kept"]

Shown = list[tuple[int, int]]
"""(worst, best) of each sight as it is shown, the worst first."""

PLAIN = (3, 3)
"""A hole that nothing fills."""

LEFT = "would do, but it lies in view: the place that it leaves would show as plainly"


def view_kept(fitted: Fitted, job: Job, fits: Callable[[Job], Fitted], fills: Callable[[Stock, Job], Plan]) -> Fitted:
    """The answer, or the one without floors in view where that fills as much and, with the holes counted, shows no more.

    `fits` answers the job anew, `fills` a job from a stock. Where the job says what it must use, that decides.
    """
    tags = [each.piece for each in fitted.plan.asking if each.allowed is MayUse.IN_VIEW]
    if not tags or job.use:
        return fitted
    other = fits(replace(job, avoid=(*job.avoid, *tags)))
    with_holes = sorted([*_shown(fitted.plan.sights), *_holes(fitted, job, tags, fills)], reverse=True)
    if (_open(other.plan), _shown(other.plan.sights)) > (_open(fitted.plan), with_holes):
        return fitted
    ways = tuple(replace(way, plan=_told(way.plan, tags)) for way in other.ways)
    return replace(other, job=job, plan=_told(other.plan, tags), ways=ways)


def _shown(sights: tuple[Sight, ...]) -> Shown:
    return sorted(((sight.worst, sight.best) for sight in sights), reverse=True)


def _open(plan: Plan) -> int:
    return sum(patch.verdict is Verdict.NONE for patch in plan.patches)


def _holes(fitted: Fitted, job: Job, tags: list[str], fills: Callable[[Stock, Job], Plan]) -> Iterator[tuple[int, int]]:
    """The sights of what fills the holes in floors in view, from what the plan leaves of the stock."""
    in_view = {tag: fitted.pieces[tag] for tag in tags}
    cut = tuple(
        replace(patch, parts=tuple(part for part in patch.parts if part.piece in in_view)) for patch in fitted.plan.patches
    )
    holes = backfill_tries(replace(fitted.plan, patches=cut), job, in_view)[0][0]
    worn = {patch.name: piece.worn for patch in holes.patches for piece in in_view.values() if patch.name.endswith(piece.tag)}
    asked = tuple(replace(patch, wanted=replace(patch.wanted, worn=worn.get(patch.name))) for patch in holes.patches)
    filled = fills(Stock(tuple(fitted.styles.values()), tuple(_left(fitted, in_view))), replace(holes, patches=asked))
    yield from _shown(filled.sights)
    yield from (PLAIN for _ in range(_open(filled)))


def _left(fitted: Fitted, in_view: dict[str, Piece]) -> Iterator[Piece]:
    """The stock after the plan's cuts, without the floors that lie in view."""
    cuts: dict[str, list[tuple[tuple[float, float], ...]]] = {}
    for patch in fitted.plan.patches:
        for part in patch.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    for tag, piece in fitted.pieces.items():
        rests = remainders(piece.outline, cuts[tag]) if tag in cuts else (piece.outline,)
        if tag not in in_view and rests:
            yield replace(piece, outline=rests[0])


def _told(plan: Plan, tags: list[str]) -> Plan:
    passed = tuple(PassedOver(each.piece, LEFT) if each.piece in tags else each for each in plan.passed_over)
    return replace(plan, passed_over=passed)
