"""Taking the last entry of a piece back by a new one, and a count with all that it told."""

from collections.abc import Mapping
from dataclasses import replace

from remnants.actions.booking import as_seen, book, once, refuse_unseen, standing_of
from remnants.errors import NotAllowed
from remnants.ledger import (
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Moved,
    Received,
    Sent,
    Signed,
    Stage,
    Standing,
    Undone,
    replay,
)
from remnants.store import Catalogue, jobs, ledger, promised
from remnants.store.jobs import JobStage
from remnants.store.promised import PromiseState

__all__ = ["undo_count", "undo_last", "undo_received", "undo_together"]


def undo_last(catalogue: Catalogue, tag: str, *, seen: int | None = None, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Takes back what last happened to a piece; gives the tags that it changed.

    A cut is taken back whole: all donors of its plan get their outline back, and its offcuts are withdrawn. `seen` is the version
    of the piece whose last entry is meant. Raises NotFound; StockChanged when something happened to it after that; NotAllowed
    when nothing is left to take back, or something happened to a donor or offcut since.
    """

    def do() -> list[str]:
        before = standing_of(catalogue, tag)
        refuse_unseen(catalogue, before, seen)
        own = before.piece.tag
        last = replay(ledger.entries_of(catalogue, own)).last
        if last is None:
            raise NotAllowed(f"{own}: there is nothing to take back")
        if isinstance(last.change, Received) and last.change.parent:
            raise NotAllowed(f"{own} came of cutting {last.change.parent}; `remnants undo {last.change.parent}` takes that back")
        entries = _with_its_cut(catalogue, last) if isinstance(last.change, Cut) else [last]
        after = book(catalogue, [(entry.tag, Undone(entry.number)) for entry in entries], replace(signed, job=last.signed.job))
        _promised_again(catalogue, entries, signed)
        if isinstance(last.change, Cut):
            _reopen(catalogue, last.signed.job, {entry.tag: entry.number for entry in entries}, after, signed)
        return [standing.piece.tag for standing in after]

    return tuple(once(catalogue, key, as_seen(["undo", tag], seen), signed, do))


def undo_count(catalogue: Catalogue, tag: str, *, seen: int, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Takes a whole count back, by one of its pieces and the number of that piece's entry; gives the tags that it changed.

    Raises NotFound; NotAllowed where that is no count; StockChanged when something happened to one of its pieces since: then
    nothing is taken back.
    """

    def do() -> list[str]:
        return _taken_back(catalogue, _together(catalogue, tag, seen, Counted), signed)

    return tuple(once(catalogue, key, ["undo count", tag, seen], signed, do))


def undo_received(catalogue: Catalogue, tag: str, *, seen: int, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Takes back all that came in together, by one of the pieces and the number of its entry; gives the tags, free again.

    Raises as `undo_count`, NotAllowed for an offcut too: its cut is what can be taken back.
    """

    def do() -> list[str]:
        return _taken_back(catalogue, _together(catalogue, tag, seen, Received), signed)

    return tuple(once(catalogue, key, ["undo received", tag, seen], signed, do))


def undo_together(catalogue: Catalogue, tag: str, *, seen: int, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Takes back all that was discarded, told anew, moved or sent in one go, by one of the pieces and the number of its entry;
    gives the tags.

    Raises as `undo_count`.
    """

    def do() -> list[str]:
        own = standing_of(catalogue, tag).piece.tag
        entry = _entry(catalogue, own, seen)
        kind = next((kind for kind in (Discarded, Corrected, Moved, Sent) if entry and isinstance(entry.change, kind)), None)
        if kind is None:
            raise NotAllowed(f"{own} has nothing with the number {seen} that could be taken back with others")
        return _taken_back(catalogue, _together(catalogue, tag, seen, kind), signed)

    return tuple(once(catalogue, key, ["undo together", tag, seen], signed, do))


Together = type[Counted | Received | Discarded | Corrected | Moved | Sent]
_CALLED: Mapping[Together, str] = {
    Counted: "count",
    Received: "receipt",
    Discarded: "discarding",
    Corrected: "correction",
    Moved: "move",
    Sent: "sending",
}


def _entry(catalogue: Catalogue, own: str, number: int) -> Entry | None:
    return next((entry for entry in ledger.entries_of(catalogue, own) if entry.number == number), None)


def _together(catalogue: Catalogue, tag: str, seen: int, kind: Together) -> list[Entry]:
    """The entries of this kind that were written with that of the piece, which nothing followed. Raises as `undo_count`."""
    own = standing_of(catalogue, tag).piece.tag
    meant = _entry(catalogue, own, seen)
    if meant is None or not isinstance(meant.change, kind) or (isinstance(meant.change, Received) and meant.change.parent):
        raise NotAllowed(f"{own} has no {_CALLED[kind]} with the number {seen} that could be taken back")
    entries = [entry for entry in ledger.booking_entries(catalogue, meant.booking) if isinstance(entry.change, kind)]
    for entry in entries:
        refuse_unseen(catalogue, standing_of(catalogue, entry.tag), entry.number)
    return entries


def _taken_back(catalogue: Catalogue, entries: list[Entry], signed: Signed) -> list[str]:
    after = book(catalogue, [(entry.tag, Undone(entry.number)) for entry in entries], signed)
    _promised_again(catalogue, entries, signed)
    return [standing.piece.tag for standing in after]


def _promised_again(catalogue: Catalogue, entries: list[Entry], signed: Signed) -> None:
    """What an order promised and came in as a piece is promised as before, where its coming in was taken back."""
    for entry in entries:
        if isinstance(entry.change, Received):
            for row in promised.received_as(catalogue, entry.tag):
                promised.settle(catalogue, row.number, PromiseState.PROMISED, signed)


def _with_its_cut(catalogue: Catalogue, last: Entry) -> list[Entry]:
    """Every cut and offcut of one booking, if nothing happened to any since. Raises NotAllowed."""
    entries = [
        entry
        for entry in ledger.booking_entries(catalogue, last.booking)
        if isinstance(entry.change, Cut) or (isinstance(entry.change, Received) and entry.change.parent)
    ]
    for entry in entries:
        now = replay(ledger.entries_of(catalogue, entry.tag)).last
        if now is None or now.number != entry.number:
            since = f"was {now.act.value} {now.signed.words}" if now else "was taken back"
            raise NotAllowed(f"the cut can't be taken back: {entry.tag} {since}; take that back first")
    return entries


def _reopen(catalogue: Catalogue, name: str, undone: Mapping[str, int], after: tuple[Standing, ...], signed: Signed) -> None:
    """The job whose cut was taken back is held again if its donors are, and may be cut again.

    A job that was cut or held anew since, from other donors or by another entry, stays as it is.
    """
    row = jobs.find(catalogue, name)
    if row is None or row.stage is JobStage.HELD or not row.donors.keys() <= undone.keys():
        return
    if row.stage is JobStage.CUT and any(version != undone[tag] for tag, version in row.donors.items()):
        return
    donors = [standing for standing in after if standing.piece.tag in row.donors]
    held = [standing.hold for standing in donors if standing.stage is Stage.HELD and standing.hold]
    versions = {standing.piece.tag: standing.version for standing in donors}
    stage = JobStage.HELD if held and len(held) == len(donors) else JobStage.RELEASED
    until = min(hold.until for hold in held) if stage is JobStage.HELD else None
    jobs.put(catalogue, replace(row, stage=stage, donors=versions, hold_until=until), signed)
