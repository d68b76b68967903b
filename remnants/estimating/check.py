"""Independent proof of an order: cover, trims, pile, pattern, seam rules, roll and stock. Shares no code with the makers.

Uses geometry, model and the frozen values of this package alone.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from remnants.errors import Fault, Unproved
from remnants.estimating.check_floors import floors_faults
from remnants.estimating.plan import ROLL, Cut, CutKind, Laying, OrderPlan, Placed
from remnants.estimating.rooms import Doorway, Floors, Laid, Room, Stairs
from remnants.estimating.rules import RepeatRule, Roll, Rules
from remnants.geometry import TOLERANCE_MM, Outline, Point, Ring, rectangle
from remnants.geometry.bands import covered_mm2, edges_mm, holds, on_line, overlap_mm2
from remnants.geometry.grow import edge_strip
from remnants.geometry.turn import between, turned, turned_point, turned_ring
from remnants.model import Candidate, Grade, SeamKind

__all__ = ["check_order", "prove_order"]


def prove_order(plan: OrderPlan, floors: Floors, rules: Rules, stock: Sequence[Candidate] = ()) -> OrderPlan:
    """The plan, once proved. Raises Unproved with every fault."""
    faults = check_order(plan, floors, rules, stock)
    if faults:
        told = "; ".join(str(fault) for fault in faults)
        raise Unproved(f"the order failed its check and is withheld ({told}); please report it")
    return plan


def check_order(plan: OrderPlan, floors: Floors, rules: Rules, stock: Sequence[Candidate] = ()) -> tuple[Fault, ...]:
    """Every fault of the plan, with its figures; none when it holds."""
    if faults := tuple(floors_faults(plan.floors, floors)):
        return faults
    floors = plan.floors
    pieces = {each.piece.tag: each for each in stock}
    layings = {laying.room: laying for laying in plan.layings}
    if faults := tuple(_all_laid(plan, floors, layings)):
        return faults
    found: list[Fault] = []
    for room in floors.rooms:
        found += _room_faults(room, layings[room.name], plan.roll, rules)
    for flight in floors.stairs:
        found += _stair_faults(flight, layings[flight.name])
    found += _pile_faults(floors, layings)
    found += _join_faults(floors, layings)
    found += _length_faults(plan, rules)
    found += _roll_faults(plan)
    found += _stock_faults(plan, pieces)
    found += _lot_faults(plan, floors, pieces)
    found += _pattern_faults(plan, pieces)
    return tuple(found)


def _all_laid(plan: OrderPlan, floors: Floors, layings: Mapping[str, Laying]) -> Iterator[Fault]:
    named = [room.name for room in floors.rooms] + [flight.name for flight in floors.stairs]
    if sorted(named) != sorted(laying.room for laying in plan.layings):
        yield Fault("", f"laid {sorted(layings)}, asked {sorted(named)}")
    wanted = sorted(cut.name for laying in plan.layings for cut in laying.cuts)
    if wanted != sorted(placed.cut.name for placed in plan.placed) or len(set(wanted)) != len(wanted):
        yield Fault("", "each cut must come from one place")


def _room_faults(room: Room, laying: Laying, roll: Roll, rules: Rules) -> Iterator[Fault]:
    floor = turned(room.outline, between(laying.pile_deg, 0.0))
    nets = [cut.net for cut in laying.cuts if cut.net is not None]
    missing, beyond = covered_mm2(floor, nets)
    if len(nets) != len(laying.cuts) or max(missing, beyond) > TOLERANCE_MM * 1000:
        yield Fault(room.name, f"{missing:.0f} mm² of floor without carpet, {beyond:.0f} mm² of carpet beyond the walls")
    for one, other in combinations(nets, 2):
        if (shared := overlap_mm2(one.ring, other.ring)) > 1.0 and not (one.cutouts or other.cutouts):
            yield Fault(room.name, f"two cuts cover the same {shared:.0f} mm²")
    if not math.isclose(sum(net.usable_area_mm2 for net in nets), floor.usable_area_mm2, rel_tol=1e-6):
        yield Fault(room.name, "the cuts' areas do not add up to the room's")
    yield from _seam_faults(room, laying, floor, nets)
    for cut in laying.cuts:
        yield from _cut_faults(cut, room, floor, roll, rules, single=len(nets) == 1)
    cross = sum(1 for seam in laying.seams if seam.seam.kind is SeamKind.CROSS and not seam.to)
    if cross and not rules.cross_seams:
        yield Fault(room.name, f"{cross} cross seams where none are allowed")
    for joins in _joins(laying.cuts):
        if joins > rules.cross_seams:
            yield Fault(room.name, f"{joins} joins in one fill, {rules.cross_seams} are allowed")


def _seam_faults(room: Room, laying: Laying, floor: Outline, nets: Sequence[Outline]) -> Iterator[Fault]:
    """Seams are told as long as the cuts meet: half of what their edges are longer than the floor's."""
    away = {door.to for door in room.doorways}
    told = sum(seam.seam.length_mm for seam in laying.seams if not seam.to or seam.to not in away)
    meet = (sum(edges_mm(net) for net in nets) - edges_mm(floor)) / 2
    if abs(told - meet) > 1.0:
        yield Fault(room.name, f"its cuts meet along {meet:.1f} mm, seams of {told:.1f} mm are told")


