"""A shop's price list: what it asks for carpet, materials and work, in whole minor units of one currency."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from remnants.errors import BadInput, Fault
from remnants.model.money import AREAS, LENGTHS, Per, minor_digits

__all__ = ["PriceLine", "PriceList", "Priced"]


class Priced(StrEnum):
    """What a shop may price."""

    CARPET = "carpet"
    UNDERLAY = "underlay"
    STRIP = "strip"
    TAPE = "tape"
    BAR = "bar"
    LABOUR = "labour"
    STAIRS = "stairs"
    UPLIFT = "uplift"
    VISIT = "visit"


ALLOWED = {
    Priced.CARPET: (*AREAS, *LENGTHS),
    Priced.UNDERLAY: (*AREAS,),
    Priced.STRIP: (*LENGTHS,),
    Priced.TAPE: (*LENGTHS,),
    Priced.BAR: (Per.EACH,),
    Priced.LABOUR: (*AREAS,),
    Priced.STAIRS: (Per.EACH,),
    Priced.UPLIFT: (*AREAS,),
    Priced.VISIT: (Per.EACH,),
}
"""What each may be priced by."""


@dataclass(frozen=True, slots=True)
class PriceLine:
    """What one of something costs the shop, in minor units; carpet of a `style`, or any that no other line prices ("")."""

    what: Priced
    rate_minor: Fraction
    by: Per
    style: str = ""


@dataclass(frozen=True, slots=True)
class PriceList:
    """A price list. `margin_percent` is put on every price, `tax_percent` on their sum. Raises BadInput with its faults."""

    currency: str
    lines: tuple[PriceLine, ...]
    margin_percent: Fraction = Fraction(0)
    tax_percent: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        try:
            minor_digits(self.currency)
        except BadInput as error:
            faults += error.at("currency").faults
        for name, value in (("margin_percent", self.margin_percent), ("tax_percent", self.tax_percent)):
            if not 0 <= value <= 1000:
                faults.append(Fault(name, "give a percentage from 0 to 1000"))
        seen: set[tuple[Priced, str]] = set()
        for index, line in enumerate(self.lines):
            where = f"lines[{index}]"
            priced = (line.what, line.style.strip().casefold())
            if priced in seen:
                named = f" of {line.style.strip()!r}" if priced[1] else ""
                faults.append(Fault(f"{where}.what", f"{line.what.value!r}{named} is priced twice: price it once"))
            seen.add(priced)
            if priced[1] and line.what is not Priced.CARPET:
                faults.append(Fault(f"{where}.style", "only carpet is priced by its style: leave it out"))
            if line.by not in ALLOWED[line.what]:
                able = ", ".join(ALLOWED[line.what])
                faults.append(Fault(f"{where}.per", f"{line.what.value} is not priced by {line.by.value!r}: give one of {able}"))
            if line.rate_minor < 0:
                faults.append(Fault(f"{where}.amount", "a price below zero; give zero or more"))
        if faults:
            raise BadInput(faults)

    def carpet_line(self, style: str) -> PriceLine | None:
        """What carpet of a style is priced by: its own line, else the one of any style; None where there is neither."""
        lines = {line.style.strip().casefold(): line for line in self.lines if line.what is Priced.CARPET}
        return lines.get(style.strip().casefold()) or lines.get("")

    @property
    def priced(self) -> frozenset[Priced]:
        """What it has a price for."""
        return frozenset(line.what for line in self.lines)
