"""Small changes of a right plan, and who must see each: a millimetre, a turn, something left out, doubled or told otherwise."""

import json
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from remnants.exchange import answer_json, read_answer
from remnants.geometry.outline import Outline, Point, Ring
from remnants.model import Finish, Leftover, Part, PassedOver, Plan, Seam, SeamKind, Verdict
from tests.proof.random_plans import Planned

__all__ = ["CHANGES", "Change"]

Dice = random.Random
T = TypeVar("T")
Changed = tuple[Planned, set[str]]
"""What was changed, and the questions of which one at least must refuse it; none where it is still right."""

Change = Callable[[Planned, Dice], Changed | None]
"""Changes a plan; None where there is nothing of that kind to change."""

LAID_IN = {"nets_inside", "nets_apart", "bare"}
CUT_FROM = {"inside", "cuts_apart", "left_apart", "left_complete", "left_inside"}
LEFT = {"left_inside", "left_apart", "left_complete"}


@dataclass(frozen=True)
class Place:
    """A part (or seam) of a plan, by the numbers of its patch and its own."""

    patch: int
    number: int


def _put(values: Sequence[Any], at: int, *new: Any) -> tuple[Any, ...]:
    return (*values[:at], *new, *values[at + 1 :])


def _of_patch(planned: Planned, at: int, **changes: Any) -> Planned:
    patches = _put(planned.plan.patches, at, replace(planned.plan.patches[at], **changes))
    return replace(planned, plan=replace(planned.plan, patches=patches))


def _parts(planned: Planned) -> list[tuple[Place, Part]]:
    return [(Place(at, number), part) for at, made in enumerate(planned.plan.patches) for number, part in enumerate(made.parts)]


def _seams(planned: Planned) -> list[tuple[Place, Seam]]:
    return [(Place(at, number), seam) for at, made in enumerate(planned.plan.patches) for number, seam in enumerate(made.seams)]


def _with_part(planned: Planned, place: Place, *new: Part) -> Planned:
    return _of_patch(planned, place.patch, parts=_put(planned.plan.patches[place.patch].parts, place.number, *new))


def _with_seam(planned: Planned, place: Place, *new: Seam) -> Planned:
    return _of_patch(planned, place.patch, seams=_put(planned.plan.patches[place.patch].seams, place.number, *new))


def _with_left(planned: Planned, at: int, *new: Leftover) -> Planned:
    return replace(planned, plan=replace(planned.plan, leftovers=_put(planned.plan.leftovers, at, *new)))


def _some(dice: Dice, found: Sequence[T]) -> T | None:
    return dice.choice(found) if found else None


def _step(dice: Dice, mm: float = 1.0) -> Point:
    angle = dice.uniform(0, 2 * math.pi)
    return mm * math.cos(angle), mm * math.sin(angle)


def _moved(ring: Ring, by: Point) -> Ring:
    return tuple((x + by[0], y + by[1]) for x, y in ring)


def _turned(point: Point, degrees: float) -> Point:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return point[0] * cos + point[1] * sin, point[1] * cos - point[0] * sin


def _corner_out(ring: Ring, at: int, mm: float) -> Ring:
    """The ring with one corner moved off both its edges, outward (or inward where negative) at a convex corner."""
    (ax, ay), (bx, by), (cx, cy) = ring[at - 1], ring[at], ring[(at + 1) % len(ring)]
    x = (by - ay) / math.dist((ax, ay), (bx, by)) + (cy - by) / math.dist((bx, by), (cx, cy))
    y = (ax - bx) / math.dist((ax, ay), (bx, by)) + (bx - cx) / math.dist((bx, by), (cx, cy))
    size = math.hypot(x, y)
    return _put(ring, at, (bx + mm * x / size, by + mm * y / size))


def _with_corner(ring: Ring, at: int) -> Ring:
    """The ring with one corner more, halfway along an edge."""
    (ax, ay), (bx, by) = ring[at], ring[(at + 1) % len(ring)]
    return (*ring[: at + 1], ((ax + bx) / 2, (ay + by) / 2), *ring[at + 1 :])


