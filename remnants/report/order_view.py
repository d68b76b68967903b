"""An order in pictures: the roll with its cuts, and each room with its breadths, seams and doorways."""

import math
from collections.abc import Mapping, Sequence

from remnants.estimating import ROLL, Laying, OrderPlan, Placed, Room, Taken
from remnants.estimating.lengths import lengths_of
from remnants.geometry import TOLERANCE_MM, Ring
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.report.board import Heading, Paper
from remnants.report.drawing import Area, Dash, Drawing, Fill, Lines, Pen
from remnants.report.layout import Tag, board_for, dimension, surround, tag_all
from remnants.report.marks import seam
from remnants.report.svg import svg_text
from remnants.report.wording import SEAMS, SHOWS, bearing_text, scale_text, sentence, stopped
from remnants.units import Unit, write_length

__all__ = ["opening", "order_drawings", "order_svgs", "roll_drawing", "room_drawing"]

TALL = Paper(tallest_mm=230.0)


def order_svgs(plan: OrderPlan, *, unit: Unit) -> dict[str, str]:
    """SVG texts by file name: the roll first, then each room."""
    drawn = order_drawings(plan, unit=unit)
    rolls = [f"roll-{number}.svg" if number > 1 else "roll.svg" for number, _ in enumerate(plan.taken, start=1)]
    rooms = [f"room-{number:02d}.svg" for number, _ in enumerate(drawn[len(rolls) :], start=1)]
    return {name: svg_text(drawing) for name, drawing in zip([*rolls, *rooms], drawn, strict=True)}


def order_drawings(plan: OrderPlan, *, unit: Unit, paper: Paper = TALL) -> tuple[Drawing, ...]:
    """The roll, where any is ordered, or each of the rolls, then each room, in the order of the plan."""
    drawn = [roll_drawing(plan, taken, unit, paper=paper) for taken in plan.taken]
    numbers = plan.cut_numbers
    rooms = {room.name: room for room in plan.floors.rooms}
    drawn += [
        room_drawing(rooms[laying.room], laying, plan.placed, numbers, unit=unit, paper=paper)
        for laying in plan.layings
        if laying.room in rooms
    ]
    return tuple(drawn)


def roll_drawing(plan: OrderPlan, taken: Taken, unit: Unit, *, paper: Paper = TALL, crosscuts: bool = False) -> Drawing:
    """A roll as it is unrolled, its pile up the drawing, with every cut, and the cuts from pieces in the key.

    Its end loss is left out: cuts are measured from where it is squared off. With `crosscuts` the ends of the lengths that come
    off it are dashed.
    """
    width, length = plan.roll.width_mm, taken.ordered_mm - plan.roll.end_loss_mm
    board = board_for((0.0, 0.0, width, length), write_length(length, unit), unit=unit, paper=paper)
    numbers = plan.cut_numbers
    board.add(Area((board.frame.ring(_box(0.0, 0.0, width, length)),), Fill.PAPER, Pen.THICK))
    tags, key = [], []
    here = [each for each in plan.placed if each.source != ROLL or plan.roll_of(each) == taken]
    for placed in sorted(here, key=lambda each: numbers[each.cut.name]):
        cut = placed.cut
        size = f"{write_length(cut.width_mm, unit)} x {write_length(cut.length_mm, unit)}"
        along = plan.along_mm(placed)
        where = f"from {placed.source}" if placed.source != ROLL else _start(placed.at[0], along, unit)
        key.append(f"{numbers[cut.name]}\t{cut.name}: {cut.kind.value}, {size}, {where}")
        if placed.source == ROLL:
            ring = board.frame.ring(moved_ring(_box(0.0, 0.0, cut.width_mm, cut.length_mm), (placed.at[0], along)))
            board.add(Area((ring,), Fill.NONE, Pen.PLAIN))
            tags.append(Tag(str(numbers[cut.name]), ring, (cut.name, size)))
    if crosscuts:
        ends = [each.start_mm + each.length_mm for each in lengths_of(plan) if each.roll == taken.name]
        lines = tuple((board.frame.at((0.0, end)), board.frame.at((width, end))) for end in ends)
        board.add(Lines(lines, Pen.THICK, Dash.DASHED))
    tag_all(board, tags)
    surround(board, (write_length(width, unit), write_length(length, unit)), 0.0, rows=False)
    end = taken.start_mm + length
    lows = [left.outline.bounds[1] for left in plan.leftovers if left.piece == ROLL and left.usable]
    left = sum(taken.start_mm - TOLERANCE_MM <= low < end for low in lows)
    under = (f"{scale_text(board.frame.scale, unit)}; leftovers worth keeping: {left or 'none'}",)
    title = (
        f"{taken.name[:1].upper() + taken.name[1:] or 'Roll'}: {write_length(length, unit)} of {write_length(width, unit)} goods"
    )
    return board.finish(taken.name or "roll", Heading(title, under, _told(title, key)), key=key, paper=paper)


