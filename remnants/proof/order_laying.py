"""Questions about each floor: is it filled, with trims, by breadths and fills that may be; are its seams as they are told?"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from remnants.errors import Fault
from remnants.model.order_plan import CutKind
from remnants.model.plan import SeamKind
from remnants.model.rooms import Doorway, Laid
from remnants.proof.figures import KIND
from remnants.proof.lines import TOLERANCE_MM, Edge, along, edges_of, free
from remnants.proof.motion import apart_deg, brought
from remnants.proof.order_case import Covered, OrderCase, OrderQuestion, Spread
from remnants.proof.order_floors import SAME_DEG
from remnants.proof.regions import gaps, overlap_mm, sticks_out_mm, touching
from remnants.proof.remains import NEAR_MM

__all__ = ["QUESTIONS"]

ENDS_MM = 4 * NEAR_MM
"""Told and found, a seam has two ends each, let out as far as the walls."""


def filled(case: OrderCase) -> Iterator[Fault]:
    """Do the cuts of each room cover its whole floor, islands left out?"""
    for spread in case.spreads:
        name = spread.room.name
        if len(spread.cuts) != len(spread.laying.cuts):
            yield Fault(name, f"{len(spread.laying.cuts) - len(spread.cuts)} of its cuts cover no floor")
        found = gaps(spread.walls, [*(each.net for each in spread.cuts), *spread.islands], NEAR_MM)
        if found:
            most = max(found, key=lambda gap: gap.length_mm)
            yield Fault(name, f"floor without carpet, beside {most.length_mm:.1f} mm from {_at(most.start)} to {_at(most.end)}")


def within_walls(case: OrderCase) -> Iterator[Fault]:
    """Does every cut cover floor of its room alone?"""
    for spread in case.spreads:
        for each in spread.cuts:
            if out := sticks_out_mm(each.net, spread.walls, NEAR_MM):
                yield Fault(each.cut.name, f"carpet reaches {out:.2f} mm beyond the walls")
            if deep := max((overlap_mm(each.net, island, NEAR_MM) for island in spread.islands), default=0.0):
                yield Fault(each.cut.name, f"carpet reaches {deep:.2f} mm into an island")


def floor_once(case: OrderCase) -> Iterator[Fault]:
    """Do no two cuts cover the same floor?"""
    for spread in case.spreads:
        for one, two in combinations(spread.cuts, 2):
            if deep := overlap_mm(one.net, two.net, NEAR_MM):
                yield Fault(one.cut.name, f"covers the same floor as {two.cut.name}, {deep:.2f} mm deep")


def breadths(case: OrderCase) -> Iterator[Fault]:
    """Is no cut wider than the roll?"""
    width = case.plan.roll.width_mm
    for laying in case.plan.layings:
        for cut in laying.cuts:
            if not cut.width_mm <= width + TOLERANCE_MM:
                yield Fault(cut.name, f"{cut.width_mm:.1f} mm wide, the roll is {width:.1f} mm")


def fills(case: OrderCase) -> Iterator[Fault]:
    """Is no cut beside others narrower than the rules allow?"""
    for spread in case.spreads:
        for each in spread.cuts if len(spread.cuts) > 1 else ():
            left, _, right, _ = each.net.box
            if right - left < case.rules.least_fill_mm - TOLERANCE_MM:
                yield Fault(each.cut.name, f"{right - left:.1f} mm wide, a fill needs {case.rules.least_fill_mm:.1f} mm")


def trims(case: OrderCase) -> Iterator[Fault]:
    """Does every cut reach past what it covers by the trim of each wall, round islands and at seams?"""
    for spread in case.spreads:
        for each in spread.cuts:
            left, low, right, high = each.cut.box
            right -= each.cut.rounded_mm[0]
            for edge, place, trim in _trims(spread, each, case.rules.seam_mm):
                x, y = edge.uy * trim, -edge.ux * trim
                ends = [place[0], place[1], (place[0][0] + x, place[0][1] + y), (place[1][0] + x, place[1][1] + y)]
                short = max(max(left - x, x - right, low - y, y - high) for x, y in ends)
                if not short <= NEAR_MM:
                    what = f"the trim of {trim:.1f} mm at net edge {edge.number} is not covered: {short:.2f} mm too little"
                    yield Fault(each.cut.name, what)


def _trims(
    spread: Spread, each: Covered, seam_mm: float
) -> Iterator[tuple[Edge, tuple[tuple[float, float], tuple[float, float]], float]]:
    """Each stretch of the outer edges of what a cut covers: the edge, the stretch, and the trim there."""
    outer = edges_of(each.net.rings[0])
    taken: dict[int, list[tuple[float, float, float]]] = {edge.number: [] for edge in outer}
    for touch in touching(each.net, spread.walls):
        if touch.same_way and touch.edge in outer:
            taken[touch.edge.number].append((*touch.stretch, spread.room.trims_mm[touch.other.number]))
    for island in spread.islands:
        for touch in touching(each.net, island):
            if not touch.same_way and touch.edge in outer:
                taken[touch.edge.number].append((*touch.stretch, max(spread.room.trims_mm)))
    for edge in outer:
        own = taken[edge.number]
        seams = [(start, end, seam_mm) for start, end in free(edge.length, [(a, b) for a, b, _ in own], 2 * NEAR_MM)]
        for start, end, trim in (*own, *seams):
            yield edge, (edge.at(start), edge.at(end)), trim


def joins_allowed(case: OrderCase) -> Iterator[Fault]:
    """Has no fill more joins end to end than the rules allow?"""
    for spread in case.spreads:
        columns: dict[tuple[int, int], list[Covered]] = {}
        for each in spread.cuts:
            left, _, right, _ = each.net.box
            columns.setdefault((round(left), round(right)), []).append(each)
        for column in columns.values():
            for joins in _joins(column, spread):
                if joins > case.rules.cross_seams:
                    yield Fault(spread.room.name, f"{joins} joins in one fill, {case.rules.cross_seams} are allowed")
        across = [seam for _, seam, edge in spread.seams if abs(edge.bx - edge.ax) > ENDS_MM and not seam.to]
        if across and not case.rules.cross_seams:
            yield Fault(spread.room.name, f"{len(across)} cross seams where none are allowed")


def _joins(column: Sequence[Covered], spread: Spread) -> Iterator[int]:
    """How many joins each fill of a column has: cuts that follow one another, until an island or a step parts them."""
    count, end = 0, -math.inf
    for each in sorted(column, key=lambda each: each.net.box[1]):
        _, low, _, high = each.net.box
        if low - end > NEAR_MM:
            yield count
            count = 0
        count += any(
            _ends_at(touch.edge, high) for other in spread.cuts if other is not each for touch in touching(each.net, other.net)
        )
        end = high
    yield count


def _ends_at(edge: Edge, level: float) -> bool:
    return max(abs(edge.ay - level), abs(edge.by - level)) <= NEAR_MM


def seams_drawn(case: OrderCase) -> Iterator[Fault]:
    """Is every seam of a room drawn where its cuts meet?"""
    for spread in case.spreads:
        told = [where for where, _, _ in spread.seams]
        for index, seam in enumerate(spread.laying.seams):
            if f"{spread.room.name}.seams[{index}]" not in told and not _is_join(spread, seam.to):
                yield Fault(f"{spread.room.name}.seams[{index}]", "drawn without a length")
        for where, _, edge in spread.seams:
            lost = [end - start for start, end in _beside(edge, spread.meetings)]
            if lost:
                yield Fault(where, f"{max(lost):.1f} mm of it lie where no two cuts meet")


def _is_join(spread: Spread, to: str) -> bool:
    return bool(to) and to in {door.to for door in spread.room.doorways}


def meetings_told(case: OrderCase) -> Iterator[Fault]:
    """Is every stretch along which the cuts of a room meet told as a seam, once?"""
    for spread in case.spreads:
        seams = [edge for _, _, edge in spread.seams]
        for meeting in spread.meetings:
            if lost := [end - start for start, end in _beside(meeting, seams)]:
                where = f"from {_at(meeting.at(0.0))} to {_at(meeting.at(meeting.length))}"
                yield Fault(spread.room.name, f"its cuts meet {where}, and no seam is told of {max(lost):.1f} mm of it")
        for one, two in combinations(seams, 2):
            stretch = along(one, two, NEAR_MM)
            if stretch is not None and stretch[1] - stretch[0] > ENDS_MM:
                yield Fault(spread.room.name, f"{stretch[1] - stretch[0]:.1f} mm of seam are told twice")


def _beside(edge: Edge, others: Sequence[Edge]) -> Iterator[tuple[float, float]]:
    """The stretches of an edge along which none of the others runs."""
    found = (along(edge, other, NEAR_MM) for other in others)
    return free(edge.length, [each for each in found if each], ENDS_MM)


def seams_told(case: OrderCase) -> Iterator[Fault]:
    """Is every seam told as long as it is drawn, and as the kind that it is, in its sentence too?"""
    for spread in case.spreads:
        for index, each in enumerate(spread.laying.seams):
            where, seam = f"{spread.room.name}.seams[{index}]", each.seam
            drawn = math.dist(*seam.line)
            if not abs(seam.length_mm - drawn) <= NEAR_MM:
                yield Fault(where, f"{seam.length_mm:.2f} mm told, {drawn:.2f} mm drawn")
            (ax, ay), (bx, by) = brought(seam.line, -spread.laying.pile_deg, (0.0, 0.0))
            kinds = {SeamKind.SIDE: abs(bx - ax) <= ENDS_MM, SeamKind.CROSS: abs(by - ay) <= ENDS_MM}
            due = next((kind for kind, so in kinds.items() if so), SeamKind.ANGLED)
            if seam.kind is not due:
                yield Fault(where, f"told as a {seam.kind} seam; it is {due}")
            words = KIND.search(seam.sentence)
            if words and words[1] != due.value:
                yield Fault(f"{where}.sentence", f"{words[1]} seam told; it is {due}")


def doorways(case: OrderCase) -> Iterator[Fault]:
    """Is there a seam, told once, in every doorway in which the carpets of two rooms meet, and in no other?"""
    due = _by_room(case.plan.floors.joins)
    for laying in case.plan.layings:
        away = {door.to for room in case.plan.floors.rooms if room.name == laying.room for door in room.doorways} - {""}
        told = [seam for seam in laying.seams if seam.to in away]
        for door in due.get(laying.room, ()):
            found = [seam for seam in told if seam.to == door.to and {*seam.seam.line} == {door.start, door.end}]
            if len(found) != 1:
                yield Fault(laying.room, f"the join in the doorway to {door.to} is told {len(found)} times")
        for seam in told:
            if not any(seam.to == door.to and {*seam.seam.line} == {door.start, door.end} for door in due.get(laying.room, ())):
                yield Fault(laying.room, f"a join with {seam.to} is told where no doorway is")


def _by_room(joins: Sequence[tuple[str, Doorway]]) -> dict[str, list[Doorway]]:
    found: dict[str, list[Doorway]] = {}
    for room, door in joins:
        found.setdefault(room, []).append(door)
    return found


def piles(case: OrderCase) -> Iterator[Fault]:
    """Do the piles of connected rooms lie one way, and as it was asked?"""
    for group in case.plan.floors.groups:
        laid = [(room, case.layings[room.name].pile_deg) for room in group if room.name in case.layings]
        for (one, here), (two, there) in combinations(laid, 2):
            if not apart_deg(here, there) <= SAME_DEG:
                yield Fault("", f"connected rooms have piles at odds: {one.name} {here:g}°, {two.name} {there:g}°")
        for room, bearing in laid:
            if room.pile_deg is not None and not apart_deg(room.pile_deg, bearing) <= SAME_DEG:
                yield Fault(room.name, f"pile {bearing:g}°, asked {room.pile_deg:g}°")


def stairs(case: OrderCase) -> Iterator[Fault]:
    """Is there carpet for every step and winder, wide and long enough, in a pattern that goes on from run to run?"""
    for flight in case.plan.floors.stairs:
        if flight.name not in case.layings:
            continue
        cuts = list(case.layings[flight.name].cuts)
        if any(cut.kind is not CutKind.STAIR for cut in cuts):
            yield Fault(flight.name, "a cut of the stairs is taken for a floor's")
        for width, length in flight.winders:
            able = [cut for cut in cuts if cut.steps == 1 and min(cut.width_mm - width, cut.length_mm - length) >= -TOLERANCE_MM]
            if able:
                cuts.remove(min(able, key=lambda cut: cut.width_mm * cut.length_mm))
            else:
                yield Fault(flight.name, f"no cut of {width:.0f} x {length:.0f} mm for a winder")
        steps = sum(cut.steps for cut in cuts)
        if steps != flight.steps:
            yield Fault(flight.name, f"carpet for {steps} steps of {flight.steps}")
        each = flight.tread_mm + flight.riser_mm + flight.nosing_mm + flight.tuck_mm
        done = 0
        for cut in cuts:
            if not cut.width_mm - cut.rounded_mm[0] >= flight.width_mm + 2 * flight.side_mm - TOLERANCE_MM:
                yield Fault(cut.name, f"{cut.width_mm:.1f} mm is narrower than the stair with its sides turned under")
            if not cut.length_mm >= cut.steps * each + flight.run_mm - TOLERANCE_MM:
                yield Fault(cut.name, f"{cut.length_mm:.1f} mm is too short for {cut.steps} steps")
            begins = cut.origin is None or abs(cut.box[1] - cut.origin[1] - done * flight.step_mm) <= TOLERANCE_MM
            if flight.laid is Laid.RUN and not begins:
                yield Fault(cut.name, f"its pattern does not go on from the {done} steps before it")
            done += cut.steps


def _at(point: tuple[float, float]) -> str:
    return f"({point[0]:.1f}, {point[1]:.1f})"


QUESTIONS: tuple[OrderQuestion, ...] = (
    filled,
    within_walls,
    floor_once,
    breadths,
    fills,
    trims,
    joins_allowed,
    seams_drawn,
    meetings_told,
    seams_told,
    doorways,
    piles,
    stairs,
)
