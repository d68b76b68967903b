"""Room to spare: how far a tape may be out before a plan fails, how far each seam may move, and seams set where most is to spare.

The measure (common practice, no source): each edge of every piece may lie e further in and each edge of every cut e further out,
and the cuts still lie on their pieces. Each may move on its piece for that: a cut laid in a corner is measured from the piece's
own edges, so what counts is how much there is beyond it.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from weakref import WeakKeyDictionary

from remnants.errors import BadInput, Fault
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Layout, Leaf, leaves, segments
from remnants.fitting.patch.made import Made, phase_of, settled, snug
from remnants.fitting.patch.question import Ask, OutOfTime
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.shape import Shape, splits
from remnants.fitting.sharing.spare_on_piece import NO_ROOM, SPARE_MM, Cut, greatest, spare_on
from remnants.geometry.lattice import Lattice
from remnants.geometry.outline import TOLERANCE_MM
from remnants.geometry.tolerances import CLOSE_MM
from remnants.model.merit import STEP_MM2
from remnants.model.plan import Spare
from remnants.units import Unit, write_length

__all__ = ["loosened", "shifted", "spare_of"]

STEPS, EXACT_STEPS = 14, 30
"""Steps to the best place of a seam, each of which keeps two thirds of where it can be; between rectangles, which are quick."""

EDGES = 4
"""Across a part lie two edges of its piece and two of its cut, each of which may be out."""


def spare_of(asks: Sequence[Ask], made: Sequence[Made | None]) -> Spare | None:
    """The spare of a plan: as a whole, of each part, and how far each seam may move back and forth (mm).

    Parts and seams in the order of the patches. Parts that are cut from one piece have the same: they must hold together. Exact
    for rectangles on a rectangle that keep their order; else within `SPARE_MM`, and never more than there is. None without parts,
    or where time is up.
    """
    parts: list[float] = []
    seams: list[tuple[float, float]] = []
    try:
        for index, (ask, way) in enumerate(zip(asks, made, strict=True)):
            if way is not None:
                others = _others(asks, made, index)
                by_tag = _spares(ask, way, way.layout, others)
                parts += [max(0.0, by_tag[leaf.donor.tag]) for leaf in way.parts]
                seams += [_play(ask, way, joint, others) for joint in _joints_of_segments(way.layout)]
    except OutOfTime:
        return None
    return Spare(min(parts), tuple(parts), tuple(seams)) if parts else None


def loosened(asks: Sequence[Ask], made: Sequence[Made | None], enough_mm: float) -> tuple[Made | None, ...]:
    """The ways with each seam set where its patch has most to spare, moved no further than to have `enough_mm`.

    A seam stays where moving it would make the patch look otherwise, or spend a step more of the stock.
    """
    ways = list(made)
    for index, (ask, way) in enumerate(zip(asks, made, strict=True)):
        if way is not None:
            ways[index] = _with_seams_set(ask, way, _others(asks, ways, index), enough_mm)
    return tuple(ways)


def shifted(asks: Sequence[Ask], made: Sequence[Made | None], unit: Unit) -> tuple[Made | None, ...]:
    """The ways with the first seam moved as far as their patches ask for. Raises BadInput with how far it can be."""
    ways, faults = list(made), []
    for index, (ask, way) in enumerate(zip(asks, made, strict=True)):
        by = ask.patch.seam_shift_mm
        if way is None or not by:
            continue
        others, (joint, *_) = _others(asks, ways, index), (*_joints(way.layout), None)
        layout = joint and _with(way.layout, joint, joint.at + by)
        lies = layout is not None and _lies(ask, way, layout, others)
        found = _laid_again(_met(ask, way), _from_what_is_left(layout, others, {})) if layout is not None and lies else None
        ways[index] = way if found is None else replace(found, floor=way.floor)
        if found is None:
            play = None if joint is None else _play(ask, way, joint, others)
            faults.append(Fault(f"patches[{index}].seam_shift", _no_shift(ask.patch.name, by, play, unit)))
    if faults:
        raise BadInput(faults)
    return tuple(ways)


def _no_shift(name: str, by_mm: float, play: tuple[float, float] | None, unit: Unit) -> str:
    if play is None:
        return f"{name} has no seam inside to be moved: leave it out"
    back, forth = (write_length(way, unit) for way in play)
    return f"the seam of {name} can't be moved by {write_length(by_mm, unit)}: give up to {forth}, or up to {back} with a minus"


def _with_seams_set(ask: Ask, way: Made, others: Mapping[str, list[Cut]], enough_mm: float) -> Made:
    """The way with one seam after the other set; as far as there is time."""
    try:
        for number in range(len(_joints(way.layout))):
            way = _with_seam_set(ask, way, _joints(way.layout)[number], others, enough_mm)
    except OutOfTime:
        pass
    return way


def _with_seam_set(ask: Ask, way: Made, joint: Joint, others: Mapping[str, list[Cut]], enough_mm: float) -> Made:
    @cache
    def least(by: float) -> float:
        layout = _with(way.layout, joint, joint.at + by)
        return NO_ROOM if layout is None else min(_spares(ask, way, layout, others, enough_mm).values())

    if least(0.0) >= enough_mm:
        return way
    back, forth = _play(ask, way, joint, others)
    low, high = -back, forth
    for _ in range(EXACT_STEPS if _is_straight(way) else STEPS):
        one, two = low + (high - low) / 3, high - (high - low) / 3
        low, high = (one, high) if least(one) < least(two) else (low, two)
    by = _nearest(lambda by: least(by) >= enough_mm, (low + high) / 2)
    if least(by) <= least(0.0) + SPARE_MM:  # something else leaves no more to spare: the seam keeps from the ends of its play
        by = _off_the_ends(back, forth, EDGES * enough_mm)
    layout = _with(way.layout, joint, round(joint.at + by, 3))
    if layout is None or abs(by) <= SPARE_MM or least(round(by, 3)) < least(0.0):
        return way
    found = _laid_again(_met(ask, way), _from_what_is_left(layout, others, {}))
    if found is None or replace(found.merit, spent_mm2=0.0) != replace(way.merit, spent_mm2=0.0):
        return way
    if found.merit.spent_mm2 >= way.merit.spent_mm2 + STEP_MM2:
        return way
    return replace(found, floor=way.floor)


def _off_the_ends(back: float, forth: float, enough_mm: float) -> float:
    """The least move after which there is so much play either way, or as much one way as the other."""
    if min(back, forth) >= enough_mm:
        return 0.0
    middle = (forth - back) / 2
    return min(middle, enough_mm - back) if back < forth else max(middle, forth - enough_mm)


def _nearest(holds: Callable[[float], bool], at: float) -> float:
    """The place nearest to 0, on the way to `at`, from which on it holds; `at` where it doesn't hold there."""
    near, far = 0.0, at
    while holds(at) and abs(far - near) > CLOSE_MM:
        middle = (near + far) / 2
        near, far = (near, middle) if holds(middle) else (middle, far)
    return far


