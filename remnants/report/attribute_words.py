"""What is told of a piece, style or patch in words, by the tables of their attributes."""

from collections.abc import Iterable

from remnants.days import day_words
from remnants.model import Patch, Piece, Style
from remnants.model.attributes import Attribute, Value
from remnants.units import Unit, write_length

__all__ = ["attribute_words", "bearing_words", "told_lines"]

_ARROWS = ("↑", "↗", "→", "↘", "↓", "↙", "←", "↖")


def attribute_words(attribute: Attribute, thing: Piece | Style | Patch, unit: Unit) -> str:
    """What it has of a plain attribute, lengths in the unit; empty where nothing is told."""
    value = getattr(thing, attribute.field)
    match attribute.value:
        case Value.LENGTH if value is not None:
            return write_length(value, unit)
        case Value.DATE if value is not None:
            return day_words(value)
        case Value.BEARING if value is not None:
            return bearing_words(value)
        case _:
            return attribute.in_words(value)


def told_lines(attributes: Iterable[Attribute], thing: Piece | Style | Patch, unit: Unit) -> tuple[tuple[str, str], ...]:
    """What is told of it among plain attributes: what each is called, and its words."""
    told = ((attribute.called, attribute_words(attribute, thing, unit)) for attribute in attributes)
    return tuple((called, words) for called, words in told if words)


def bearing_words(degrees: float) -> str:
    """The pile's bearing as an arrow and a figure: `↑ 0°`."""
    return f"{_ARROWS[round(degrees / 45) % 8]} {degrees % 360:g}°"
