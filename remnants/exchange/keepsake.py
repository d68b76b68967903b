"""A photograph of a piece, made fit to be kept: drawn anew, so that nothing but its pixels comes in."""

import io

from PIL import Image

from remnants.matching.picture import picture_in
from remnants.model.picture import Picture

__all__ = ["kept_picture"]

MOST_SIDE = 1280
QUALITY = 80
"""What the edges of tufts still stand out at: some 100 to 300 KB a photograph."""


def kept_picture(photo: bytes) -> Picture:
    """The photograph (bytes of a JPEG, PNG or WebP file) as a JPEG of ours: upright, at most 1280 pixels each way.

    Where and when it was taken, and whatever else came with it, is not taken along. Raises BadFile.
    """
    sent = picture_in(photo, MOST_SIDE)
    image = Image.new("RGB", sent.size)  # the one that was sent carries its comment along, whatever is done to it
    image.paste(sent)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Picture(out.getvalue(), image.width, image.height)