def _met(ask: Ask, way: Made) -> Ask:
    """The patch with the pattern where the way has laid it, where nothing says how it lies in the room."""
    motif = phase_of(way) if ask.motif is None else None
    return ask if motif is None else replace(ask, motif=motif, known=WeakKeyDictionary())


def _laid_again(ask: Ask, layout: Layout) -> Made | None:
    """The layout with places for its parts; None where more than two are cut from one piece."""
    parts = leaves(layout)
    if len({leaf.donor.tag for leaf in parts}) == len(parts):
        return settled(ask, Option(layout))
    moves = next(snug(ask, parts, any_outline=True), None)
    return None if moves is None else settled(ask, Option(layout, moves))


def _from_what_is_left(layout: Layout, others: Mapping[str, list[Cut]], known: dict[Donor, Donor]) -> Layout:
    """The layout on donors from which all other patches are cut; `known` are those made so far."""
    if isinstance(layout, Joint):
        low, high = (_from_what_is_left(each, others, known) for each in (layout.low, layout.high))
        return replace(layout, low=low, high=high)
    donor = layout.donor
    if donor not in known:
        whole = donor.candidate.piece.outline
        taken = tuple(cut.lies for cut in others.get(donor.tag, ()))
        known[donor] = replace(donor, left=replace(whole, cutouts=(*whole.cutouts, *taken)))
    return Leaf(layout.shape, known[donor])


def _others(asks: Sequence[Ask], made: Sequence[Made | None], index: int) -> dict[str, list[Cut]]:
    """The cuts of all other patches, by piece."""
    found: dict[str, list[Cut]] = {}
    for place, (ask, way) in enumerate(zip(asks, made, strict=True)):
        if way is not None and place != index:
            for leaf, (tag, ring) in zip(way.parts, way.cuts, strict=True):
                found.setdefault(tag, []).append(Cut(ring, ring, _lattice(ask, way, leaf)))
    return found


