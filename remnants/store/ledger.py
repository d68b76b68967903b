"""The ledger and where pieces stand, as rows. A change of either is one of both: `write` keeps them together."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby, islice
from typing import Any

from remnants.ledger import Act, Change, Entry, Received, Signed, Standing, applied
from remnants.store.catalogue import Catalogue
from remnants.store.chaining import add_entries
from remnants.store.changes import change_of, facts_of, facts_of_received
from remnants.store.rows import STANDING_COLUMNS, changed_columns, changes_shape, standing_row, time_of, time_text
from remnants.store.worth_kept import put_in_sums_where_many

__all__ = [
    "booking_entries",
    "bookings_by",
    "entries_of",
    "entries_since",
    "entry_in",
    "entry_numbered",
    "every_history",
    "last_place_by",
    "next_number",
    "note",
    "note_each",
    "put_entries",
    "receive",
    "stand",
    "why_of",
    "write",
]

_AT_ONCE = 500
_NEWEST = 2_000
_AT_THE_DOCK = tuple(act.value for act in (Act.RECEIVED, Act.MOVED, Act.COUNTED, Act.CORRECTED, Act.DISCARDED, Act.UNDONE))
_PIECE = f"INSERT INTO piece (id, {', '.join(STANDING_COLUMNS)}) VALUES (?, {', '.join('?' * len(STANDING_COLUMNS))})"
"""With the number of the row: a server that is asked for it row by row takes half as long again."""
_STAND = f"UPDATE piece SET {', '.join(f'{column} = ?' for column in STANDING_COLUMNS)} WHERE tag = ?"


def receive(catalogue: Catalogue, received: Iterable[Received], signed: Signed, *, booking: int | None = None) -> None:
    """Puts in pieces with new tags, each with its entry, as one booking. The caller holds the transaction.

    Rows go in a few hundred at a time, so that a hundred thousand pieces need no more memory than those.
    """
    start = next_number(catalogue)
    (row_number,) = catalogue.execute("SELECT coalesce(max(id), 0) + 1 FROM piece").fetchone()
    written = (signed.who, time_text(signed.at), signed.why, signed.job)
    numbered, last = enumerate(received, start), start
    while some := list(islice(numbered, _AT_ONCE)):
        rows = []
        for number, change in some:
            entry = Entry(number, booking or start, change.piece.tag, change, signed)
            row = standing_row(applied(None, entry))
            facts = facts_of_received(row, change.parent)
            rows.append((row, (number, entry.booking, entry.tag, entry.act.value, facts, *written)))
        catalogue.many(_PIECE, [(row_number + number - start, *row) for (row, _), (number, _) in zip(rows, some, strict=True)])
        add_entries(catalogue, [row for _, row in rows])
        last = some[-1][0]
    put_in_sums_where_many(catalogue, start, last)


def write(catalogue: Catalogue, changes: Sequence[tuple[Entry, Standing]], before: Mapping[str, Standing]) -> None:
    """Adds entries about pieces that are there, and stores where each now stands. `before` are those whose rows were read in this
    transaction, by tag. The caller holds it.
    """
    add_entries(catalogue, [_entry_row(entry) for entry, _ in changes])
    if 1 < len({standing.piece.tag for _, standing in changes}) == len(changes):
        _stand_each(catalogue, [(before.get(standing.piece.tag), standing) for _, standing in changes])
    else:  # of one piece step by step, as what changed in store is told so
        for _, standing in changes:
            stand(catalogue, standing)
    numbers = [entry.number for entry, _ in changes]
    put_in_sums_where_many(catalogue, min(numbers, default=0), max(numbers, default=0))


def put_entries(catalogue: Catalogue, entries: Iterable[Entry]) -> None:
    """Adds entries whose pieces are put in with them. The caller holds the transaction."""
    add_entries(catalogue, map(_entry_row, entries))


def note(catalogue: Catalogue, tag: str, changes: Iterable[Change], signed: Signed) -> None:
    """Adds entries that leave the piece as it stands (BESIDE), as one booking. The caller holds the transaction."""
    booking = next_number(catalogue)
    entries = (Entry(number, booking, tag, change, signed) for number, change in enumerate(changes, booking))
    add_entries(catalogue, map(_entry_row, entries))


def note_each(catalogue: Catalogue, tags: Iterable[str], change: Change, signed: Signed) -> None:
    """Adds the same entry to several pieces, as `note` does, as one booking. The caller holds the transaction."""
    booking = next_number(catalogue)
    add_entries(catalogue, [_entry_row(Entry(number, booking, tag, change, signed)) for number, tag in enumerate(tags, booking)])


def stand(catalogue: Catalogue, standing: Standing) -> None:
    """Stores where a piece that is there stands. The caller holds the transaction and has an entry that says so."""
    catalogue.execute(_STAND, (*standing_row(standing), standing.piece.tag))


def _stand_each(catalogue: Catalogue, steps: Sequence[tuple[Standing | None, Standing]]) -> None:
    """The same of many pieces: of a row that was read only what changes is written, those alike together, as else each index of
    the piece is written anew.
    """
    alike: dict[tuple[str, ...], list[tuple[Any, ...]]] = {}
    for before, after in steps:
        if before is None or changes_shape(before.piece, after.piece):
            stand(catalogue, after)
            continue
        told = changed_columns(before, after)
        alike.setdefault(tuple(told), []).append((*told.values(), after.piece.tag))
    for columns, rows in alike.items():
        catalogue.many(f"UPDATE piece SET {', '.join(f'{column} = ?' for column in columns)} WHERE tag = ?", rows)


def next_number(catalogue: Catalogue) -> int:
    """The number of the next entry. The caller holds the transaction."""
    (number,) = catalogue.execute("SELECT coalesce(max(number), 0) + 1 FROM entry").fetchone()
    return int(number)


def entries_of(catalogue: Catalogue, tag: str) -> tuple[Entry, ...]:
    """Every entry of a piece, oldest first."""
    return tuple(entry_in(row) for row in catalogue.query("SELECT * FROM entry WHERE tag = ? ORDER BY number", [tag]))


def entry_numbered(catalogue: Catalogue, number: int) -> Entry | None:
    """The entry of that number, if it is there and can be read."""
    try:
        return next(map(entry_in, catalogue.query("SELECT * FROM entry WHERE number = ?", [number])), None)
    except (ValueError, TypeError, KeyError, AttributeError):  # of a damaged catalogue; `remnants verify` tells what
        return None


def entries_since(catalogue: Catalogue, tag: str, version: int) -> tuple[Entry, ...]:
    """The entries of a piece after the one numbered `version`, oldest first."""
    sql = "SELECT * FROM entry WHERE tag = ? AND number > ? ORDER BY number"
    return tuple(entry_in(row) for row in catalogue.query(sql, [tag, version]))


def booking_entries(catalogue: Catalogue, booking: int) -> tuple[Entry, ...]:
    """The entries that were written together."""
    return tuple(entry_in(row) for row in catalogue.query("SELECT * FROM entry WHERE booking = ? ORDER BY number", [booking]))


def why_of(catalogue: Catalogue, numbers: Iterable[int], job: str) -> str:
    """The reason that stands in those of the entries that were written for the job; empty where none tells one."""
    every = iter(sorted(set(numbers)))
    while some := list(islice(every, _AT_ONCE)):
        marks = ", ".join("?" * len(some))
        sql = f"SELECT why FROM entry WHERE number IN ({marks}) AND job = ? AND why <> '' ORDER BY number LIMIT 1"
        row = catalogue.execute(sql, [*some, job]).fetchone()
        if row:
            return str(row[0])
    return ""


def last_place_by(catalogue: Catalogue, who: str) -> str:
    """Where the last stored piece that this person logged was put; empty when none is among the newest entries."""
    sql = (
        "SELECT json_extract(facts, '$.piece.place') FROM entry WHERE number > (SELECT max(number) FROM entry) - ?"
        " AND act = 'received' AND who = ? AND json_extract(facts, '$.piece.kind') IN ('remnant', 'offcut')"
        " ORDER BY number DESC LIMIT 1"
    )
    row = catalogue.execute(sql, [_NEWEST, who]).fetchone()
    return str(row[0]) if row else ""


def bookings_by(catalogue: Catalogue, who: str, *, most: int) -> Iterator[tuple[Entry, Entry, int, int]]:
    """The last bookings of this person among the newest entries, the newest first: holds, cuts and photographs aside.

    Of each its first and its last entry, about how many pieces it is, and for how many of them nothing happened since.
    """
    sql = (
        "SELECT min(entry.number) AS first, max(entry.number) AS last, count(*) AS pieces,"
        " sum(CASE WHEN piece.version = entry.number THEN 1 ELSE 0 END) AS standing"
        " FROM entry JOIN piece ON piece.tag = entry.tag"
        " WHERE entry.number > (SELECT max(number) FROM entry) - ? AND entry.who = ?"
        f" AND entry.act IN ({', '.join('?' * len(_AT_THE_DOCK))}) GROUP BY entry.booking ORDER BY entry.booking DESC LIMIT ?"
    )
    for row in list(catalogue.query(sql, [_NEWEST, who, *_AT_THE_DOCK, most])):
        first, last = (entry_numbered(catalogue, row[key]) for key in ("first", "last"))
        if first and last:
            yield first, last, row["pieces"], row["standing"]


def every_history(catalogue: Catalogue) -> Iterator[tuple[str, tuple[Entry, ...]]]:
    """Each tag with all its entries, oldest first, in the order of tags."""
    entries = map(entry_in, catalogue.each("SELECT * FROM entry ORDER BY tag, number"))
    for tag, own in groupby(entries, key=lambda entry: entry.tag):
        yield tag, tuple(own)


def _entry_row(entry: Entry) -> tuple[Any, ...]:
    signed = entry.signed
    written = (signed.who, time_text(signed.at), signed.why, signed.job)
    return entry.number, entry.booking, entry.tag, entry.act.value, facts_of(entry.change), *written


def entry_in(row: dict[str, Any]) -> Entry:
    """The entry in a row."""
    signed = Signed(row["who"], time_of(row["at"]), row["why"], row["job"])
    return Entry(row["number"], row["booking"], row["tag"], change_of(Act(row["act"]), row["facts"]), signed)
