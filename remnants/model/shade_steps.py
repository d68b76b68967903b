"""Steps in shade between pieces and a floor, measured in one photograph each: as texts tell them and as values."""

import math
import re
from dataclasses import dataclass

from remnants.errors import BadInput, Fault

__all__ = ["MeasuredStep", "step_to", "steps_in"]

_FIGURE = r"(\d+(?:\.\d+)?)"
_ENTRY = re.compile(rf"(\S.*?) {_FIGURE} (?:±|\+-) {_FIGURE} \(graded {_FIGURE} (?:±|\+-) {_FIGURE}\)")
_MOST = 100.0
"""ΔE beyond which lie no two colours."""

MOST_STEPS = 50


@dataclass(frozen=True, slots=True)
class MeasuredStep:
    """From the floor to the piece with this tag: ΔE00 and how far off it may be, and the same as ISO 105-A05 weighs it."""

    tag: str
    delta_e: float
    bar: float
    graded: float
    graded_bar: float

    def __str__(self) -> str:
        """As jobs tell it: `R-0142 2.1 ± 0.8 (graded 2.3 ± 0.9)`; bars are rounded up."""
        bars = (math.ceil(round(each * 10, 6)) / 10 for each in (self.bar, self.graded_bar))
        bar, graded_bar = bars
        return f"{self.tag} {self.delta_e:.1f} ± {bar:.1f} (graded {self.graded:.1f} ± {graded_bar:.1f})"

    @property
    def words(self) -> str:
        """As reasons tell it."""
        return f"a step of ΔE00 {self.delta_e:.1f} ± {self.bar:.1f} to the floor, measured in one photograph"


def steps_in(text: str) -> tuple[MeasuredStep, ...]:
    """The steps that a text tells, with semicolons between. Raises BadInput at `shade_steps`."""
    found = []
    for told in filter(None, (part.strip() for part in text.split(";"))):
        entry = _ENTRY.fullmatch(" ".join(told.split()))
        figures = [float(figure) for figure in entry.groups()[1:]] if entry else []
        if entry is None or max(figures) > _MOST or not (figures[1] > 0 and figures[3] > 0):
            usual = "R-0142 2.1 ± 0.8 (graded 2.3 ± 0.9)"
            what = f"{told[:60]!r} is no step that was measured: give it as `remnants measure` does, {usual!r}"
            raise BadInput([Fault("shade_steps", what)])
        found.append(MeasuredStep(entry[1], *figures))
    tags = [each.tag.casefold() for each in found]
    if len(set(tags)) != len(tags) or len(tags) > MOST_STEPS:
        raise BadInput([Fault("shade_steps", f"tell each piece once, {MOST_STEPS} at most")])
    return tuple(found)


def step_to(text: str, tag: str) -> MeasuredStep | None:
    """The step to a piece; None where none was measured. Raises BadInput as `steps_in`."""
    if not text:
        return None
    return next((each for each in steps_in(text) if each.tag.casefold() == tag.casefold()), None)