def _json(plan: Plan) -> str:
    return json.dumps(answer_json(plan))


def net_moved(planned: Planned, dice: Dice) -> Changed | None:
    """A net 1 mm off."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    return _with_part(planned, place, replace(part, net=_moved(part.net, _step(dice)))), LAID_IN


def net_corner_moved(planned: Planned, dice: Dice) -> Changed | None:
    """One corner of a net 1 mm off."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    net = _corner_out(part.net, dice.randrange(len(part.net)), dice.choice((1.0, -1.0)))
    return _with_part(planned, place, replace(part, net=net)), LAID_IN | {"outlines"}


def cut_moved(planned: Planned, dice: Dice) -> Changed | None:
    """A cut taken 1 mm further on from its piece, and laid where it was."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    by = _step(dice)
    back = _turned(by, part.turn_deg)
    shift = part.shift[0] - back[0], part.shift[1] - back[1]
    return _with_part(planned, place, replace(part, cut=_moved(part.cut, by), shift=shift)), CUT_FROM


def laid_elsewhere(planned: Planned, dice: Dice) -> Changed | None:
    """A part laid 1 mm beside its place."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    by = _step(dice)
    shift = part.shift[0] + by[0], part.shift[1] + by[1]
    return _with_part(planned, place, replace(part, shift=shift)), {"covered", "allowance"}


def cut_corner_moved(planned: Planned, dice: Dice) -> Changed | None:
    """One corner of a cut 1 mm off."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    cut = _corner_out(part.cut, dice.randrange(len(part.cut)), dice.choice((1.0, -1.0)))
    return _with_part(planned, place, replace(part, cut=cut)), CUT_FROM | {"outlines"}


def turned_a_little(planned: Planned, dice: Dice) -> Changed | None:
    """A part turned by one degree."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    return _with_part(planned, place, replace(part, turn_deg=part.turn_deg + dice.choice((1.0, -1.0)))), {"pile"}


def turned_a_quarter(planned: Planned, dice: Dice) -> Changed | None:
    """A part turned by a quarter."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    return _with_part(planned, place, replace(part, turn_deg=part.turn_deg + dice.choice((90.0, -90.0)))), {"pile"}


def part_left_out(planned: Planned, dice: Dice) -> Changed | None:
    """A part left out, the leftovers as they were."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    whole = len(planned.plan.patches[found[0].patch].parts) == 1
    return _with_part(planned, found[0]), {"verdicts", "short", "left_complete"} if whole else {"bare"}


def part_doubled(planned: Planned, dice: Dice) -> Changed | None:
    """A part told twice."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    return _with_part(planned, found[0], found[1], found[1]), {"nets_apart"}


def pieces_swapped(planned: Planned, dice: Dice) -> Changed | None:
    """Two parts each said to come from the piece of the other."""
    parts = _parts(planned)
    pairs = [(one, two) for one in parts for two in parts if one[1].piece < two[1].piece]
    if (found := _some(dice, pairs)) is None:
        return None
    (here, one), (there, two) = found
    swapped = _with_part(planned, here, replace(one, piece=two.piece))
    return _with_part(swapped, there, replace(two, piece=one.piece)), CUT_FROM | {"pile"}


def from_another_piece(planned: Planned, dice: Dice) -> Changed | None:
    """A part said to come from a piece that isn't cut."""
    used = {part.piece for _, part in _parts(planned)}
    found, tag = _some(dice, _parts(planned)), _some(dice, sorted(set(planned.pieces) - used))
    if found is None or tag is None:
        return None
    return _with_part(planned, found[0], replace(found[1], piece=tag)), CUT_FROM


def finish_changed(planned: Planned, dice: Dice) -> Changed | None:
    """One net edge told to end in what no edge there does."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    others = set(Finish) - {Finish.SEAM, *planned.job.patches[place.patch].edges}
    if not others:
        return None
    finishes = _put(part.finishes, dice.randrange(len(part.finishes)), dice.choice(sorted(others)))
    return _with_part(planned, place, replace(part, finishes=finishes)), {"finishes"}


def seam_moved(planned: Planned, dice: Dice) -> Changed | None:
    """A seam drawn 1 mm beside its place."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    place, seam = found
    start, end = _moved(seam.line, _step(dice))
    return _with_seam(planned, place, replace(seam, line=(start, end))), {"seams_drawn", "meetings_told"}


