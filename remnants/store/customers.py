"""Customers who have carpet of ours, and what little is known of them; forgetting one."""

import json
from itertools import groupby
from typing import Any

from remnants.ledger import Signed, replay
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

    The reference, the carpet and what happened to it stay. The caller holds the transaction, and empties the journal after it.
    """
    sql = "UPDATE customer SET name = '', phone = '', address = '', may_call = 0, forgotten_at = ? WHERE reference = ?"
    catalogue.execute(sql, [time_text(signed.at), reference])
    rows = catalogue.query(
        "SELECT tag, number, facts FROM entry WHERE tag IN (SELECT tag FROM entry WHERE instr(facts, ?)) ORDER BY tag, number",
        [json.dumps(reference)],
    )
    for tag, entries in groupby(list(rows), key=lambda row: row["tag"]):
        _forget_in(catalogue, [(row["number"], json.loads(row["facts"])) for row in entries], reference)
        photos.take_away_all(catalogue, tag, signed)
        standing = replay(ledger.entries_of(catalogue, tag)).standing
        if standing:
            ledger.stand(catalogue, standing)


def _forget_in(catalogue: Catalogue, entries: list[tuple[int, dict[str, Any]]], reference: str) -> None:
    """Erases places and rooms from the entries of one piece while it was with the customer, and reasons up to its coming back."""
    holder = ""
    for number, facts in entries:
        before, holder = holder, facts.get("piece", facts).get("customer", holder)
        if reference in (before, holder):
            text = json.dumps(_erased(facts) if holder == reference else facts, separators=(",", ":"))
            catalogue.execute("UPDATE entry SET facts = ?, why = '', erased = 1 WHERE number = ?", [text, number])


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
