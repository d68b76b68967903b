"""The chain of entries as rows: digests and salts are written with each entry, in the same transaction."""

import json
import os
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from remnants.ledger.chain import CHAINED, SALT_LETTERS, Head, digest_of, erased_salts, linked
from remnants.store.catalogue import Catalogue

__all__ = [
    "CHAIN",
    "CHAINED_STAND",
    "add_entries",
    "altered",
    "chain_what_is_there",
    "chained_anew",
    "erase_in_entry",
    "head_of",
    "heads_like",
    "newest_head",
]

CHAIN = """
ALTER TABLE entry ADD COLUMN salts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(salts));
ALTER TABLE entry ADD COLUMN digest BLOB NOT NULL DEFAULT x'' CHECK (length(digest) IN (0, 32));
DROP TRIGGER entries_stand;
"""
"""Each entry gets a digest over what it says and the digest before (`ledger/chain.py`), and the salts of what may be erased."""

CHAINED_STAND = """
CREATE TRIGGER entries_stand BEFORE UPDATE ON entry
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.booking = OLD.booking AND NEW.tag = OLD.tag
          AND NEW.act = OLD.act AND NEW.at = OLD.at AND NEW.who = OLD.who AND NEW.job = OLD.job
          AND NEW.digest = OLD.digest) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;
"""

_ADD = f"INSERT INTO entry ({', '.join(CHAINED)}, salts, digest) VALUES ({', '.join('?' * len(CHAINED))}, ?, ?)"
_AT_ONCE = 500
_written = json.JSONEncoder(separators=(",", ":")).encode


def add_entries(catalogue: Catalogue, rows: Iterable[tuple[Any, ...]]) -> None:
    """Adds entries, each the values of CHAINED, in the order of their numbers. The caller holds the transaction."""
    catalogue.many(_ADD, list(_linked(catalogue, rows)))


def _linked(catalogue: Catalogue, rows: Iterable[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
    head = newest_head(catalogue)
    before = head.digest if head else ""
    for row in rows:
        salts, before = _link(before, dict(zip(CHAINED, row, strict=True)))
        yield (*row, salts, bytes.fromhex(before))


def _link(before: str, row: Mapping[str, Any]) -> tuple[str, str]:
    """The salts of an entry, as JSON text, and its digest."""
    salts, digest = linked(before, row, lambda: os.urandom(SALT_LETTERS // 2).hex())
    return _written(salts), digest


def chained_anew(rows: Iterable[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    """Rows of entries, in the order of their numbers, each with the digest that it has after those before it.

    Where none is lacking it is the one that it had; else it is a new one. Raises ValueError where salts don't go with the words.
    """
    before = ""
    for row in rows:
        if row["digest"]:
            salts = str(row["salts"])
            before = digest_of(before, row, json.loads(salts))
        else:
            salts, before = _link(before, row)
        yield {**row, "salts": salts, "digest": bytes.fromhex(before)}


def altered(rows: Iterable[Mapping[str, Any]]) -> Iterator[int]:
    """The numbers of entries that don't say what they said when they were written, as far as the entry before them is there.

    `rows` are in the order of their numbers. Where it is the digest before that was changed, the entry after it is told.
    """
    last: Mapping[str, Any] = {"number": 0, "digest": b""}
    for row in rows:
        if row["digest"] and row["number"] == last["number"] + 1 and (last["digest"] or not last["number"]):
            try:
                if digest_of(last["digest"].hex(), row, json.loads(row["salts"])) != row["digest"].hex():
                    yield row["number"]
            except Exception:  # what can't be read was not written so
                yield row["number"]
        last = row


def newest_head(catalogue: Catalogue) -> Head | None:
    """The newest entry and its digest; None before any."""
    row = catalogue.execute("SELECT number, digest FROM entry ORDER BY number DESC LIMIT 1").fetchone()
    return _head(*row) if row else None


def head_of(catalogue: Catalogue, number: int) -> Head | None:
    """The entry of that number and its digest, if it is there."""
    row = catalogue.execute("SELECT number, digest FROM entry WHERE number = ?", [number]).fetchone()
    return _head(*row) if row else None


def heads_like(catalogue: Catalogue, letters: str) -> tuple[Head, ...]:
    """The entries whose digest begins with these hexadecimal letters, in capitals, oldest first."""
    rows = catalogue.execute("SELECT number, digest FROM entry WHERE hex(digest) LIKE ? ORDER BY number", [f"{letters}%"])
    return tuple(_head(number, digest) for number, digest in rows)


def _head(number: int, digest: bytes) -> Head:
    """Of a damaged catalogue too, whose digest may be anything."""
    return Head(number, digest.hex() if isinstance(digest, bytes) else "")


def chain_what_is_there(catalogue: Catalogue) -> None:
    """Chains the entries without a digest that come after all that have one, as they are now. The caller holds the transaction.

    For steps of the migrations: that of the chain, and any later one that adds entries by SQL. Such a step drops the guard
    `entries_stand` before, and makes it again after.
    """
    head = catalogue.execute("SELECT number, digest FROM entry WHERE digest <> ? ORDER BY number DESC LIMIT 1", [b""]).fetchone()
    last, before = (head[0], head[1].hex()) if head else (0, "")
    read = f"SELECT {', '.join(CHAINED)} FROM entry WHERE number > ? ORDER BY number LIMIT {_AT_ONCE}"
    while some := list(catalogue.query(read, [last])):
        chained = []
        for row in some:
            salts, before = _link(before, row)
            chained.append((salts, bytes.fromhex(before), row["number"]))
        last = some[-1]["number"]
        catalogue.many("UPDATE entry SET salts = ?, digest = ? WHERE number = ?", chained)


def erase_in_entry(catalogue: Catalogue, number: int, facts: str) -> None:
    """Puts facts (JSON text) without what is erased in place of an entry's, and no reason. The caller holds the transaction.

    The salts of what went go with it; the digest stays what it was.
    """
    (row,) = catalogue.query("SELECT facts, why, salts FROM entry WHERE number = ?", [number])
    salts = json.dumps(erased_salts(row, json.loads(row["salts"]), facts=facts, why=""), separators=(",", ":"))
    sql = "UPDATE entry SET facts = ?, why = '', salts = ?, erased = 1 WHERE number = ?"
    catalogue.execute(sql, [facts, salts, number])
