"""Whether each piece stands where its entries lead, read from rows that nobody vouches for. Lengths mm."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from remnants.errors import CatalogueUnusable, Fault, NotAllowed
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.staircase import Staircase, largest_step
from remnants.geometry.tolerances import MICROMETRES_MM, WHOLE
from remnants.ledger import Act, Cut, Entry, History, Received, Standing, replay
from remnants.ledger.balance import balance_faults
from remnants.model.attributes import PIECE, Value
from remnants.store.catalogue import Catalogue
from remnants.store.ledger import entry_in
from remnants.store.rows import STANDING_COLUMNS, lab_of, rings_of, standing_row, time_of
from remnants.store.soundness import entry_name, told, told_beside, unvouched, where

__all__ = ["piece_faults"]

_WORDS = {
    "rings": "outline",
    "pile_deg": "pile bearing",
    "motif_x_mm": "motif across",
    "motif_y_mm": "motif along",
    "worn": "wear",
    "lab": "shade",
    "across_mm": "width",
    "along_mm": "length",
    "area_mm2": "area",
    "staircase": "rectangles within",
    "largest_short_mm": "shorter side of the largest rectangle within",
    "largest_long_mm": "longer side of the largest rectangle within",
    "stage": "state",
    "version": "last entry",
    "hold_job": "job it is held for",
    "hold_until": "end of its hold",
    "parent": "piece it was cut from",
    "way_start": "branch or van that it left",
    "way_goal": "branch or van that it is sent to",
    "way_expected": "day on which it is expected",
    "way_place": "place that it left",
    "way_who": "who sent it",
    "lent_until": "day until which it is lent",
    "way_at": "time when it was sent",
    "came": "time when it came in",
    "seen_at": "time it was last seen",
    "by_who": "who changed it last",
    "by_at": "time of the last change",
    "by_why": "reason of the last change",
    "by_job": "job of the last change",
}
"""What columns are called where their name doesn't say it."""

_SLACK = {**dict.fromkeys(("across_mm", "along_mm", "largest_short_mm", "largest_long_mm"), TOLERANCE_MM), "area_mm2": 1.0}
"""By how much a figure worked out anew may differ: another machine or an older version rounded otherwise."""
_TIMES = ("seen_at", "by_at", "came")
_DAYS = (attribute.field for attribute in PIECE if attribute.value is Value.DATE)
_DAYS_AND_TIMES = frozenset((*_TIMES, "way_at", "way_expected", "hold_until", "lent_until", *_DAYS))
_READ_AS: Mapping[str, Callable[[str], object]] = {"rings": rings_of, "lab": lab_of, **dict.fromkeys(_TIMES, time_of)}


def piece_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """Pieces that don't stand where their entries lead, entries that can't be read or don't follow, cuts that don't add up.

    One piece's entries are read at a time; `passed` hears how many. What comes after a place where the file can't be read on is
    not looked at, which is told.
    """
    try:
        pieces = _Pieces(catalogue)
        for _, rows in groupby(unvouched(catalogue, "SELECT * FROM entry ORDER BY tag, number"), key=lambda row: row["tag"]):
            own = list(rows)
            yield from _history_faults(catalogue, own, pieces)
            passed(len(own))
        alone = "SELECT * FROM piece WHERE NOT EXISTS (SELECT 1 FROM entry WHERE entry.tag = piece.tag)"
        for row in unvouched(catalogue, alone):
            yield Fault(where("piece", row), "has no entries: nothing says where it came from")
    except CatalogueUnusable as error:
        yield Fault("pieces and entries", str(error))


class _Pieces:
    """The rows of pieces, read once in the order of their tags beside the entries: a row at a time, asked for as tags go up."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._rows = unvouched(catalogue, "SELECT * FROM piece ORDER BY tag")
        self._next = next(self._rows, None)

    def tagged(self, tag: str) -> dict[str, Any] | None:
        """The row with this tag. One that isn't where the order has it, as in a damaged index, is looked for by itself."""
        while self._next is not None and isinstance(own := self._next["tag"], str) and own < tag:
            self._next = next(self._rows, None)
        if self._next is not None and self._next["tag"] == tag:
            return self._next
        return next(unvouched(self._catalogue, "SELECT * FROM piece WHERE tag = ?", [tag]), None)


