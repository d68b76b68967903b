"""The shape of the stock and job files, key by key (pydantic). Lengths come out in millimetres.

A bare number is in the file's unit, which the reader passes as validation context (`{"unit": "in"}`); a text carries its
own unit. Keys not named here are kept and otherwise left alone: other people's scripts may add their own.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import lru_cache
from threading import RLock
from typing import Annotated, Any, Literal, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    PlainValidator,
    Tag,
    ValidationInfo,
    WithJsonSchema,
    create_model,
)

from remnants.exchange.source import shown
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.outline import LARGEST_MM
from remnants.limits import COLOURS, CORNERS, CUTOUTS, NAME_CHARACTERS, TEXT_CHARACTERS, TURNS
from remnants.marks import unseen
from remnants.model import Finish
from remnants.model.attributes import PLAIN, YES_NO, Attribute, Value
from remnants.model.money import Money, Price, cost_of
from remnants.model.patch import MOST_PARTS
from remnants.model.patch_attributes import WANTED_PLAIN
from remnants.model.piece import MOST_WORN, WORN_STEPS, WORN_WORDS
from remnants.model.style_attributes import STYLE_PLAIN
from remnants.units import Unit, parse_length

__all__ = [
    "CHOICES",
    "ColourEntry",
    "Corner",
    "Entry",
    "Name",
    "PieceEntry",
    "RepeatEntry",
    "RoundEntry",
    "ShadeEntry",
    "Shape",
    "Shapes",
    "Sized",
    "StockFile",
    "StockHeader",
    "StyleEntry",
    "Text",
    "WantedEntry",
    "entry_of",
    "told_of",
]


def _length(value: Any, info: ValidationInfo) -> float:
    unit = (info.context or {}).get("unit", Unit.MM)
    return _read_text(value, unit) if isinstance(value, str) else parse_length(value, unit)  # BadMeasure is a ValueError


@lru_cache(maxsize=50_000)
def _read_text(text: str, unit: Unit) -> float:
    """A stock gives the same few sizes over and over."""
    return parse_length(text, unit)


def _size(value: Any, info: ValidationInfo) -> float:
    length_mm = _length(value, info)
    if length_mm <= TOLERANCE_MM:
        raise ValueError(f"{value!r} is no size: give a length above zero")
    return _near(length_mm, value)


def _place(value: Any, info: ValidationInfo) -> float:
    return _near(_length(value, info), value)


def _near(length_mm: float, value: Any) -> float:
    if abs(length_mm) > LARGEST_MM:
        raise ValueError(f"{value!r} is too far for a floor: give a length under 1 km")
    return length_mm


def _least_zero(value: Any, info: ValidationInfo) -> float:
    length_mm = _length(value, info)
    if length_mm < 0:
        raise ValueError(f"{value!r} is below zero: give zero or more")
    return length_mm


def _seen(text: str, info: ValidationInfo) -> str:
    mark = unseen(text)
    if mark and not (info.context or {}).get("kept"):
        raise ValueError(f"holds a character that nobody sees ({mark}): take it out, or type the text anew")
    return text


def _count(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value


def _yes_no(value: Any) -> bool:
    if isinstance(value, str) and value.strip().casefold() in YES_NO:
        raise ValueError(f"{shown(value)} is a text here: give true or false, without quotes")
    if isinstance(value, str):
        raise ValueError(f"{shown(value)} is neither yes nor no")
    if not isinstance(value, bool):
        raise ValueError(f"{shown(value)} is neither true nor false")
    return value


def _day(value: Any) -> date:
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value.strip())
    except (AttributeError, TypeError, ValueError):
        raise ValueError(f"{shown(value)} is no date: write it like 2031-05-03") from None


def _sum(value: Any) -> Money | Price:
    if isinstance(value, Money | Price):
        return value
    return cost_of(value if isinstance(value, str) else shown(value))  # BadInput is a ValueError


def _wear(value: Any) -> Any:
    """A step of wear in the words that we print of it; what is no text is left to be checked as a number."""
    if not isinstance(value, str):
        return value
    step = WORN_STEPS.get(" ".join(value.casefold().split()))
    if step is None:
        raise ValueError(f"{shown(value)} is no wear: give {', '.join(WORN_WORDS)}, or 0 to {MOST_WORN}")
    return step


def _mass(value: float) -> float:
    if value <= 0:
        raise ValueError(f"{shown(value)} is no mass per area: give grams a square metre, such as 2400")
    return value


_LENGTH_SCHEMA = {"anyOf": [{"type": "number"}, {"type": "string"}], "description": "in the file's unit, or with its own"}

Length = Annotated[float, PlainValidator(_length), WithJsonSchema(_LENGTH_SCHEMA)]
Size = Annotated[float, PlainValidator(_size), WithJsonSchema(_LENGTH_SCHEMA)]
LengthFromZero = Annotated[float, PlainValidator(_least_zero), WithJsonSchema(_LENGTH_SCHEMA)]
Place = Annotated[float, PlainValidator(_place), WithJsonSchema(_LENGTH_SCHEMA)]
Corner = tuple[Place, Place]
Corners = Annotated[tuple[Corner, ...], Field(max_length=CORNERS)]
Cutouts = Annotated[tuple[Corners, ...], Field(max_length=CUTOUTS)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Mass = Annotated[Number, AfterValidator(_mass), WithJsonSchema({"type": "number", "exclusiveMinimum": 0})]
Whole = Annotated[int, BeforeValidator(_count), Field(strict=True)]
_WEAR_SCHEMA = {"anyOf": [{"type": "integer", "minimum": 0, "maximum": MOST_WORN}, {"enum": list(WORN_WORDS)}]}
Wear = Annotated[Whole, Field(ge=0, le=MOST_WORN), BeforeValidator(_wear), WithJsonSchema(_WEAR_SCHEMA)]
Day = Annotated[date, PlainValidator(_day), WithJsonSchema({"type": "string", "format": "date"})]
Sum = Annotated[Any, PlainValidator(_sum), WithJsonSchema({"type": "string", "examples": ["670.13 EUR", "18.50 EUR per m2"]})]
YesNo = Annotated[bool, PlainValidator(_yes_no), WithJsonSchema({"type": "boolean"})]
Text = Annotated[str, Field(strict=True, max_length=TEXT_CHARACTERS), AfterValidator(_seen)]
Name = Annotated[str, Field(strict=True, min_length=1, max_length=NAME_CHARACTERS, pattern=r"\S"), AfterValidator(_seen)]


E = TypeVar("E", bound="Entry")
_BUILDING = RLock()


class Entry(BaseModel):
    """An object of a file. Added keys are kept in `model_extra`. What checks it is built when `entry_of` first reads one."""

    model_config = ConfigDict(defer_build=True, extra="allow", frozen=True)


def entry_of(model: type[E], raw: Any, unit: Unit, *, kept: bool = False) -> E:
    """The entry that a JSON value gives, bare numbers being in that unit. Raises pydantic's ValidationError.

    Of what was `kept` here before, texts are taken as they are.
    """
    if not model.__pydantic_complete__:
        with _BUILDING:  # not every pydantic lets two threads build the same one
            model.model_rebuild()
    return model.model_validate(raw, context={"unit": unit, "kept": kept})


class Circled(Entry):
    """How a round outline is given: `radius`, or `diameter`, how far it is across; about `centre`, else (radius, radius)."""

    centre: Corner | None = None
    radius: Size | None = None
    diameter: Size | None = None


class RoundEntry(Circled):
    """A round outline in the place of corners."""


CHOICES = frozenset({"as corners", "as a circle", "one for all", "one for each"})
"""Names of the ways to give one key; they stand in pydantic's error places and are left out of ours."""

