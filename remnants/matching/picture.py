"""A photograph as it was sent: opened with care, since anybody may have made it."""

import io
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

from remnants.errors import BadFile, BadInput
from remnants.limits import PHOTO_BYTES, PHOTO_PIXELS, PHOTO_PIXELS_WHOLE

__all__ = ["picture_in"]

LEAST_SIDE = 200
_READ_SMALL = frozenset({"JPEG", "MPO"})


def picture_in(photo: bytes, most_side: int) -> Image.Image:
    """The picture in the bytes of a JPEG, PNG or WebP file: upright, in sRGB channels, at most `most_side` pixels each way.

    Raises BadFile when it is too large or too small, is no such picture, or breaks off; its size is read before any pixel is.
    """
    if len(photo) > PHOTO_BYTES:
        raise BadFile(f"the picture has over {PHOTO_BYTES / 1e6:.0f} MB; give a smaller one")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(photo), formats=("JPEG", "PNG", "WEBP")) as opened:
                _sized(opened.size, PHOTO_PIXELS if opened.format in _READ_SMALL else PHOTO_PIXELS_WHOLE)
                opened.draft("RGB", (most_side, most_side))
                opened.thumbnail((2 * most_side, 2 * most_side), Image.Resampling.BOX)  # before any copy is made of it
                image = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError, EOFError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadFile("this is no picture that can be read: give a JPEG, PNG or WebP photograph") from None
    image.thumbnail((most_side, most_side), Image.Resampling.BOX)
    return image


def _sized(size: tuple[int, int], most: int) -> None:
    across, down = size
    if across * down > most:
        raise BadFile(f"the picture is {across} x {down}; give one of at most {most / 1e6:.0f} million pixels, or a JPEG")
    if min(size) < LEAST_SIDE:
        raise BadFile(f"the picture is {across} x {down}; give one of at least {LEAST_SIDE} pixels each way")
