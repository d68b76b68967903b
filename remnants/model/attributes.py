"""What can be told of a piece: one table, from which every list of it is made; `style_attributes` and
`patch_attributes` have those of a style and of a patch.

Files, spreadsheets, options, forms, cards, the description for programs and the rows of the catalogue are made from it. A new
attribute is a line here, a field of `Piece` and a step of the migrations. `tests/test_attributes.py` holds that there is no
other list.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from remnants.model.person import Role
from remnants.model.piece import WORN_STEPS, WORN_WORDS, Kind

__all__ = ["PIECE", "PLAIN", "Asked", "Attribute", "Value", "a_text"]


class Value(StrEnum):
    """What kind of value an attribute has, and so how it is read, stored and written."""

    NAME = "name"
    """A text that must be there."""
    TEXT = "text"
    CHOICE = "choice"
    """One of an enum's words, its `choices`."""
    STEP = "step"
    """A whole number from 0 that each has a word, its `words`."""
    YES_NO = "yes or no"
    """True or false, None where it is not known; `yes` and `no` in words."""
    DATE = "date"
    """A day, None where it is not known; written like 2031-05-03."""
    MONEY = "money"
    """A sum of a currency (`Money`), None where it is not known; written like 670.13 EUR."""
    LENGTH = "length"
    """A length in mm, above zero; its field and its column end in `_mm`."""
    MASS = "mass"
    """A mass per area in g/m², above zero; its field and its column end in `_g_m2`."""
    BEARING = "bearing"
    """Degrees clockwise from +y; its field and its column end in `_deg`."""
    OWN = "own"
    """Read and written by code of its own: a shape, a point, a shade."""


YES_NO: Mapping[str, bool] = {"yes": True, "no": False, "true": True, "false": False, "y": True, "n": False}
"""How a text says that something is so, or not."""


class Asked(StrEnum):
    """Where forms ask for an attribute."""

    FIRST = "first"
    """Always, in a place of its own."""
    MORE = "more"
    """With what is told more rarely, by the kind of its value."""
    ELSEWHERE = "elsewhere"


_ENDINGS = {Value.LENGTH: "_mm", Value.MASS: "_g_m2", Value.BEARING: "_deg"}


