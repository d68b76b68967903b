"""A table made for a terminal, set on paper."""

from rich.table import Table

from remnants.report.flow import Block, table

__all__ = ["table_block"]


def table_block(made: Table, room: float) -> Block:
    """The table across `room` mm, its columns by what stands in them."""
    cells = [[str(cell) for cell in column.cells] for column in made.columns]
    longest = [max((len(cell) for cell in column), default=1) for column in cells]
    shares = [max(4.0, min(float(letters), 40.0)) ** 0.7 for letters in longest]
    return table([str(column.header) for column in made.columns], list(zip(*cells, strict=True)), shares, room)
