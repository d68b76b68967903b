"""The plan as it is told: parts, seams, leftovers and reasons, from settled layouts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.layout import Leaf, Segment, leaves, segments
from remnants.fitting.patch.look import grounds_between
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.shape import Axis
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.merit import rooms_of, seen_together
from remnants.fitting.sharing.search import Shared
from remnants.fitting.sharing.slack import spare_of
from remnants.fitting.telling.misses import Misses
from remnants.fitting.telling.no_proof import no_proofs
from remnants.fitting.telling.reasons import not_chosen, reason_joined, reason_whole
from remnants.fitting.telling.sights import pattern_words, sentence_of, sights_of
from remnants.geometry.outline import Point, Ring
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate, Fetch
from remnants.model.patch import Job, Patch
from remnants.model.plan import Leftover, Part, PatchPlan, Plan, Seam, SeamKind, Short, Verdict
from remnants.model.sight import MOST_SEEN, SEEN_WORDS, Sight, SightKind
from remnants.sights import points_in, show_of
from remnants.units import Unit

__all__ = ["plan_of"]


def plan_of(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    shared: Shared,
    *,
    shorts: Mapping[int, Short],
    misses: Sequence[Misses],
    rules: FitRules,
) -> Plan:
    """The plan of a job from what becomes of each patch; `shorts` by the patch's place, for those not filled.

    `misses` tell, for each patch, what is amiss with its donors from untouched stock.
    """
    patches = tuple(_patch_plan(job, patch, shared.made[index], rules) for index, patch in enumerate(job.patches))
    patches = tuple(replace(plan, reason=shorts[index].reason) if index in shorts else plan for index, plan in enumerate(patches))
    cuts: dict[str, list[Ring]] = {}
    for plan in patches:
        for part in plan.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    pieces = {candidate.piece.tag: candidate for each in candidates for candidate in each}
    leftovers = tuple(leftover for tag in sorted(cuts) for leftover in _leftovers(pieces[tag], cuts[tag], rules))
    return Plan(
        job.name,
        _worst({plan.verdict for plan in patches}),
        patches,
        leftovers,
        tuple(not_chosen(misses, patches, shared.made)),
        tuple(shorts[index] for index in sorted(shorts)),
        job.unit,
        bound_words(shared),
        tuple(_sights(job, shared)),
        shared.merit,
        proof=no_proofs(shared),
        spare=spare_of(shared.asks, shared.made),
        fetched=_fetched([pieces[tag] for tag in sorted(cuts)]),
    )


def _fetched(used: Sequence[Candidate]) -> tuple[tuple[Fetch, tuple[str, ...]], ...]:
    """The places that pieces come from which don't lie ready, the most trouble first, each with their tags."""
    tags: dict[Fetch, list[str]] = {}
    for candidate in used:
        if candidate.fetch:
            tags.setdefault(candidate.fetch, []).append(candidate.piece.tag)
    ordered = sorted(tags, key=lambda fetch: (-fetch.how, -fetch.count, fetch.name))
    return tuple((fetch, tuple(tags[fetch])) for fetch in ordered)


def _sights(job: Job, shared: Shared) -> Iterator[Sight]:
    """What will be seen of each patch, then between patches of one room."""
    for ask, made in zip(shared.asks, shared.made, strict=True):
        if made is not None:
            yield from sights_of(ask, made, job.unit)
    for one, two, (best, worst), room in seen_together(shared.made, rooms_of(shared.asks)):
        where = f" in {room}" if room else ""
        grades = min(best, MOST_SEEN), min(worst, MOST_SEEN)
        words = SEEN_WORDS[grades[0]] if grades[0] == grades[1] else f"{SEEN_WORDS[grades[0]]} to {SEEN_WORDS[grades[1]]}"
        yield Sight(SightKind.SHADE, "", *grades, f"{one} and {two} are seen together{where}: {words}.")


BEST_POSSIBLE = "best possible"

