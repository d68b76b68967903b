"""Customers who have carpet of ours, and what little is known of them; forgetting one."""

import json
from collections.abc import Sequence
from itertools import count
from typing import Any

from remnants.ledger import Signed, replay
from remnants.ledger.holders import photos_at, stays
from remnants.model.attributes import PLAIN
from remnants.model.customer import Customer
from remnants.store import ledger, photos, traces
from remnants.store.catalogue import Catalogue
from remnants.store.chaining import erase_in_entry
from remnants.store.rows import time_text
from remnants.store.worth_kept import put_in_sums

__all__ = ["every_customer", "find", "forget", "forget_reasons", "put"]


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


def forget(catalogue: Catalogue, reference: str, signed: Signed) -> str:
    """Erases what is known of a customer: reference, name, phone, address, and in the ledger where in their home the carpet lies
    and why. Gives the word, such as `erased-1`, that stands for them from now on.

    The photographs that were taken there go too. The carpet and what happened to it stay. The caller holds the transaction, and
    sweeps after it.
    """
    called = reference if _is_forgotten(catalogue, reference) else _fresh_word(catalogue)
    sql = (
        "UPDATE customer SET reference = ?, name = '', phone = '', address = '', may_call = 0, forgotten_at = ?"
        " WHERE reference = ?"
    )
    catalogue.execute(sql, [called, time_text(signed.at), reference])
    _forget_requests(catalogue, reference)
    had = (
        "SELECT DISTINCT tag FROM entry"
        " WHERE coalesce(json_extract(facts, '$.customer'), json_extract(facts, '$.piece.customer')) = ? ORDER BY tag"
    )
    for row in list(catalogue.query(had, [reference])):
        _forget_in(catalogue, row["tag"], reference, called=called, signed=signed)
    put_in_sums(catalogue)  # no name of a place is left in what waits for that
    return called


def forget_reasons(catalogue: Catalogue, words: Sequence[str]) -> tuple[str, ...]:
    """Erases each reason in which one of the words stands as it is written, whosever the piece is; gives the tags, in order.

    The caller holds the transaction, and sweeps after it.
    """
    told = traces.reasons_telling(catalogue, words)
    for number, _ in told:
        (facts,) = catalogue.execute("SELECT facts FROM entry WHERE number = ?", [number]).fetchone()
        erase_in_entry(catalogue, number, facts)
    tags = tuple(sorted({tag for _, tag in told}))
    for tag in tags:
        _stand_again(catalogue, tag)
    put_in_sums(catalogue)
    return tags


def _stand_again(catalogue: Catalogue, tag: str) -> None:
    standing = replay(ledger.entries_of(catalogue, tag)).standing
    if standing:
        ledger.stand(catalogue, standing)


def _is_forgotten(catalogue: Catalogue, reference: str) -> bool:
    sql = "SELECT 1 FROM customer WHERE reference = ? AND forgotten_at IS NOT NULL"
    return catalogue.execute(sql, [reference]).fetchone() is not None


def _fresh_word(catalogue: Catalogue) -> str:
    taken = {customer.reference for customer in every_customer(catalogue)}
    return next(word for number in count(1) if (word := f"erased-{number}") not in taken)


def _forget_requests(catalogue: Catalogue, reference: str) -> None:
    """What was answered to who put the customer in is erased; their keys stay, so that nobody puts them in again by a repeat."""
    sql = "UPDATE request SET asked = '', answer = 'null' WHERE answer = ? AND NOT EXISTS (SELECT 1 FROM piece WHERE tag = ?)"
    catalogue.execute(sql, [json.dumps(reference), reference])


def _forget_in(catalogue: Catalogue, tag: str, reference: str, *, called: str, signed: Signed) -> None:
    """Erases of one piece what is the customer's: reference, places, rooms, photographs; reasons up to its coming back."""
    found = stays(ledger.entries_of(catalogue, tag))
    theirs = [stay for stay in found if reference in (stay.before, stay.after)]
    if not theirs:
        return
    for stay in theirs:
        (text,) = catalogue.execute("SELECT facts FROM entry WHERE number = ?", [stay.entry.number]).fetchone()
        if stay.after == reference:
            text = json.dumps(_erased(json.loads(text), called), separators=(",", ":"))
        erase_in_entry(catalogue, stay.entry.number, text)
    photos.take_away_some(catalogue, tag, photos_at(found, reference), signed)
    _stand_again(catalogue, tag)


def _erased(facts: dict[str, Any], called: str) -> dict[str, Any]:
    """The facts without what tells where in a home the carpet lies, and with the word that stands for the customer."""
    blank = {attribute.field: attribute.erased for attribute in PLAIN if attribute.erased is not None} | {"customer": called}
    return {
        key: _erased(value, called) if isinstance(value, dict) else blank.get(key, value) if value else value
        for key, value in facts.items()
    }


def _customer(row: dict[str, Any]) -> Customer:
    return Customer(row["reference"], row["name"], row["phone"], row["address"], may_call=bool(row["may_call"]))
