"""What of a job can be changed, how far, and how much trouble that is to the technician.

Efforts and floors are the trade's habit (common practice, no source): a seam allowance is cut down to 10 mm, one at a transition
to 20 mm and at a wall to 25 mm; a part is no narrower than 75 mm. What is done to the sides of a patch stands in `sides`.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from remnants.fitting.bargains.lever import EFFORT, Lever, of_one_patch, said, which
from remnants.fitting.bargains.sides import grown as grown_sides
from remnants.fitting.bargains.sides import shaved
from remnants.geometry.grow import grown
from remnants.geometry.outline import TOLERANCE_MM, bounds, rectangle
from remnants.geometry.turn import turned_ring, whole_turn
from remnants.model.bargain import Asked, Change, ChangeKind
from remnants.model.match import Grade
from remnants.model.patch import MOST_PARTS, Allowance, Finish, Job, MayUse, Patch, Wanted
from remnants.model.piece import Kind, Piece
from remnants.model.plan import Plan
from remnants.model.style import Style
from remnants.units import MM_PER_IN, Unit, is_imperial, write_length

__all__ = ["NEW_ROLL", "NOTHING_BESIDE", "Beside", "levers"]

FLOORS_MM = {Finish.SEAM: 10.0, Finish.TRANSITION: 20.0, Finish.WALL: 25.0}
LEAST_PART_MM = 75.0
HALF_TURN = 180.0
WHOLE_CM = 10.0

AT = {Finish.SEAM: "at seams", Finish.WALL: "at walls", Finish.TRANSITION: "at other floors"}
NEW_ROLL = "new roll"
"""What roll that would have to be ordered is called where pieces have a tag."""


@dataclass(frozen=True)
class Beside:
    """What could be had beside the stock that the job is offered.

    `held`: pieces held for other jobs, each with the last day in words, nobody named; `rolls`: the style in which roll could be
    ordered, by the name of the patch, and `colours` what its colour was read as; `untried`: kinds of change of which this stock
    can tell nothing.
    """

    held: tuple[tuple[Piece, str], ...] = ()
    rolls: Mapping[str, Style] = field(default_factory=dict)
    colours: Mapping[str, str] = field(default_factory=dict)
    untried: frozenset[ChangeKind] = frozenset()


NOTHING_BESIDE = Beside()


def levers(
    job: Job, patches: frozenset[str], unit: Unit, beside: Beside = NOTHING_BESIDE, *, no: bool = True
) -> tuple[Lever, ...]:
    """All that may help the patches of these names, the least effort first; what only mends a `no`, only after one."""
    found = [*_allowances(job, unit), *_least_part(job, unit), *_asking(job), *_held(beside)]
    for index, patch in enumerate(job.patches):
        if patch.name in patches:
            found += [*shaved(job, index, unit, seen=not no), *_of_patch(job, index)]
            found += _ordered(job, patch, beside, unit) if no else grown_sides(job, index, unit)
    told = (lever for lever in found if lever.change.kind not in beside.untried)
    return tuple(sorted(told, key=lambda lever: lever.effort))


def _allowances(job: Job, unit: Unit) -> Iterator[Lever]:
    finishes = {finish for patch in job.patches for finish in patch.edges}
    if any(patch.max_parts > 1 for patch in job.patches):
        finishes.add(Finish.SEAM)
    for finish, floor in FLOORS_MM.items():
        now = job.allowance.of(finish)
        if finish in finishes and now - floor > TOLERANCE_MM:
            effort, change = EFFORT["allowance" if finish is Finish.SEAM else "margin"], Change(ChangeKind.ALLOWANCE)
            words = partial(_instead, "Add {} instead of {} " + AT[finish], now, unit)
            less, cost = partial(_less_at, finish), "Less is left to trim: measure and cut exactly."
            of = replace(change, finish=finish.value)
            yield Lever(effort, "smaller allowances", of, less, words, cost, (now - floor,), halved=True)


def _less_at(finish: Finish, asked: Asked, by_mm: float) -> Asked:
    job = asked.job
    left = {each: job.allowance.of(each) - (by_mm if each is finish else 0.0) for each in FLOORS_MM}
    allowance = Allowance(left[Finish.SEAM], left[Finish.WALL], left[Finish.TRANSITION])
    return replace(asked, job=replace(job, allowance=allowance))


def _instead(words: str, now_mm: float, unit: Unit, by_mm: float, _plan: Plan) -> str:
    return words.format(write_length(now_mm - by_mm, unit), write_length(now_mm, unit))


def _least_part(job: Job, unit: Unit) -> Iterator[Lever]:
    now = job.min_part_mm
    if now - LEAST_PART_MM > TOLERANCE_MM and any(patch.max_parts > 1 for patch in job.patches):
        words = partial(_instead, "Let a part be {} narrow instead of {}", now, unit)
        change, cost = Change(ChangeKind.MIN_PART), "A narrow part is harder to seam and to keep flat."
        yield Lever(EFFORT["narrow"], "narrower parts", change, _narrower, words, cost, (now - LEAST_PART_MM,), halved=True)


def _narrower(asked: Asked, by_mm: float) -> Asked:
    return replace(asked, job=replace(asked.job, min_part_mm=asked.job.min_part_mm - by_mm))


def _asking(job: Job) -> Iterator[Lever]:
    for effort, may_use, kind, words, cost in (
        (
            "another customer",
            MayUse.OTHER_CUSTOMERS,
            ChangeKind.OTHER_CUSTOMERS,
            "Ask another customer for a piece kept with them",
            "They decide, and are paid what you agree.",
        ),
        (
            "in view",
            MayUse.IN_VIEW,
            ChangeKind.IN_VIEW,
            "Ask whether carpet laid in view in this house may be lifted",
            "That floor must be made good, and it is seen.",
        ),
    ):
        if may_use not in job.may_use:
            name = "asking for carpet that is left alone"
            yield Lever(EFFORT[effort], name, Change(kind), partial(_allowed, may_use), partial(said, words), cost, opens=True)


def _allowed(may_use: MayUse, asked: Asked, _by_mm: float) -> Asked:
    return replace(asked, job=replace(asked.job, may_use=asked.job.may_use | {may_use}))


def _held(beside: Beside) -> Iterator[Lever]:
    if beside.held:
        pieces, until = tuple(piece for piece, _ in beside.held), {piece.tag: words for piece, words in beside.held}
        cost = "The other job is then without it: ask whoever holds it, and release it there first."
        words, change = partial(_held_words, until), Change(ChangeKind.HELD)
        yield Lever(EFFORT["held"], "pieces held for other jobs", change, partial(_with, pieces), words, cost, opens=True)


def _with(pieces: tuple[Piece, ...], asked: Asked, _by_mm: float) -> Asked:
    return replace(asked, beside=(*asked.beside, *pieces))


def _held_words(until: Mapping[str, str], _by_mm: float, plan: Plan) -> str:
    used = dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts if part.piece in until)
    return "; ".join(f"Ask for {tag} back, which is {until[tag]}" for tag in used)


def _ordered(job: Job, patch: Patch, beside: Beside, unit: Unit) -> Iterator[Lever]:
    """Roll in one breadth, or in as many as the patch may have parts."""
    style = beside.rolls.get(patch.name)
    if style is None or style.roll_width_mm is None:
        return
    net = turned_ring(patch.ring, whole_turn(-patch.pile_deg))
    left, bottom, right, top = bounds(grown(net, tuple(job.allowance.of(finish) for finish in patch.edges)))
    joined = 2 * job.allowance.seam_mm
    widths = range(1, patch.max_parts + 1)
    breadths = next((n for n in widths if right - left + (n - 1) * joined <= n * style.roll_width_mm + TOLERANCE_MM), 0)
    if not breadths:
        return
    repeat = style.repeat.along_mm if style.repeat else 0.0
    step = MM_PER_IN if is_imperial(unit) else WHOLE_CM
    length = math.ceil((breadths * (top - bottom + repeat) - TOLERANCE_MM) / step) * step
    colour, size = beside.colours.get(patch.name) or patch.wanted.colour, rectangle(style.roll_width_mm, length)
    roll = Piece(NEW_ROLL, Kind.REMNANT, style.name, colour, "", size, place="to be ordered")
    words = f"Order {write_length(length, unit)} of roll, {write_length(style.roll_width_mm, unit)} wide"
    change, cost = (
        Change(ChangeKind.ROLL, patch.name, by_mm=length),
        "It must be bought, and a new lot may differ: compare it first.",
    )
    yield Lever(EFFORT["roll"], "roll ordered", change, partial(_with, (roll,)), partial(said, words), cost)


def _of_patch(job: Job, index: int) -> Iterator[Lever]:
    patch, wanted = job.patches[index], job.patches[index].wanted
    name = which(job, patch)

    def lever(group: str, name: str, changed: Callable[[Patch, float], Patch], change: Change, told: tuple[str, str]) -> Lever:
        of_one, (words, cost) = partial(of_one_patch, index, changed), told
        return Lever(EFFORT[group], name, replace(change, patch=patch.name), of_one, partial(said, words), cost, opens=True)

    if (count := patch.max_parts + 1) <= MOST_PARTS:
        told = f"Join {name} from {count} parts", "One part and one seam more."
        yield lever("parts", "more parts", partial(_in_parts, count), Change(ChangeKind.PARTS, count=count), told)
    if HALF_TURN not in patch.turns:
        told = f"Lay the pile of {name} the other way round too", "Turned pile looks lighter or darker: hold it there first."
        yield lever("turn", "pile the other way", _either_way, Change(ChangeKind.TURN), told)
    if wanted.lowest.value < Grade.OTHER_LOT.value:
        told = f"Take another lot for {name}", "Dye lots differ: compare both in the room's light first."
        yield lever("lot", "another lot", partial(_at_worst, Grade.OTHER_LOT), Change(ChangeKind.LOT), told)
    if wanted.lowest.value < Grade.CLOSE_SHADE.value:
        told = f"Take a close shade for {name}", "The shade differs: show it to the customer first."
        yield lever("shade", "a close shade", partial(_at_worst, Grade.CLOSE_SHADE), Change(ChangeKind.CLOSE_SHADE), told)
    if not wanted.substitute:
        told = f"Take another style for {name}", "It is another carpet: show it to the customer first."
        yield lever("style", "another style in a near shade", _other_style, Change(ChangeKind.SUBSTITUTE), told)


def _in_parts(count: int, patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, max_parts=max(count, patch.max_parts))


def _either_way(patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, turns=(*patch.turns, HALF_TURN))


def _at_worst(grade: Grade, patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, wanted=_worst(patch.wanted, grade))


def _worst(wanted: Wanted, grade: Grade) -> Wanted:
    return wanted if wanted.lowest >= grade else replace(wanted, lowest_grade=grade)


def _other_style(patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, wanted=replace(patch.wanted, substitute=True, lowest_grade=None))
