"""What of a job can be changed, how far, and how much trouble that is to the technician.

Efforts and floors are the trade's habit (common practice, no source): a seam allowance is cut down to 10 mm, one at a transition
to 20 mm and at a wall to 25 mm; a part is no narrower than 75 mm; a patch is shaved by up to 150 mm on one side.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.model.bargain import Change, ChangeKind
from remnants.model.match import Grade
from remnants.model.patch import MOST_PARTS, Allowance, Finish, Job, MayUse, Patch
from remnants.units import Unit, write_length

__all__ = ["Lever", "levers"]

FLOORS_MM = {Finish.SEAM: 10.0, Finish.TRANSITION: 20.0, Finish.WALL: 25.0}
LEAST_PART_MM = 75.0
MOST_SHAVED_MM = 150.0
HALF_TURN = 180.0
MOST_SHARE = 0.25
"""Of a side, no more than this share is shaved off."""

AT = {Finish.SEAM: "at seams", Finish.WALL: "at walls", Finish.TRANSITION: "at other floors"}


@dataclass(frozen=True)
class Lever:
    """One thing to change. `most_mm` is how far it goes, 0 for what is changed or not; `effort` sorts, less is easier.

    `job` changes a job by an amount (mm), `words` tell it, `at` is the change as the answer has it. `name` tells it where it is
    of no help.
    """

    effort: int
    name: str
    most_mm: float
    job: Callable[[Job, float], Job]
    change: Change
    words: Callable[[float], str]
    stops_mm: tuple[float, ...] = ()
    """Amounts below the most up to which it may help though the most doesn't."""

    def at(self, by_mm: float) -> Change:
        """The change by that much."""
        return replace(self.change, by_mm=by_mm) if self.most_mm else self.change


def levers(job: Job, open_patches: frozenset[str], unit: Unit) -> tuple[Lever, ...]:
    """All that may help the patches of these names, the least effort first."""
    found = [*_allowances(job, unit), *_least_part(job, unit), *_asking(job)]
    for index, patch in enumerate(job.patches):
        if patch.name in open_patches:
            found += [*_shaves(job, index, unit), *_of_patch(job, index)]
    return tuple(sorted(found, key=lambda lever: lever.effort))


def _of_one(index: int, changed: Callable[[Patch, float], Patch], job: Job, by_mm: float) -> Job:
    """The job with one of its patches changed."""
    patch = changed(job.patches[index], by_mm)
    return replace(job, patches=(*job.patches[:index], patch, *job.patches[index + 1 :]))


def _of(job: Job, patch: Patch) -> str:
    return "the patch" if len(job.patches) == 1 else patch.name


def _allowances(job: Job, unit: Unit) -> Iterator[Lever]:
    finishes = {finish for patch in job.patches for finish in patch.edges}
    if any(patch.max_parts > 1 for patch in job.patches):
        finishes.add(Finish.SEAM)
    for finish, floor in FLOORS_MM.items():
        now = job.allowance.of(finish)
        if finish in finishes and now - floor > TOLERANCE_MM:
            effort, change = 1 if finish is Finish.SEAM else 2, Change(ChangeKind.ALLOWANCE, finish=finish.value)
            words = partial(_instead, "Add {} instead of {} " + AT[finish], now, unit)
            yield Lever(effort, "smaller allowances", now - floor, partial(_less_at, finish), change, words)


def _less_at(finish: Finish, job: Job, by_mm: float) -> Job:
    left = {each: job.allowance.of(each) - (by_mm if each is finish else 0.0) for each in FLOORS_MM}
    return replace(job, allowance=Allowance(left[Finish.SEAM], left[Finish.WALL], left[Finish.TRANSITION]))


def _instead(words: str, now_mm: float, unit: Unit, by_mm: float) -> str:
    return words.format(write_length(now_mm - by_mm, unit), write_length(now_mm, unit))


def _least_part(job: Job, unit: Unit) -> Iterator[Lever]:
    now = job.min_part_mm
    if now - LEAST_PART_MM > TOLERANCE_MM and any(patch.max_parts > 1 for patch in job.patches):
        words = partial(_instead, "Let a part be {} narrow instead of {}", now, unit)
        yield Lever(1, "narrower parts", now - LEAST_PART_MM, _narrower, Change(ChangeKind.MIN_PART), words)


def _narrower(job: Job, by_mm: float) -> Job:
    return replace(job, min_part_mm=job.min_part_mm - by_mm)


def _asking(job: Job) -> Iterator[Lever]:
    for effort, may_use, kind, words in (
        (4, MayUse.OTHER_CUSTOMERS, ChangeKind.OTHER_CUSTOMERS, "Ask another customer for a piece kept with them"),
        (5, MayUse.IN_VIEW, ChangeKind.IN_VIEW, "Ask whether carpet laid in view in this house may be lifted"),
    ):
        if may_use not in job.may_use:
            name = "asking for carpet that is left alone"
            yield Lever(effort, name, 0.0, partial(_allowed, may_use), Change(kind), partial(_said, words))