def _history_faults(catalogue: Catalogue, rows: Sequence[dict[str, Any]], pieces: _Pieces) -> Iterator[Fault]:
    entries = []
    for row in rows:
        try:
            entries.append(entry_in(row))
        except Exception as error:  # whatever reading it raises, it can't be read as an entry
            yield Fault(entry_name(row), f"can't be read: {_kind(error)}")
    if len(entries) < len(rows):
        return
    tag = entries[0].tag
    try:
        history = replay(entries)
        assert history.standing is not None, "a piece that had entries stands somewhere"
        yield from _row_faults(pieces.tagged(tag), tag, history.standing)
        yield from _offcut_faults(catalogue, entries)
        for fault in balance_faults(history, _offcuts(catalogue, history)):
            yield Fault(f"{fault.where} of {tag}, cut", fault.what)
    except NotAllowed as error:
        yield Fault(f"piece {tag}", f"its entries don't follow from one another: {error}")
    except CatalogueUnusable:
        raise
    except Exception as error:
        if catalogue.only_now(error):
            raise
        yield Fault(f"piece {tag}", f"its entries can't be added up: {_kind(error)}")


def _kind(error: Exception) -> str:
    if isinstance(error, KeyError):
        return f"it has no {error}"
    return " ".join(str(error).split())[:120] or type(error).__name__


def _row_faults(row: dict[str, Any] | None, tag: str, standing: Standing) -> Iterator[Fault]:
    """What the piece's row tells otherwise than its entries."""
    if row is None:
        yield Fault(f"piece {tag}", f"has entries and is not there: it should be {standing.words}")
        return
    for column, should in _should(row, standing).items():
        if column != "touched" and not _same(column, row[column], should):
            word = _WORDS.get(column, column)
            is_now, by_entries = _shown(column, row[column], should)
            yield Fault(f"piece {tag}", f"{word} is {is_now}; by its entries it should be {by_entries}")


def _should(row: Mapping[str, Any], standing: Standing) -> dict[str, Any]:
    """What the columns should hold. The largest rectangle of an odd piece is that of the staircase that the row has, if that is
    sound: of two that are as large, another machine may have found the other."""
    values = dict(zip(STANDING_COLUMNS, standing_row(standing), strict=True))
    staircase = row["staircase"]
    if staircase and values["staircase"] and _same("staircase", staircase, values["staircase"]):
        values["largest_short_mm"], values["largest_long_mm"] = sorted(largest_step(staircase))
    return values


def _shown(column: str, value: Any, should: Any) -> tuple[str, str]:
    """What the column has and what it should have, as a line tells them."""
    if column == "staircase":
        return ("set" if value else told(value)), ("set" if should else told(should))
    return told_beside(value, should) if column in _DAYS_AND_TIMES else (told(value), told(should))


def _same(column: str, value: Any, should: Any) -> bool:
    if value == should and isinstance(value, type(should)):
        return True
    try:
        if column in _SLACK:
            return bool(abs(value - should) <= _SLACK[column] + WHOLE * should)
        if column == "staircase":
            return _same_steps(Staircase.unpack(value), Staircase.unpack(should))
        if column in _READ_AS:
            return bool(_READ_AS[column](value) == _READ_AS[column](should))
    except Exception:  # what can't be read is not the same
        return False
    return bool(value == should)


def _same_steps(one: Staircase, other: Staircase) -> bool:
    """Whether they are the same to two micrometres, as where another machine worked one out."""
    if (len(one.lower), len(one.upper)) != (len(other.lower), len(other.upper)):
        return False
    pairs = zip((*one.lower, *one.upper), (*other.lower, *other.upper), strict=True)
    return all(abs(a - b) <= MICROMETRES_MM for mine, theirs in pairs for a, b in zip(mine, theirs, strict=True))


def _offcuts(catalogue: Catalogue, history: History) -> dict[str, Received]:
    """What came in with the cuts of a history, by tag."""
    found = {}
    for entry, _ in history.counting:
        if isinstance(entry.change, Cut) and entry.change.offcuts:
            sql = "SELECT * FROM entry WHERE booking = ? AND act = 'received'"
            for row in unvouched(catalogue, sql, [entry.booking]):
                try:
                    other = entry_in(row)
                except Exception:  # told with the piece that it is of
                    continue
                if isinstance(other.change, Received) and other.change.parent == entry.tag:
                    found[other.tag] = other.change
    return found


def _offcut_faults(catalogue: Catalogue, entries: Sequence[Entry]) -> Iterator[Fault]:
    """Offcuts that came in with no cut that tells of them."""
    for entry in entries:
        if isinstance(entry.change, Received) and entry.change.parent:
            sql = "SELECT * FROM entry WHERE booking = ? AND tag = ? AND act = ?"
            cuts = unvouched(catalogue, sql, [entry.booking, entry.change.parent, Act.CUT.value])
            if not any(entry.tag in _left_by(row) for row in cuts):
                what = f"says that it was cut from {entry.change.parent}, and no cut of that tells of it"
                yield Fault(f"entry {entry.number} of {entry.tag}, received", what)


def _left_by(row: dict[str, Any]) -> tuple[str, ...]:
    try:
        change = entry_in(row).change
    except Exception:  # told with the piece that it is of
        return ()
    return change.offcuts if isinstance(change, Cut) else ()
