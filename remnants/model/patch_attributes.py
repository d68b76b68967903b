"""What can be told of a patch, and which carpet is wanted for it: two tables, as `attributes` has one of a piece.

Files, forms and the description for programs are made from them. A new attribute is a line here and a field of `Wanted`, where it
may stand on the job for all its patches too, or of `Patch`. What is OWN is declared and read by hand.
"""

from remnants.model.attributes import Attribute, Value, a_text
from remnants.model.piece import WORN_STEPS, WORN_WORDS
from remnants.model.style import Construction

__all__ = ["PATCH", "PATCH_PLAIN", "WANTED", "WANTED_PLAIN"]

WANTED: tuple[Attribute, ...] = (
    a_text("style", told="which carpet; what is left out counts as met"),
    a_text("colour"),
    a_text("lot", label="dye lot", told="dye lot"),
    a_text("room", told="the room it lies in"),
    Attribute(
        "worn",
        Value.STEP,
        label="wear",
        told='wear of the carpet there: 0 new to 4 heavily worn, or in words, such as "hardly worn"',
        words=WORN_WORDS,
        spellings=tuple(WORN_STEPS.items()),
    ),
    Attribute("substitute", Value.YES_NO, told="whether another style in a near shade will do", usual=False),
    Attribute("construction", Value.CHOICE, told="of that other style; the asked one's own unless told", choices=Construction),
    Attribute("lowest_grade", Value.OWN, told="worst match accepted"),
    Attribute("lab", Value.OWN, label="shade", told="measured shade of the carpet there, in CIELAB"),
    Attribute("illuminant", Value.OWN, told="light and observer of the shade"),
    Attribute("max_parts", Value.OWN, label="most parts", told="most parts a patch may be joined from"),
    Attribute("turns", Value.OWN, told="allowed differences between a part's pile and the patch's, degrees"),
)
"""What may stand on a job or on one of its patches, which wins there. A plain one is a field of `Wanted`."""

PATCH: tuple[Attribute, ...] = (
    Attribute("name", Value.OWN, told="what to call it"),
    Attribute("width", Value.OWN, told="net, across"),
    Attribute("length", Value.OWN, told="net, up"),
    Attribute("outline", Value.OWN, told="corners in order, instead of width and length"),
    Attribute("centre", Value.OWN, told="of a round patch, with its radius"),
    Attribute("radius", Value.OWN, told="of a round patch"),
    Attribute(
        "pile",
        Value.BEARING,
        told="way its pile must lay, clockwise from the room's +y; the room's own where that is told",
        needed=True,
    ),
    Attribute("edges", Value.OWN, told="finish of each edge, or of all"),
    Attribute("motif", Value.OWN, told="where the pattern's reference point must lie"),
    Attribute("traffic", Value.BEARING, told="bearing along which people walk"),
    Attribute("light", Value.BEARING, told="bearing from which window light comes in"),
    Attribute("count", Value.OWN, told="how many of it"),
)
"""What may stand on a patch alone. A plain one is a field of `Patch`."""

WANTED_PLAIN = tuple(attribute for attribute in WANTED if attribute.value is not Value.OWN)
PATCH_PLAIN = tuple(attribute for attribute in PATCH if attribute.value is not Value.OWN)
"""Those that are a field each, read and written by the kind of their value."""
