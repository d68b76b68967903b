"""Which column of a spreadsheet is what, however it is headed: `Dye Lot #`, `Wdth (cm)`, `COLOR`."""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.model.attributes import PIECE, PLAIN, Value
from remnants.units import Unit

__all__ = ["FIELDS", "Heading", "guess_headings", "known_in", "plain_heading"]

_OF_SHEETS = {
    "size": ("dimensions", "dims", "measure", "measures", "w x l", "width x length", "wxl"),
    "unit": ("units", "uom", "unit of measure"),
    "quantity": ("qty", "count", "pcs", "pieces", "no of pieces", "number of pieces", "how many"),
}
"""What only a spreadsheet tells."""

FIELDS: Mapping[str, tuple[str, ...]] = {
    name: (name.replace("_", " "), *headings)
    for name, headings in (
        *((attribute.name, attribute.headings) for attribute in PIECE if attribute.in_sheets),
        *_OF_SHEETS.items(),
    )
}
"""What a column may tell, and the headings that say so."""

_KNOWN = {spelling: field for field, spellings in FIELDS.items() for spelling in spellings}
_UNITS = {
    "mm": Unit.MM,
    "cm": Unit.CM,
    "m": Unit.M,
    "in": Unit.IN,
    "inch": Unit.IN,
    "inches": Unit.IN,
    '"': Unit.IN,
    "ft": Unit.FT,
    "feet": Unit.FT,
    "'": Unit.FT,
}
_SUMS = frozenset(attribute.name for attribute in PLAIN if attribute.value is Value.MONEY)
_OF_A_CURRENCY = re.compile(r"\W*\b[A-Z]{3}\W*$")
_NEAR = 0.78
_LONGEST = 100
"""No heading that is known is longer."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading as written, what its column is taken for ("" for nothing), in which unit, and whether that is a guess.

    `of_roll` is the width of a roll, which is told in feet where all else is told in inches: its unit has to be asked for.
    """

    written: str
    field: str = ""
    unit: Unit | None = None
    guessed: bool = False
    of_roll: bool = False


def guess_headings(written: Sequence[str], told: Mapping[str, str] | None = None) -> tuple[Heading, ...]:
    """What each heading is taken for. `told` says it for some: heading as written to a name of FIELDS, which may name its unit
    (`width (ft)`), or "" to leave it out.

    Of two headings for one thing the surer wins, then the first; the other is left out. Raises BadInput when `told` names a
    heading or a field that there is not.
    """
    _check_told(written, told or {})
    made = [_heading(text, (told or {}).get(text)) for text in written]
    taken: dict[str, Heading] = {}
    for heading in sorted(made, key=lambda heading: heading.guessed):
        if heading.field:
            taken.setdefault(heading.field, heading)
    return tuple(h if taken.get(h.field) is h else Heading(h.written) for h in made)


def _heading(text: str, told: str | None) -> Heading:
    plain, unit = plain_heading(text)
    of_roll = unit is None and "roll" in plain.split()
    if told is not None:
        field, own = _told_as(told)
        return Heading(text, field, own or unit, of_roll=of_roll and own is None and field == "width")
    if plain in _KNOWN:
        return Heading(text, _KNOWN[plain], unit)
    if len(text) <= _LONGEST and (field := _KNOWN.get(plain_heading(_OF_A_CURRENCY.sub("", text))[0], "")) in _SUMS:
        return Heading(text, field)
    near = difflib.get_close_matches(plain, _KNOWN, n=1, cutoff=_NEAR) if len(plain) > 2 else []
    if not near:
        whole = [_KNOWN[word] for word in plain.split() if word in _KNOWN and len(word) > 2]
        if len(set(whole)) != 1:
            return Heading(text)
        return Heading(text, whole[0], unit, guessed=True, of_roll=of_roll and whole[0] == "width")
    return Heading(text, _KNOWN[near[0]], unit, guessed=True)


def _told_as(told: str) -> tuple[str, Unit | None]:
    """The field and unit of `width (ft)`; a name of FIELDS alone has no unit."""
    return (told, None) if told in FIELDS else plain_heading(told)


def known_in(cells: Sequence[str], told: Mapping[str, str] | None = None) -> frozenset[str]:
    """What a row tells for sure, were it one of headings."""
    fields = ((told or {}).get(cell) or _KNOWN.get(plain_heading(cell)[0], "") for cell in cells if len(cell) <= _LONGEST)
    return frozenset(field for field in fields if field)


def plain_heading(text: str) -> tuple[str, Unit | None]:
    """`Dye-Lot #` is `dye lot`; `Width (cm)`, `width_cm` and `Width in inches` give the unit too."""
    lower = text.strip().lower()
    in_brackets = re.search(r"[(\[]([^()\[\]]*)[)\]]$", lower)
    if in_brackets and in_brackets[1].strip() in _UNITS:
        return _words(lower[: in_brackets.start()]), _UNITS[in_brackets[1].strip()]
    words = _words(lower).split()
    if len(words) > 1 and words[-1] in _UNITS:
        rest = words[:-2] if len(words) > 2 and words[-2] == "in" else words[:-1]
        return " ".join(rest), _UNITS[words[-1]]
    return " ".join(words), None


def _words(text: str) -> str:
    return " ".join(re.sub(r"[^\w]+|_", " ", text).split())


def _check_told(written: Sequence[str], told: Mapping[str, str]) -> None:
    faults = [Fault("--column", f"no column is headed {name!r}") for name in told if name not in written]
    faults += [
        Fault("--column", f"{field!r} is nothing a column can tell; it is one of {', '.join(FIELDS)}")
        for field in told.values()
        if field and _told_as(field)[0] not in FIELDS
    ]
    if faults:
        raise BadInput(faults)
