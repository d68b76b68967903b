"""How plainly a piece's shade and wear will be seen beside the floor: a range of grades, best and worst case.

0 hard to find, 1 seen when looked for, 2 seen, 3 plain; what is compared goes on counting past 3. The grey scale's steps are
those of ISO 105-A02; which of them a floor shows, and how far a dye lot may be off, is the trade's habit (common practice, no
source). How far an instrument may be off is our own figure.
"""

from remnants.matching.shade import ROUGH_DELTA_E, GreyGrade, comparable, delta_e_f, grey_grade
from remnants.model import Grade, Lab, Piece
from remnants.model.shade_steps import MeasuredStep
from remnants.model.sight import MOST_SEEN

__all__ = ["INSTRUMENT_DELTA_E", "between_pieces", "measured_range", "shade_range"]

INSTRUMENT_DELTA_E = 0.5
"""How far two measurements of one carpet may lie apart."""

Range = tuple[int, int]
"""Best and worst case."""

SEEN_AS = {
    GreyGrade.FIVE: 0, GreyGrade.FOUR_FIVE: 0, GreyGrade.FOUR: 1, GreyGrade.THREE_FOUR: 2, GreyGrade.THREE: 2,
}  # fmt: skip
"""What a step of the grey scale is seen as; any lower step is plain."""


def shade_range(
    grade: Grade,
    *,
    measured: tuple[Lab, Lab] | None = None,
    step: MeasuredStep | None = None,
    wear_steps: int | None = 0,
) -> tuple[int, int]:
    """The grade at best and at worst: by the names, and by a measurement of both sides where there is one.

    A step that a photograph of both told counts, with its own bar, before shades from two photographs; an instrument on both
    sides is surer than it.

    Where the two share some grades, those; where they share none, the measurement's. Each step of wear adds one to the worst
    case, each after the first one to the best; `wear_steps` None is a wear that nobody told: any from 0 to 3.
    """
    named = grade.seen
    by_photo = step is not None and not (measured and not any(each.from_photo for each in measured))
    told = measured_range(step) if step and by_photo else _measured(*measured) if measured else None
    best, worst = _both(named, told) if told else named
    if wear_steps is None:
        return best, worst + MOST_SEEN
    return best + max(0, wear_steps - 1), worst + wear_steps


def measured_range(step: MeasuredStep) -> tuple[int, int]:
    """The grades at best and at worst that a measured step alone allows."""
    return _within(step.graded, step.graded_bar)


def between_pieces(one: Piece, two: Piece) -> tuple[int, int] | None:
    """The same for two pieces seen beside each other in one room; None where they are one carpet, equally worn."""
    same_carpet = (one.style.strip().casefold(), one.colour.strip().casefold()) == (
        two.style.strip().casefold(),
        two.colour.strip().casefold(),
    )
    lots = one.lot.strip().casefold(), two.lot.strip().casefold()
    wear = abs(one.worn - two.worn)
    same_lot = lots[0] == lots[1]
    if same_carpet and same_lot and not wear:
        return None
    of_lots = Grade.SAME_LOT if same_lot else Grade.OTHER_LOT if all(lots) else Grade.LOT_NOT_KNOWN
    grade = of_lots if same_carpet else Grade.SUBSTITUTE
    measured = (one.lab, two.lab) if one.lab and two.lab and comparable(one.lab, two.lab) else None
    return shade_range(grade, measured=measured, wear_steps=wear)


def _both(named: Range, measured: Range) -> Range:
    best, worst = max(named[0], measured[0]), min(named[1], measured[1])
    return (best, worst) if best <= worst else measured


def _measured(one: Lab, two: Lab) -> Range:
    """What the measurement allows, as far as either may be off."""
    off = ROUGH_DELTA_E if one.from_photo or two.from_photo else INSTRUMENT_DELTA_E
    return _within(delta_e_f(one, two), off)


def _within(told: float, off: float) -> Range:
    """What a weighted difference (ISO 105-A05) allows that may be so far off."""
    best, worst = (SEEN_AS.get(grey_grade(each), MOST_SEEN) for each in (max(0.0, told - off), told + off))
    return best, worst