Shape = Annotated[
    Annotated[Corners, Tag("as corners")] | Annotated[RoundEntry, Tag("as a circle")],
    Discriminator(lambda value: "as a circle" if isinstance(value, dict | RoundEntry) else "as corners"),
]
Shapes = Annotated[
    Annotated[Shape, Tag("one for all")]
    | Annotated[tuple[Shape, ...], Field(min_length=1, max_length=CUTOUTS), Tag("one for each")],
    Discriminator(lambda value: "one for each" if _are_several(value) else "one for all"),
]
"""One outline, or a list of several."""

Finishes = Annotated[
    Annotated[Finish, Tag("one for all")] | Annotated[tuple[Finish, ...], Field(max_length=CORNERS), Tag("one for each")],
    Discriminator(lambda value: "one for each" if isinstance(value, list | tuple) else "one for all"),
]


def _are_several(value: Any) -> bool:
    """True of a list of outlines; one outline is a list of corners or a circle."""
    first = value[0] if isinstance(value, list | tuple) and value else None
    return isinstance(first, dict | RoundEntry) or (isinstance(first, list | tuple) and bool(first) and not _is_figure(first[0]))


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float | str)


class Sized(Circled):
    """How an outline is given: `width` + `length`, or corners, or round."""

    outline: Shape | None = None
    width: Size | None = None
    length: Size | None = None