def _joins(cuts: Sequence[Cut]) -> Iterator[int]:
    """How many joins end to end each fill has. An island parts a column of cuts into fills of their own."""
    joined: dict[tuple[int, int], list[tuple[float, float, bool]]] = {}
    for cut in cuts:
        if cut.net:
            left, bottom, right, top = cut.net.bounds
            joined.setdefault((round(left), round(right)), []).append((bottom, top, _is_joined_above(cut, cuts)))
    for column in joined.values():
        count, end = 0, -math.inf
        for bottom, top, above in sorted(column):
            if bottom - end > TOLERANCE_MM:
                yield count
                count = 0
            count, end = count + above, top
        yield count


def _is_joined_above(cut: Cut, cuts: Sequence[Cut]) -> bool:
    """Whether another cut begins where this one ends, along an edge of both: more than a point."""
    if cut.net is None:
        return False
    level = cut.net.bounds[3]
    others = [other.net for other in cuts if other.net and other is not cut and abs(other.net.bounds[1] - level) <= TOLERANCE_MM]
    return any(
        min(end, other_end) - max(start, other_start) > TOLERANCE_MM
        for start, end in _edges_at(cut.net, level)
        for other in others
        for other_start, other_end in _edges_at(other, level)
    )


def _edges_at(net: Outline, level: float) -> Iterator[tuple[float, float]]:
    """The stretches in x (mm) of the outline's edges that lie at y = `level`."""
    for (ax, ay), (bx, by) in zip(net.ring, (*net.ring[1:], net.ring[0]), strict=True):
        if max(abs(ay - level), abs(by - level)) <= TOLERANCE_MM:
            yield min(ax, bx), max(ax, bx)


def _cut_faults(cut: Cut, room: Room, floor: Outline, roll: Roll, rules: Rules, *, single: bool) -> Iterator[Fault]:
    left, low, right, high = cut.box
    box = rectangle(right - left, high - low, (left, low))
    if right - left > roll.width_mm + TOLERANCE_MM:
        yield Fault(cut.name, f"{right - left:.1f} mm wide, the roll is {roll.width_mm:.1f} mm")
    if cut.net is None:
        return
    ring = cut.net.ring
    for index, (a, b) in enumerate(zip(ring, (*ring[1:], ring[0]), strict=True)):
        trim = _trim_at(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), room, floor, rules)
        strip = edge_strip(ring, index, trim) if trim > TOLERANCE_MM else (a, b)
        if not all(_in_box(box, point) for point in strip):
            yield Fault(cut.name, f"the trim of {trim:.1f} mm at net edge {index} is not covered")
    width = cut.net.bounds[2] - cut.net.bounds[0]
    if not single and width < rules.least_fill_mm - TOLERANCE_MM:
        yield Fault(cut.name, f"{width:.1f} mm wide, a fill needs {rules.least_fill_mm:.1f} mm")


def _in_box(box: Outline, point: Point) -> bool:
    left, low, right, high = box.bounds
    return left - TOLERANCE_MM <= point[0] <= right + TOLERANCE_MM and low - TOLERANCE_MM <= point[1] <= high + TOLERANCE_MM


def _trim_at(middle: Point, room: Room, floor: Outline, rules: Rules) -> float:
    ring = floor.ring
    for a, b, trim in zip(ring, (*ring[1:], ring[0]), room.trims_mm, strict=True):
        if on_line(middle, a, b):
            return trim
    for island in floor.cutouts:
        if any(on_line(middle, a, b) for a, b in zip(island, (*island[1:], island[0]), strict=True)):
            return max(room.trims_mm)
    return rules.seam_mm


