"""The shop's price list as lines, and what changed from one to the next."""

from decimal import Decimal
from fractions import Fraction

from rich.table import Table

from remnants.model.money import minor_digits
from remnants.model.price_list import PriceLine, PriceList
from remnants.report.papers import BY, PRICED
from remnants.report.terminal import plain_table

__all__ = ["amount_text", "changes_told", "list_lines", "prices_table"]


def amount_text(rate_minor: Fraction, currency: str) -> str:
    """What one costs, as it is typed: `24.50`, `0.655`."""
    exact = rate_minor / 10 ** minor_digits(currency)
    least = minor_digits(currency)
    text = f"{Decimal(exact.numerator) / Decimal(exact.denominator):f}"
    whole, _, rest = text.partition(".")
    kept = rest.rstrip("0").ljust(least, "0")
    return f"{whole}.{kept}" if kept else whole


def list_lines(prices: PriceList) -> list[str]:
    """A line for each price as it is typed: `carpet, 24.50, yd2, Velder Loop`."""
    return [
        ", ".join(filter(None, (line.what.value, amount_text(line.rate_minor, prices.currency), line.by.value, line.style)))
        for line in prices.lines
    ]


def prices_table(prices: PriceList) -> Table:
    """What is priced, at what, for what."""
    table = plain_table("what", f"costs {prices.currency}", "for each")
    for line in prices.lines:
        table.add_row(_called(line), amount_text(line.rate_minor, prices.currency), BY[line.by] or "one")
    return table


def changes_told(before: PriceList | None, after: PriceList) -> list[str]:
    """What one list has otherwise than the one before it, a clause each; nothing where they say the same."""
    if before is None:
        return [f"the first list, {len(after.lines)} prices"]
    told = [] if before.currency == after.currency else [f"in {after.currency}, before in {before.currency}"]
    old = {(line.what, line.style.casefold()): line for line in before.lines}
    new = {(line.what, line.style.casefold()): line for line in after.lines}
    for key in (*new, *(key for key in old if key not in new)):
        if old.get(key) != new.get(key):
            told.append(f"{_called(new.get(key) or old[key])} {_cost(new.get(key), after)}, before {_cost(old.get(key), before)}")
    for name, was, now in (
        ("margin", before.margin_percent, after.margin_percent),
        ("tax", before.tax_percent, after.tax_percent),
    ):
        told += [f"{name} {float(now):g} %, before {float(was):g} %"] if was != now else []
    return told


def _called(line: PriceLine) -> str:
    return ", ".join(filter(None, (PRICED[line.what].lower(), line.style)))


def _cost(line: PriceLine | None, prices: PriceList) -> str:
    if line is None:
        return "not priced"
    return f"{amount_text(line.rate_minor, prices.currency)} for {BY[line.by] or 'one'}"
