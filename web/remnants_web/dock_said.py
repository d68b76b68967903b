"""What a scan at the dock is answered with: one line, what was done last, and the way to take each of it back."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from flask import request, url_for

from remnants.actions.dock import Done, Scan, TakenBack, done_by
from remnants.errors import BadInput, RemnantsError
from remnants.report.life import change_words
from remnants_web.access import asking
from remnants_web.scanned import tag_of
from remnants_web.shop import catalogue
from remnants_web.words import reader_unit

__all__ = ["DoneLine", "How", "Said", "done_last", "refusal", "said_of", "scanned", "unknown_words", "which_words"]

MOST_SHOWN = 6
"""Things done last that a page of the dock shows, each with its undo."""


class How(StrEnum):
    """Whether it was done, or looks wrong; a note's class on the page."""

    WELL = "well"
    HEED = "heed"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Said:
    """The answer to a scan, in one line; with what it is taken back by, where that can be."""

    text: str
    how: How = How.WELL
    done: "DoneLine | None" = None


@dataclass(frozen=True, slots=True)
class DoneLine:
    """What was done in one go, and when; `undo` is where it is taken back while nothing happened since (else empty).

    `tag` is that of its first piece, `what` all that it was done to, `text` what was done.
    """

    tag: str
    what: str
    text: str
    at: datetime
    seen: int
    undo: str
    pieces: int = 1


def scanned() -> str:
    """The tag or place that was scanned; empty where nothing was."""
    return tag_of(request.form.get("scan", ""))


def done_last() -> tuple[DoneLine, ...]:
    """What whoever asks did last at the dock or by hand, the newest first."""
    return tuple(map(_line, done_by(catalogue(), asking().name, most=MOST_SHOWN)))


def said_of(lines: tuple[DoneLine, ...]) -> Said | None:
    """The answer to what the address says was just done (`did`, a tag): the newest line about it."""
    tag = tag_of(request.args.get("did", ""))
    found = next((line for line in lines if line.tag == tag), None) if tag else None
    return Said(f"{found.what} {found.text}", How.WELL, found) if found else None


def refusal(error: RemnantsError, tail: str = "") -> Said:
    """Why nothing was done, in one line."""
    told = "; ".join(fault.what for fault in error.faults) if isinstance(error, BadInput) else str(error)
    return Said(f"{told}. {tail}".strip(), How.WRONG)


def unknown_words(scan: Scan) -> str:
    """`No piece and no place is called X-9. Is one of R-0009, Bay 9 meant?`"""
    near = f" Is one of {', '.join(scan.near)} meant?" if scan.near else ""
    return f"No piece and no place is called {scan.text[:60]!r}.{near}"


def which_words(scan: Scan) -> str:
    """`Which branch is meant? Bay 3 is at South, North Bay 3 at North.`"""
    told = ", ".join(f"{place} is at {whose}" for whose, place in scan.places)
    return f"Which branch is meant? {told}."


def _line(done: Done) -> DoneLine:
    first = done.first
    words = f"{first.act.value} {change_words(first.change, reader_unit())}".strip()
    if done.is_back:
        words = f"taken {change_words(first.change, reader_unit())}"
    if done.is_undoing:
        words = "as before: the last thing is taken back"
    several = f"{first.tag} to {done.last.tag}, {done.pieces} pieces" if done.pieces > 1 else first.tag
    return DoneLine(first.tag, several, words, first.signed.at, first.number, _undo_address(done), done.pieces)


def _undo_address(done: Done) -> str:
    match done.taken_back:
        case TakenBack.NOT:
            return ""
        case TakenBack.COUNT:
            return url_for("count.undo", place=done.place)
        case TakenBack.RECEIPT:
            return url_for("dock.undo_received_here")
        case TakenBack.TOGETHER:
            return url_for("changes.undo_all", tag=done.first.tag)
        case TakenBack.PIECE:
            return url_for("changes.undo", tag=done.first.tag)
