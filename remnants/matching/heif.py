"""Pictures as many phones store them: HEIC, HEVC in a HEIF file (ISO/IEC 23008-12). Read where a library is there for it."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING

from remnants.errors import BadFile
from remnants.late import Late

if TYPE_CHECKING:
    import pi_heif
else:
    pi_heif = Late("pi_heif")

__all__ = ["KINDS", "kinds_of"]

KINDS = ("JPEG", "PNG", "WEBP")
"""Kinds of picture that are always read."""

_BRANDS = frozenset((b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"))
"""What such a file says it is: its first box tells its kind, 4 bytes after `ftyp` (ISO/IEC 14496-12, 4.3)."""


def kinds_of(photo: bytes) -> tuple[str, ...]:
    """The kinds of picture that the bytes of a file may be opened as. Raises BadFile for HEIC where nothing can read it."""
    if photo[4:8] != b"ftyp" or photo[8:12] not in _BRANDS:
        return KINDS
    if find_spec("pi_heif") is None:
        raise BadFile(
            "this is a HEIC picture, and what reads those is not installed. Set the camera to JPEG (“most compatible”) "
            "and take it again, or `pip install 'remnants[photo]'`"
        )
    pi_heif.register_heif_opener(thumbnails=False, decode_threads=1)
    return ("HEIF",)
