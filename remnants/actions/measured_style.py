"""A style described by what a photograph shows of its pattern: its repeat, with how far that may be off, and its rows."""

from dataclasses import dataclass, replace

from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.ledger import Signed
from remnants.model import Style
from remnants.model.style import Repeat
from remnants.photo.measures import Length
from remnants.photo.rows import RowsSeen
from remnants.store import Catalogue
from remnants.units import Unit, write_length

__all__ = ["PatternSeen", "describe_seen", "seen_in", "with_pattern"]

_ALIKE = 0.03
"""Rows whose distance differs by more are told by no two measures of one carpet."""


@dataclass(frozen=True, slots=True)
class PatternSeen:
    """What a photograph tells of a pattern: its repeats across and along the rows, and how far apart rows are (mm)."""

    across: Length | None = None
    along: Length | None = None
    row_mm: float | None = None

    @property
    def bar_mm(self) -> float:
        """How far off either repeat may be (mm)."""
        return max((each.bar_mm for each in (self.across, self.along) if each), default=0.0)

    @property
    def repeats(self) -> bool:
        """Whether both repeats are seen, as a style needs them."""
        return self.across is not None and self.along is not None


def seen_in(candidate: RowsSeen) -> PatternSeen:
    """What a candidate for the rows tells of the style."""
    return PatternSeen(candidate.across, candidate.along, candidate.rows.apart.mm if candidate.rows.apart else None)


def with_pattern(style: Style, seen: PatternSeen, unit: Unit) -> Style:
    """The style as the photograph describes it further. What a tape or a mill told stays where the photograph agrees.

    Raises BadInput where it doesn't, or where nothing is seen that describes a style.
    """
    if not seen.repeats and seen.row_mm is None:
        what = "a style needs its rows, or its repeat both across and along: neither is seen there; measure with a tape"
        raise BadInput([Fault("rows", what)])
    faults = []
    if seen.across and seen.along:
        told = style.repeat if style.repeat_bar_mm is None else None
        ends = ((told.across_mm, seen.across), (told.along_mm, seen.along)) if told else ()
        if not all(length.holds(mm) for mm, length in ends):
            own = " x ".join(write_length(mm, unit) for mm, _ in ends)
            what = f"{style.name} has a repeat of {own} already, and the photograph shows another: measure with a tape"
            faults.append(Fault("rows", what))
        elif told is None:
            drop = style.repeat.drop if style.repeat else 0.0
            style = replace(style, repeat=Repeat(seen.across.mm, seen.along.mm, drop), repeat_bar_mm=seen.bar_mm)
    if seen.row_mm is not None:
        if style.row_mm is None:
            style = replace(style, row_mm=seen.row_mm)
        elif abs(seen.row_mm / style.row_mm - 1) > _ALIKE:
            what = (
                f"{style.name} has rows {style.row_mm:.2f} mm apart already, and the photograph shows {seen.row_mm:.2f} mm: "
                "choose the other candidate, or count rows with a rule"
            )
            faults.append(Fault("rows", what))
    if faults:
        raise BadInput(faults)
    return style


def describe_seen(catalogue: Catalogue, name: str, seen: PatternSeen, unit: Unit, *, signed: Signed, key: str = "") -> Style:
    """Describes the style of that name, new or known, by what was seen, and gives it. Raises BadInput as `with_pattern`."""
    style = with_pattern(known_styles(catalogue).get(name) or Style(name), seen, unit)
    log_pieces(catalogue, Stock((style,), (), unit), signed=signed, key=key)
    return style
