"""Photographs of pieces: put in, shown, taken away. Each is told in the ledger, with who put it there and who took it away."""

import hashlib
from collections.abc import Callable

from remnants.actions.booking import once, standing_of
from remnants.actions.told_to import may_know_customers, photos_kept_back
from remnants.errors import NotAllowed, NotFound
from remnants.exchange.keepsake import kept_picture, small_picture
from remnants.ledger import Signed
from remnants.limits import PHOTOS
from remnants.model import Role
from remnants.model.picture import Picture
from remnants.store import Catalogue, ledger, photos
from remnants.store.photos import Kept

__all__ = [
    "SMALL_SIDE",
    "Kept",
    "add_photo",
    "jpeg_of",
    "keep_picture",
    "kept_picture",
    "newest_shown",
    "photo_of",
    "photos_of",
    "photos_shown",
    "small_jpeg_of",
    "take_photo_away",
]

SMALL_SIDE = 192
"""Pixels of the longer side of a small one: a square of 64 px cut out of it is sharp on a screen of twice as many."""


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


def photos_shown(catalogue: Catalogue, tag: str, role: Role) -> tuple[Kept, ...]:
    """Of a piece's photographs those that people of this role are shown, oldest first, those that were taken away too."""
    every = photos.every_of(catalogue, tag)
    if not every or may_know_customers(role):
        return every
    back = photos_kept_back(role, ledger.entries_of(catalogue, tag))
    return tuple(kept for kept in every if kept.number not in back)


def newest_shown(catalogue: Catalogue, tag: str, role: Role) -> int | None:
    """The number of a piece's newest photograph that people of this role are shown; None where there is none.

    Quick, since a page may name hundreds of pieces.
    """
    there = photos.numbers_there(catalogue, tag)
    if not there or may_know_customers(role):
        return there[-1] if there else None
    back = photos_kept_back(role, ledger.entries_of(catalogue, tag))
    return next((number for number in reversed(there) if number not in back), None)


def photo_of(catalogue: Catalogue, number: int) -> Kept:
    """The photograph with this number. Raises NotFound when there is none, or none any more."""
    kept = photos.find(catalogue, number)
    if kept is None:
        raise NotFound(f"there is no photograph {number}, or it was taken away")
    return kept


def jpeg_of(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph. Raises NotFound."""
    return photos.jpeg_of(catalogue, photo_of(catalogue, number).number)


def small_jpeg_of(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph made small, at most SMALL_SIDE pixels each way. Raises NotFound; BadFile for a damaged one."""
    return small_picture(jpeg_of(catalogue, number), side=SMALL_SIDE)


def take_photo_away(catalogue: Catalogue, number: int, *, signed: Signed) -> str:
    """Erases a photograph, and gives the tag of the piece that it showed. Raises NotFound."""
    with catalogue.atomic():
        kept = photo_of(catalogue, number)
        photos.take_away(catalogue, kept, signed)
    return kept.tag
