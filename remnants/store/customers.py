"""Customers who have carpet of ours, and what little is known of them; forgetting one."""

import json
from typing import Any

from remnants.ledger import Signed, replay
from remnants.ledger.holders import photos_at, stays
from remnants.model.customer import Customer
from remnants.store import ledger, photos
from remnants.store.catalogue import Catalogue
from remnants.store.rows import time_text

__all__ = ["every_customer", "find", "forget", "put", "sweep"]

_ERASED = "erased"


def find(catalogue: Catalogue, reference: str) -> Customer | None:
    """The customer of that reference."""
    return next((_customer(row) for row in catalogue.query("SELECT * FROM customer WHERE reference = ?", [reference])), None)


def every_customer(catalogue: Catalogue) -> tuple[Customer, ...]:
    """All customers, by reference."""
    return tuple(_customer(row) for row in catalogue.query("SELECT * FROM customer ORDER BY reference"))


def put(catalogue: Catalogue, customer: Customer) -> None:
    """Stores a customer, new or in place of the one of that reference. The caller holds the transaction."""
    sql = (
        "INSERT INTO customer (reference, name, phone, address, may_call) VALUES (?, ?, ?, ?, ?)"
        " ON CONFLICT (reference) DO UPDATE SET name = excluded.name, phone = excluded.phone, address = excluded.address,"
        " may_call = excluded.may_call, forgotten_at = NULL"
    )
    catalogue.execute(sql, [customer.reference, customer.name, customer.phone, customer.address, customer.may_call])


def forget(catalogue: Catalogue, reference: str, signed: Signed) -> None:
    """Erases what is known of a customer: name, phone, address, and in the ledger where in their home the carpet lies and why.

    The photographs that were taken there go too. The reference, the carpet and what happened to it stay. The caller holds the
    transaction, and empties the journal after it.
    """
    sql = "UPDATE customer SET name = '', phone = '', address = '', may_call = 0, forgotten_at = ? WHERE reference = ?"
    catalogue.execute(sql, [time_text(signed.at), reference])
    had = (
        "SELECT DISTINCT tag FROM entry"
        " WHERE coalesce(json_extract(facts, '$.customer'), json_extract(facts, '$.piece.customer')) = ? ORDER BY tag"
    )
    for row in list(catalogue.query(had, [reference])):
        _forget_in(catalogue, row["tag"], reference, signed)


def _forget_in(catalogue: Catalogue, tag: str, reference: str, signed: Signed) -> None:
    """Erases of one piece what is the customer's: places, rooms, photographs; reasons up to its coming back."""
    found = stays(ledger.entries_of(catalogue, tag))
    theirs = [stay for stay in found if reference in (stay.before, stay.after)]
    if not theirs:
        return
    for stay in theirs:
        (text,) = catalogue.execute("SELECT facts FROM entry WHERE number = ?", [stay.entry.number]).fetchone()
        if stay.after == reference:
            text = json.dumps(_erased(json.loads(text)), separators=(",", ":"))
        catalogue.execute("UPDATE entry SET facts = ?, why = '', erased = 1 WHERE number = ?", [text, stay.entry.number])
    photos.take_away_some(catalogue, tag, photos_at(found, reference), signed)
    standing = replay(ledger.entries_of(catalogue, tag)).standing
    if standing:
        ledger.stand(catalogue, standing)


def _erased(facts: dict[str, Any]) -> dict[str, Any]:
    """The facts without a place or a room, wherever they stand."""
    blank = {"place": _ERASED, "room": ""}
    return {
        key: _erased(value) if isinstance(value, dict) else blank.get(key, value) if value else value
        for key, value in facts.items()
    }


def _customer(row: dict[str, Any]) -> Customer:
    return Customer(row["reference"], row["name"], row["phone"], row["address"], may_call=bool(row["may_call"]))


def sweep(catalogue: Catalogue) -> None:
    """Empties the journal into the file, so that what was erased lies in neither. Not within a transaction."""
    catalogue.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
