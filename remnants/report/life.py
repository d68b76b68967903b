"""A piece's life as a table of its entries, and as plain facts."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import UTC
from typing import Any

from rich.table import Table

from remnants.days import day_words
from remnants.errors import NotAllowed
from remnants.ledger import (
    CalledBack,
    Change,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    LookedAt,
    Moved,
    Photographed,
    PhotoTakenAway,
    Received,
    Released,
    Sent,
    Standing,
    TakenIn,
    Undone,
)
from remnants.ledger.replay import History
from remnants.model import Piece, Role
from remnants.model.attributes import PLAIN
from remnants.report.attribute_words import attribute_words
from remnants.units import Unit, write_area, write_length

__all__ = ["change_words", "life_facts", "life_lines", "life_table"]


def life_table(entries: Sequence[Entry], unit: Unit, *, seen_by: Role = Role.MANAGE) -> Table:
    """A line an entry, oldest first: number, when (UTC), what, who, for which job, why; without what is not for that role."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("entry", "when", "what", "who", "job", "why"):
        table.add_column(heading, no_wrap=heading in ("entry", "when"))
    for entry, words in _told(entries, unit, seen_by):
        signed = entry.signed
        what = f"{entry.act.value} {words}".strip()
        table.add_row(str(entry.number), f"{signed.at:%Y-%m-%d %H:%M}", what, signed.who, signed.job, signed.why)
    return table


def life_facts(
    standing: Standing,
    entries: Sequence[Entry],
    unit: Unit,
    *,
    parents: Sequence[Standing],
    offcuts: Sequence[Standing],
    seen_by: Role = Role.MANAGE,
) -> dict[str, Any]:
    """All of it as JSON values: times are ISO 8601 in UTC, sizes in words in the unit; without what is not for that role."""
    told = [
        {
            "number": entry.number,
            "booking": entry.booking,
            "at": entry.signed.at.astimezone(UTC).isoformat(timespec="seconds"),
            "act": entry.act.value,
            "what": words,
            "who": entry.signed.who,
            "job": entry.signed.job,
            "why": entry.signed.why,
        }
        for entry, words in _told(entries, unit, seen_by)
    ]
    return {
        "tag": standing.piece.tag,
        "stage": standing.stage.value,
        "cut_from": [above.piece.tag for above in parents],
        "offcuts": [offcut.piece.tag for offcut in offcuts],
        "entries": told,
    }


def _told(entries: Sequence[Entry], unit: Unit, seen_by: Role) -> Iterator[tuple[Entry, str]]:
    """Each entry and what it says beside its act; of a correction, what it changed."""
    history = History()
    for entry in entries:
        before = history.standing
        with suppress(NotAllowed):  # such an entry is told as it stands; `remnants verify` says what is wrong with it
            history = history.then(entry)
        change = entry.change
        if isinstance(change, Corrected) and before is not None:
            yield entry, _corrections(before.piece, change.piece, unit, seen_by)
        else:
            yield entry, change_words(change, unit)


def _corrections(before: Piece, after: Piece, unit: Unit, seen_by: Role) -> str:
    """`39 in × 64 in (was 40 in × 66 in), lot 4471-B`."""
    told = [f"{_size(after, unit)} (was {_size(before, unit)})"] if after.outline != before.outline else []
    told += [name for name, one, two in (("motif", before.motif, after.motif), ("shade", before.lab, after.lab)) if one != two]
    for attribute in PLAIN:
        was, now = (attribute_words(attribute, piece, unit) for piece in (before, after))
        if was != now and seen_by.covers(attribute.seen_by):
            told.append(f"{attribute.called} {now or 'not told'}" + (f" (was {was})" if was else ""))
    return ", ".join(told)


def life_lines(standing: Standing, *, parents: Sequence[Standing], offcuts: Sequence[Standing]) -> tuple[str, ...]:
    """Where the piece stands, what it was cut from, and what was cut from it."""
    lines = [f"{standing.piece.tag} is {standing.words}"]
    if parents:
        names = " of ".join(f"{above.piece.kind.value} {above.piece.tag}" for above in parents)
        lines.append(f"{standing.piece.tag} is an {standing.piece.kind.value} of {names}")
    if offcuts:
        lines.append(f"offcuts: {', '.join(offcut.piece.tag for offcut in offcuts)}")
    return tuple(lines)


def change_words(change: Change, unit: Unit) -> str:  # noqa: PLR0911, PLR0912 - one line a kind of entry
    """What an entry says beside its act."""
    match change:
        case Received(piece, parent):
            return f"as {_size(piece, unit)}" + (f", cut from {parent}" if parent else "")
        case Corrected(piece):
            return f"to {_size(piece, unit)}, {piece.colour} {piece.lot}".rstrip()
        case Held(_, until):
            return f"until {day_words(until)}"
        case Cut(remaining, taken_mm2, waste_mm2, offcuts, _):
            rest = [] if remaining else ["nothing left"]
            made = [f"offcuts {', '.join(offcuts)}"] if offcuts else []
            taken = f"{write_area(taken_mm2, unit)} out, {write_area(waste_mm2, unit)} waste"
            return ", ".join([taken, *rest, *made])
        case Moved(place, room, customer, until, back):
            lent = f"lent until {day_words(until)}" if until else ""
            return ("back from loan, to " if back else "to ") + ", ".join(
                text for text in (place, room, f"customer {customer}" if customer else "", lent) if text
            )
        case Counted(place, seen, room, customer):
            told = (place, room, f"customer {customer}" if customer else "")
            return f"{'seen' if seen else 'not seen'} at {', '.join(text for text in told if text)}"
        case Sent(start, goal, expected):
            return f"{f'from {start} ' if start else ''}to {goal}, expected {day_words(expected)}"
        case TakenIn(place):
            return f"at {place}"
        case Undone(number):
            return f"entry {number}"
        case Photographed(photo, size_bytes, sha256):
            size = [f"{size_bytes / 1024:.0f} KB"] if size_bytes else []
            return ", ".join([f"number {photo}", *size, *([f"SHA-256 {sha256[:12]}…"] if sha256 else [])])
        case PhotoTakenAway(photo):
            return f"number {photo}"
        case LookedAt(look):
            return look.words
        case Released() | CalledBack() | Discarded():
            return ""


def _size(piece: Piece, unit: Unit) -> str:
    left, bottom, right, top = piece.outline.bounds
    return f"{write_length(right - left, unit)} × {write_length(top - bottom, unit)}"
