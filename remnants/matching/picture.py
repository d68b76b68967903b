"""A photograph as it was sent: opened with care, since anybody may have made it."""

import io
import re
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

from remnants.errors import BadFile, BadInput
from remnants.limits import PHOTO_BYTES, PHOTO_PIXELS, PHOTO_PIXELS_WHOLE, PHOTO_SCANS
from remnants.matching.heif import kinds_of

__all__ = ["picture_in"]

LEAST_SIDE = 200
_MARK = re.compile(rb"\xff+([^\x00\x01\xff\xd0-\xd8])")
_END, _SCAN = b"\xd9", b"\xda"
_PROGRESSIVE = frozenset((b"\xc2", b"\xc6", b"\xca", b"\xce"))
_READ_SMALL = frozenset({"JPEG", "MPO"})


def picture_in(photo: bytes, most_side: int) -> Image.Image:
    """The picture in the bytes of a JPEG, PNG, WebP or HEIC file: upright, in sRGB channels, at most `most_side` pixels each way.

    Raises BadFile when it is too large or too small, is no such picture, or breaks off; its size is read before any pixel is.
    """
    if len(photo) > PHOTO_BYTES:
        raise BadFile(f"the picture has over {PHOTO_BYTES / 1e6:.0f} MB; give a smaller one")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(photo), formats=kinds_of(photo)) as opened:
                _sized(
                    opened.size, PHOTO_PIXELS if opened.format in _READ_SMALL and not _gone_over(photo) else PHOTO_PIXELS_WHOLE
                )
                opened.draft("RGB", (most_side, most_side))
                opened.thumbnail((2 * most_side, 2 * most_side), Image.Resampling.BOX)  # before any copy is made of it
                image = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError, EOFError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadFile("this is no picture that can be read: give a JPEG, PNG or WebP photograph") from None
    image.thumbnail((most_side, most_side), Image.Resampling.BOX)
    return image


def _gone_over(jpeg: bytes) -> bool:
    """Whether a JPEG is gone over several times, which takes its whole picture in memory, whatever size is wanted.

    Its marks are read, not its picture (ITU-T T.81, B.1). Raises BadFile for one that is gone over too often.
    """
    at, scans, whole = 2, 0, False
    while (found := _MARK.search(jpeg, at)) and found[1] != _END:
        at = found.end()
        whole |= found[1] in _PROGRESSIVE
        scans += found[1] == _SCAN
        at += int.from_bytes(jpeg[at : at + 2], "big")  # what belongs to the mark, its own length included
        if scans > PHOTO_SCANS:
            raise BadFile(f"the picture is a JPEG of over {PHOTO_SCANS} scans; save it anew, and give that")
    return whole or scans > 1


def _sized(size: tuple[int, int], most: int) -> None:
    across, down = size
    if across * down > most:
        raise BadFile(f"the picture is {across} x {down}; give one of at most {most / 1e6:.0f} million pixels, or a JPEG")
    if min(size) < LEAST_SIDE:
        raise BadFile(f"the picture is {across} x {down}; give one of at least {LEAST_SIDE} pixels each way")
