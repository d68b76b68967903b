"""The front door: from a job and its candidates to a plan. Pure: the same input gives the same plan."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from remnants.fitting.ask import Ask
from remnants.fitting.donor import Donor
from remnants.fitting.field import Field
from remnants.fitting.joining import grounds_between, joined
from remnants.fitting.layout import Layout, Leaf, leaves, segments
from remnants.fitting.reasons import not_chosen, reason_joined, reason_whole, short_of
from remnants.fitting.rules import Rules
from remnants.fitting.several import Option, one_donor_pairs, shared_donors
from remnants.fitting.shape import Axis, Shape
from remnants.fitting.showing import sentence_of, show_of
from remnants.fitting.whole import lying
from remnants.fitting.worth import best_move, spoiled_mm2
from remnants.geometry.outline import Outline, Point, Ring
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate
from remnants.model.patch import Job, Patch
from remnants.model.plan import Leftover, Part, PatchPlan, Plan, Seam, SeamKind, Short, Verdict

__all__ = ["fit"]


TRIES_BESIDE = 12
"""Donors tried for both parts where two pieces make the patch already: one donor fetched is the last tie but one."""


@dataclass(frozen=True, eq=False)
class Made:
    """A layout with every move settled, and what it costs."""

    layout: Layout
    moves: tuple[Point, ...]
    points: int
    spoiled: float

    @property
    def key(self) -> tuple[int, int, int, tuple[str, ...]]:
        """Sorts by how the seams show, what is spoiled (to the square centimetre), donors fetched, tags."""
        tags = tuple(leaf.donor.tag for leaf in leaves(self.layout))
        return self.points, round(self.spoiled / 100), len(set(tags)), tags


def fit(job: Job, candidates: Sequence[Sequence[Candidate]], rules: Rules | None = None) -> Plan:
    """The plan for a job from the candidates of each of its patches, in the order of `job.patches`.

    The larger patches choose first. Within a patch the order of merit decides: match, parts, how seams show, what is spoiled,
    donors fetched.
    """
    rules = rules or Rules()
    left: dict[str, Outline] = {candidate.piece.tag: candidate.piece.outline for each in candidates for candidate in each}
    made: dict[int, Made | None] = {}
    shorts: dict[int, Short] = {}
    for index in sorted(range(len(job.patches)), key=lambda i: (-Outline(job.patches[i].ring).usable_area_mm2, i)):
        patch = job.patches[index]
        ask = ask_of(job, patch, rules)
        donors = donors_of(patch, candidates[index], left)
        best = best_for(ask, donors)
        made[index] = best
        if best is None:
            shorts[index] = short_of(ask, donors, job)
            continue
        for leaf, move in zip(leaves(best.layout), best.moves, strict=True):
            cut = leaf.donor.to_piece(leaf.shape.cut, move)
            left[leaf.donor.tag] = _cut_out(left[leaf.donor.tag], cut)
    return _plan(job, candidates, made, shorts, rules)


def ask_of(job: Job, patch: Patch, rules: Rules) -> Ask:
    """The patch in its pile frame."""
    shape = Shape(turned_ring(patch.ring, whole_turn(-patch.pile_deg)), patch.edges, job.allowance)
    motif = None if patch.motif is None else turned_point(patch.motif, whole_turn(-patch.pile_deg))
    return Ask(patch, shape, motif, job.min_part_mm, rules)


def donors_of(patch: Patch, candidates: Sequence[Candidate], left: Mapping[str, Outline]) -> list[Donor]:
    """What is left of each candidate, once for every allowed turn, by tag."""
    turns = list(dict.fromkeys(whole_turn(turn) for turn in patch.turns))
    return [
        Donor(candidate, left[candidate.piece.tag], whole_turn(turn - candidate.piece.pile_deg))
        for candidate in sorted(candidates, key=lambda candidate: candidate.piece.tag)
        for turn in turns
    ]


def best_for(ask: Ask, donors: Sequence[Donor]) -> Made | None:
    """The best way to make one patch, or None if there is none within the rules."""
    levels = sorted({_level(donor) for donor in donors})
    for level in levels:
        good = Field(tuple(donor for donor in donors if _level(donor) <= level))
        for parts in range(1, ask.patch.max_parts + 1):
            made = _made(ask, good, parts)
            if made:
                return min(made, key=lambda option: option.key)
    return None


def _level(donor: Donor) -> tuple[int, int]:
    match = donor.candidate.match
    return int(match.grade), match.wear_steps


def _made(ask: Ask, field: Field, parts: int) -> list[Made]:
    """Ways to make the patch in so many parts, the likeliest; some if and only if one exists."""
    most = ask.rules.donors_weighed
    if parts == 1:
        return _all_settled(ask, (Option(Leaf(ask.shape, donor)) for donor in lying(ask, field)), most)
    made = _all_settled(ask, (Option(layout) for layout in joined(ask, ask.shape, field, parts, most)), most)
    if parts == 2:
        made += _all_settled(ask, one_donor_pairs(ask, ask.shape, field, TRIES_BESIDE if made else None), most)
    elif not made:
        made = _all_settled(ask, shared_donors(ask, ask.shape, field.donors, parts), most)
    return made


def _all_settled(ask: Ask, options: Iterable[Option], most: int) -> list[Made]:
    """The first `most` options that can be settled."""
    settled = (_settled(ask, option) for option in options)
    return list(islice((made for made in settled if made is not None), most))


def _settled(ask: Ask, option: Option) -> Made | None:
    """The option with a move for every leaf, and what it costs."""
    parts = leaves(option.layout)
    moves = option.moves
    if moves is None:
        found = [best_move(leaf.donor, leaf.shape.cut, ask.rules, ask.moves(leaf.shape, leaf.donor)) for leaf in parts]
        settled = tuple(move for move in found if move is not None)
        if len(settled) < len(parts):
            return None
        moves = settled
    cuts: dict[Donor, list[Ring]] = {}
    for leaf, move in zip(parts, moves, strict=True):
        cuts.setdefault(leaf.donor, []).append(leaf.donor.to_piece(leaf.shape.cut, move))
    spoiled = sum(spoiled_mm2(donor, rings, ask.rules) for donor, rings in cuts.items())
    points = sum(
        weight
        for segment in segments(option.layout)
        for weight, _ in grounds_between(ask, segment.axis, parts[segment.parts[0]].donor, parts[segment.parts[1]].donor)
    )
    return Made(option.layout, moves, points, spoiled)


def _cut_out(outline: Outline, cut: Ring) -> Outline:
    return replace(outline, cutouts=(*outline.cutouts, cut))


def _plan(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    made: Mapping[int, Made | None],
    shorts: Mapping[int, Short],
    rules: Rules,
) -> Plan:
    patches = tuple(_patch_plan(job, patch, made[index], rules) for index, patch in enumerate(job.patches))
    patches = tuple(replace(plan, reason=shorts[index].reason) if index in shorts else plan for index, plan in enumerate(patches))
    cuts: dict[str, list[Ring]] = {}
    for plan in patches:
        for part in plan.parts:
            cuts.setdefault(part.piece, []).append(part.cut)
    uncut = {candidate.piece.tag: candidate.piece.outline for each in candidates for candidate in each}
    asks = [
        (ask_of(job, patch, rules), donors_of(patch, each, uncut)) for patch, each in zip(job.patches, candidates, strict=True)
    ]
    pieces = {candidate.piece.tag: candidate for each in candidates for candidate in each}
    leftovers = tuple(leftover for tag in sorted(cuts) for leftover in _leftovers(pieces[tag], cuts[tag], rules))
    return Plan(
        job.name,
        _worst({plan.verdict for plan in patches}),
        patches,
        leftovers,
        tuple(not_chosen(asks, patches, job)),
        tuple(shorts[index] for index in sorted(shorts)),
        job.unit,
    )


def _patch_plan(job: Job, patch: Patch, made: Made | None, rules: Rules) -> PatchPlan:
    if made is None:
        return PatchPlan(patch.name, Verdict.NONE)
    ask = ask_of(job, patch, rules)
    parts = leaves(made.layout)
    match = max((leaf.donor.candidate.match for leaf in parts), key=lambda match: match.rank)
    verdict = Verdict.WHOLE if len(parts) == 1 else Verdict.JOINED
    seams = tuple(
        _seam(ask, segment.axis, segment.line, segment.parts, (parts[segment.parts[0]], parts[segment.parts[1]]))
        for segment in segments(made.layout)
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


def _seam(ask: Ask, axis: Axis, line: tuple[Point, Point], numbers: tuple[int, int], sides: tuple[Leaf, Leaf]) -> Seam:
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    grounds = grounds_between(ask, axis, sides[0].donor, sides[1].donor)
    pile = whole_turn(ask.patch.pile_deg)
    start, end = turned_point(line[0], pile), turned_point(line[1], pile)
    length = abs(line[1][0] - line[0][0]) + abs(line[1][1] - line[0][1])
    return Seam(kind, (start, end), length, numbers, show_of(grounds), sentence_of(kind, grounds))


def _leftovers(candidate: Candidate, cuts: Sequence[Ring], rules: Rules) -> Iterator[Leftover]:
    """What is left of a donor, in its own axes, largest first."""
    for outline in remainders(candidate.piece.outline, cuts):
        found = largest_rectangle(outline)
        usable = rules.worth_keeping(found.width_mm, found.length_mm)
        yield Leftover(candidate.piece.tag, outline, (found.width_mm, found.length_mm), (found.x, found.y), usable)


def _worst(verdicts: set[Verdict]) -> Verdict:
    if Verdict.NONE in verdicts:
        return Verdict.NONE if verdicts == {Verdict.NONE} else Verdict.PARTLY
    return Verdict.JOINED if Verdict.JOINED in verdicts else Verdict.WHOLE