def _lattice(ask: Ask, way: Made, leaf: Leaf) -> Lattice | None:
    """The steps in which the pattern lets a part move; None for plain goods, and where one part may meet any of the pattern."""
    return None if ask.motif is None and len(way.parts) == 1 else ask.lattice_of(leaf.donor)


def _lies(ask: Ask, way: Made, layout: Layout, others: Mapping[str, list[Cut]]) -> bool:
    """Whether all parts of a layout have room on their pieces."""
    return min(_spares(ask, way, layout, others, 0.0).values()) >= 0


def _spares(
    ask: Ask, way: Made, layout: Layout, others: Mapping[str, list[Cut]], enough_mm: float = math.inf
) -> dict[str, float]:
    """The spare on each piece that gives to a patch, if its parts became those of the layout; below 0 where one has no room.

    No more is looked for than `enough_mm`, except of rectangles on a rectangle.
    """
    ask.go_on()
    if any(not leaf.shape.is_simple or not leaf.shape.wide_enough(ask.min_part_mm) for leaf in leaves(layout)):
        return {leaf.donor.tag: NO_ROOM for leaf in way.parts}
    own: dict[str, list[Cut]] = {}
    for old, new, move in zip(way.parts, leaves(layout), way.moves, strict=True):
        lies, becomes = old.donor.to_piece(old.shape.cut, move), old.donor.to_piece(new.shape.cut, move)
        own.setdefault(old.donor.tag, []).append(Cut(lies, becomes, _lattice(ask, way, old)))
    pieces = {leaf.donor.tag: leaf.donor.candidate.piece for leaf in way.parts}
    return {tag: spare_on(pieces[tag], cuts, others.get(tag, []), enough_mm) for tag, cuts in own.items()}


def _play(ask: Ask, way: Made, joint: Joint, others: Mapping[str, list[Cut]]) -> tuple[float, float]:
    """How far a seam may move, to lower and to higher positions (mm), all else as it is."""
    low, high = joint.split.limits(ask.min_part_mm)

    def lies(by: float) -> bool:
        layout = _with(way.layout, joint, joint.at + by)
        return layout is not None and _lies(ask, way, layout, others)

    return (
        max(0.0, greatest(lambda by: lies(-by), joint.at - low, CLOSE_MM)),
        max(0.0, greatest(lies, high - joint.at, CLOSE_MM)),
    )


def _is_straight(way: Made) -> bool:
    return all(leaf.shape.is_rectangle and leaf.donor.candidate.piece.outline.is_rectangle for leaf in way.parts)


def _joints(layout: Layout) -> list[Joint]:
    """Every joint, outermost first."""
    return [] if isinstance(layout, Leaf) else [layout, *_joints(layout.low), *_joints(layout.high)]


def _joints_of_segments(layout: Layout) -> Iterator[Joint]:
    """For each stretch of seam, as `segments` tells them, the joint that it belongs to."""
    if isinstance(layout, Joint):
        inner = len(segments(layout.low)) + len(segments(layout.high))
        yield from [layout] * (len(segments(layout)) - inner)
        yield from _joints_of_segments(layout.low)
        yield from _joints_of_segments(layout.high)


def _with(layout: Layout, joint: Joint, at: float) -> Layout | None:
    """The layout with one joint at another position; None where a joint inside it no longer has its place."""
    if isinstance(layout, Leaf):
        return layout
    if layout is joint:
        low, high = layout.split.halves(at)
        return _joined(replace(layout, at=at), _on(layout.low, low), _on(layout.high, high))
    return _joined(layout, _with(layout.low, joint, at), _with(layout.high, joint, at))


def _joined(joint: Joint, low: Layout | None, high: Layout | None) -> Layout | None:
    return None if low is None or high is None else replace(joint, low=low, high=high)


def _on(layout: Layout, shape: Shape) -> Layout | None:
    """The same joints on another shape; None where it has no inside, as at the tip of a taper, or a joint no place in it."""
    if len(shape.ring) < 3:
        return None
    if isinstance(layout, Leaf):
        return Leaf(shape, layout.donor)
    for split in splits(shape, layout.split.axis):
        if split.low - TOLERANCE_MM <= layout.at <= split.high + TOLERANCE_MM:
            low, high = split.halves(layout.at)
            return _joined(replace(layout, split=split), _on(layout.low, low), _on(layout.high, high))
    return None
