"""The front door: from a job and its candidates to a plan. Pure: the same input, seed and tries give the same plan."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.donors_left import fields_of, left_of
from remnants.fitting.sharing.made_before import MadeBefore
from remnants.fitting.sharing.merit import merit_of, rooms_of
from remnants.fitting.sharing.search import Shared, Told, share
from remnants.fitting.sharing.slack import loosened, shifted
from remnants.fitting.telling.misses import Misses
from remnants.fitting.telling.plan import plan_of
from remnants.fitting.telling.reasons import short_of
from remnants.fitting.telling.ways import ways_of
from remnants.model.match import Candidate
from remnants.model.merit import Merit
from remnants.model.patch import Job
from remnants.model.plan import Plan, Way
from remnants.packing import Watch
from remnants.units import Unit

__all__ = ["TRIES", "TRIES_BESIDE", "Known", "contested", "fit", "fit_ways", "weigh"]

TRIES = 60
"""Tries of the search where no watch is given: a few seconds on a job of dozens of patches."""

TRIES_BESIDE = 1
"""Tries of the search for each other way, which is told beside the answer and must not delay it."""


class Known:
    """What one fit found out of its donors, for the next one of the same job: fields of donors, and what is amiss with each.

    Handed to several fits of one job it saves their work and changes no answer. It is kept as long as the job is worked on.
    It may be the same job with its patches changed.
    """

    def __init__(self) -> None:
        self._fields: dict[tuple[tuple[float, ...], int], tuple[Sequence[Candidate], Field]] = {}
        self._misses: dict[tuple[object, ...], Misses] = {}
        self.made = MadeBefore()
        """What single patches came to."""

    def fields(self, asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]]) -> tuple[Field, ...]:
        """The donors of each patch, from untouched stock."""
        keys = [(ask.patch.turns, id(own)) for ask, own in zip(asks, candidates, strict=True)]
        missing = {key: index for index, key in enumerate(keys) if key not in self._fields}
        made = fields_of([asks[index] for index in missing.values()], [candidates[index] for index in missing.values()])
        self._fields |= {key: (candidates[index], field) for (key, index), field in zip(missing.items(), made, strict=True)}
        return tuple(self._fields[key][1] for key in keys)

    def misses(self, ask: Ask, field: Field, unit: Unit) -> Misses:
        """What is amiss with each donor of a field of these."""
        key = replace(ask.patch, use=()), ask.shape.allowance, ask.min_part_mm, id(field)
        return self._misses.setdefault(key, Misses(ask, field, unit))


@dataclass(frozen=True, eq=False)
class _Worked:
    """What becomes of each patch. The plan of it is only told where it is wanted: a sentence a piece takes long for thousands."""

    job: Job
    candidates: Sequence[Sequence[Candidate]]
    shared: Shared
    rules: FitRules
    known: Known

    @property
    def merit(self) -> Merit:
        """How it compares."""
        return self.shared.merit

    def plan(self, *, moved: bool = False) -> Plan:
        """The plan, its seams set where most is to spare, told in full; `moved`: then where the job's patches ask for.

        Raises BadInput where a seam can't be moved so far.
        """
        job, asks = self.job, self.shared.asks
        made = loosened(asks, self.shared.made, 2 * job.tape_error_mm)
        made = shifted(asks, made, job.unit) if moved else made
        shared = replace(self.shared, made=made, merit=merit_of(made, rooms_of(asks)))
        misses = [self.known.misses(ask, field, job.unit) for ask, field in zip(shared.asks, shared.fields, strict=True)]
        left = left_of(self.candidates, shared.made)
        used = any(each is not None for each in shared.made)
        shorts = {
            index: short_of(
                ask,
                Misses(ask, Field(tuple(donors_of(ask.patch, self.candidates[index], left))), job.unit)
                if used
                else misses[index],
                job,
            )
            for index, ask in enumerate(shared.asks)
            if shared.made[index] is None
        }
        return plan_of(job, self.candidates, shared, shorts=shorts, misses=misses, rules=self.rules)


def fit(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    rules: FitRules | None = None,
    *,
    seed: int = 0,
    watch: Watch | None = None,
    told: Told = lambda _merit, _bound: None,
    known: Known | None = None,
) -> Plan:
    """The plan for a job from the candidates of each of its patches, in the order of `job.patches`.

    First everything is filled; then `Merit` decides: what will be seen, whom it troubles, what it spends. Last, seams are set
    where most is to spare. `watch` ends the search for plans that share donors better; `told` hears of each better one and of the
    bound. More tries or time never give a worse plan. `known` is what other fits of this job found out.

    Raises BadInput where a patch asks for its seam to be moved further than it can be.
    """
    return _worked(job, candidates, rules, seed=seed, watch=watch or Watch(tries=TRIES), told=told, known=known).plan(moved=True)


def _worked(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    rules: FitRules | None,
    *,
    seed: int,
    watch: Watch,
    told: Told = lambda _merit, _bound: None,
    known: Known | None = None,
    thrifty: bool = False,
) -> _Worked:
    """As `fit`, not told yet; `thrifty`: what is spent comes before what will be seen."""
    rules, known = rules or FitRules(), known or Known()
    asks = [ask_of(job, patch, rules, thrifty=thrifty) for patch in job.patches]
    fields = known.fields(asks, candidates)
    shared = share(asks, candidates, watch=watch, seed=seed, told=told, fields=fields, before=known.made)
    return _Worked(job, candidates, shared, rules, known)


def weigh(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    rules: FitRules | None = None,
    *,
    seed: int = 0,
    watch: Watch | None = None,
    known: Known | None = None,
) -> Merit:
    """How the plan of `fit` compares, its seams not set yet: nothing of it is told, which takes longest for thousands."""
    return _worked(job, candidates, rules, seed=seed, watch=watch or Watch(tries=TRIES), known=known).merit


def fit_ways(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    plan: Plan,
    rules: FitRules | None = None,
    *,
    seed: int = 0,
    stop: Callable[[], bool] = lambda: False,
    known: Known | None = None,
) -> tuple[Way, ...]:
    """The plan of `fit` and up to two ways beside it, the plan first: see `ways_of`. `stop` ends the search for others."""

    def other(offered: Sequence[Sequence[Candidate]], thrifty: bool) -> _Worked:
        watch = Watch(tries=TRIES_BESIDE, stop=stop)
        return _worked(job, offered, rules, seed=seed, watch=watch, known=known, thrifty=thrifty)

    return ways_of(plan, candidates, other, job.unit)


def contested(plans: Sequence[Plan]) -> dict[str, tuple[str, ...]]:
    """Pieces that several plans cut, by tag, each with the names of those jobs in the order of the plans."""
    wanted: dict[str, dict[str, None]] = {}
    for plan in plans:
        for tag in (part.piece for patch in plan.patches for part in patch.parts):
            wanted.setdefault(tag, {})[plan.job] = None
    return {tag: tuple(wanted[tag]) for tag in sorted(wanted) if len(wanted[tag]) > 1}
