"""Which column of a spreadsheet is what, however it is headed: `Dye Lot #`, `Wdth (cm)`, `COLOR`."""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.model.attributes import PIECE
from remnants.units import Unit

__all__ = ["FIELDS", "Heading", "guess_headings"]

_OF_SHEETS = {
    "size": ("dimensions", "dims", "measure", "measures", "w x l", "width x length", "wxl"),
    "unit": ("units", "uom", "unit of measure"),
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
_NEAR = 0.78


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading as written, what its column is taken for ("" for nothing), in which unit, and whether that is a guess."""

    written: str
    field: str = ""
    unit: Unit | None = None
    guessed: bool = False


def guess_headings(written: Sequence[str], told: Mapping[str, str] | None = None) -> tuple[Heading, ...]:
    """What each heading is taken for. `told` says it for some: heading as written to a name of FIELDS, "" to leave it out.

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
    plain, unit = _plain(text)
    if told is not None:
        return Heading(text, told, unit)
    if plain in _KNOWN:
        return Heading(text, _KNOWN[plain], unit)
    near = difflib.get_close_matches(plain, _KNOWN, n=1, cutoff=_NEAR) if len(plain) > 2 else []
    if not near:
        whole = [_KNOWN[word] for word in plain.split() if word in _KNOWN and len(word) > 2]
        return Heading(text, whole[0], unit, guessed=True) if len(set(whole)) == 1 else Heading(text)
    return Heading(text, _KNOWN[near[0]], unit, guessed=True)


def _plain(text: str) -> tuple[str, Unit | None]:
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
        if field and field not in FIELDS
    ]
    if faults:
        raise BadInput(faults)
