"""Leftovers that orders promise, as a table and as a line: they are no pieces yet."""

from collections.abc import Sequence

from rich.table import Table

from remnants.model.order_kept import LeftoverKept
from remnants.report.terminal import plain_table
from remnants.units import Unit, write_length

__all__ = ["PromiseLine", "leftover_told", "promised_table", "size_told"]

PromiseLine = tuple[int, int, LeftoverKept]
"""The promise's number, the order's, and the leftover."""


def size_told(size_mm: tuple[float, float], unit: Unit) -> str:
    """Across and along the pile."""
    return f"{write_length(size_mm[0], unit)} x {write_length(size_mm[1], unit)}"


def leftover_told(left: LeftoverKept) -> str:
    """Which carpet it is."""
    return ", ".join(filter(None, (left.style, left.colour, f"lot {left.lot}" if left.lot else "")))


def promised_table(lines: Sequence[PromiseLine], unit: Unit) -> Table:
    """A line for each."""
    table = plain_table("promised", "of order", "carpet", "wide x long, the pile up it")
    for number, order, left in lines:
        table.add_row(str(number), str(order), leftover_told(left), size_told(left.largest_mm, unit))
    return table