@dataclass(frozen=True, slots=True)
class Attribute:
    """One thing that can be told of a piece, style or patch; what is here of spreadsheets and customers is for pieces alone.

    `name` is its key in files, its option and its column of a spreadsheet, which may be headed by any of `headings` too (an OWN
    one without any has no column). `label` is what cards and pages call it, `told` its help, `hint` what stands there for its
    value. One that is `needed` must be told, `usual` is what holds where another isn't. `columns` are those of the catalogue.
    `seen_by` may see it, `asked` is where forms ask it. `erased` takes its place once the customer who has the piece is
    forgotten; None for what tells nothing of a customer. `shared` is what pieces that come in together mostly have in common;
    what `stays` is not taken over by an offcut.
    """

    name: str
    value: Value
    label: str = ""
    told: str = ""
    headings: tuple[str, ...] = ()
    hint: str | None = None
    needed: bool = False
    usual: Any = None
    choices: type[StrEnum] | None = None
    words: tuple[str, ...] = ()
    spellings: tuple[tuple[str, Any], ...] = ()
    own_columns: tuple[str, ...] = ()
    seen_by: Role = Role.LOOK
    erased: str | None = None
    asked: Asked = Asked.MORE
    shared: bool = False
    stays: bool = False
    field: str = field(init=False)
    """The field of `Piece` that holds it, and its column where it has just one; worked out once, as each cell asks for it."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "field", f"{self.name}{_ENDINGS.get(self.value, '')}")

    @property
    def columns(self) -> tuple[str, ...]:
        """Its columns in the catalogue; none for what is stored with another."""
        return self.own_columns if self.value is Value.OWN else (self.field,)

    @property
    def called(self) -> str:
        """What cards and pages call it."""
        return self.label or self.name.replace("_", " ")

    @property
    def in_sheets(self) -> bool:
        """Whether a spreadsheet may have a column for it."""
        return self.value is not Value.OWN or bool(self.headings)

    def of_text(self, text: str) -> Any:
        """What a cell, an option or a field of a form says, for the reader of files: its own spellings, figures as numbers."""
        plain = text.strip()
        if self.spellings:
            spelled = dict(self.spellings).get(" ".join(plain.casefold().split()))
            if spelled is not None:
                return spelled
        match self.value:
            case Value.STEP | Value.MASS:
                return _figure(plain)
            case Value.BEARING:
                return _figure(plain.strip("° "))
            case Value.YES_NO:
                return YES_NO.get(plain.casefold(), plain)
            case _:
                return plain

    def in_words(self, value: Any) -> str:
        """The value as a card writes it; empty where nothing is told. A LENGTH has no words without a unit."""
        if value is None:
            return ""
        match self.value:
            case Value.STEP:
                return self.words[int(value)]
            case Value.YES_NO:
                return "yes" if value else "no"
            case Value.MASS:
                return f"{value:g} g/m²"
            case _:
                return str(value)


def _figure(text: str) -> float | str:
    """The number that a text tells; a text that tells none, or none that is finite, is left for the reader to refuse."""
    try:
        value = float(text)
    except ValueError:
        return text
    if not math.isfinite(value):
        return text
    return int(value) if value.is_integer() else value


def a_text(name: str, *, told: str = "", headings: tuple[str, ...] = (), **more: Any) -> Attribute:
    """A text that may be empty, and is where nothing is told."""
    return Attribute(name, Value.TEXT, told=told, headings=headings, usual="", **more)


PIECE: tuple[Attribute, ...] = (
    Attribute(
        "tag",
        Value.NAME,
        needed=True,
        told="its tag (default: the next free one)",
        asked=Asked.ELSEWHERE,
        headings=(
            *("tag number", "tag no", "piece", "piece number", "piece no", "id", "ref", "ref no", "reference", "item", "item no"),
            *("number", "no", "label", "code"),
        ),
    ),
    Attribute(
        "kind",
        Value.CHOICE,
        needed=True,
        told=f"{', '.join(Kind)} (default: remnant)",
        headings=("type", "kind of piece"),
        hint="KIND",
        asked=Asked.FIRST,
        choices=Kind,
        shared=True,
        spellings=(
            *(("roll end", Kind.REMNANT), ("off cut", Kind.OFFCUT), ("off-cut", Kind.OFFCUT)),
            *(("attic", Kind.KEPT), ("installed", Kind.LAID)),
        ),
    ),
    Attribute(
        "style",
        Value.NAME,
        needed=True,
        headings=("style name", "carpet", "product", "range", "quality", "name", "description"),
        asked=Asked.FIRST,
        shared=True,
    ),
    a_text(
        "colour",
        headings=("color", "colourway", "colorway", "col", "shade", "colour name", "color name"),
        asked=Asked.FIRST,
        shared=True,
    ),
    a_text(
        "lot",
        told="dye lot",
        asked=Asked.FIRST,
        shared=True,
        headings=("dye lot", "dyelot", "batch", "dye batch", "lot number", "lot no", "dye lot number", "dye lot no"),
    ),
    Attribute("width", Value.OWN, told="across the roll", headings=("w", "wide", "across", "breadth")),
    Attribute("length", Value.OWN, told="along the roll", headings=("l", "long", "along", "run")),
    Attribute(
        "outline",
        Value.OWN,
        told="corners in order, instead of width and length",
        headings=("corners", "shape"),
        own_columns=("rings",),
    ),
    Attribute("centre", Value.OWN, told="of a round piece, with its radius"),
    Attribute("radius", Value.OWN, told="of a round piece"),
    Attribute("diameter", Value.OWN, told="of a round piece, in the place of its radius"),
    Attribute("cutouts", Value.OWN, told="corners of what can't be used", headings=("cutout", "cut outs", "holes")),
    Attribute(
        "pile",
        Value.BEARING,
        needed=True,
        told="way the pile lays, clockwise from up the length",
        headings=("pile direction", "pile bearing", "nap", "lay", "pile way", "direction"),
        hint="DEGREES",
        asked=Asked.FIRST,
        shared=True,
        spellings=(("up", 0), ("right", 90), ("down", 180), ("left", 270)),
    ),
    Attribute(
        "motif",
        Value.OWN,
        told="where the pattern's reference point lies",
        headings=("pattern point", "motif point"),
        own_columns=("motif_x_mm", "motif_y_mm"),
    ),
    a_text(
        "place",
        told="where it lies, such as a bay",
        headings=("location", "loc", "bay", "rack", "shelf", "bin", "where", "stored", "stored at", "position"),
        erased="erased",
        asked=Asked.FIRST,
        shared=True,
    ),
    a_text("room", told="of a piece laid or kept: its room", erased=""),
    Attribute(
        "worn",
        Value.STEP,
        label="wear",
        told='0 new to 4 heavily worn, or in words, such as "hardly worn"',
        headings=("wear", "condition", "state of wear"),
        hint="0-4",
        asked=Asked.FIRST,
        usual=0,
        words=WORN_WORDS,
        spellings=tuple(WORN_STEPS.items()),
    ),
    a_text(
        "customer",
        told="your own reference of the customer who has it",
        headings=("customer reference", "customer ref", "client", "held by"),
        seen_by=Role.WORK,
        asked=Asked.ELSEWHERE,
    ),
    a_text(
        "fibre",
        told="what its pile is made of, such as 80% wool, 20% nylon",
        headings=("fiber", "yarn", "pile fibre", "pile fiber"),
    ),
    a_text("supplier", told="who delivered it", headings=("vendor", "bought from", "mill"), seen_by=Role.MANAGE),
    a_text("roll_number", told="the number of the roll it came from", headings=("roll no",)),
    Attribute(
        "received_on",
        Value.DATE,
        told="the day it came into the house, such as 2031-05-03",
        headings=("received", "date received", "delivered", "delivered on", "date delivered"),
        hint="DATE",
    ),
    Attribute(
        "cost",
        Value.MONEY,
        told='what was paid for it, such as "670.13 EUR", or by area, such as "18.50 EUR per m2"',
        headings=("cost price", "bought for", "purchase price"),
        hint="SUM",
        seen_by=Role.MANAGE,
        stays=True,
    ),
    Attribute(
        "offered_at",
        Value.MONEY,
        told='price that it is offered for, such as "40 EUR", or by area',
        headings=("asking price", "offered for"),
        hint="SUM",
        stays=True,
    ),
    Attribute(
        "keep_until",
        Value.DATE,
        label="kept until",
        told="not listed as something to clear out until this day",
        headings=("kept until",),
        hint="DATE",
        stays=True,
    ),
    Attribute(
        "hidden",
        Value.YES_NO,
        told="of a laid piece: yes where nobody sees that floor, as under a wardrobe",
        headings=("out of sight",),
        stays=True,
    ),
    Attribute(
        "photo_bar",
        Value.LENGTH,
        label="photo's bar",
        told="how far off its outline may be where it was measured from a photograph; it is drawn in by that already",
        hint="LENGTH",
    ),
    a_text("photo_digest", told="SHA-256 of the photograph that its outline was measured from", asked=Asked.ELSEWHERE),
    Attribute(
        "lab",
        Value.OWN,
        label="shade",
        told="measured shade in CIELAB, such as 72.1,2.0,13.8",
        headings=("l a b", "measured shade"),
        hint="L,A,B",
        own_columns=("lab",),
    ),
    Attribute(
        "illuminant", Value.OWN, told="light and observer of the shade (default D65/10), or photo", headings=("measured under",)
    ),
)
"""Everything that can be told of a piece, in the order in which files and spreadsheets tell it."""

PLAIN: tuple[Attribute, ...] = tuple(attribute for attribute in PIECE if attribute.value is not Value.OWN)
"""Those that are a field of `Piece` each, read and written by the kind of their value."""
