"""A packed file that anybody may have made: looked over before it is read, since a few kilobytes may unpack to gigabytes."""

import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager

from remnants.errors import BadFile, BadInput, Fault
from remnants.limits import UNPACKED_BYTES, WORKBOOK_BYTES

__all__ = ["opened_archive", "sound_part"]

MOST_PARTS = 2_000
MOST_RATIO = 200
SMALL = 1024 * 1024
"""A part that unpacks to no more than this may be packed as closely as it will."""


@contextmanager
def opened_archive(raw: bytes, name: str) -> Iterator[zipfile.ZipFile]:
    """The archive in the bytes of the file called `name`. Raises BadFile: too large, unpacks to too much, damaged, protected.

    Whatever the readers of its parts stumble over is refused too.
    """
    if len(raw) > WORKBOOK_BYTES:
        raise BadFile([Fault(name, f"over {WORKBOOK_BYTES // 2**20} MB; take pictures out of it, or save the sheet as CSV")])
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            _look_over(archive, name)
            yield archive
    except BadInput:
        raise
    except Exception:
        raise BadFile([Fault(name, "this workbook is damaged or breaks off; save it anew, or save the sheet as CSV")]) from None


def sound_part(archive: zipfile.ZipFile, part: str, name: str) -> bytes:
    """The bytes of a part. Raises BadFile for one that declares entities: they may swell, or name files to be read."""
    data = archive.read(part)
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise BadFile(
            [Fault(name, "this workbook declares entities, which no spreadsheet does; save it anew, or save the sheet as CSV")]
        )
    return data


def _look_over(archive: zipfile.ZipFile, name: str) -> None:
    parts = archive.infolist()
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > UNPACKED_BYTES:
        raise BadFile([Fault(name, f"unpacks to over {UNPACKED_BYTES // 2**20} MB; save the sheet as CSV")])
    if any(part.file_size > SMALL and part.file_size > MOST_RATIO * max(part.compress_size, 1) for part in parts):
        raise BadFile([Fault(name, "unpacks to far more than it holds, as no spreadsheet does; save the sheet as CSV")])
    if any(part.flag_bits & 1 for part in parts):
        raise BadFile([Fault(name, "this workbook is protected by a password; save it without one")])
