"""Whether each photograph is the one that its entries tell of, and no other is told of; whether what is in store adds up."""

import hashlib
from collections.abc import Callable, Iterator
from typing import Any

from remnants.errors import CatalogueUnusable, Fault
from remnants.ledger import Entry, Photographed, PhotoTakenAway
from remnants.store.catalogue import Catalogue
from remnants.store.ledger import entry_in
from remnants.store.rows import time_text
from remnants.store.soundness import entry_name, told, told_beside, unvouched, where

__all__ = ["jpeg_size", "photo_faults", "store_change_faults"]

_SLACK_MM2 = 100.0
_SLACK = 1e-6
"""By how much, and by what share, areas in store may differ from those added up change by change: each was rounded."""

_MARKERS = frozenset({*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0)})
"""Segments of a JPEG that tell its size (ISO/IEC 10918-1, table B.1: the frames, SOF)."""


def photo_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """Photographs without their file or entry, or with another file than was put there; entries without their photograph.

    One photograph's file is read at a time; `passed` hears of each.
    """
    try:
        for row in unvouched(catalogue, "SELECT * FROM photo ORDER BY number"):
            yield from (Fault(where("photo", row), what) for what in _photo_faults(catalogue, row))
            passed(1)
        sql = (
            "SELECT * FROM entry WHERE act IN ('photographed', 'photograph taken away')"
            " AND CASE WHEN json_valid(facts) THEN CAST(json_extract(facts, '$.photo') AS TEXT) END"
            " NOT IN (SELECT CAST(number AS TEXT) FROM photo)"
        )
        for row in unvouched(catalogue, sql):
            yield Fault(entry_name(row), "tells of a photograph that is not there")
    except CatalogueUnusable as error:
        yield Fault("photographs", str(error))


def _photo_faults(catalogue: Catalogue, row: dict[str, Any]) -> Iterator[str]:
    put = gone = None
    for entry in _entries(catalogue, row["tag"]):
        change = entry.change
        put = entry if isinstance(change, Photographed) and change.photo == row["number"] else put
        gone = entry if isinstance(change, PhotoTakenAway) and change.photo == row["number"] else gone
    if put is None or not isinstance(put.change, Photographed):
        yield f"no entry of {row['tag']!s:.60} tells of it"
        return
    for word, should in (("who", put.signed.who), ("at", time_text(put.signed.at))):
        if row[word] != should:
            is_now, was = told_beside(row[word], should)
            yield f"`{word}` is {is_now}; by entry {put.number} it should be {was}"
    if row["jpeg"] is None and gone is None:
        yield f"its file is missing, and no entry says that it was taken away (entry {put.number} put it there)"
    elif row["jpeg"] is not None and gone is not None:
        yield f"its file is there; by entry {gone.number} it was taken away"
    elif gone is not None and row["gone_at"] != time_text(gone.signed.at):
        is_now, was = told_beside(row["gone_at"], time_text(gone.signed.at))
        yield f"`gone_at` is {is_now}; by entry {gone.number} it should be {was}"
    if isinstance(row["jpeg"], bytes):
        yield from _file_faults(row, put.change)


def _file_faults(row: dict[str, Any], told_by: Photographed) -> Iterator[str]:
    jpeg = row["jpeg"]
    if told_by.sha256 and hashlib.sha256(jpeg).hexdigest() != told_by.sha256:
        yield f"its file ({len(jpeg)} bytes) is not the one that was put there ({told_by.size_bytes} bytes)"
    elif len(jpeg) != told_by.size_bytes:
        yield f"its file has {len(jpeg)} bytes; by its entry it should have {told_by.size_bytes}"
    size = jpeg_size(jpeg)
    if size and size != (row["across"], row["down"]):
        yield f"it is {row['across']} x {row['down']} pixels by its row and {size[0]} x {size[1]} by its file"


def jpeg_size(jpeg: bytes) -> tuple[int, int] | None:
    """Across and down, in pixels, as a JPEG's frame tells them; None where it has none."""
    at = 2
    while at + 9 <= len(jpeg) and jpeg[at] == 0xFF:
        if jpeg[at + 1] in _MARKERS:
            return int.from_bytes(jpeg[at + 7 : at + 9]), int.from_bytes(jpeg[at + 5 : at + 7])
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4])
    return None


def _entries(catalogue: Catalogue, tag: Any) -> Iterator[Entry]:
    sql = "SELECT * FROM entry WHERE tag = ? AND act IN ('photographed', 'photograph taken away') ORDER BY number"
    for row in unvouched(catalogue, sql, [tag]):
        try:
            yield entry_in(row)
        except Exception:  # told with the piece
            continue


def store_change_faults(catalogue: Catalogue) -> Iterator[Fault]:
    """Styles of which another number or area of pieces is in store than the changes entry by entry add up to."""
    sql = (
        "SELECT style, sum(pieces) AS pieces, sum(area_mm2) AS area_mm2, sum(told) AS told, sum(told_mm2) AS told_mm2 FROM ("
        " SELECT style, 1 AS pieces, area_mm2, 0 AS told, 0.0 AS told_mm2 FROM piece"
        " WHERE stage IN ('in stock', 'held') AND kind IN ('remnant', 'offcut')"
        " UNION ALL SELECT style, 0, 0.0, pieces, area_mm2 FROM store_change) AS alike GROUP BY style ORDER BY style"
    )
    try:
        for row in unvouched(catalogue, sql):
            gap_mm2 = abs((row["area_mm2"] or 0) - (row["told_mm2"] or 0))
            if row["pieces"] != row["told"] or not gap_mm2 <= _SLACK_MM2 + _SLACK * (row["area_mm2"] or 0):
                there = f"{row['pieces']} pieces of {row['area_mm2']:.0f} mm² are in store"
                what = f"{there}; the changes entry by entry add up to {row['told']} of {row['told_mm2']:.0f} mm²"
                yield Fault(f"style {row['style']!s:.60}", what)
        named = "SELECT 1 FROM entry WHERE entry.number = store_change.number"
        lost = f"SELECT * FROM store_change WHERE NOT EXISTS ({named}) ORDER BY number"
        for row in unvouched(catalogue, lost):
            yield Fault("what is in store over time", f"a change names the entry {told(row['number'])}, which is not there")
    except (CatalogueUnusable, TypeError, ValueError) as error:
        yield Fault("what is in store over time", str(error))