def _stair_faults(stairs: Stairs, laying: Laying) -> Iterator[Fault]:
    """Each winder is met by a cut of its own; what is left covers the straight steps."""
    if any(cut.kind is not CutKind.STAIR for cut in laying.cuts):
        yield Fault(stairs.name, "a cut of the stairs is taken for a floor's")
    cuts = list(laying.cuts)
    for width, length in stairs.winders:
        fit = [cut for cut in cuts if cut.steps == 1 and _as_large(cut, width, length)]
        if not fit:
            yield Fault(stairs.name, f"no cut of {width:.0f} x {length:.0f} mm for a winder")
        else:
            cuts.remove(min(fit, key=lambda cut: cut.width_mm * cut.length_mm))
    done = 0
    for cut in cuts if stairs.laid is Laid.RUN else ():
        if cut.origin and abs(cut.box[1] - cut.origin[1] - done * stairs.step_mm) > TOLERANCE_MM:
            yield Fault(cut.name, f"its pattern does not go on from the {done} steps before it")
        done += cut.steps
    if sum(cut.steps for cut in cuts) != stairs.steps:
        yield Fault(stairs.name, f"carpet for {sum(cut.steps for cut in cuts)} steps of {stairs.steps}")
    per_step = stairs.tread_mm + stairs.riser_mm + stairs.nosing_mm + stairs.tuck_mm
    for cut in cuts:
        if cut.width_mm < stairs.width_mm + 2 * stairs.side_mm - TOLERANCE_MM:
            yield Fault(cut.name, f"{cut.width_mm:.1f} mm is narrower than the stair with its sides turned under")
        if cut.length_mm < cut.steps * per_step + stairs.run_mm - TOLERANCE_MM:
            yield Fault(cut.name, f"{cut.length_mm:.1f} mm is too short for {cut.steps} steps")


def _as_large(cut: Cut, width_mm: float, length_mm: float) -> bool:
    return cut.width_mm >= width_mm - TOLERANCE_MM and cut.length_mm >= length_mm - TOLERANCE_MM


def _pile_faults(floors: Floors, layings: Mapping[str, Laying]) -> Iterator[Fault]:
    for group in floors.groups:
        bearings = {room.name: layings[room.name].pile_deg % 360 for room in group}
        if max(bearings.values()) - min(bearings.values()) > 1e-6:
            yield Fault("", f"connected rooms have piles at odds: {bearings}")
        for room in group:
            if room.pile_deg is not None and abs(between(room.pile_deg, bearings[room.name])) > 1e-6:
                yield Fault(room.name, f"pile {bearings[room.name]:g}°, asked {room.pile_deg:g}°")


def _join_faults(floors: Floors, layings: Mapping[str, Laying]) -> Iterator[Fault]:
    """Where the carpets of two rooms meet in a doorway there is a seam, and it is told."""
    for room, door in floors.joins:
        told = [seam for seam in layings[room].seams if seam.to == door.to and {*seam.seam.line} == {door.start, door.end}]
        if len(told) != 1:
            yield Fault(room, f"the join in the doorway to {door.to} is told {len(told)} times")


def _length_faults(plan: OrderPlan, rules: Rules) -> Iterator[Fault]:
    repeat = plan.roll.repeat
    for placed in plan.placed:
        needed = placed.cut.box[3] - placed.cut.box[1]
        if repeat and rules.repeat_rule is RepeatRule.CAUTIOUS:
            needed += repeat.along_mm
        if placed.cut.length_mm < needed - TOLERANCE_MM:
            yield Fault(placed.cut.name, f"cut {placed.cut.length_mm:.1f} mm long, {needed:.1f} mm are needed")


def _ring(placed: Placed) -> Ring:
    x, y = placed.at
    width, length = placed.cut.width_mm, placed.cut.length_mm
    return (x, y), (x + width, y), (x + width, y + length), (x, y + length)