def seam_shortened(planned: Planned, dice: Dice) -> Changed | None:
    """A seam drawn and told a millimetre shorter."""
    if (found := _some(dice, _seams(planned))) is None or found[1].length_mm < 3:
        return None
    place, seam = found
    (ax, ay), (bx, by) = seam.line
    share = 1 / seam.length_mm
    line = (ax, ay), (bx + (ax - bx) * share, by + (ay - by) * share)
    return _with_seam(planned, place, replace(seam, line=line, length_mm=seam.length_mm - 1)), {"seams_drawn", "seam_lengths"}


def seam_told_longer(planned: Planned, dice: Dice) -> Changed | None:
    """A seam told a millimetre longer."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    return _with_seam(planned, found[0], replace(found[1], length_mm=found[1].length_mm + 1)), {"seam_lengths"}


def seam_renamed(planned: Planned, dice: Dice) -> Changed | None:
    """A seam told as one of another kind."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    kind = dice.choice([kind for kind in SeamKind if kind is not found[1].kind])
    return _with_seam(planned, found[0], replace(found[1], kind=kind)), {"seam_kinds"}


def seam_of_others(planned: Planned, dice: Dice) -> Changed | None:
    """A seam told between two other parts, or a part and itself."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    place, seam = found
    count = len(planned.plan.patches[place.patch].parts)
    one, two = dice.randrange(count), dice.randrange(count + 1)
    if {one, two} == set(seam.parts):
        return _with_seam(planned, place, replace(seam, parts=seam.parts[::-1])), set()
    return _with_seam(planned, place, replace(seam, parts=(one, two))), {"seams_drawn"}


def seam_left_out(planned: Planned, dice: Dice) -> Changed | None:
    """A seam left out."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    return _with_seam(planned, found[0]), {"meetings_told"}


def seam_doubled(planned: Planned, dice: Dice) -> Changed | None:
    """A seam told twice."""
    if (found := _some(dice, _seams(planned))) is None:
        return None
    return _with_seam(planned, found[0], found[1], found[1]), {"meetings_told"}


def leftover_moved(planned: Planned, dice: Dice) -> Changed | None:
    """A leftover 1 mm off, its largest rectangle with it."""
    if not planned.plan.leftovers:
        return None
    at, by = dice.randrange(len(planned.plan.leftovers)), _step(dice)
    left = planned.plan.leftovers[at]
    outline = Outline(_moved(left.outline.ring, by), tuple(_moved(ring, by) for ring in left.outline.cutouts))
    where = left.largest_at[0] + by[0], left.largest_at[1] + by[1]
    return _with_left(planned, at, replace(left, outline=outline, largest_at=where)), LEFT


def leftover_corner_moved(planned: Planned, dice: Dice) -> Changed | None:
    """One corner of a leftover 1 mm off."""
    if not planned.plan.leftovers:
        return None
    at = dice.randrange(len(planned.plan.leftovers))
    left = planned.plan.leftovers[at]
    ring = _corner_out(left.outline.ring, dice.randrange(len(left.outline.ring)), dice.choice((1.0, -1.0)))
    return _with_left(planned, at, replace(left, outline=Outline(ring, left.outline.cutouts))), LEFT | {"outlines"}


def leftover_left_out(planned: Planned, dice: Dice) -> Changed | None:
    """A leftover left out."""
    if not planned.plan.leftovers:
        return None
    return _with_left(planned, dice.randrange(len(planned.plan.leftovers))), {"left_complete"}


def leftover_doubled(planned: Planned, dice: Dice) -> Changed | None:
    """A leftover told twice."""
    if not planned.plan.leftovers:
        return None
    at = dice.randrange(len(planned.plan.leftovers))
    left = planned.plan.leftovers[at]
    return _with_left(planned, at, left, left), {"left_apart"}


