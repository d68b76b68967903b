"""A count of a place, a list of what is not worth its shelf, and how much catalogues hold, for a terminal."""

from collections.abc import Sequence
from datetime import datetime

from rich.console import RenderableType
from rich.table import Table

from remnants.days import moment_words
from remnants.ledger import Standing
from remnants.ledger.counting import Count
from remnants.report.pieces import size_words
from remnants.units import Unit, write_area

__all__ = ["AgedLine", "age_table", "count_lines", "handed_over_words", "held_words"]

AgedLine = tuple[Standing, Sequence[str], str, float, float]
"""A piece, why it is listed, since when it is there, its area and its worth as full-value carpet (mm²)."""


def held_words(pieces: int, entries: int, last_change: datetime | None) -> str:
    """How much a catalogue holds, last change in UTC: `12 pieces, 40 entries, last changed 3 May 2031, 14:20 UTC`."""
    changed = f"last changed {moment_words(last_change)}" if last_change else "never changed"
    return f"{pieces} piece{'s' * (pieces != 1)}, {entries} entr{'y' if entries == 1 else 'ies'}, {changed}"


def count_lines(count: Count, unit: Unit, *, most: int) -> tuple[RenderableType, ...]:
    """How many were seen where they should be, then what is missing, misplaced and unexpected: up to `most` of each."""
    lines: list[RenderableType] = [f"{count.place}: {len(count.present)} of {len(count.present) + len(count.missing)} seen"]
    if count.missing:
        lines += ["missing:", _table(count.missing[:most], unit), *_more(len(count.missing), most)]
    if count.misplaced:
        told = f"at {count.place}, but elsewhere by the book:"
        lines += [told, _table(count.misplaced[:most], unit), *_more(len(count.misplaced), most)]
    over = count.handed_over
    lines += [f"{standing.piece.tag}: {handed_over_words(standing, to)}" for standing, to in over[:most]]
    lines += _more(len(over), most)
    if count.unexpected:
        more = f" and {len(count.unexpected) - most:,} more" if len(count.unexpected) > most else ""
        lines.append(f"not in stock: {', '.join(count.unexpected[:most])}{more}; log or undo them if they are")
    return tuple(lines)


def _more(count: int, most: int) -> list[RenderableType]:
    """How many aren't listed, and how to see them."""
    return [f"and {count - most:,} more; --most {count} lists them all"] if count > most else []


def handed_over_words(standing: Standing, to: str) -> str:
    """With whom a piece was and will be: `with customer F-2031 by the book, with the shop once booked`."""
    was, now = (f"customer {reference}" if reference else "the shop" for reference in (standing.piece.customer, to))
    return f"with {was} by the book, with {now} once booked"


def age_table(lines: Sequence[AgedLine], unit: Unit) -> Table:
    """A line a piece: tag, style, size, place, since when, area, worth, why."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("tag", "style", "size", "place", "since", "area", "worth", "why"):
        table.add_column(heading, no_wrap=heading in ("tag", "since", "area", "worth"))
    for standing, why, since, area_mm2, worth_mm2 in lines:
        piece = standing.piece
        areas = write_area(area_mm2, unit), write_area(worth_mm2, unit)
        table.add_row(piece.tag, piece.style, size_words(piece, unit), piece.place, since, *areas, ", ".join(why))
    return table


def _table(standings: Sequence[Standing], unit: Unit) -> Table:
    table = Table(box=None, show_header=False)
    for standing in standings:
        piece, way = standing.piece, standing.way
        where = piece.place or (f"on the way to {way.goal}" if way else "")
        table.add_row(piece.tag, piece.style, piece.colour, size_words(piece, unit), where)
    return table