OPEN = {
    "sights": "as many patches filled as can be; that nothing would be seen less isn't proved",
    "points": "nothing is seen more plainly than must be; that no seam would show less isn't proved",
    "seen_mm": "nothing shows more than must be; that the seams could be no shorter isn't proved",
    "trouble": "nothing shows more than must be; that fewer floors or people would do isn't proved",
}
"""By the first term in which the plan may fall short."""


def bound_words(shared: Shared) -> str:
    """How far from the best the plan can be: `best possible`, `at most 1 patch not filled from the best`, or what isn't proved.

    What is spent is weighed and not part of the claim.
    """
    if shared.proved:
        return BEST_POSSIBLE
    term = shared.merit.differs_in(shared.bound)
    if term == "unfilled":
        gap = shared.merit.unfilled - shared.bound.unfilled
        return f"at most {gap} {'patch' if gap == 1 else 'patches'} not filled from the best"
    return OPEN[term]


def _patch_plan(job: Job, patch: Patch, made: Made | None, rules: FitRules) -> PatchPlan:
    if made is None:
        return PatchPlan(patch.name, Verdict.NONE)
    ask = ask_of(job, patch, rules)
    parts = leaves(made.layout)
    match = max((leaf.donor.candidate.match for leaf in parts), key=lambda match: (match.shade, match.rank))
    verdict = Verdict.WHOLE if len(parts) == 1 else Verdict.JOINED
    seams = tuple(
        _seam(ask, segment, (parts[segment.parts[0]], parts[segment.parts[1]]), job.unit) for segment in segments(made.layout)
    )
    laid = tuple(_part(patch, leaf, move) for leaf, move in zip(parts, made.moves, strict=True))
    plan = PatchPlan(patch.name, verdict, laid, seams, "", match)
    reason = reason_whole(ask, parts, job) if verdict is Verdict.WHOLE else reason_joined(ask, plan, parts, job)
    return replace(plan, reason=reason)


def _part(patch: Patch, leaf: Leaf, move: Point) -> Part:
    """The leaf in room axes: x turned by `turn_deg`, then moved by `shift`, is where piece point x lies."""
    turn = whole_turn(patch.pile_deg + leaf.donor.turn_deg)
    back = turned_point(move, whole_turn(patch.pile_deg))
    return Part(
        leaf.donor.tag,
        turned_ring(leaf.shape.ring, whole_turn(patch.pile_deg)),
        leaf.donor.to_piece(leaf.shape.cut, move),
        turn,
        (-back[0], -back[1]),
        tuple(leaf.shape.finishes),
    )


def _seam(ask: Ask, segment: Segment, sides: tuple[Leaf, Leaf], unit: Unit) -> Seam:
    axis, line = segment.axis, segment.line
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    grounds = grounds_between(ask, axis, sides[0].donor, sides[1].donor, ask.view_of(line))
    pile = whole_turn(ask.patch.pile_deg)
    start, end = turned_point(line[0], pile), turned_point(line[1], pile)
    length = abs(line[1][0] - line[0][0]) + abs(line[1][1] - line[0][1])
    pattern = pattern_words(sides[0].donor.candidate.style, kind, length, unit, ask.rules)
    sentence = f"{sentence_of(kind, grounds, ask.view_of(line))} {pattern}".strip()
    return Seam(kind, (start, end), length, segment.parts, show_of(points_in(grounds)), sentence)


def _leftovers(candidate: Candidate, cuts: Sequence[Ring], rules: FitRules) -> Iterator[Leftover]:
    """What is left of a donor, in its own axes, largest first."""
    for outline in remainders(candidate.piece.outline, cuts):
        found = largest_rectangle(outline)
        usable = rules.worth_keeping(candidate.piece.style, found.width_mm, found.length_mm)
        yield Leftover(candidate.piece.tag, outline, (found.width_mm, found.length_mm), (found.x, found.y), usable)


def _worst(verdicts: set[Verdict]) -> Verdict:
    if Verdict.NONE in verdicts:
        return Verdict.NONE if verdicts == {Verdict.NONE} else Verdict.PARTLY
    return Verdict.JOINED if Verdict.JOINED in verdicts else Verdict.WHOLE