def leftover_of_another(planned: Planned, dice: Dice) -> Changed | None:
    """A leftover told of another piece."""
    if not planned.plan.leftovers or len(planned.pieces) < 2:
        return None
    at = dice.randrange(len(planned.plan.leftovers))
    left = planned.plan.leftovers[at]
    tag = dice.choice(sorted(set(planned.pieces) - {left.piece}))
    return _with_left(planned, at, replace(left, piece=tag)), {"left_complete"}


def largest_changed(planned: Planned, dice: Dice) -> Changed | None:
    """The largest rectangle of a leftover a millimetre larger or smaller."""
    if not planned.plan.leftovers:
        return None
    at = dice.randrange(len(planned.plan.leftovers))
    width, length = planned.plan.leftovers[at].largest
    by = dice.choice((1.0, -1.0))
    size = (width + by, length) if dice.random() < 0.5 else (width, length + by)
    return _with_left(planned, at, replace(planned.plan.leftovers[at], largest=size)), {"largest"}


def patch_renamed(planned: Planned, dice: Dice) -> Changed | None:
    """A patch told by another name."""
    return _of_patch(planned, dice.randrange(len(planned.plan.patches)), name="landing"), {"patches"}


def patches_swapped(planned: Planned, _: Dice) -> Changed | None:
    """The answers in another order."""
    if len(planned.plan.patches) < 2:
        return None
    return replace(planned, plan=replace(planned.plan, patches=planned.plan.patches[::-1])), {"patches"}


def verdict_changed(planned: Planned, dice: Dice) -> Changed | None:
    """Another verdict of a patch, or of the job."""
    if dice.random() < 0.5:
        others = [verdict for verdict in Verdict if verdict is not planned.plan.verdict]
        return replace(planned, plan=replace(planned.plan, verdict=dice.choice(others))), {"job_verdict"}
    at = dice.randrange(len(planned.plan.patches))
    others = [verdict for verdict in Verdict if verdict is not planned.plan.patches[at].verdict]
    return _of_patch(planned, at, verdict=dice.choice(others)), {"verdicts"}


def passed_over_too(planned: Planned, dice: Dice) -> Changed | None:
    """A piece that is cut told as passed over."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    passed = (*planned.plan.passed_over, PassedOver(found[1].piece, "not needed"))
    return replace(planned, plan=replace(planned.plan, passed_over=passed)), {"passed_over"}


def pile_of_piece_changed(planned: Planned, dice: Dice) -> Changed | None:
    """A piece whose pile lies a degree off."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    piece = planned.pieces[found[1].piece]
    return replace(planned, pieces={**planned.pieces, piece.tag: replace(piece, pile_deg=piece.pile_deg + 1)}), {"pile"}


def motif_of_piece_moved(planned: Planned, dice: Dice) -> Changed | None:
    """A piece whose pattern lies a millimetre off, where it must meet."""
    patches = zip(planned.job.patches, planned.plan.patches, strict=True)
    tags = [
        sorted({part.piece for part in made.parts})
        for patch, made in patches
        if patch.motif is not None or len({part.piece for part in made.parts}) > 1
    ]
    tag = _some(dice, [tag for each in tags for tag in each if planned.pieces[tag].motif is not None])
    motif = planned.pieces[tag].motif if tag else None
    if tag is None or motif is None:
        return None
    by = _step(dice)
    piece = replace(planned.pieces[tag], motif=(motif[0] + by[0], motif[1] + by[1]))
    return replace(planned, pieces={**planned.pieces, tag: piece}), {"pattern"}