def room_drawing(
    room: Room, laying: Laying, placed: Sequence[Placed], numbers: Mapping[str, int], *, unit: Unit, paper: Paper = TALL
) -> Drawing:
    """A room in its own axes, seen from above: walls, islands, the numbers of the cuts that cover it, seams, doorways."""
    box = room.outline.bounds
    size = box[2] - box[0], box[3] - box[1]
    board = board_for(box, write_length(size[1], unit), unit=unit, paper=paper)
    frame = board.frame
    sources = {each.cut.name: each.source for each in placed}
    walls = (frame.ring(room.outline.ring), *(frame.ring(island) for island in room.outline.cutouts))
    board.add(Area(walls, Fill.PAPER, Pen.THICK))
    tags, key = [], []
    for cut in laying.cuts:
        if cut.net is None:
            continue
        ring = frame.ring(turned_ring(cut.net.ring, laying.pile_deg))
        board.add(Area((ring,), Fill.NONE, Pen.HAIR))
        inner = largest_rectangle(cut.net).ring if cut.net.cutouts else cut.net.ring
        tags.append(Tag(str(numbers[cut.name]), frame.ring(turned_ring(inner, laying.pile_deg)), (sources[cut.name] or "roll",)))
        sizes = f"{write_length(cut.width_mm, unit)} x {write_length(cut.length_mm, unit)}"
        key.append(f"{numbers[cut.name]}\t{cut.name}: {cut.kind.value} from {sources[cut.name] or 'the roll'}, cut {sizes}")
    for each in laying.seams:
        board.add(*seam(frame.at(each.seam.line[0]), frame.at(each.seam.line[1])))
        length = write_length(each.seam.length_mm, unit)
        key.append(f"seam\t{SEAMS[each.seam.kind]}, {length}, {SHOWS[each.seam.show]}. {sentence(each.seam.sentence)}")
    for door in (*room.doorways, *room.openings):
        board.add(Area((opening(frame.at(door.start), frame.at(door.end)),), Fill.PAPER, Pen.PLAIN))
        wide = write_length(math.dist(door.start, door.end), unit)
        through = ", carpet runs through it" if door in room.openings else ""
        key.append(f"door\tto {door.to or door.beyond or 'the outside'}, {wide} wide, an opening in the wall{through}")
    nets = [turned_ring(cut.net.ring, laying.pile_deg) for cut in laying.cuts if cut.net]
    dimension(board, [room.outline.ring, *nets], ("left", "bottom"), unit=unit, off_mm=4.0)
    tag_all(board, tags)
    surround(board, (write_length(size[0], unit), write_length(size[1], unit)), laying.pile_deg, rows=False, off_mm=9.0)
    under = (f"pile {bearing_text(laying.pile_deg)}, {scale_text(frame.scale, unit)}",)
    return board.finish(f"room {room.name}", Heading(room.name, under, _told(room.name, key)), key=key, paper=paper)


def _start(across_mm: float, along_mm: float, unit: Unit) -> str:
    return f"starts {write_length(along_mm, unit)} along, {write_length(across_mm, unit)} from the left"


def opening(a: tuple[float, float], b: tuple[float, float]) -> Ring:
    """A doorway on paper: a narrow box over its wall."""
    length = math.dist(a, b) or 1.0
    side = (b[1] - a[1]) / length * 0.9, (a[0] - b[0]) / length * 0.9
    return (
        (a[0] + side[0], a[1] + side[1]),
        (b[0] + side[0], b[1] + side[1]),
        (b[0] - side[0], b[1] - side[1]),
        (a[0] - side[0], a[1] - side[1]),
    )


def _box(left: float, low: float, right: float, high: float) -> Ring:
    return (left, low), (right, low), (right, high), (left, high)


def _told(title: str, key: Sequence[str]) -> str:
    return " ".join(stopped(line.replace("\t", ": ")) for line in (title, *key))
