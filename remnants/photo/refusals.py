"""Why nothing is measured in a photograph: each with its sentence of what to do."""

from enum import StrEnum

from remnants.errors import NotMeasured

__all__ = ["WhyNot", "refused"]


class WhyNot(StrEnum):
    """What stands against a measure."""

    NO_PAGE = "no page"
    FOREIGN = "another board"
    FEW_CORNERS = "few corners"
    MIRRORED = "mirrored"
    NO_LENS = "no lens"
    OTHER_SHAPE = "other shape"
    CROPPED = "cropped"
    ZOOMED = "zoomed"
    BAR_UNTOLD = "check bar"
    SPOILED = "spoiled"
    CURLED = "curled"
    TILTED = "tilted"
    FAR_AWAY = "far away"
    FAR_FROM_PAGE = "far from the page"
    OTHER_PLANE = "other plane"
    FAINT = "faint"
    WIDE_BAR = "wide bar"
    NO_ROWS = "no rows"
    NO_REPEAT = "no repeat"
    BURNT = "burnt out"
    DARK = "too dark"
    SMALL = "too small"
    LIGHT = "uneven light"
    NO_TEXTURE = "no texture"
    NOT_SHOWN = "not shown"
    NO_PHONE = "no phone"
    SIDEWAYS = "sideways"
    TOO_FEW = "too few"
    OTHER_PHONE = "other phone"
    STANDS_OUT = "stands out"
    TOO_ALIKE = "too alike"
    NO_GAIN = "no gain"


def refused(why: WhyNot, told: str) -> NotMeasured:
    """The refusal of a kind, in the words of this picture."""
    return NotMeasured(told, why)
