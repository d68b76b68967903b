"""A phone's lens, as its pictures tell it, and what was found out about it once from several of them."""

import math
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.limits import NAME_CHARACTERS

__all__ = ["LENS_FIGURES", "PhoneCalibration", "PhoneLens"]

LENS_FIGURES = 5
"""The log of the focal length and the middle across and down, in longer sides of the picture, and two radial terms."""

_MOST_ASKEW = 1e-9
"""By which two halves of a covariance may differ, of the root of its diagonal: what floats leave."""


@dataclass(frozen=True, order=True, slots=True)
class PhoneLens:
    """What tells a phone and its lens in a picture's own data: make and model, the focal length (mm) and that by 35 mm film,
    nought where it is not told, and the pixels of the longer and of the shorter side. No serial number, no name, no place."""

    make: str
    model: str
    focal_mm: float
    focal_35: float
    across: int
    down: int

    @property
    def words(self) -> str:
        """As people read it."""
        name = self.model if self.model.casefold().startswith(self.make.casefold()) else f"{self.make} {self.model}".strip()
        lens = f"lens of {self.focal_mm:g} mm" if self.focal_mm else f"lens of {self.focal_35:g} mm by 35 mm film"
        return f"{name}, {lens}, pictures of {self.across} x {self.down}"


@dataclass(frozen=True, slots=True)
class PhoneCalibration:
    """What is known of a lens: its figures and their covariance, row by row, from so many photographs.

    The middle counts in the axes of the sensor: to the right and down in a picture as it is stored. The bars are those of a
    length of 1000 mm in a usual photograph, before and since (mm). Raises BadInput for what can be none.
    """

    lens: PhoneLens
    figures: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    photos: int
    bar_before_mm: float
    bar_mm: float

    def __post_init__(self) -> None:
        faults = [Fault(where, what) for where, what in self._faults()]
        if faults:
            raise BadInput(faults)

    def _faults(self) -> list[tuple[str, str]]:
        lens, found = self.lens, []
        if not (lens.make or lens.model) or max(len(lens.make), len(lens.model)) > NAME_CHARACTERS:
            found.append(("phone", f"a make or a model is wanted, each of {NAME_CHARACTERS} characters at most"))
        if not (lens.focal_mm > 0 or lens.focal_35 > 0) or not lens.across >= lens.down > 0:
            found.append(("phone", "a focal length above zero and the size of its pictures are wanted"))
        if len(self.figures) != LENS_FIGURES or not all(map(math.isfinite, self.figures)):
            found.append(("figures", f"a lens has {LENS_FIGURES} figures"))
        elif not _is_covariance(self.covariance):
            found.append(("covariance", f"a lens has a covariance of {LENS_FIGURES} x {LENS_FIGURES}, the same both ways"))
        if not 0 < self.bar_mm < self.bar_before_mm or self.photos < 1:
            found.append(("bar", "a calibration makes bars narrower, from one photograph or more"))
        return found


def _is_covariance(rows: tuple[tuple[float, ...], ...]) -> bool:
    """Whether it is symmetric and of positive variances in every direction (by A.-L. Cholesky's decomposition, 1910)."""
    if len(rows) != LENS_FIGURES or any(len(row) != LENS_FIGURES or not all(map(math.isfinite, row)) for row in rows):
        return False
    sds = [math.sqrt(row[at]) if row[at] > 0 else 0.0 for at, row in enumerate(rows)]
    if not all(sds):
        return False
    lower = [[0.0] * LENS_FIGURES for _ in rows]
    for at in range(LENS_FIGURES):
        for other in range(at + 1):
            share = rows[at][other] / (sds[at] * sds[other])
            if abs(share - rows[other][at] / (sds[at] * sds[other])) > _MOST_ASKEW:
                return False
            left = share - sum(lower[at][k] * lower[other][k] for k in range(other))
            if at == other:
                if left <= 0:
                    return False
                lower[at][at] = math.sqrt(left)
            else:
                lower[at][other] = left / lower[other][other]
    return True