def _allowed(may_use: MayUse, job: Job, _by_mm: float) -> Job:
    return replace(job, may_use=job.may_use | {may_use})


def _said(words: str, _by_mm: float) -> str:
    return words


def _of_patch(job: Job, index: int) -> Iterator[Lever]:
    patch, wanted = job.patches[index], job.patches[index].wanted
    which = _of(job, patch)

    def lever(effort: int, name: str, changed: Callable[[Patch, float], Patch], change: Change, words: str) -> Lever:
        of_one = partial(_of_one, index, changed)
        return Lever(effort, name, 0.0, of_one, replace(change, patch=patch.name), partial(_said, words))

    if (count := patch.max_parts + 1) <= MOST_PARTS:
        change = Change(ChangeKind.PARTS, count=count)
        yield lever(2, "more parts", partial(_in_parts, count), change, f"Join {which} from {count} parts")
    if HALF_TURN not in patch.turns:
        words = f"Lay the pile of {which} the other way round too"
        yield lever(3, "pile the other way", _either_way, Change(ChangeKind.TURN), words)
    if wanted.lowest.value < Grade.CLOSE_SHADE.value:
        yield lever(3, "a close shade", _near_shade, Change(ChangeKind.CLOSE_SHADE), f"Take a close shade for {which}")
    if not wanted.substitute:
        words = f"Take another style for {which}"
        yield lever(6, "another style in a near shade", _other_style, Change(ChangeKind.SUBSTITUTE), words)


def _in_parts(count: int, patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, max_parts=count)


def _either_way(patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, turns=(*patch.turns, HALF_TURN))


def _near_shade(patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, wanted=replace(patch.wanted, lowest_grade=Grade.CLOSE_SHADE))


def _other_style(patch: Patch, _by_mm: float) -> Patch:
    return replace(patch, wanted=replace(patch.wanted, substitute=True, lowest_grade=None))


def _shaves(job: Job, index: int, unit: Unit) -> Iterator[Lever]:
    patch = job.patches[index]
    for edge, (inward, most) in _square_sides(patch.ring):
        finish = patch.edges[edge]
        change = Change(ChangeKind.SHAVE, patch.name, edge=edge, finish=finish.value)
        words = partial(_shave_words, f"Shave {_of(job, patch)} {{}} on its {_side(inward)} side ({finish.value})", unit)
        along = [x * inward[0] + y * inward[1] for x, y in patch.ring]
        across = max(along) - min(along)
        stops = tuple(stop for n in range(2, patch.max_parts + 1) if 0 < (stop := across - n * job.min_part_mm) < most)
        of_one = partial(_of_one, index, partial(_shaved, edge, inward))
        yield Lever(2, "a smaller patch", most, of_one, change, words, stops)


def _shaved(edge: int, inward: Point, patch: Patch, by_mm: float) -> Patch:
    ring = list(patch.ring)
    for corner in (edge, (edge + 1) % len(ring)):
        ring[corner] = (ring[corner][0] + by_mm * inward[0], ring[corner][1] + by_mm * inward[1])
    return replace(patch, ring=tuple(ring))


def _shave_words(words: str, unit: Unit, by_mm: float) -> str:
    return words.format(write_length(by_mm, unit))


def _square_sides(ring: Ring) -> Iterator[tuple[int, tuple[Point, float]]]:
    """Sides (counter-clockwise ring) between two outward square corners: the way inward, and how far it may go (mm)."""
    count = len(ring)
    for edge in range(count):
        a, b, c, d = (ring[(edge + step) % count] for step in (-1, 0, 1, 2))
        before, along, after = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1]), (d[0] - c[0], d[1] - c[1])
        turns = [p[0] * q[1] - p[1] * q[0] > 0 for p, q in ((before, along), (along, after))]
        square = all(abs(p[0] * q[0] + p[1] * q[1]) <= TOLERANCE_MM for p, q in ((before, along), (along, after)))
        if square and all(turns):
            length = (along[0] ** 2 + along[1] ** 2) ** 0.5
            inward = (-along[1] / length, along[0] / length)
            sides = [(x * x + y * y) ** 0.5 for x, y in (before, after)]
            yield edge, (inward, min(MOST_SHAVED_MM, MOST_SHARE * min(sides)))


def _side(inward: Point) -> str:
    """The name of the side on the drawing from which that way leads inward."""
    x, y = inward
    if abs(x) >= abs(y):
        return "left" if x > 0 else "right"
    return "lower" if y > 0 else "upper"
