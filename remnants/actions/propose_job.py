"""Where should the patch end? Outlines for a job's damage, each with its proved plan, from the catalogue or a stock in hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations, product

from remnants.actions.fit_job import Fitted, Offer, Searching, fit_offer, names_of, offer_of
from remnants.actions.grading import Grading
from remnants.errors import BadInput, Fault
from remnants.fitting import FitRules
from remnants.fitting.outline import MOST_TOLD, Looked, against, outlines_for, words_of
from remnants.geometry.ground import beyond_mm2, leaves_sliver, overlap
from remnants.model import DamagedJob, Job, Outlined, Patch, Proposal
from remnants.model.repair_room import name_key
from remnants.packing import Watch
from remnants.store import Catalogue
from remnants.units import Unit

__all__ = ["Proposed", "proposals_from", "proposals_of"]

TRIES = 1
"""Tries of the search for a better share of donors, for each outline."""

SEARCH_SHARE = 0.5
"""Of the time given, so much is for finding outlines; the rest is for their plans."""

MOST_COMBINED = 4
"""Damaged patches of one job up to which every choice of their outlines is looked at."""

MEET = "{} and {} meet, or leave a narrow strip between them: tell both damages in one patch, and they are cut out together."

NO_DAMAGE = (
    "no patch is told by its damage: `remnants fit` answers the job as it is, or give a patch `damage` instead of its size"
)


@dataclass(frozen=True)
class Proposed:
    """A proposal, and all that answering the job with its outline comes to: what is told, drawn, held and cut of any answer."""

    proposal: Proposal
    fitted: Fitted


def proposals_of(
    catalogue: Catalogue,
    asked: DamagedJob,
    *,
    today: date | None = None,
    search: Searching | None = None,
    own: str | None = None,
) -> tuple[Proposed, ...]:
    """The outlines proposed for a job's damage from what the catalogue holds, the recommended one first, three at most.

    `own` is as `fit_job` has it. `search.watch` ends the looking early: what was found by then is given. Where nothing in stock
    makes any, the outlines are given with the no. Raises BadInput where no patch is told by its damage; Unproved when no plan
    passes its proof.
    """
    return proposals_from(offer_of(catalogue, asked.job, today=today, own=own), asked, search=search)


def proposals_from(offer: Offer, asked: DamagedJob, *, search: Searching | None = None) -> tuple[Proposed, ...]:
    """As `proposals_of`, from what is offered for the job."""
    if not asked.damaged:
        raise BadInput([Fault("patches", NO_DAMAGE)])
    how = search or Searching()
    watch = how.watch or Watch()
    found = _outlines(offer, asked, watch.part(SEARCH_SHARE))
    chosen = _combined(asked.job, found)[:MOST_TOLD]
    proposed: list[Proposed] = []
    for number, each in enumerate(chosen):
        if proposed and watch.timed_out():
            break
        share = watch.part(1 / (len(chosen) - number), tries=TRIES)
        proposed.append(_proposed(offer, asked, each, Searching(how.seed, share)))
    return _with_reason(asked, proposed)


def _with_reason(asked: DamagedJob, proposed: Sequence[Proposed]) -> tuple[Proposed, ...]:
    """The recommended one says why it is that, where another cuts away less."""
    sound = [_sound_mm2(asked, each.proposal.outlines) for each in proposed]
    least = min(range(len(proposed)), key=lambda at: sound[at])
    first, *others = proposed
    best, other = ((proposed[at].proposal.plan, sound[at]) for at in (0, least))
    if not (why := against(least + 1, best, other, Unit(asked.job.unit))):
        return tuple(proposed)
    told = replace(first.proposal, words=(*first.proposal.words, why))
    return replace(first, proposal=told), *others


def _sound_mm2(asked: DamagedJob, outlines: Sequence[Outlined]) -> float:
    """How much of the floor they cut away that isn't damaged, patch by patch."""
    damages = {patch.name: damage for patch, damage in zip(asked.job.patches, asked.damages, strict=True) if damage}
    return sum(
        beyond_mm2([each.ring for each in outlines if each.damage_of == name], damage.rings) for name, damage in damages.items()
    )


def _outlines(offer: Offer, asked: DamagedJob, watch: Watch) -> Mapping[int, tuple[Looked, ...]]:
    """The outlines for the damage of each patch that is told by it."""
    job, rules = asked.job, FitRules(keep=offer.keep)
    names = offer.names or names_of(offer.stock)
    graded, _ = Grading(offer.stock, names, offer.staircases).of(job)
    return {
        index: outlines_for(job, job.patches[index], damage, graded[index].candidates, rules, watch=watch)
        for index, damage in enumerate(asked.damages)
        if damage is not None
    }


def _combined(job: Job, found: Mapping[int, tuple[Looked, ...]]) -> list[dict[int, Looked]]:
    """One outline or set of them for each damaged patch: the best first, then such as differ in one, where none meet."""
    best = {index: looked[0] for index, looked in found.items()}
    if len(found) <= MOST_COMBINED:
        ways = product(*found.values())
        every = [dict(zip(found, way, strict=True)) for way in sorted(ways, key=lambda way: [looked.key for looked in way])]
    else:
        every = [best, *(best | {index: other} for index, looked in found.items() for other in looked[1:])]
    return [chosen for chosen in every if not _meeting(job, chosen)] or [best]


def _meeting(job: Job, chosen: Mapping[int, Looked]) -> tuple[str, ...]:
    """The names of two patches of one room that meet or leave a strip between that no part may be; () where none do."""
    in_room: dict[str, list[Patch]] = {}
    for patch in _with_outlines(job, chosen).patches:
        in_room.setdefault(name_key(patch.wanted.room), []).append(patch)
    pairs = (pair for patches in in_room.values() for pair in combinations(patches, 2))
    return next(((one.name, two.name) for one, two in pairs if _meet(job, one, two)), ())


def _meet(job: Job, one: Patch, two: Patch) -> bool:
    rings, room = (one.ring, two.ring), job.room_of(one)
    if overlap(rings):
        return True
    if room is None or not room.ring or any(leaves_sliver(room.ring, (ring,), job.min_part_mm) for ring in rings):
        return False
    return leaves_sliver(room.ring, rings, job.min_part_mm)


def _proposed(offer: Offer, asked: DamagedJob, chosen: Mapping[int, Looked], search: Searching) -> Proposed:
    job = _with_outlines(asked.job, chosen)
    fitted = fit_offer(offer, job, search=search)
    outlines = tuple(outlined for looked in chosen.values() for outlined in looked.outlines)
    words = words_of(outlines, fitted.plan, Unit(job.unit), sound_mm2=_sound_mm2(asked, outlines))
    if over := _meeting(asked.job, chosen):
        words = (*words, MEET.format(*over))
    return Proposed(Proposal(outlines, job, fitted.plan, words), fitted)


def _with_outlines(job: Job, chosen: Mapping[int, Looked]) -> Job:
    """The job with the outlines chosen for its damaged patches, one patch for each."""
    patches = [
        outlined
        for index, patch in enumerate(job.patches)
        for outlined in (_outlined(patch, chosen[index]) if index in chosen else (patch,))
    ]
    return replace(job, patches=tuple(patches))


def _outlined(patch: Patch, looked: Looked) -> tuple[Patch, ...]:
    return tuple(replace(patch, name=each.patch, ring=each.ring, edges=each.edges) for each in looked.outlines)
