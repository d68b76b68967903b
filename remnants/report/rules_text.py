"""The rules of the shop as a table."""

from typing import NamedTuple

from rich import box
from rich.table import Table
from rich.text import Text

from remnants.report.terminal import held

__all__ = ["RuleLine", "rules_table"]


class RuleLine(NamedTuple):
    """A rule as texts: its name, its figure in force and at first, what it says, and who set it when."""

    name: str
    figure: str
    usual: str
    says: str
    since: str


def rules_table(lines: list[RuleLine]) -> Table:
    """One row a rule."""
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    for heading in ("rule", "now", "at first", "what it says", "set by"):
        table.add_column(heading, overflow="fold")
    for line in lines:
        table.add_row(*(Text(held(text)) for text in line))
    return table
