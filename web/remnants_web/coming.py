"""What orders promise to the stock, as pages show it."""

from collections.abc import Sequence
from dataclasses import dataclass

from remnants.actions.promised_seen import Promise, PromiseState
from remnants.report.promised_text import leftover_told, size_told
from remnants_web.words import reader_unit

__all__ = ["PromiseShown", "promised_lines"]


@dataclass(frozen=True)
class PromiseShown:
    """A promised leftover: which carpet, its size, whether it still waits, and its tag once it came in."""

    number: int
    order: int
    revision: int
    carpet: str
    size: str
    waits: bool
    tag: str


def promised_lines(found: Sequence[Promise]) -> tuple[PromiseShown, ...]:
    """Each as a page shows it, in the reader's unit."""
    unit = reader_unit()
    return tuple(
        PromiseShown(
            each.number,
            each.order,
            each.revision,
            leftover_told(each.leftover),
            size_told(each.leftover.largest_mm, unit),
            each.state is PromiseState.PROMISED,
            each.tag,
        )
        for each in found
    )
