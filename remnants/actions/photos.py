"""Photographs of pieces: put in, shown, taken away. Each is told in the ledger, with who put it there and who took it away."""

import hashlib
from collections.abc import Callable

from remnants.actions.booking import once, standing_of
from remnants.errors import NotAllowed, NotFound
from remnants.exchange.keepsake import kept_picture
from remnants.ledger import Signed
from remnants.limits import PHOTOS
from remnants.model.picture import Picture
from remnants.store import Catalogue, photos
from remnants.store.photos import Kept

__all__ = [
    "Kept",
    "add_photo",
    "jpeg_of",
    "keep_picture",
    "kept_picture",
    "photo_of",
    "photos_of",
    "take_photo_away",
]


def add_photo(
    catalogue: Catalogue,
    tag: str,
    photo: bytes,
    *,
    signed: Signed,
    key: str = "",
    read: Callable[[bytes], Picture] = kept_picture,
) -> int:
    """Keeps a photograph of a piece and gives its number. `read` makes the picture out of what was sent.

    Raises NotFound; BadFile for what is no picture; NotAllowed for one too many.
    """
    own = standing_of(catalogue, tag).piece.tag
    picture = read(photo)
    asked = ["photo", own, hashlib.sha256(photo).hexdigest()]
    return int(once(catalogue, key, asked, signed, lambda: keep_picture(catalogue, own, picture, signed)))


def keep_picture(catalogue: Catalogue, tag: str, picture: Picture, signed: Signed) -> int:
    """Keeps a picture that is made ready. The caller holds the transaction. Raises NotAllowed when the piece has too many."""
    there = [kept for kept in photos.every_of(catalogue, tag) if kept.gone_at is None]
    if len(there) >= PHOTOS:
        raise NotAllowed(f"{tag} has {PHOTOS} photographs already; take one away first")
    return photos.add(catalogue, tag, picture, signed)


def photos_of(catalogue: Catalogue, tag: str) -> tuple[Kept, ...]:
    """The photographs of a piece, oldest first, those that were taken away too."""
    return photos.every_of(catalogue, tag)


def photo_of(catalogue: Catalogue, number: int) -> Kept:
    """The photograph with this number. Raises NotFound when there is none, or none any more."""
    kept = photos.find(catalogue, number)
    if kept is None:
        raise NotFound(f"there is no photograph {number}, or it was taken away")
    return kept


def jpeg_of(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph. Raises NotFound."""
    return photos.jpeg_of(catalogue, photo_of(catalogue, number).number)


def take_photo_away(catalogue: Catalogue, number: int, *, signed: Signed) -> str:
    """Erases a photograph, and gives the tag of the piece that it showed. Raises NotFound."""
    with catalogue.atomic():
        kept = photo_of(catalogue, number)
        photos.take_away(catalogue, kept, signed)
    return kept.tag
