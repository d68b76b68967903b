"""What stock cost and is worth, as tables for a terminal and a page."""

from collections.abc import Iterable, Sequence

from rich.table import Table

from remnants.model.money import Money
from remnants.units import Unit, write_area

__all__ = ["TOLD_AS", "sums_words", "unshared_words", "worth_table"]

TOLD_AS = "Cost is what was paid for all that is left; worth is the cost of what would be kept today."
"""What the two figures are."""

TAGS_NAMED = 6

WorthRow = tuple[str, int, float, int, Sequence[Money], Sequence[Money]]
"""Name, pieces, area (mm²), pieces whose cost nobody told, cost, worth."""


def worth_table(rows: Iterable[WorthRow], head: str, unit: Unit) -> Table:
    """A line each: its name under `head`; cost and worth, which a phone shows without a swipe; of how many no cost is told;
    pieces and area.
    """
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in (head, "cost", "worth", "cost not told", "pieces", "area"):
        table.add_column(heading, justify="left" if heading == head else "right")
    for name, pieces, area_mm2, untold, cost, worth in rows:
        table.add_row(name, sums_words(cost), sums_words(worth), f"{untold:,}", f"{pieces:,}", write_area(area_mm2, unit))
    return table


def sums_words(sums: Sequence[Money]) -> str:
    """The sums beside each other, one a currency: `1,200.00 EUR, 300 JPY`."""
    return ", ".join(map(str, sums))


def unshared_words(tags: Sequence[str], cost: Sequence[Money]) -> str:
    """That these pieces stand at too much, why, and what to do; empty without any."""
    if not tags:
        return ""
    more = len(tags) - TAGS_NAMED
    named = ", ".join(tags[:TAGS_NAMED]) + (f" and {more:,} more" if more > 0 else "")
    if len(tags) == 1:
        stand = "1 of these pieces was cut before a cut handed costs on: it still stands"
    else:
        stand = f"{len(tags):,} of these pieces were cut before a cut handed costs on: they still stand"
    which = "it" if len(tags) == 1 else "each"
    return (
        f"{stand} at all that was paid, {sums_words(cost)}, which is too much; what else was cut from {which} has no cost."
        f" Correct the cost to what is left's share: {named}."
    )
