"""The shop's own prices: managers see and set them, as lines or as a file, and see who changed what when."""

import json

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.price_lists import prices_in_force, prices_over_time, set_prices
from remnants.errors import BadInput, Fault
from remnants.exchange.price_entries import price_list_json, read_price_list
from remnants.limits import ROOMS_FILE_BYTES
from remnants.model import Role
from remnants.model.price_list import PriceList
from remnants.report.prices_text import changes_told, list_lines
from remnants_web.access import needs, signature
from remnants_web.handed_out import handed_out
from remnants_web.prices_form import PRICES_FIELD, prices_typed
from remnants_web.problems import STATUS
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import Form, Typed
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("prices", __name__, url_prefix="/prices")


@area.get("")
@needs(Role.MANAGE)
def show() -> str:
    """The prices in force, to be changed, and every list before."""
    return _page(_form())


@area.post("")
@needs(Role.MANAGE)
def change() -> BaseResponse:
    """Puts what is typed, or the file that is sent, in the place of the list that was seen."""
    form = Typed({name: text for name, text in request.form.items() if text.strip()})
    try:
        prices, seen = _sent() or prices_typed(form), form["seen"]
        set_prices(catalogue(), prices, signed=signature(), seen=int(seen) if seen.isdecimal() else 0, key=sent_key())
    except BadInput as error:
        return make_response(_page(form, error.told), STATUS[BadInput])
    return redirect(url_for("prices.show"), 303)


@area.get("/prices.json")
@needs(Role.MANAGE)
def file() -> Response:
    """The list in force as a price file."""
    found = prices_in_force(catalogue())
    made = price_list_json(found.prices) if found else {"currency": "", "lines": []}
    return handed_out(json.dumps(made, indent=1), "prices.json")


def _sent() -> PriceList | None:
    """The price list in the file that was sent; None where none was. Raises BadInput at its field."""
    sent = request.files.get("file")
    if sent is None or not sent.filename:
        return None
    try:
        text = sent.read(ROOMS_FILE_BYTES).decode("utf-8-sig")
        return read_price_list(text)
    except UnicodeDecodeError:
        raise BadInput([Fault("file", "this is no text: choose a price file (JSON)")]) from None
    except BadInput as error:
        raise BadInput(Fault("file", str(fault)) for fault in error.faults) from None


def _form() -> Typed:
    """The list in force as the form's fields."""
    found = prices_in_force(catalogue())
    if found is None:
        return Typed({"seen": "0"})
    prices = found.prices
    return Typed(
        {
            PRICES_FIELD: "\n".join(list_lines(prices)),
            "currency": prices.currency,
            "margin_percent": f"{float(prices.margin_percent):g}",
            "tax_percent": f"{float(prices.tax_percent):g}",
            "seen": f"{found.number}",
        }
    )


def _page(form: Form, faults: tuple[Fault, ...] = ()) -> str:
    past = [(each, "; ".join(changes_told(each.before, each.prices)) or "as before") for each in prices_over_time(catalogue())]
    return render_template("prices.html", form=form, faults=faults, past=past)
