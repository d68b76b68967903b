"""A shop's own trial of a phone, as it stands in an address: nothing of it is kept."""

import math
from urllib.parse import parse_qsl

from remnants.actions.flat_photos import Flattened, Length, Tried
from remnants.errors import BadInput, BadMeasure, Fault
from remnants.units import parse_length
from remnants_web.shapes import Typed, entry_unit
from remnants_web.traced import Traced

__all__ = ["tried_in", "with_tried"]

MOST_TRIED = 60
_FURTHEST_MM = 10_000.0


def tried_in(text: str) -> tuple[Tried, ...]:
    """The lengths that an address tells: found, bar, tape (mm) and photograph, semicolons between. Raises BadInput."""
    found = []
    parts = [part for part in text.split(";") if part.strip()]
    if len(parts) > MOST_TRIED:
        raise BadInput(f"a trial takes {MOST_TRIED} lengths at most: begin another one")
    for part in parts:
        try:
            mm, bar, known, photo = part.split(",")
            told = [float(each) for each in (mm, bar, known)]
        except ValueError:
            told, photo = [math.nan], ""
        if not all(0.0 < each < _FURTHEST_MM for each in told):
            raise BadInput("this trial can't be read: begin it anew, on the page Measure")
        found.append(Tried(Length(told[0], told[1]), told[2], photo[:16]))
    return tuple(found)


def with_tried(form: Typed, found: Traced | None, flat: Flattened) -> str:
    """The trial with one more length. Raises BadInput at the form's fields."""
    if found is None or found.length is None:
        raise BadInput([Fault("corners", "set two corners, at the ends of the length that the tape measured")])
    try:
        known_mm = parse_length(form["known"], entry_unit())
    except BadMeasure as error:
        raise BadInput([Fault("known", str(error))]) from None
    if not 0.0 < known_mm < _FURTHEST_MM:
        raise BadInput([Fault("known", "say what the tape says: a length above zero")])
    before = dict(parse_qsl(form["typed"])).get("tried", "")
    tried_in(before)
    more = f"{found.length.mm:.2f},{found.length.bar_mm:.2f},{known_mm:.2f},{flat.digest[:16]}"
    return ";".join([*([before] if before else []), more])
