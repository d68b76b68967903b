"""Phones' calibrations in words, and whether one was used for a photograph."""

from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.view import ByPhone
from remnants.report.measured_text import bar_text
from remnants.units import Unit, is_imperial, write_length

__all__ = ["ONE_MODEL", "bars_text", "by_phone_text"]

ONE_MODEL = (
    "Two phones of one model look the same to it: measure with the one that was calibrated, and calibrate it anew after a repair "
    "or a fall. This was tried on photographs drawn by a program; no real phone was measured yet."
)
"""Said wherever a phone is calibrated."""

_SAID = {
    ByPhone.NONE: "",
    ByPhone.USED: "this phone's calibration was used",
    ByPhone.UNTOLD: "the picture does not tell its phone, so no calibration was used",
    ByPhone.OTHER: "this phone and lens were not calibrated: the bars are those of any phone",
    ByPhone.AGAINST: (
        "the page in the picture speaks against this phone's calibration, so it was not used: take the picture again, and if it "
        "is said again, calibrate the phone anew"
    ),
}

_METER_MM, _YARD_MM = 1000.0, 914.4


def by_phone_text(by_phone: ByPhone) -> str:
    """Whether a phone's calibration was used, and why not; empty where the shop has none at all."""
    return _SAID[by_phone]


def bars_text(found: PhoneCalibration, unit: Unit) -> str:
    """What a calibration is worth, told of a meter or a yard in a usual photograph."""
    long_mm = _YARD_MM if is_imperial(unit) else _METER_MM
    before, since = (bar_text(bar_mm * long_mm / _METER_MM, unit) for bar_mm in (found.bar_before_mm, found.bar_mm))
    return f"{write_length(long_mm, unit)} in a usual photograph is told {since}; it was {before}"
