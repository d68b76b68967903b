"""A price list as a file: the shape of it, and from it the values of the model."""

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any

from pydantic import Field

from remnants.errors import BadInput, Fault
from remnants.estimating import amount_of
from remnants.exchange.entries import Entry, Name, Number, Text
from remnants.exchange.reading import Note, Reading, quiet
from remnants.exchange.source import Source
from remnants.limits import PRICES
from remnants.model.money import Per, minor_digits
from remnants.model.price_list import Priced, PriceLine, PriceList

__all__ = ["PriceLineEntry", "PriceListEntry", "price_list_json", "price_list_of", "read_price_list"]


class PriceLineEntry(Entry):
    """What one of something costs the shop: an amount `per` area, length or `each`; carpet may be priced by its `style`."""

    what: Priced
    amount: Text | Number
    per: Per
    style: Text = ""


class PriceListEntry(Entry):
    """The shop's price list: margin put on every price, and tax on their sum, in percent."""

    currency: Name
    margin_percent: Text | Number = 0.0
    tax_percent: Text | Number = 0.0
    lines: Annotated[tuple[PriceLineEntry, ...], Field(max_length=PRICES)] = ()


def read_price_list(source: Source, *, note: Note = quiet) -> PriceList:
    """A price file. Raises BadFile with every fault and its place."""
    reading = Reading(source, "a price file", note)
    entry = reading.entry(PriceListEntry, reading.raw, "")
    made = reading.made("", price_list_of, entry) if entry else None
    reading.close()
    assert made is not None, "a file without faults has a price list"
    return made


def price_list_json(prices: PriceList) -> dict[str, Any]:
    """The price file that reads as this list."""
    digits = minor_digits(prices.currency)
    lines = [
        {"what": line.what.value, "amount": _exact(line.rate_minor / 10**digits), "per": line.by.value}
        | ({"style": line.style} if line.style else {})
        for line in prices.lines
    ]
    percents = {"margin_percent": _exact(prices.margin_percent), "tax_percent": _exact(prices.tax_percent)}
    return {"currency": prices.currency, **percents, "lines": lines}


def _exact(value: Fraction) -> str:
    """A figure that was read from a decimal one, as such."""
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


def price_list_of(entry: PriceListEntry) -> PriceList:
    """The price list. Raises BadInput at the place of each fault."""
    currency = entry.currency.strip().upper()
    try:
        minor_digits(currency)
    except BadInput as error:
        raise BadInput(Fault("currency", fault.what) for fault in error.faults) from None
    faults: list[Fault] = []
    lines = []
    for index, line in enumerate(entry.lines):
        try:
            lines.append(PriceLine(line.what, amount_of(line.amount, currency), line.per, line.style.strip()))
        except BadInput as error:
            faults += [Fault(f"lines[{index}].amount", fault.what) for fault in error.faults]
    percents = []
    for name in ("margin_percent", "tax_percent"):
        try:
            percents.append(amount_of(getattr(entry, name), "JPY"))
        except BadInput as error:
            faults += [Fault(name, fault.what.replace("amount", "percentage")) for fault in error.faults]
    if faults:
        raise BadInput(faults)
    return PriceList(currency, tuple(lines), *percents)
