"""Whether each agreement still holds the text that the customer read, and a name and lines that could have been sent."""

import hashlib
from collections.abc import Callable, Iterator
from typing import Any

from remnants.errors import BadInput, CatalogueUnusable, Fault
from remnants.model.drawn_name import read_strokes
from remnants.store.catalogue import Catalogue
from remnants.store.soundness import unvouched, where

__all__ = ["agreement_faults"]


def agreement_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """Agreements whose text isn't that of their digest, or whose drawn name can't be read; `passed` hears of each."""
    try:
        for row in unvouched(catalogue, "SELECT * FROM agreement ORDER BY number"):
            yield from (Fault(where("agreement", row), what) for what in _faults(row))
            passed(1)
    except CatalogueUnusable as error:
        yield Fault("agreements", str(error))


def _faults(row: dict[str, Any]) -> Iterator[str]:
    if row["erased"]:
        if row["read"] or row["digest"] or row["strokes"] != "[]":
            yield "its customer was forgotten, and yet something of theirs is there"
        return
    if hashlib.sha256(str(row["read"]).encode(errors="surrogateescape")).hexdigest() != row["digest"]:
        yield "its text is not the one that was read before it was signed: its digest is that of another"
    try:
        read_strokes(str(row["strokes"]))
    except BadInput as error:
        yield f"its drawn name can't be read: {error}"
