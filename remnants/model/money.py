"""Money in whole minor units of a currency named by its ISO 4217 code, and what carpet costs."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction

from remnants.errors import BadInput, Fault
from remnants.units import MM2_PER_FT2, MM2_PER_M2, MM2_PER_YD2, MM_PER_FT, MM_PER_YD

__all__ = ["Money", "Per", "Price", "amount_of", "cost_of", "minor_digits", "money_of", "shared_out"]

_WITHOUT = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_CODES = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP CVE CZK DKK "
    "DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK "
    "LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR "
    "RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VES "
    "WST XCD YER ZAR ZMW"
)
"""Active codes of ISO 4217 (from memory); those without and with three minor digits stand apart."""
_DIGITS = {code: digits for codes, digits in ((_WITHOUT, 0), (_CODES, 2), (_THREE, 3)) for code in codes.split()}


class Per(StrEnum):
    """What a price is for: an area, a length (of roll at its full width), or one of them."""

    M2 = "m2"
    FT2 = "ft2"
    YD2 = "yd2"
    M = "m"
    FT = "ft"
    YD = "yd"
    EACH = "each"


AREAS = {Per.M2: MM2_PER_M2, Per.FT2: MM2_PER_FT2, Per.YD2: MM2_PER_YD2}
LENGTHS = {Per.M: 1000.0, Per.FT: MM_PER_FT, Per.YD: MM_PER_YD}
"""How many mm² or mm each of them is."""


@dataclass(frozen=True, slots=True)
class Money:
    """A sum in whole minor units, such as cents."""

    minor: int
    currency: str

    def __str__(self) -> str:
        digits = minor_digits(self.currency)
        sign, minor = ("-" if self.minor < 0 else ""), abs(self.minor)
        whole, rest = divmod(minor, 10**digits)
        return f"{sign}{whole:,}{f'.{rest:0{digits}d}' if digits else ''} {self.currency}"

    @property
    def written(self) -> str:
        """As `money_of` reads it: `1670.13 USD`."""
        return f"{self.plain} {self.currency}"

    @property
    def plain(self) -> str:
        """The figure alone, as a spreadsheet reads it: `670.13`."""
        digits = minor_digits(self.currency)
        return str(Decimal(self.minor).scaleb(-digits)) if digits else str(self.minor)


@dataclass(frozen=True, slots=True)
class Price:
    """A price for an area or a length of roll, in `rate_minor` minor units, and the share credited for leftovers."""

    currency: str
    rate_minor: Fraction
    per: Per
    credit: float = 0.0

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        try:
            minor_digits(self.currency)
        except BadInput as error:
            faults += error.at("currency").faults
        if self.rate_minor < 0:
            faults.append(Fault("amount", "a price below zero; give zero or more"))
        if self.per is Per.EACH:
            faults.append(Fault("per", "a roll has no price each: give one by area, such as m2, or by length of roll, such as m"))
        if not (math.isfinite(self.credit) and 0 <= self.credit <= 1):
            faults.append(Fault("credit", f"{self.credit!r} is no share: give 0 to 1, such as 0.25"))
        if faults:
            raise BadInput(faults)

    def of(self, width_mm: float, length_mm: float) -> Money:
        """What a piece this wide and long costs off the roll, rounded half up. A price per length leaves the width out."""
        exact = self._share(Fraction(round(width_mm * 1000), 1000), Fraction(round(length_mm * 1000), 1000))
        return Money(half_up(exact), self.currency)

    def credited(self, area_mm2: float, roll_width_mm: float) -> Money:
        """What leftovers of this area are credited at: the stated share of their price, rounded half up."""
        length = Fraction(round(area_mm2), 1) / Fraction(round(roll_width_mm * 1000), 1000)
        share = Fraction(self.credit).limit_denominator(10_000)
        return Money(half_up(self._share(Fraction(round(roll_width_mm * 1000), 1000), length) * share), self.currency)

    def _share(self, width: Fraction, length: Fraction) -> Fraction:
        if self.per in AREAS:
            return self.rate_minor * width * length / Fraction(str(AREAS[self.per]))
        return self.rate_minor * length / Fraction(str(LENGTHS[self.per]))


def minor_digits(currency: str) -> int:
    """Digits after the point. Raises BadInput for what is no active ISO 4217 code."""
    digits = _DIGITS.get(currency)
    if digits is None:
        raise BadInput(f"{currency!r} is no currency code: give one of ISO 4217, such as USD, EUR or JPY")
    return digits


_SUM = re.compile(r"(?P<figure>\d{1,12}(?:\.\d+|,\d{1,2})?)\s*(?P<currency>[A-Za-z]{3})")


def money_of(text: str) -> Money:
    """The sum that a text tells, such as `670.13 EUR`. Raises BadInput for none, and for more digits than there are."""
    told = _SUM.fullmatch(text.strip())
    if not told:
        shown = text if len(text) <= 40 else text[:37] + "..."
        raise BadInput(f"{shown!r} is no sum: write the figure and its currency, such as 670.13 EUR")
    currency = told["currency"].upper()
    digits = minor_digits(currency)
    minor = Decimal(told["figure"].replace(",", ".")).scaleb(digits)
    if minor != int(minor):
        raise BadInput(f"{text.strip()!r} is no sum: {currency} has {digits or 'no'} digits after the point")
    return Money(int(minor), currency)


_RATE = re.compile(r"(?P<figure>\d{1,12}(?:[.,]\d+)?)\s*(?P<currency>[A-Za-z]{3})\s*(?:/|\bper\b)\s*(?P<per>.+)", re.IGNORECASE)
_AREA_WORDS = {
    **dict.fromkeys(("m2", "m²", "sq m", "square metre", "square meter"), Per.M2),
    **dict.fromkeys(("yd2", "yd²", "sq yd", "square yard"), Per.YD2),
    **dict.fromkeys(("ft2", "ft²", "sq ft", "square foot"), Per.FT2),
}


def cost_of(text: str) -> "Money | Price":
    """What a text says that a piece was bought for: as a whole (`670.13 EUR`), or by area (`18.50 EUR per m2`, `22 USD/yd2`).

    Raises BadInput for neither.
    """
    told = _RATE.fullmatch(text.strip())
    if not told:
        return money_of(text)
    per = _AREA_WORDS.get(" ".join(told["per"].casefold().replace(".", "").split()))
    if per is None:
        shown = text.strip() if len(text) <= 40 else text[:37] + "..."
        raise BadInput(f"{shown!r} is no price of an area: write it like 18.50 EUR per m2; yd2 and ft2 are known too")
    currency = told["currency"].upper()
    return Price(currency, amount_of(told["figure"].replace(",", "."), currency), per)


def shared_out(whole: Money, areas_mm2: Sequence[float]) -> tuple[Money, ...]:
    """The sum shared by areas (mm²), to the minor unit: the shares add up to the whole exactly.

    Each is rounded down, and what is left over goes, a minor unit each, to those that lost most by it, the first before others
    alike (the method of largest remainders). Where there is no area at all the first has everything. Raises ValueError for none.
    """
    areas = [Fraction(max(area, 0.0)) for area in areas_mm2]
    total = sum(areas, Fraction(0))
    if not areas:
        raise ValueError("nothing to share it among")
    exact = [whole.minor * area / total if total else Fraction(0) for area in areas]
    shares = [math.floor(share) for share in exact]
    lost = sorted(range(len(areas)), key=lambda at: (shares[at] - exact[at], at))
    left = whole.minor - sum(shares)
    for at in lost[:left] if total else ():
        shares[at] += 1
    if not total:
        shares[0] = whole.minor
    return tuple(Money(share, whole.currency) for share in shares)


def amount_of(text: str | float, currency: str) -> Fraction:
    """A typed amount (`17.95`, 17.95) in minor units, exactly. Raises BadInput for what is no plain figure."""
    shown = text if isinstance(text, str) else repr(text)
    try:
        if not re.fullmatch(r"\s*\d+(\.\d+)?\s*", shown):
            raise InvalidOperation
        return Fraction(Decimal(shown.strip())) * Fraction(10 ** minor_digits(currency))
    except InvalidOperation:
        raise BadInput(f"{text!r} is no amount: give a figure such as 17.95") from None


def half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))