def stain_in_cut(planned: Planned, dice: Dice) -> Changed | None:
    """A piece with a cutout of a few millimetres at a corner of a cut."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    (x, y), piece = dice.choice(found[1].cut), planned.pieces[found[1].piece]
    stain = (x - 3, y - 3), (x + 3, y - 3), (x + 3, y + 3), (x - 3, y + 3)
    stained = replace(piece, outline=Outline(piece.outline.ring, (*piece.outline.cutouts, stain)))
    return replace(planned, pieces={**planned.pieces, piece.tag: stained}), {"inside"}


def figure_in_reason(planned: Planned, dice: Dice) -> Changed | None:
    """A figure of a size told otherwise: three is made eight, and so on."""
    places = [at for at, made in enumerate(planned.plan.patches) if len(made.parts) == 1]
    if (at := _some(dice, places)) is None:
        return None
    head, found, tail = planned.plan.patches[at].reason.partition("the cut is ")
    digit = tail[0]
    told = f"{head}{found}{(int(digit) + 5) % 10 or 5}{tail[1:]}"
    return (_of_patch(planned, at, reason=told), {"sizes_told"}) if digit.isdigit() and digit not in "05" else None


def written_and_read(planned: Planned, _: Dice) -> Changed | None:
    """Written to a file and read back: still right."""
    return replace(planned, plan=read_answer(_json(planned.plan))), set()


def corners_more(planned: Planned, dice: Dice) -> Changed | None:
    """A corner more halfway along an edge of a net, a cut and a leftover: still right."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    at = dice.randrange(len(part.net))
    finishes = _put(part.finishes, at, part.finishes[at], part.finishes[at])
    more = replace(
        part, net=_with_corner(part.net, at), finishes=finishes, cut=_with_corner(part.cut, dice.randrange(len(part.cut)))
    )
    changed = _with_part(planned, place, more)
    if planned.plan.leftovers:
        left = planned.plan.leftovers[0]
        ring = _with_corner(left.outline.ring, dice.randrange(len(left.outline.ring)))
        changed = _with_left(changed, 0, replace(left, outline=Outline(ring, left.outline.cutouts)))
    return changed, set()


def first_corner_last(planned: Planned, dice: Dice) -> Changed | None:
    """Outlines that begin at another corner: still right."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    net, cut, finishes = ((*each[1:], each[0]) for each in (part.net, part.cut, part.finishes))
    return _with_part(planned, place, replace(part, net=net, cut=cut, finishes=finishes)), set()


def a_hair_off(planned: Planned, dice: Dice) -> Changed | None:
    """A net, a cut, a seam and a leftover each a millionth of a millimetre off: still right."""
    if (found := _some(dice, _parts(planned))) is None:
        return None
    place, part = found
    hair = _step(dice, 1e-6)
    return _with_part(planned, place, replace(part, net=_moved(part.net, hair), cut=_moved(part.cut, hair))), set()


def parts_in_another_order(planned: Planned, _: Dice) -> Changed | None:
    """The parts of a patch told backwards, its seams numbered anew: still right."""
    for at, made in enumerate(planned.plan.patches):
        if made.seams:
            last = len(made.parts) - 1
            seams = tuple(replace(seam, parts=(last - seam.parts[0], last - seam.parts[1])) for seam in made.seams)
            return _of_patch(planned, at, parts=made.parts[::-1], seams=seams[::-1]), set()
    return None


def leftovers_in_another_order(planned: Planned, _: Dice) -> Changed | None:
    """The leftovers told backwards: still right."""
    return replace(planned, plan=replace(planned.plan, leftovers=planned.plan.leftovers[::-1])), set()


CHANGES: tuple[Change, ...] = (
    net_moved,
    net_corner_moved,
    cut_moved,
    laid_elsewhere,
    cut_corner_moved,
    turned_a_little,
    turned_a_quarter,
    part_left_out,
    part_doubled,
    pieces_swapped,
    from_another_piece,
    finish_changed,
    seam_moved,
    seam_shortened,
    seam_told_longer,
    seam_renamed,
    seam_of_others,
    seam_left_out,
    seam_doubled,
    leftover_moved,
    leftover_corner_moved,
    leftover_left_out,
    leftover_doubled,
    leftover_of_another,
    largest_changed,
    patch_renamed,
    patches_swapped,
    verdict_changed,
    passed_over_too,
    pile_of_piece_changed,
    motif_of_piece_moved,
    stain_in_cut,
    figure_in_reason,
    written_and_read,
    corners_more,
    first_corner_last,
    a_hair_off,
    parts_in_another_order,
    leftovers_in_another_order,
)
