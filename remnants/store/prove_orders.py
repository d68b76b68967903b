"""Whether each saved order can still be told and opened: its revisions in a row, what is kept of each, its rooms file."""

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from remnants.errors import CatalogueUnusable, Fault
from remnants.store.catalogue import Catalogue
from remnants.store.soundness import unvouched

__all__ = ["order_faults"]


def order_faults(
    catalogue: Catalogue, *, reads: Callable[[Mapping[str, Any]], Any], passed: Callable[[int], None] = lambda _: None
) -> Iterator[Fault]:
    """Revisions that are missing or can't be read. `reads` reads what is kept, and `passed` hears of each row."""
    before = (0, 0)
    try:
        for row in unvouched(catalogue, "SELECT number, revision, kept, asked FROM kept_order ORDER BY number, revision"):
            number, revision = row["number"], row["revision"]
            due = before[1] + 1 if number == before[0] else 1
            if revision != due:
                yield Fault(f"order {number}", f"revision {due} is missing before revision {revision}")
            yield from (Fault(f"order {number}, revision {revision}", what) for what in _faults(row, reads))
            before = (number, revision)
            passed(1)
    except CatalogueUnusable as error:
        yield Fault("saved orders", str(error))


def _faults(row: Mapping[str, Any], reads: Callable[[Mapping[str, Any]], Any]) -> Iterator[str]:
    try:
        reads(json.loads(row["kept"]))
    except (ValueError, TypeError, LookupError, AttributeError):
        yield "what is kept of it can't be read"
    try:
        if row["asked"] and not isinstance(json.loads(row["asked"]), dict):
            yield "its rooms file is none"
    except (ValueError, TypeError):
        yield "its rooms file can't be read"
