"""What can be told of a style: one table, as `attributes` has one of a piece.

Files, options, cards, the description for programs and the rows of the catalogue are made from it. A new attribute is a line
here, a field of `Style` and a step of the migrations. What is asked FIRST has a place of its own on cards and in lists.
"""

from remnants.model.attributes import Asked, Attribute, Value, a_text
from remnants.model.style import Construction

__all__ = ["STYLE", "STYLE_PLAIN"]

STYLE: tuple[Attribute, ...] = (
    Attribute("name", Value.NAME, label="style", needed=True, asked=Asked.FIRST),
    Attribute(
        "construction",
        Value.CHOICE,
        told="how its pile is made; cut unless told",
        choices=Construction,
        usual=Construction.CUT,
        asked=Asked.FIRST,
    ),
    Attribute("roll_width", Value.LENGTH, told="width that it is made in", hint="LENGTH", asked=Asked.FIRST),
    Attribute(
        "repeat",
        Value.OWN,
        label="pattern",
        told="pattern repeat across and along the pile",
        hint="ACROSS,ALONG",
        own_columns=("repeat_across_mm", "repeat_along_mm", "repeat_drop"),
        asked=Asked.FIRST,
    ),
    Attribute("row", Value.LENGTH, told="spacing of tuft rows", hint="LENGTH", asked=Asked.FIRST),
    Attribute("mass", Value.MASS, told="its mass per area, grams a square metre, such as 2400", hint="FIGURE"),
    Attribute("pile_height", Value.LENGTH, told="height of the pile above the backing", hint="LENGTH"),
    Attribute("backing", Value.LENGTH, label="backing height", told="height of the backing under the pile", hint="LENGTH"),
    a_text("backing_material", label="backing", told='what its backing is made of, such as "felt" or "woven jute"', hint="TEXT"),
    Attribute(
        "repeat_bar",
        Value.LENGTH,
        label="pattern's bar",
        told="how far off its repeat may be, where it was measured from a photograph",
        hint="LENGTH",
    ),
    Attribute("colours", Value.OWN, told="colours it is made in, with their shades", own_columns=("colours",)),
)
"""Everything that can be told of a style, in the order in which files tell it."""

STYLE_PLAIN: tuple[Attribute, ...] = tuple(attribute for attribute in STYLE if attribute.value is not Value.OWN)
"""Those that are a field of `Style` each, read and written by the kind of their value."""
