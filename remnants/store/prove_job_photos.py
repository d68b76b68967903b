"""Whether each photograph of a job is the file that was put there, and its job is there."""

import hashlib
from collections.abc import Callable, Iterator
from typing import Any

from remnants.errors import CatalogueUnusable, Fault
from remnants.store.catalogue import Catalogue
from remnants.store.prove_photos import jpeg_size
from remnants.store.rows import time_of, time_text
from remnants.store.soundness import told, unvouched, where

__all__ = ["file_is_told", "job_photo_faults"]


def job_photo_faults(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Iterator[Fault]:
    """Photographs with another file than was put there, or of a job that is not there; times that are none.

    One photograph's file is read at a time; `passed` hears of each.
    """
    sql = "SELECT job_photo.*, job.number AS own FROM job_photo LEFT JOIN job ON job.number = job_photo.job ORDER BY 1"
    try:
        for row in unvouched(catalogue, sql):
            yield from (Fault(where("job_photo", row), what) for what in _faults(row))
            passed(1)
    except CatalogueUnusable as error:
        yield Fault("photographs of jobs", str(error))


def file_is_told(row: dict[str, Any]) -> bool:
    """Whether a photograph's file is the one that its row tells of, by size, SHA-256 and pixels."""
    return not list(_file_faults(row))


def _faults(row: dict[str, Any]) -> Iterator[str]:
    for column in ("at", "gone_at"):
        if row[column] is not None and not _is_time(row[column]):
            yield f"`{column}` is {told(row[column])}, which is no time"
    if row["jpeg"] is not None:
        if row["own"] is None:
            yield f"its job, number {told(row['job'])}, is not there"
        yield from _file_faults(row)


def _file_faults(row: dict[str, Any]) -> Iterator[str]:
    jpeg = row["jpeg"]
    if not isinstance(jpeg, bytes):
        yield f"its file is {told(jpeg)}"
    elif len(jpeg) != row["size_bytes"] or hashlib.sha256(jpeg).hexdigest() != row["sha256"]:
        yield f"its file ({len(jpeg)} bytes) is not the one that was put there ({told(row['size_bytes'])} bytes)"
    elif (size := jpeg_size(jpeg)) and size != (row["across"], row["down"]):
        yield f"it is {told(row['across'])} x {told(row['down'])} pixels by its row and {size[0]} x {size[1]} by its file"


def _is_time(text: Any) -> bool:
    try:
        return bool(time_text(time_of(text)) == text)
    except (TypeError, ValueError):
        return False
