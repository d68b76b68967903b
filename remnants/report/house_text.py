"""What a house with several carpets comes to, carpet by carpet and in all."""

from collections.abc import Sequence

from rich.table import Table

from remnants.estimating.roll_lengths import write_roll_length
from remnants.model.house_plan import CarpetPlan, summed
from remnants.report.terminal import plain_table
from remnants.units import Unit, is_imperial, write_area

__all__ = ["house_table"]


def house_table(parts: Sequence[CarpetPlan], unit: Unit) -> Table:
    """A line for each carpet with its numbers of cuts, roll and price, and one for all of them."""
    total = summed(parts)
    prices = (f"price {money.currency}" for money in total)
    table = plain_table("carpet", "cuts", "to order", "roll", "area", "seams", *prices)
    for part in parts:
        plan = part.plan
        nets = {each.net.currency: each.net.plain for each in plan.sums}
        last = plan.first_cut + len(plan.placed) - 1
        table.add_row(
            part.carpet,
            f"{plan.first_cut} to {last}" if last > plan.first_cut else f"{plan.first_cut}",
            write_roll_length(plan.ordered_mm, unit),
            f"{write_roll_length(plan.roll.width_mm, unit)} wide",
            write_area(plan.area_mm2, unit, yards=is_imperial(unit)),
            str(len(plan.seams)),
            *(nets[money.currency] for money in total),
        )
    area = sum(part.plan.area_mm2 for part in parts)
    seams, cuts = sum(len(part.plan.seams) for part in parts), sum(len(part.plan.placed) for part in parts)
    area_told = write_area(area, unit, yards=is_imperial(unit))
    table.add_row("in all", str(cuts), "", "", area_told, str(seams), *(money.plain for money in total))
    return table
