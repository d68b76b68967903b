"""What an exact solver is asked: which jobs, and the terms of merit as sums, rank by rank, the worst sight first,
as many in one sum as it can hold.

Lists of sights, worst first, compare as the counts of each rank do, the worst rank first.
"""

from collections.abc import Mapping, Sequence

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.seam_spans import every_span
from remnants.geometry.blocks import blocked
from remnants.model.merit import TROUBLE_TIERS, Merit, Trouble

__all__ = ["RANKS_A_WORST", "Stage", "Term", "applies", "counts_of", "merit_from_terms", "stages_of"]

MOST_CHOICES = 400
"""Ways to put parts on donors (patches times seams times donors) up to which the exact solver is asked."""

RANKS_A_WORST = 100
"""More than a sight's best case can count to."""

LARGEST = 1 << 40
"""Terms are weighed into one sum as far as it stays below this; what comes after is asked once that is settled."""

Term = tuple[str, int]
"""A term of the merit, with what tells it apart: `sights` of a rank, `points` of a figure, `trouble` of a tier."""

Stage = tuple[tuple[int, Term], ...]
"""Terms that are made small together, each with its weight: each outweighs all after it."""

ORDER = ("unfilled", "sights", "points", "seen_mm", "trouble")


def stages_of(terms: Mapping[Term, Sequence[tuple[int, object]]]) -> list[Stage]:
    """The terms in the order of merit, the worst sight first, as many weighed into one sum as it can hold."""
    ordered = sorted(terms, key=lambda term: (ORDER.index(term[0]), -term[1]))
    stages: list[list[tuple[int, Term]]] = []
    full = LARGEST
    for term in ordered:
        most = 1 + sum(count for count, _ in terms[term])
        if full * most >= LARGEST:
            stages.append([])
            full = 1
        stages[-1] = [(weight * most, each) for weight, each in stages[-1]] + [(1, term)]
        full *= most
    return [tuple(stage) for stage in stages]


def counts_of(cost: int, stage: Stage) -> dict[Term, int]:
    """How much of each term makes up the weighed sum `cost`."""
    found = {}
    for weight, term in stage:
        found[term], cost = divmod(cost, weight)
    return found


def merit_from_terms(counts: Mapping[Term, int]) -> Merit:
    """The merit of so much of each term."""
    sights = [divmod(which, RANKS_A_WORST) for (name, which), count in counts.items() if name == "sights" for _ in range(count)]
    points = [which for (name, which), count in counts.items() if name == "points" for _ in range(count)]
    return Merit(
        counts.get(("unfilled", 0), 0),
        tuple(sorted(sights, reverse=True)),
        tuple(sorted(points, reverse=True)),
        counts.get(("seen_mm", 0), 0),
        _trouble(counts),
    )


def _trouble(counts: Mapping[Term, int]) -> Trouble:
    far, people, hidden, untold, km, vans = (counts.get(("trouble", tier), 0) for tier in TROUBLE_TIERS)
    return far, people, hidden, untold, km, vans


def applies(asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> bool:
    """True for plain rectangles on square-cut donors, few enough, each donor lying one way."""
    if any(not ask.shape.is_rectangle for ask in asks):
        return False
    choices = sum(len(own) * _ways(ask) for ask, own in zip(asks, donors, strict=True))
    if choices > MOST_CHOICES:
        return False
    every = [donor for own in donors for donor in own]
    lays = {(donor.tag, donor.turn_deg) for donor in every}
    one_lay = len({tag for tag, _ in lays}) == len(lays)
    around = all(len({donor.look_key[:3] for donor in own}) <= 1 for own in donors)  # so the seams round a patch show alike
    return (
        one_lay
        and around
        and all(donor.candidate.style.repeat is None and blocked(donor.ground.outline) is not None for donor in every)
    )


def _ways(ask: Ask) -> int:
    """In how many ways one donor may serve a patch: whole, or on either side of each family of seams that is seen alike."""
    if ask.patch.max_parts == 1:
        return 1
    return 1 + 2 * len(every_span(ask, ask.shape))
