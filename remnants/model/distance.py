"""How far it is by road from one branch to another, as a shop tells it: km or miles, never a length that carpet is cut to."""

import re
from dataclasses import dataclass

from remnants.errors import BadInput, Fault

__all__ = ["KM_PER_MILE", "MOST_KM", "Distance", "read_distance"]

KM_PER_MILE = 1.609344
"""The international mile (NIST Handbook 44, appendix C)."""

MOST_KM = 20_000.0
"""Half of the way round the earth: nothing is farther."""

_TOLD = re.compile(r"(\d{1,6}(?:[.,]\d{1,2})?)\s*(km|kms|kilometres?|kilometers?|mi|miles?)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance by road in km, and the words in which it was told."""

    km: float
    words: str

    @property
    def whole_km(self) -> int:
        """In whole km, as distances are added up and compared; at least 1."""
        return max(1, round(self.km))


def read_distance(text: str, where: str) -> Distance:
    """The distance that a text tells: `40 km`, `25 miles`; a figure alone is km. `where` names the option or field.

    Raises BadInput for what is no distance, is nought, or is farther than MOST_KM.
    """
    found = _TOLD.fullmatch(text.strip())
    if not found:
        raise BadInput([Fault(where, f"{text.strip()[:40]!r} is no distance: write it like `40 km` or `25 miles`")])
    figure, unit = float(found[1].replace(",", ".")), (found[2] or "km").casefold()
    miles = unit.startswith("mi")
    km = figure * KM_PER_MILE if miles else figure
    if not 0 < km <= MOST_KM:
        raise BadInput(
            [Fault(where, f"{text.strip()[:40]!r} is out of bounds: give more than nought and at most {MOST_KM:,.0f} km")]
        )
    return Distance(km, f"{figure:.8g} {('mile' if figure == 1 else 'miles') if miles else 'km'}")