def _roll_faults(plan: OrderPlan) -> Iterator[Fault]:
    cuts = [placed for placed in plan.placed if placed.source == ROLL]
    end = max((placed.at[1] + placed.cut.length_mm for placed in cuts), default=0.0)
    least = max(plan.bound_mm, plan.least_mm)
    if abs(end - plan.length_mm) > TOLERANCE_MM or least > plan.length_mm + TOLERANCE_MM:
        yield Fault("roll", f"the cuts end at {end:.1f} mm, told {plan.length_mm:.1f} mm with at least {least:.1f} mm")
    short = plan.ordered_mm < max(end, plan.roll.least_mm if cuts else 0.0) - TOLERANCE_MM
    steps = plan.ordered_mm / plan.roll.step_mm if plan.roll.step_mm else 0.0
    if short or abs(steps - round(steps)) > 1e-6:
        yield Fault("roll", f"{plan.ordered_mm:.1f} mm can't be ordered for {end:.1f} mm of cuts")
    for placed in cuts:
        if placed.at[0] < -TOLERANCE_MM or placed.at[1] < -TOLERANCE_MM:
            yield Fault(placed.cut.name, "lies before the roll's start or side")
        if placed.at[0] + placed.cut.width_mm > plan.roll.width_mm + TOLERANCE_MM:
            yield Fault(placed.cut.name, "lies over the roll's side")
    yield from _overlaps(cuts)


def _overlaps(cuts: Sequence[Placed]) -> Iterator[Fault]:
    for one, other in combinations(cuts, 2):
        if overlap_mm2(_ring(one), _ring(other)) > 0:
            yield Fault(one.cut.name, f"lies over {other.cut.name}")


def _stock_faults(plan: OrderPlan, pieces: Mapping[str, Candidate]) -> Iterator[Fault]:
    for tag in sorted({placed.source for placed in plan.placed} - {ROLL}):
        cuts = [placed for placed in plan.placed if placed.source == tag]
        if tag not in pieces:
            yield Fault(tag, "is cut but is not among the stock")
            continue
        piece = pieces[tag].piece
        for placed in cuts:
            if not holds(piece.outline, turned_ring(_ring(placed), piece.pile_deg)):
                yield Fault(placed.cut.name, f"does not lie inside {tag}")
        yield from _overlaps(cuts)


def _lot_faults(plan: OrderPlan, floors: Floors, pieces: Mapping[str, Candidate]) -> Iterator[Fault]:
    """Floors seen together have one lot."""
    lots: dict[str, set[tuple[str, ...]]] = {}
    for placed in plan.placed:
        candidate = pieces.get(placed.source)
        of_roll = candidate is None or (plan.roll.lot.strip() != "" and candidate.match.grade is Grade.SAME_LOT)
        lot = () if of_roll or candidate is None else (candidate.piece.style, candidate.piece.colour, candidate.piece.lot)
        lots.setdefault(placed.cut.room, set()).add(lot)
    hidden = {room.name for room in floors.rooms if room.hidden}
    seen = [(room.name, door.to) for room in floors.rooms for door in room.doorways if _open(door)]
    seen += [(flight.name, flight.joins) for flight in floors.stairs if flight.joins]
    for name, found in lots.items():
        if len(found) > 1:
            yield Fault(name, f"pieces of {len(found)} lots meet in it")
    for one, other in seen:
        if not {one, other} & hidden and len(lots[one] | lots[other]) > 1:
            yield Fault(one, f"meets another lot in view at the doorway to {other}")


def _open(door: Doorway) -> bool:
    return bool(door.to) and not door.shut


def _pattern_faults(plan: OrderPlan, pieces: Mapping[str, Candidate]) -> Iterator[Fault]:
    """On every cut the pattern's reference point falls where the floor's does, modulo the repeat's lattice."""
    repeat = plan.roll.repeat
    if repeat is None:
        return
    origins: dict[str, set[Point | None]] = {}
    for placed in plan.placed:
        origins.setdefault(placed.cut.room, set()).add(placed.cut.origin)
        candidate = pieces.get(placed.source)
        motif = (0.0, 0.0)
        if candidate and candidate.piece.motif:
            motif = turned_point(candidate.piece.motif, between(candidate.piece.pile_deg, 0.0))
        if placed.cut.origin is None:
            yield Fault(placed.cut.name, "its pattern is not placed")
            continue
        dx = placed.cut.box[0] - placed.cut.origin[0] - placed.at[0] + motif[0]
        dy = placed.cut.box[1] - placed.cut.origin[1] - placed.at[1] + motif[1]
        across = round(dx / repeat.across_mm)
        rest = math.remainder(dy - across * repeat.drop * repeat.along_mm, repeat.along_mm)
        off = max(abs(dx - across * repeat.across_mm), abs(rest))
        if off > TOLERANCE_MM:
            yield Fault(placed.cut.name, f"its pattern is {off:.2f} mm off the floor's")
    for name, found in origins.items():
        if len(found) > 1:
            yield Fault(name, "its cuts do not share one pattern")
