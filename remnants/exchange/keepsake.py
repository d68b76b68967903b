"""A photograph of a piece, made fit to be kept: drawn anew, so that nothing but its pixels and our own scale comes in."""

import io

from PIL import Image

from remnants.errors import BadFile
from remnants.matching.picture import picture_in
from remnants.model.picture import Picture
from remnants.photo.overhead import overhead_told, with_scale

__all__ = ["kept_picture", "small_picture"]

MOST_SIDE = 1280
QUALITY = 80
"""What the edges of tufts still stand out at: some 100 to 300 KB a photograph."""
SMALL_QUALITY = 72
"""Of what is looked at no larger than a thumb: 2 to 5 KB."""


def kept_picture(photo: bytes) -> Picture:
    """The photograph (bytes of a JPEG, PNG or WebP file) as a JPEG of ours: upright, at most 1280 pixels each way.

    Where and when it was taken, and whatever else came with it, is not taken along; but for a picture of ours from above its
    scale is, which is figures alone. Raises BadFile.
    """
    sent = picture_in(photo, MOST_SIDE)
    image = Image.new("RGB", sent.size)  # the one that was sent carries its comment along, whatever is done to it
    image.paste(sent)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    scaled = overhead_told(out.getvalue(), sent.info.get("comment", b""))
    return Picture(with_scale(scaled) if scaled else out.getvalue(), image.width, image.height)


def small_picture(jpeg: bytes, *, side: int) -> bytes:
    """A photograph that is kept (a JPEG of ours), at most `side` pixels each way: a JPEG of a few KB to stand beside a tag.

    A JPEG is read small, so that it takes milliseconds. Raises BadFile for one that is damaged.
    """
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as kept:
            kept.draft("RGB", (side, side))
            kept.thumbnail((side, side))
            out = io.BytesIO()
            kept.save(out, "JPEG", quality=SMALL_QUALITY)
    except (OSError, SyntaxError, ValueError) as error:
        raise BadFile(
            f"this photograph is damaged and can't be shown ({type(error).__name__}); `remnants verify` tells more"
        ) from None
    return out.getvalue()
