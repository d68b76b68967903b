"""Plain attributes, those that are a field each: read from an entry of a file, and written to one."""

from collections.abc import Sequence
from typing import Any

from remnants.exchange.figures import degrees, figure
from remnants.model.attributes import Attribute, Value
from remnants.units import Unit

__all__ = ["plain_fields", "plain_json", "trimmed"]


def plain_fields(attributes: Sequence[Attribute], entry: Any) -> dict[str, Any]:
    """What the entry tells of the attributes, by field, texts without blanks round them."""
    return {attribute.field: trimmed(getattr(entry, attribute.name)) for attribute in attributes}


def plain_json(attributes: Sequence[Attribute], thing: Any, unit: Unit) -> dict[str, Any]:
    """What a piece, style or patch has of the attributes, by key, as a file in `unit` tells it; without what is as usual."""
    told = ((attribute, getattr(thing, attribute.field)) for attribute in attributes)
    return {attribute.name: _json(attribute, value, unit) for attribute, value in told if value != attribute.usual}


def trimmed(value: Any) -> Any:
    """A text without blanks round it; anything else as it is."""
    return value.strip() if type(value) is str else value


def _json(attribute: Attribute, value: Any, unit: Unit) -> Any:
    match attribute.value:
        case Value.LENGTH:
            return figure(value, unit)
        case Value.BEARING:
            return degrees(value)
        case Value.CHOICE:
            return value.value
        case Value.DATE:
            return value.isoformat()
        case Value.MONEY:
            return value.written
        case _:
            return value
