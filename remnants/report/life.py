"""A piece's life as a table of its entries, and as plain facts."""

from collections.abc import Sequence
from datetime import UTC
from typing import Any

from rich.table import Table

from remnants.ledger import (
    Change,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    Moved,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Standing,
    Undone,
)
from remnants.model import Piece
from remnants.units import Unit, write_area, write_length

__all__ = ["change_words", "life_facts", "life_lines", "life_table"]


def life_table(entries: Sequence[Entry], unit: Unit) -> Table:
    """A line an entry, oldest first: number, when (UTC), what, who, for which job, why."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("entry", "when", "what", "who", "job", "why"):
        table.add_column(heading, no_wrap=heading in ("entry", "when"))
    for entry in entries:
        signed = entry.signed
        what = f"{entry.act.value} {change_words(entry.change, unit)}".strip()
        table.add_row(str(entry.number), f"{signed.at:%Y-%m-%d %H:%M}", what, signed.who, signed.job, signed.why)
    return table


def life_facts(
    standing: Standing,
    entries: Sequence[Entry],
    unit: Unit,
    *,
    parents: Sequence[Standing],
    offcuts: Sequence[Standing],
) -> dict[str, Any]:
    """All of it as JSON values: times are ISO 8601 in UTC, sizes in words in the unit."""
    told = [
        {
            "number": entry.number,
            "booking": entry.booking,
            "at": entry.signed.at.astimezone(UTC).isoformat(timespec="seconds"),
            "act": entry.act.value,
            "what": change_words(entry.change, unit),
            "who": entry.signed.who,
            "job": entry.signed.job,
            "why": entry.signed.why,
        }
        for entry in entries
    ]
    return {
        "tag": standing.piece.tag,
        "stage": standing.stage.value,
        "cut_from": [above.piece.tag for above in parents],
        "offcuts": [offcut.piece.tag for offcut in offcuts],
        "entries": told,
    }


def life_lines(standing: Standing, *, parents: Sequence[Standing], offcuts: Sequence[Standing]) -> tuple[str, ...]:
    """Where the piece stands, what it was cut from, and what was cut from it."""
    lines = [f"{standing.piece.tag} is {standing.words}"]
    if parents:
        names = " of ".join(f"{above.piece.kind.value} {above.piece.tag}" for above in parents)
        lines.append(f"{standing.piece.tag} is an {standing.piece.kind.value} of {names}")
    if offcuts:
        lines.append(f"offcuts: {', '.join(offcut.piece.tag for offcut in offcuts)}")
    return tuple(lines)


def change_words(change: Change, unit: Unit) -> str:  # noqa: PLR0911 - one line a kind of entry
    """What an entry says beside its act."""
    match change:
        case Received(piece, parent):
            return _size(piece, unit) + (f", cut from {parent}" if parent else "")
        case Corrected(piece):
            return f"to {_size(piece, unit)}, {piece.colour} {piece.lot}".rstrip()
        case Held(_, until):
            return f"until {until}"
        case Cut(remaining, taken_mm2, waste_mm2, offcuts):
            rest = [] if remaining else ["nothing left"]
            made = [f"offcuts {', '.join(offcuts)}"] if offcuts else []
            taken = f"{write_area(taken_mm2, unit)} out, {write_area(waste_mm2, unit)} waste"
            return ", ".join([taken, *rest, *made])
        case Moved(place, room, customer):
            return "to " + ", ".join(text for text in (place, room, f"customer {customer}" if customer else "") if text)
        case Counted(place, seen, room, customer):
            told = (place, room, f"customer {customer}" if customer else "")
            return f"{'seen' if seen else 'not seen'} at {', '.join(text for text in told if text)}"
        case Undone(number):
            return f"entry {number}"
        case Photographed(photo, size_bytes, sha256):
            size = [f"{size_bytes / 1024:.0f} KB"] if size_bytes else []
            return ", ".join([f"number {photo}", *size, *([f"SHA-256 {sha256[:12]}…"] if sha256 else [])])
        case PhotoTakenAway(photo):
            return f"number {photo}"
        case Released() | Discarded():
            return ""


def _size(piece: Piece, unit: Unit) -> str:
    left, bottom, right, top = piece.outline.bounds
    return f"as {write_length(right - left, unit)} × {write_length(top - bottom, unit)}"
