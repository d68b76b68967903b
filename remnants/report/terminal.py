"""A terminal that breaks no length over two lines, and prints plain blanks all the same."""

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from remnants.kept_whole import NO_BREAK, whole_lengths

__all__ = ["Terminal", "held", "plain_table"]

_GLUE = "\ufdd0"
"""Stands for a blank within a length until lines are broken: they break at each blank, also one that shouldn't. No character."""


def held(text: str) -> str:
    """The text for a cell or a line of a `Terminal`, its lengths held together."""
    return whole_lengths(text).replace(NO_BREAK, _GLUE)


def plain_table(*headings: str) -> Table:
    """An empty table without lines, under these headings."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in headings:
        table.add_column(heading)
    return table


class Terminal(Console):
    """A console whose texts and tables keep each length on one line where it has room."""

    def render_str(self, text: str, **given: object) -> Text:
        """The text of a cell or a line."""
        return super().render_str(held(text), **given)  # type: ignore[arg-type]

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """What is printed, with plain blanks."""
        for segment in super().render(renderable, options):
            yield segment._replace(text=segment.text.replace(_GLUE, " "))
