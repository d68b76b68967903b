"""Whether the chain of entries is whole: each says what it said when it was written, after the one that stood before it."""

import json
from collections.abc import Callable, Iterator
from typing import Any

from remnants.errors import CatalogueUnusable, Fault
from remnants.ledger.chain import covers_kept, digest_of
from remnants.store.catalogue import Catalogue
from remnants.store.soundness import entry_name, told, unvouched

__all__ = ["chain_faults"]

_ERASED = "erased"
"""What stands where words were erased, or begins it."""

_GONE = "is not there, and what comes after doesn't go on from what comes before"


def chain_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """Entries that were changed, taken out, put in or put elsewhere, each by its place. `passed` hears of each that is read."""
    before, last = "", 0
    try:
        for row in unvouched(catalogue, "SELECT * FROM entry ORDER BY number"):
            what, digest = _link_fault(before, row)
            if what and row["number"] > last + 1 > 0:
                yield Fault(_numbers(last + 1, row["number"] - 1), _GONE)
            if what:
                yield Fault(entry_name(row), what)
            yield from (Fault(entry_name(row), words) for words in _erasure_faults(row))
            before, last = digest, row["number"]
            passed(1)
    except CatalogueUnusable as error:
        yield Fault("the chain of entries", str(error))


def _numbers(first: int, last: int) -> str:
    return f"entry {first}" if first == last else f"each entry from {first} to {last}"


def _link_fault(before: str, row: dict[str, Any]) -> tuple[str, str]:
    """What is wrong with an entry's digest, if anything; and that digest, from which the next entry goes on."""
    digest = row["digest"].hex() if isinstance(row["digest"], bytes) else ""
    if not digest:
        return "has no digest: it was put in from outside, or its digest was taken out", digest
    try:
        should = digest_of(before, row, json.loads(row["salts"]))
    except Exception as error:  # what can't be read was not written so
        return f"is not as it was written: {error}", digest
    return ("" if should == digest else "is not as it was written, or what stood before it is not"), digest


def _erasure_faults(row: dict[str, Any]) -> Iterator[str]:
    try:
        kept = list(covers_kept(row, json.loads(row["salts"])))
    except Exception:  # told already
        return
    for path, words in kept:
        if words and not str(words).startswith(_ERASED):
            yield f"its {path} was erased, and is {told(words)} now"
    if kept and row["erased"] != 1:
        yield f"`erased` is {told(row['erased'])}, and something of it was erased"
