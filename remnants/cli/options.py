"""Readers of option values; each refuses in the words that the command line shows."""

import argparse

from remnants.errors import BadInput, Fault

__all__ = ["at_least_one", "picture_area", "shade_figures"]


def at_least_one(text: str) -> int:
    """A whole number from 1 up."""
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no count: give a whole number, at least 1")
    return int(text)


def shade_figures(option: str, text: str) -> tuple[float, float, float]:
    """L*, a* and b* of a text such as `72.1,2.0,13.8`. Raises BadInput naming the option."""
    try:
        lightness, a, b = (float(part) for part in text.split(","))
    except ValueError:
        raise BadInput([Fault(option, f"{text!r} is no shade: give L*,a*,b*, such as 72.1,2.0,13.8")]) from None
    return lightness, a, b


def picture_area(text: str) -> tuple[float, float, float, float]:
    """Left, top, width and height as shares of a picture, of a text in per cent such as `40,40,20,15`."""
    try:
        left, top, width, height = (float(part) / 100 for part in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no place: give left,top,width,height in per cent of the picture, such as 40,40,20,15"
        ) from None
    return left, top, width, height
