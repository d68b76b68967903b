"""The cut ticket of an order: which lengths to take off which roll, in order, and how each is cut. For whoever cuts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from rich.table import Table
from rich.text import Text

from remnants.estimating import ROLL, OrderPlan, Placed, Taken
from remnants.estimating.lengths import Length, lengths_of
from remnants.estimating.roll_lengths import write_roll_length
from remnants.geometry import TOLERANCE_MM, Ring
from remnants.geometry.knife import Stroke, strokes
from remnants.geometry.turn import moved_ring
from remnants.report.terminal import plain_table
from remnants.units import Unit, write_length

__all__ = ["RollTicket", "from_stock", "stroke_told", "strokes_of", "ticket", "ticket_text"]


@dataclass(frozen=True)
class RollTicket:
    """What is done at one roll, for reading: its name, what to do first, its lengths, its cuts, and the knife's strokes."""

    name: str
    first: tuple[str, ...]
    lengths: Table
    cuts: Table
    strokes: Table


def ticket(plan: OrderPlan, unit: Unit) -> tuple[RollTicket, ...]:
    """The ticket of each roll, in the order in which they are cut."""
    numbers = plan.cut_numbers
    lengths = lengths_of(plan)
    return tuple(
        _of_roll(plan, taken, [each for each in lengths if each.roll == taken.name], numbers, unit) for taken in plan.taken
    )


def ticket_text(plan: OrderPlan, unit: Unit) -> tuple[Table | Text, ...]:
    """The ticket for a terminal."""
    shown: list[Table | Text] = []
    for each in ticket(plan, unit):
        shown += [Text(), Text(f"Cut ticket, {each.name}", style="bold"), *map(Text, each.first), each.lengths]
        shown += [Text(), each.cuts, Text(), each.strokes]
    pieces = from_stock(plan, unit)
    return (*shown, Text(), Text("Cut from stock", style="bold"), pieces) if pieces else tuple(shown)


def from_stock(plan: OrderPlan, unit: Unit) -> Table | None:
    """The cuts that come from pieces, each with where it lies on its piece, the pile up it; None where there are none."""
    numbers = plan.cut_numbers
    pieces = [each for each in plan.placed if each.source != ROLL]
    table = plain_table("piece", "cut", "for", "from the left", "from its start", "wide", "long")
    for each in sorted(pieces, key=lambda one: (one.source, numbers[one.cut.name])):
        table.add_row(each.source, *_cut_row(each, numbers, unit))
    return table if pieces else None


def _of_roll(plan: OrderPlan, taken: Taken, lengths: Sequence[Length], numbers: Mapping[str, int], unit: Unit) -> RollTicket:
    wide = write_roll_length(plan.roll.width_mm, unit)
    name = f"{taken.name or 'the roll'}, {wide} wide{f', lot {taken.lot}' * bool(taken.lot)}"
    loss = plan.roll.end_loss_mm
    first = (f"Square off {write_roll_length(loss, unit)} at the start; measure from there.",) if loss > TOLERANCE_MM else ()
    off = plain_table("length", "from", "crosscut at", "long", "cuts in it")
    cuts = plain_table("in length", "cut", "for", "from the left", "from its start", "wide", "long")
    knife = plain_table("in length", "stroke", "where", "then free")
    for each in lengths:
        within = [str(numbers[placed.cut.name]) for placed in each.cuts]
        end = each.start_mm + each.length_mm
        off.add_row(
            str(each.number), *(write_roll_length(at, unit) for at in (each.start_mm, end, each.length_mm)), ", ".join(within)
        )
        for placed in sorted(each.cuts, key=lambda one: numbers[one.cut.name]):
            cuts.add_row(str(each.number), *_cut_row(placed, numbers, unit))
        for row in _strokes(plan, each, numbers, unit):
            knife.add_row(*row)
    return RollTicket(name, first, off, cuts, knife)


def _cut_row(placed: Placed, numbers: Mapping[str, int], unit: Unit) -> tuple[str, ...]:
    cut = placed.cut
    sizes = (placed.at[0], placed.at[1], cut.width_mm, cut.length_mm)
    return str(numbers[cut.name]), cut.name, *(write_length(size, unit) for size in sizes)


def _strokes(plan: OrderPlan, length: Length, numbers: Mapping[str, int], unit: Unit) -> Iterator[tuple[str, str, str, str]]:
    made = strokes_of(plan, length)
    if not made:
        (whole,) = length.cuts
        yield str(length.number), "none", "it is the cut", str(numbers[whole.cut.name])
    for place, stroke in enumerate(made, start=1):
        free = ", ".join(str(numbers[length.cuts[index].cut.name]) for index in stroke.frees)
        yield str(length.number), str(place), stroke_told(stroke, unit), free


def strokes_of(plan: OrderPlan, length: Length) -> tuple[Stroke, ...]:
    """The knife's strokes in a length once it is off its roll, in their order; from edge to edge where they go."""
    sheet = _box(plan.roll.width_mm, length.length_mm)
    rings = tuple(moved_ring(_box(each.cut.width_mm, each.cut.length_mm), each.at) for each in length.cuts)
    return strokes(sheet, rings)


def stroke_told(stroke: Stroke, unit: Unit) -> str:
    """Where a stroke runs: along the pile so far from the left, or across so far from the start."""
    (ax, ay), (bx, by) = stroke.line
    along = abs(bx - ax) <= abs(by - ay)
    at, ends = ((ax + bx) / 2, (ay, by)) if along else ((ay + by) / 2, (ax, bx))
    way, mark = ("along", "the left") if along else ("across", "its start")
    low, high = (write_length(end, unit) for end in sorted(ends))
    return f"{way}, {write_length(at, unit)} from {mark}, from {low} to {high}"


def _box(width_mm: float, length_mm: float) -> Ring:
    return (0.0, 0.0), (width_mm, 0.0), (width_mm, length_mm), (0.0, length_mm)
