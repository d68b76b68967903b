"""An order as tables for a terminal, and as lines for a spreadsheet."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.table import Table
from rich.text import Text

from remnants.cells import Figure, cells_text
from remnants.estimating import OrderPlan, Placed, Sum
from remnants.estimating.near_misses import NearMiss, near_miss_told
from remnants.estimating.roll_lengths import write_roll_length
from remnants.estimating.why_choose import seams_told, why_choose
from remnants.geometry.tolerances import TOLERANCE_MM
from remnants.model import PassedOver
from remnants.report.rolls_text import rolls_apart, rolls_told, rounding_told
from remnants.report.terminal import held, plain_table
from remnants.report.wording import SEAMS, SHOWS, bearing_text
from remnants.units import Unit, is_imperial, to_unit, write_area, write_length

__all__ = ["Column", "OrderParts", "Row", "choice_line", "house_csv", "order_parts", "order_tables"]

Column = tuple[str, OrderPlan]
"""What heads a column of figures, and the order that they are of."""

Row = tuple[str, Sequence[str]]
"""What a line tells, and its text for each column."""


@dataclass(frozen=True)
class OrderParts:
    """An order in tables, for reading: a line, the tables under it, and what is to be said of them. Empty tables are None."""

    headline: str
    figures: Table
    said: tuple[str, ...]
    choices: Table | None
    cuts: Table | None
    seams: Table | None
    leftovers: Table | None
    widths: Table | None
    passed_over: tuple[str, ...]


def order_parts(
    columns: Sequence[Column],
    others: Sequence[Column],
    *,
    unit: Unit,
    choices: Sequence[OrderPlan] = (),
    near: Sequence[NearMiss] = (),
    more: Sequence[Row] = (),
    passed: Sequence[PassedOver] = (),
) -> OrderParts:
    """The order's tables; the last of `columns` is the one to take, `more` are rows under its figures. `passed` are pieces that
    match and were left alone, of an order without stock too.

    `choices` are other orders without stock, the first of `columns` among them; `near` is what a little less trim would save.
    """
    best = columns[-1][1]
    return OrderParts(
        _headline(best, unit),
        _figures(columns, unit, more),
        tuple(
            line
            for line in (
                _why_stock(columns, unit),
                rounding_told(best, unit),
                *rolls_apart(best),
                *_laid_as_one(best),
                *_near(near, unit),
            )
            if line
        ),
        _choices(choices, columns[0][1], unit) if len(choices) > 1 else None,
        _cuts(best, unit) if best.placed else None,
        _seams(best, unit),
        _leftovers(best, unit) if best.leftovers else None,
        _figures([(f"roll {write_roll_length(best.roll.width_mm, unit)} wide", best), *others], unit) if others else None,
        tuple(f"{each.piece}: not used, {each.reason}" for each in passed or best.passed_over),
    )


def order_tables(
    name: str,
    columns: Sequence[Column],
    others: Sequence[Column],
    *,
    unit: Unit,
    choices: Sequence[OrderPlan] = (),
    near: Sequence[NearMiss] = (),
    passed: Sequence[PassedOver] = (),
) -> tuple[Table | Text, ...]:
    """The order for reading: figures side by side (the last of `columns` is the one to take), cuts, seams, leftovers, widths."""
    parts = order_parts(columns, others, unit=unit, choices=choices, near=near, passed=passed)
    shown: list[Table | Text] = [Text(held(f"{name}: {parts.headline}"), style="bold"), Text(), parts.figures]
    if parts.said:
        shown += [Text(), Text(held("\n".join(parts.said)))]
    if parts.choices:
        shown += [Text(), Text("Choices, all from the roll", style="bold"), parts.choices]
    for table in (parts.cuts, parts.seams or Text("No seams."), parts.leftovers):
        shown += [Text(), table] if table else []
    if parts.widths:
        shown += [Text(), Text("Other roll widths", style="bold"), parts.widths]
    if parts.passed_over:
        shown += [Text(), *(Text(held(line)) for line in parts.passed_over)]
    return tuple(shown)


def _near(near: Sequence[NearMiss], unit: Unit) -> list[str]:
    return [near_miss_told(each, unit) for each in near]


def _laid_as_one(plan: OrderPlan) -> list[str]:
    rooms = [room for room in plan.floors.rooms if room.parts]
    return [f"{room.name}: laid as one, the carpet runs through the doorway{'s' * (len(room.openings) > 1)}." for room in rooms]


def _headline(plan: OrderPlan, unit: Unit) -> str:
    if plan.ordered_mm == 0:
        return "stock gives all of it; order no roll"
    wide = f"wide{rolls_told(plan, unit)}"
    return f"order {write_roll_length(plan.ordered_mm, unit)} of roll {write_roll_length(plan.roll.width_mm, unit)} {wide}"


def _figures(columns: Sequence[Column], unit: Unit, more: Sequence[Row] = ()) -> Table:
    table = plain_table("", *(head for head, _ in columns))
    plans = [plan for _, plan in columns]
    rows = [
        ("cuts take", [write_roll_length(plan.length_mm, unit) for plan in plans]),
        ("proved", [_proved(plan, unit) for plan in plans]),
        ("any way of laying", [_any_way(plan, unit) for plan in plans]),
        ("to order", [write_roll_length(plan.ordered_mm, unit) for plan in plans]),
        ("area", [write_area(plan.area_mm2, unit, yards=is_imperial(unit)) for plan in plans]),
        ("waste", [f"{100 * plan.waste_share:.1f} %" for plan in plans]),
        ("seams", [_seams_line(plan, unit) for plan in plans]),
        ("from stock", [", ".join(plan.tags) or "nothing" for plan in plans]),
    ]
    if any(plan.stock_bound_mm is not None for plan in plans):
        rows.append(("whatever stock gives", [_whatever_stock_gives(plan, unit) for plan in plans]))
    if any(plan.tags for plan in plans):
        areas = [(plan.kept_mm2, plan.spent_mm2) for plan in plans]
        rows.append(("worth keeping", [f"{write_area(kept, unit)} of the roll" for kept, _ in areas]))
        rows.append(("taken off stock", [write_area(spent, unit) if spent else "none worth keeping" for _, spent in areas]))
    for index, each in enumerate(plans[0].sums):
        currency = each.roll.currency
        rows.append((f"price {currency}", [plan.sums[index].roll.plain for plan in plans]))
        if any(plan.sums[index].net.minor != plan.sums[index].roll.minor for plan in plans):
            rows.append(("  leftovers", [f"-{plan.sums[index].credit.plain}" for plan in plans]))
            if any(plan.sums[index].stock.minor for plan in plans):
                rows.append(("  stock cut", [plan.sums[index].stock.plain for plan in plans]))
            rows.append(("  remains", [plan.sums[index].net.plain for plan in plans]))
    for head, cells in (*rows, *more):
        table.add_row(head, *cells)
    return table


def choice_line(plan: OrderPlan, recommended: OrderPlan, unit: Unit) -> str:
    """Another choice in a line: what to order, and why one would."""
    return f"{write_roll_length(plan.ordered_mm, unit)}: {why_choose(plan, recommended, unit)}"


def _choices(choices: Sequence[OrderPlan], recommended: OrderPlan, unit: Unit) -> Table:
    currencies = [each.net.currency for each in recommended.sums]
    table = plain_table("to order", "why", "seams", *currencies)
    for plan in choices:
        sums = [each.net.plain for each in plan.sums]
        table.add_row(write_roll_length(plan.ordered_mm, unit), why_choose(plan, recommended, unit), seams_told(plan), *sums)
    return table


def _proved(plan: OrderPlan, unit: Unit) -> str:
    if plan.length_mm - plan.bound_mm <= TOLERANCE_MM:
        return "these cuts take no less" + ("; others were not looked at to the end" if plan.hurried else "")
    gap = 100 * (plan.length_mm - plan.bound_mm) / plan.length_mm
    shown = f"{gap:.1f}" if gap >= 0.1 else "under 0.1"
    return f"at least {write_roll_length(plan.bound_mm, unit)} ({shown} % open, {plan.stopped})"


def _any_way(plan: OrderPlan, unit: Unit) -> str:
    """How far any other seams, or any other use of stock, could get at best."""
    if plan.length_mm - plan.least_mm <= TOLERANCE_MM:
        return "takes no less"
    if plan.least_mm <= TOLERANCE_MM:
        return "not bounded: such stock might give it all"
    gap = 100 * (plan.length_mm - plan.least_mm) / plan.length_mm
    return f"takes at least {write_roll_length(plan.least_mm, unit)} ({gap:.1f} % less)"


def _seams_line(plan: OrderPlan, unit: Unit) -> str:
    if not plan.seams:
        return "none"
    worst = max(plan.seams, key=lambda seam: list(SHOWS).index(seam.seam.show)).seam.show
    return f"{len(plan.seams)}, {write_roll_length(plan.seam_mm, unit)}, the worst {SHOWS[worst]}"


def _whatever_stock_gives(plan: OrderPlan, unit: Unit) -> str:
    """How far another use of the same stock could get, at best."""
    if plan.stock_bound_mm is None:
        return ""
    least = plan.roll.ordered_mm(plan.stock_bound_mm)
    return (
        "no less to order" if least >= plan.ordered_mm - TOLERANCE_MM else f"at least {write_roll_length(least, unit)} to order"
    )


def _why_stock(columns: Sequence[Column], unit: Unit) -> str:
    """Why stock is used, against the same without it."""
    without, best = columns[0][1], columns[-1][1]
    if not best.tags:
        return ""
    saved = without.ordered_mm - best.ordered_mm
    if saved > TOLERANCE_MM:
        return f"Stock shortens the roll by {write_roll_length(saved, unit)}."
    more = best.kept_mm2 - best.spent_mm2 - (without.kept_mm2 - without.spent_mm2)
    return f"The roll is as long with stock as without; what is worth keeping afterwards is {write_area(more, unit)} more."


def _cuts(plan: OrderPlan, unit: Unit) -> Table:
    table = plain_table("cut", "what", "from", "at (across, along)", "width", "length", "pile in the room")
    bearings = {laying.room: laying.pile_deg for laying in plan.layings}
    for placed in _in_order(plan):
        cut = placed.cut
        table.add_row(
            cut.name,
            f"{cut.kind.value}, {cut.steps} step{'s' * (cut.steps != 1)}" if cut.steps else cut.kind.value,
            source_told(placed, plan),
            f"{write_length(placed.at[0], unit)}, {write_length(plan.along_mm(placed), unit)}",
            write_length(cut.width_mm, unit),
            write_length(cut.length_mm, unit),
            "down the stairs" if cut.net is None else bearing_text(bearings[cut.room]),
        )
    return table


def source_told(placed: Placed, plan: OrderPlan) -> str:
    """What a cut comes from: the roll, by its name if it has one, or a piece."""
    return placed.source or plan.roll_of(placed).name or "roll"


def _in_order(plan: OrderPlan) -> list[Placed]:
    """Along the roll as it is unrolled, then piece by piece."""
    return sorted(plan.placed, key=lambda each: (each.source, each.at[1], each.at[0]))


def _seams(plan: OrderPlan, unit: Unit) -> Table | None:
    if not plan.seams:
        return None
    table = plain_table("seam in", "kind", "length", "how it shows", "because")
    for each in plan.seams:
        seam = each.seam
        table.add_row(each.room, SEAMS[seam.kind], write_length(seam.length_mm, unit), SHOWS[seam.show], seam.sentence)
    return table


def _leftovers(plan: OrderPlan, unit: Unit) -> Table:
    table = plain_table("left over from", "largest rectangle", "area", "")
    for left in plan.leftovers:
        width, length = (write_length(side, unit) for side in left.largest)
        area = write_area(left.outline.usable_area_mm2, unit)
        source = left.piece or plan.roll_at(left.outline.bounds[1]).name or "roll"
        table.add_row(source, f"{width} x {length}", area, "log it as an offcut" if left.usable else "waste")
    return table


def house_csv(carpets: Sequence[tuple[str, Sequence[Column]]], *, unit: Unit) -> str:
    """A table for a spreadsheet: one line a cut, seam, leftover and total, lengths as bare figures in `unit`.

    Of several carpets of a house each line ends in its carpet and, of a cut, its number in the house.
    """
    if len(carpets) == 1 and not carpets[0][0]:
        return cells_text(_csv_lines(carpets[0][1], unit))
    return cells_text(_house_lines(carpets, unit))


def _house_lines(carpets: Sequence[tuple[str, Sequence[Column]]], unit: Unit) -> Iterator[Sequence[str]]:
    for index, (carpet, columns) in enumerate(carpets):
        heads, *lines = _csv_lines(columns, unit)
        numbers = columns[-1][1].cut_numbers
        if index == 0:
            yield [*heads, "carpet", "number"]
        for line in lines:
            number = str(numbers[line[1]]) if line[0] == "cut" else ""
            yield [*line, *[""] * (len(heads) - len(line)), carpet, number]


def _csv_lines(columns: Sequence[Column], unit: Unit) -> Iterator[Sequence[str]]:
    best = columns[-1][1]
    yield ["line", "name", "kind", "from", f"width {unit.value}", f"length {unit.value}", "area m2", "currency", "amount"]
    for placed in _in_order(best):
        cut = placed.cut
        area = _m2(cut.width_mm * cut.length_mm)
        yield ["cut", cut.name, cut.kind.value, source_told(placed, best), *_sizes(cut.width_mm, cut.length_mm, unit), area]
    for each in best.seams:
        yield ["seam", each.room, each.seam.kind.value, "", "", _bare(each.seam.length_mm, unit)]
    for left in best.leftovers:
        kind = "usable" if left.usable else "waste"
        area = _m2(left.outline.usable_area_mm2)
        yield [
            "leftover",
            "",
            kind,
            left.piece or best.roll_at(left.outline.bounds[1]).name or "roll",
            *_sizes(*left.largest, unit),
            area,
        ]
    for head, plan in columns:
        total = ["order", head, "", "roll", *_sizes(plan.roll.width_mm, plan.ordered_mm, unit), _m2(plan.area_mm2)]
        for each_sum in plan.sums or (None,):
            yield [*total, each_sum.net.currency, Figure(each_sum.net.plain)] if each_sum else total
            yield from _price_lines(head, each_sum) if each_sum and each_sum.net != each_sum.roll else ()


def _price_lines(head: str, each: Sum) -> list[list[str]]:
    """What an order's amount is made of, where it is more than the roll: the lines add up to it."""
    parts = (("roll", each.roll.plain), ("leftovers", Figure(f"-{each.credit.plain}")), ("stock cut", each.stock.plain))
    return [["price", head, kind, "", "", "", "", each.net.currency, amount] for kind, amount in parts]


def _sizes(width_mm: float, length_mm: float, unit: Unit) -> tuple[str, str]:
    return _bare(width_mm, unit), _bare(length_mm, unit)


def _bare(length_mm: float, unit: Unit) -> str:
    return f"{to_unit(length_mm, unit):.10g}"


def _m2(area_mm2: float) -> str:
    return f"{area_mm2 / 1e6:.4f}"
