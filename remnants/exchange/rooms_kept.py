"""A rooms file as a saved order keeps it: whole in itself, with what options said, so that it can be worked out again anywhere.

Also such a file, and what else is kept of an order, without the words that were somebody's.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeAlias

from remnants.exchange.drawing_rooms import read_drawing
from remnants.exchange.entries import WantedEntry
from remnants.exchange.room_entries import PriceEntry, RollEntry, RoomEntry, RoomsHeader, StairsEntry
from remnants.geometry import Ring
from remnants.units import Unit, to_unit

__all__ = ["RollSaid", "Words", "with_roll", "without_drawing", "without_words", "words_of"]

Words: TypeAlias = re.Pattern[str]
"""Finds words that are somebody's, each whole, whatever its letter case."""

RollSaid: TypeAlias = Mapping[str, Any]
"""What options say of the roll: `width` and `length` as a rooms file has them, `widths` to compare with."""

_CALLED = frozenset({"order", "name", "to", "beyond", "joins", "carpet", "layer", "drawing"})
"""Where people write words of their own: what rooms, carpets and the order are called."""

_ENTRIES = (WantedEntry, PriceEntry, RollEntry, RoomEntry, RoomsHeader, StairsEntry)
_GOODS = frozenset(name for entry in _ENTRIES for name in entry.model_fields) - _CALLED | {"sums", "quoted"}
"""Keys at which figures and words of the goods stand, which are nobody's."""


def with_roll(file: Mapping[str, Any], said: RollSaid) -> dict[str, Any]:
    """The file with its roll, and those of its carpets, as options said over what it says."""
    if not said:
        return dict(file)
    made = dict(file) | {"roll": _roll(file.get("roll"), said)}
    if isinstance(file.get("carpets"), list):
        made["carpets"] = [each | {"roll": _roll(each.get("roll"), said)} for each in file["carpets"]]
    return made


def _roll(roll: Any, said: RollSaid) -> dict[str, Any]:
    made = dict(roll or {})
    if "width" in said:
        made.pop("widths", None)
        made["width"] = said["width"]
    if "length" in said:
        made.pop("rolls", None)
        made["length"] = said["length"]
    if "widths" in said:
        made["widths"] = [*made.get("widths", ()), *said["widths"]]
    return made


def without_drawing(file: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """The file with the outlines that stood on layers of a drawing in `folder`. Raises BadFile as `read_drawing`."""
    if not file.get("drawing"):
        return dict(file)
    unit = Unit(file["unit"])
    layers = read_drawing(folder / file["drawing"], unit)
    rooms = [_outlined(room, layers, unit) for room in file.get("rooms", ())]
    return {key: value for key, value in file.items() if key != "drawing"} | {"rooms": rooms}


def _outlined(room: Mapping[str, Any], layers: Mapping[str, Sequence[tuple[Ring, ...]]], unit: Unit) -> dict[str, Any]:
    made = dict(room)
    layer = made.pop("layer", None)
    if layer is None:
        return made
    (rings,) = layers[layer]
    ring, *inner = ([[to_unit(x, unit), to_unit(y, unit)] for x, y in each] for each in rings)
    return made | {"name": made.get("name") or layer, "outline": ring, "islands": [*made.get("islands", ()), *inner]}


def words_of(texts: Sequence[str]) -> Words | None:
    """What finds these words; None where they are all blank."""
    wanted = [r"\s+".join(map(re.escape, text.split())) for text in texts if text.strip()]
    return re.compile(rf"(?<![\w-])(?:{'|'.join(wanted)})(?![\w-])", re.IGNORECASE) if wanted else None


def without_words(text: str, words: Words, instead: str, *, named: bool) -> str:
    """A JSON text without the words, `instead` in their place; of what goods are called and of figures nothing is changed.

    `named`: the order is theirs, and its whole name goes. What is no JSON goes as a whole where a word stands in it.
    """
    try:
        value = json.loads(text)
    except ValueError:
        return "" if words.search(text) else text
    changed = _without(value, lambda found: words.sub(instead, found), goods=False)
    if named and isinstance(changed, dict):
        changed |= {key: instead for key in ("order", "name") if isinstance(changed.get(key), str)}
    return text if changed == value else json.dumps(changed)


def _without(value: Any, erased: Callable[[str], str], *, goods: bool) -> Any:
    """Every text that somebody may have written, erased; not what stands at a key of the goods."""
    if isinstance(value, dict):
        known = _CALLED | _GOODS
        return {key if key in known else erased(key): _without(each, erased, goods=key in _GOODS) for key, each in value.items()}
    if isinstance(value, list):
        return [_without(each, erased, goods=goods) for each in value]
    return erased(value) if isinstance(value, str) and not goods else value
