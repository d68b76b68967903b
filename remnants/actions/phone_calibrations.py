"""Phones that were calibrated: out of photographs of the marker page, kept by make, model and lens, replaced and taken away."""

from collections.abc import Sequence

from remnants.actions.booking import once
from remnants.errors import BadInput, NotAllowed, NotFound
from remnants.ledger import Signed
from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.calibration import LEAST_PHOTOS, MOST_PHOTOS, PHOTOS_ASKED, calibrated, refuse_other_phones, wanted
from remnants.photo.phone_photos import PhonePhoto, phone_photo, photo_told
from remnants.photo.there import refuse_where_none_are_measured
from remnants.store import Catalogue, phone_calibrations
from remnants.store.phone_calibrations import CalibrationKept

__all__ = [
    "LEAST_PHOTOS",
    "MOST_PHOTOS",
    "PHOTOS_ASKED",
    "CalibrationKept",
    "PhoneCalibration",
    "PhonePhoto",
    "calibrated",
    "drop_calibration",
    "keep_calibration",
    "known_phones",
    "phone_photo_of",
    "phones_calibrated",
    "photo_told",
    "refuse_other_phones",
    "wanted",
]

MOST_PHONES = 200
"""Lenses that are kept: a shop has some phones, each with one to three."""


def phones_calibrated(catalogue: Catalogue) -> Sequence[CalibrationKept]:
    """Those that are kept, by number."""
    return phone_calibrations.every_calibration(catalogue)


def known_phones(catalogue: Catalogue) -> tuple[PhoneCalibration, ...]:
    """What is known of phones' lenses, to measure by."""
    return tuple(each.found for each in phone_calibrations.every_calibration(catalogue))


def phone_photo_of(photo: bytes, *, name: str, lens_35: float | None = None) -> PhonePhoto:
    """What the photograph in the bytes of a file tells of its lens; nothing of where it was taken is kept.

    Raises BadFile, at `name` where what reads marks is not installed; NotMeasured, each with what to do.
    """
    refuse_where_none_are_measured(name)
    return phone_photo(photo, lens_35=lens_35)


def keep_calibration(catalogue: Catalogue, found: PhoneCalibration, *, signed: Signed, key: str = "") -> int:
    """Keeps a calibration in place of that of the same phone and lens, and gives its number. Raises BadInput for too many."""

    def keep() -> int:
        others = [each for each in phone_calibrations.every_calibration(catalogue) if each.found.lens != found.lens]
        if len(others) >= MOST_PHONES:
            raise BadInput(f"calibrations of {MOST_PHONES} lenses are kept at most: take away one that nobody uses any more")
        return phone_calibrations.put(catalogue, found, signed)

    number: int = once(catalogue, key, ["phone calibration", repr(found)], signed, keep)
    return number


def drop_calibration(catalogue: Catalogue, number: int, *, made: str = "", signed: Signed, key: str = "") -> None:
    """Takes a calibration away. `made` is when it was, in ISO 8601, as who takes it away saw it: another may have its number
    since. Empty asks nothing.

    Raises NotFound, and NotAllowed for another one.
    """

    def drop() -> None:
        now = [each for each in phone_calibrations.every_calibration(catalogue) if made and each.number == number]
        if any(each.at.isoformat() != made for each in now):
            raise NotAllowed(f"calibration {number} is another one now, so nothing was taken away; look at it again")
        if not phone_calibrations.drop(catalogue, number):
            raise NotFound(f"no calibration has the number {number}; `remnants calibrate-phone` lists them")

    once(catalogue, key, ["phone calibration away", number], signed, drop)