class RepeatEntry(Entry):
    """Pattern repeat in the pile frame; `drop` is a share of `along`."""

    across: Size
    along: Size
    drop: Number = 0.0


class ShadeEntry(Entry):
    """A measured shade (CIELAB), and the light that it was measured under."""

    lab: tuple[Number, Number, Number] | None = None
    illuminant: Text | None = None


class ColourEntry(ShadeEntry):
    """A colour that a style is made in."""

    name: Name


_TYPES: Mapping[Value, Any] = {
    Value.NAME: Name,
    Value.TEXT: Text,
    Value.STEP: Wear,
    Value.YES_NO: YesNo,
    Value.DATE: Day,
    Value.MONEY: Sum,
    Value.LENGTH: Size,
    Value.MASS: Mass,
    Value.BEARING: Number,
}


def _field_of(attribute: Attribute, untold: Any) -> Any:
    """What pydantic makes a key of, for a plain attribute that is `untold` where the file leaves it out."""
    of_value = attribute.choices or _TYPES[attribute.value]
    if attribute.needed:
        return of_value, Field(description=attribute.told or None)
    optional = of_value if untold is not None else of_value | None
    return optional, Field(untold, description=attribute.told or None)


def told_of(attributes: Sequence[Attribute], *, on_job_too: bool = False) -> Callable[[type[E]], type[E]]:
    """Gives a model a key for each plain attribute beside those that it has itself.

    Of what may stand `on_job_too`, None says that nothing is told here.
    """
    keys: dict[str, Any] = {each.name: _field_of(each, None if on_job_too else each.usual) for each in attributes}

    def with_keys(model: type[E]) -> type[E]:
        return create_model(model.__name__, __base__=model, __module__=__name__, __doc__=model.__doc__, **keys)

    return with_keys


@told_of(STYLE_PLAIN)
class StyleEntry(Entry):
    """A carpet style."""

    repeat: RepeatEntry | None = None
    colours: Annotated[tuple[ColourEntry, ...], Field(max_length=COLOURS)] = ()


@told_of(PLAIN)
class PieceEntry(Sized, ShadeEntry):
    """A piece of the stock."""

    cutouts: Cutouts = ()
    motif: Corner | None = None


class StockHeader(Entry):
    """What a stock file says beside its entries."""

    unit: Unit


class StockFile(StockHeader):
    """A whole stock file."""

    styles: tuple[StyleEntry, ...] = ()
    pieces: tuple[PieceEntry, ...]


LowestGrade = Literal["same-lot", "this-house", "lot-not-known", "other-lot", "close-shade", "substitute"]


@told_of(WANTED_PLAIN, on_job_too=True)
class WantedEntry(ShadeEntry):
    """Which carpet is asked for, on a job or on one of its patches (which wins)."""

    lowest_grade: LowestGrade | None = None
    max_parts: Annotated[Whole, Field(ge=1, le=MOST_PARTS)] | None = None
    turns: Annotated[tuple[Number, ...], Field(min_length=1, max_length=TURNS)] | None = None
