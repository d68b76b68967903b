"""What can be told of a patch, and which carpet is wanted for it: two tables, as `attributes` has one of a piece.

Files, forms, what answers and sheets tell and the description for programs are made from them. A new attribute is a line here and
a field of `Wanted`, where it may stand on the job for all its patches too, or of `Patch`. What is OWN is read by hand.
"""

from remnants.model.attributes import Asked, Attribute, Value, a_text
from remnants.model.piece import WORN_STEPS, WORN_WORDS
from remnants.model.style import Construction

__all__ = ["PATCH", "PATCH_MORE", "PATCH_PLAIN", "WANTED", "WANTED_PLAIN"]


def _own(name: str, told: str, label: str = "") -> Attribute:
    return Attribute(name, Value.OWN, told=told, label=label, asked=Asked.ELSEWHERE)


WANTED: tuple[Attribute, ...] = (
    a_text("style", told="which carpet; what is left out counts as met", asked=Asked.FIRST),
    a_text("colour", asked=Asked.FIRST),
    a_text("lot", told="dye lot", asked=Asked.FIRST),
    a_text("room", told="the room it lies in", asked=Asked.FIRST),
    Attribute(
        "worn",
        Value.STEP,
        label="wear",
        told='wear of the carpet there: 0 new to 4 heavily worn, or in words, such as "hardly worn"',
        words=WORN_WORDS,
        spellings=tuple(WORN_STEPS.items()),
        asked=Asked.ELSEWHERE,
    ),
    Attribute(
        "substitute", Value.YES_NO, told="whether another style in a near shade will do", usual=False, asked=Asked.ELSEWHERE
    ),
    Attribute(
        "construction",
        Value.CHOICE,
        told="of that other style; the asked one's own unless told",
        choices=Construction,
        asked=Asked.ELSEWHERE,
    ),
    a_text(
        "shade_steps",
        label="measured steps in shade",
        told="to pieces seen in one photograph with it, as `remnants measure --shades` tells them",
        asked=Asked.ELSEWHERE,
    ),
    _own("lowest_grade", "worst match accepted"),
    _own("lab", "measured shade of the carpet there, in CIELAB"),
    _own("illuminant", "light and observer of the shade"),
    _own("max_parts", "most parts a patch may be joined from", label="most parts"),
    _own("turns", "allowed differences between a part's pile and the patch's, degrees"),
)
"""What may stand on a job or on one of its patches, which wins there. A plain one is a field of `Wanted`."""

PATCH: tuple[Attribute, ...] = (
    _own("name", "what to call it"),
    _own("width", "net, across"),
    _own("length", "net, up"),
    _own("outline", "corners in order, instead of width and length"),
    _own("centre", "of a round patch, with its radius"),
    _own("radius", "of a round patch"),
    _own("diameter", "of a round patch, in the place of its radius"),
    Attribute("pile", Value.BEARING, told="way its pile must lay, clockwise from the room's +y", needed=True, asked=Asked.FIRST),
    _own("edges", "finish of each edge, or of all"),
    _own("motif", "where the pattern's reference point must lie"),
    Attribute("traffic", Value.BEARING, told="bearing along which people walk", asked=Asked.ELSEWHERE),
    Attribute("light", Value.BEARING, told="bearing from which window light comes in", asked=Asked.ELSEWHERE),
    a_text("note", told="for who cuts it; the customer's page tells nothing of it"),
    Attribute(
        "photo_bar",
        Value.LENGTH,
        label="photo's bar",
        told="how far off its outline or its damage may be where it was measured from a photograph; it is larger by that already",
    ),
    a_text("photo_digest", told="SHA-256 of the photograph that it was measured from", asked=Asked.ELSEWHERE),
    _own("photo_at", "where the middle of that photograph's marker page lies, in the patch's own axes"),
    Attribute(
        "photo_turn",
        Value.BEARING,
        told="how far the top of that page is turned, clockwise from the room's +y",
        asked=Asked.ELSEWHERE,
    ),
    _own(
        "seam_shift",
        "how far its first seam is moved: the way the pile lays, or right with the pile up; below zero the other way",
    ),
    _own("count", "how many of it"),
    _own("damage", "instead of a size: what must go, one outline or several; the patch is then proposed"),
    _own("margin", "least carpet that goes round the damage"),
)
"""What may stand on a patch alone. A plain one is a field of `Patch`."""

WANTED_PLAIN = tuple(attribute for attribute in WANTED if attribute.value is not Value.OWN)
PATCH_PLAIN = tuple(attribute for attribute in PATCH if attribute.value is not Value.OWN)
"""Those that are a field each, read and written by the kind of their value."""

PATCH_MORE = tuple(attribute for attribute in PATCH_PLAIN if attribute.asked is Asked.MORE)
"""What the form of a patch asks more rarely, and answers and sheets tell the shop's own people, but no customer."""
