"""The ways to lay one room at one pile bearing: where the seams go, and the cuts that follow from them.

Everything here lies in the room's pile frame: the room turned so that its pile lays along +y, breadths side by side along x.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from remnants.estimating.cut_steps import in_steps
from remnants.estimating.rooms.room_at_bearing import Site
from remnants.estimating.rooms.seam_chains import chains
from remnants.geometry import TOLERANCE_MM, Outline
from remnants.geometry.bands import runs_within
from remnants.geometry.turn import between, turned_point
from remnants.model import Construction, SeamKind
from remnants.model.order_plan import Cut, CutKind, Laying
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Laid, Room, Stairs

__all__ = ["lay_room", "lay_stairs", "lay_with_seams"]

Box = tuple[float, float, float, float]


def lay_room(
    room: Room,
    pile_deg: float,
    *,
    roll: Roll,
    rules: OrderRules,
    construction: Construction = Construction.CUT,
    fills_mm: Sequence[float] = (),
) -> Iterator[Laying]:
    """Ways to lay the room with its pile at `pile_deg`, fewest seams first; none when the rules allow none.

    Beside the usual places, seams lie where a fill at a wall is as wide (with trims) as one of `fills_mm`.
    """
    site = Site(room, pile_deg, roll=roll, rules=rules, construction=construction, fills_mm=fills_mm)
    for seams in chains(site):
        parts = _parts(site, seams)
        if parts is None:
            continue
        for pieces in range(1, rules.cross_seams + 2):
            split = _split(site, parts, pieces)
            if split is None:
                break
            cuts = _patterned(site, _named(room.name, split))
            if cuts is not None:
                yield _laying(site, cuts, seams, split)


def lay_with_seams(site: Site, seams: Sequence[float]) -> Laying | None:
    """The room with seams along the pile at just these places (mm, rising, pile frame); None when the rules allow none so."""
    parts = _parts(site, seams)
    if parts is None:
        return None
    split = [(part,) for part in parts]
    cuts = _patterned(site, _named(site.room.name, split))
    return None if cuts is None else _laying(site, cuts, seams, split)


def lay_stairs(stairs: Stairs, rules: OrderRules, roll: Roll) -> Iterator[Laying]:
    """Ways to cover a flight, in one run or more (or step by step); winders each have their own piece.

    A pattern shows at the same place on every step cut by itself, and goes on from run to run (common practice, no source).
    """
    for runs in range(1, 2 if stairs.steps == 0 else min(stairs.most_runs, stairs.steps) + 1):
        sizes = [(width, length, 0.0, 1) for width, length in stairs.winders]
        done = 0
        for steps in _steps_of(stairs, runs):
            start = 0.0 if stairs.laid is Laid.STEPS else done * stairs.step_mm
            sizes.append((stairs.cut_width_mm, steps * stairs.step_mm + stairs.run_mm, start, steps))
            done += steps
        cuts = tuple(_stair_cut(stairs, index, size, rules, roll) for index, size in enumerate(sizes))
        yield Laying(stairs.name, 0.0, cuts, drawback_mm=(runs - 1) * rules.weights.cross_seam_mm / 4)


def _steps_of(stairs: Stairs, runs: int) -> list[int]:
    if stairs.laid is Laid.STEPS:
        return [1] * stairs.steps
    least, over = divmod(stairs.steps, runs)
    return [size for index in range(runs) if (size := least + (index < over))]


def _stair_cut(stairs: Stairs, index: int, size: tuple[float, float, float, int], rules: OrderRules, roll: Roll) -> Cut:
    width, length, start, steps = size
    box = (0.0, start, width, start + length)
    origin = (0.0, 0.0) if roll.repeat else None
    long = rules.cut_length_mm(length, roll.repeat)
    return in_steps(Cut(f"{stairs.name} {index + 1}", stairs.name, CutKind.STAIR, None, box, long, origin, steps), rules, roll)


def _parts(site: Site, seams: Sequence[float]) -> list[Outline] | None:
    """The floor between the seams; None when a part would be a sliver or too wide for the roll."""
    left, _, right, _ = site.floor.bounds
    parts: list[Outline] = []
    for low, high in pairwise([left, *seams, right]):
        found = site.breadth(low, high)
        if found is None:
            return None
        parts += found
    return parts


def _split(site: Site, parts: Sequence[Outline], pieces: int) -> list[tuple[Outline, ...]] | None:
    """Each part in up to `pieces` lengths of one size where so many lie side by side on the roll; None when none gains by it."""
    split, gained = [], pieces == 1
    for part in parts:
        box = site.box_of(part)
        beside = int((site.roll.width_mm + TOLERANCE_MM) // (box[2] - box[0]))
        count = min(pieces, beside)
        gained = gained or count == pieces
        split.append(site.in_lengths(part, count) if count > 1 else (part,))
    return split if gained else None


def _named(name: str, split: Sequence[tuple[Outline, ...]]) -> list[tuple[str, Outline]]:
    pieces = [piece for part in split for piece in part]
    return [(f"{name} {index + 1}" if len(pieces) > 1 else name, piece) for index, piece in enumerate(pieces)]


def _patterned(site: Site, named: Sequence[tuple[str, Outline]]) -> tuple[Cut, ...] | None:
    """The cuts, with the pattern's reference point where it costs least; None when the pattern can't be met from the roll."""
    boxes = [site.box_of(piece) for _, piece in named]
    cuts = [_cut(site, name, piece, box, single=len(named) == 1) for (name, piece), box in zip(named, boxes, strict=True)]
    repeat = site.roll.repeat
    if repeat is None:
        return tuple(in_steps(cut, site.rules, site.roll) for cut in cuts)
    fixed = site.room.motif
    if fixed is not None:
        origins = [turned_point(fixed, between(site.pile_deg, 0.0))]
    else:
        origins = [(x, boxes[0][1]) for x in dict.fromkeys(box[0] for box in boxes)]
    for origin in origins:
        fits = all(
            (box[0] - origin[0] + TOLERANCE_MM / 2) % repeat.across_mm + box[2] - box[0] <= site.roll.width_mm + TOLERANCE_MM
            for box in boxes
        )
        if fits:
            return tuple(in_steps(replace(cut, origin=origin), site.rules, site.roll) for cut in cuts)
    return None


def _cut(site: Site, name: str, piece: Outline, box: Box, *, single: bool) -> Cut:
    full = box[2] - box[0] > site.roll.width_mm / 2
    kind = CutKind.WHOLE if single else CutKind.BREADTH if full else CutKind.FILL
    return Cut(name, site.room.name, kind, piece, box, site.rules.cut_length_mm(box[3] - box[1], site.roll.repeat))


def _laying(site: Site, cuts: tuple[Cut, ...], places: Sequence[float], split: Sequence[tuple[Outline, ...]]) -> Laying:
    weighed = [seam for place in places for seam in site.side_seams(place)]
    for pieces in split:
        for under, over in pairwise(pieces):
            y = over.bounds[1]
            reach = min(under.bounds[0], over.bounds[0]), max(under.bounds[2], over.bounds[2])
            weighed += [site.seam(run, SeamKind.CROSS) for run in runs_within(site.floor, (reach[0], y), (reach[1], y))]
    return Laying(site.room.name, site.pile_deg, cuts, tuple(seam for seam, _ in weighed), sum(weight for _, weight in weighed))
