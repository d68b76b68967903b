"""The shop's prices as they are typed for a quote: a line each, with what is priced, the amount and what it is for."""

from remnants.errors import BadInput, Fault
from remnants.exchange.price_entries import read_price_list
from remnants.model.money import Per
from remnants.model.price_list import Priced, PriceList
from remnants_web.shapes import Form

__all__ = ["PRICES_FIELD", "prices_typed"]

PRICES_FIELD = "price_list"


def prices_typed(form: Form) -> PriceList:
    """The price list out of lines such as `underlay, 4.50, m2`. Raises BadInput at the form's fields."""
    faults: list[Fault] = []
    lines = []
    for line in (line.strip() for line in form.get(PRICES_FIELD, "").splitlines()):
        written = [cell.strip() for cell in line.split(",", 3)]
        cells = [cell.casefold() for cell in written]
        if line and (len(cells) not in (3, 4) or cells[0] not in list(Priced) or cells[2] not in list(Per)):
            faults.append(
                Fault(PRICES_FIELD, f"{line[:40]!r} is no price: write what, how much, and for what, such as underlay, 4.50, m2")
            )
        elif line:
            lines.append(dict(zip(("what", "amount", "per", "style"), [*cells[:3], *written[3:]], strict=False)))
    if not lines and not faults:
        faults.append(Fault(PRICES_FIELD, "a quote needs your prices: give a line for each"))
    if faults:
        raise BadInput(faults)
    percents = {name: form[name] for name in ("margin_percent", "tax_percent") if form.get(name, "").strip()}
    try:
        return read_price_list({"currency": form.get("currency", "").strip() or "?", "lines": lines, **percents})
    except BadInput as error:
        fields = ("currency", "margin_percent", "tax_percent")
        told = (Fault(fault.where if fault.where in fields else PRICES_FIELD, fault.what) for fault in error.faults)
        raise BadInput(told) from None
