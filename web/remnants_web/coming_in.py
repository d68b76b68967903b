"""Leftovers of saved orders: entered as promised, taken into stock when the roll is cut, called off with their order."""

from flask import Blueprint, make_response, redirect, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.promised import Corrected, call_off, promise, receive
from remnants.actions.promised_seen import promises
from remnants.errors import BadInput, Fault, NotAllowed
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.orders import order_page
from remnants_web.problems import STATUS
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import Form, Typed, collected, length_at
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("coming", __name__)


@area.post("/orders/<int:order>/promise")
@needs(Role.WORK)
def enter(order: int) -> Response:
    """Enters what the latest revision leaves. Raises NotFound."""
    try:
        promise(catalogue(), order, signed=signature(), key=sent_key())
    except NotAllowed as error:
        return make_response(order_page(order, faults=(Fault("", str(error)),)), STATUS[NotAllowed])
    return redirect(url_for("orders.show", number=order), 303)


@area.post("/orders/<int:order>/call-off")
@needs(Role.WORK)
def end(order: int) -> Response:
    """Calls off what is still promised. Raises NotFound."""
    call_off(catalogue(), order, signed=signature(), key=sent_key())
    return redirect(url_for("orders.show", number=order), 303)


@area.post("/promised/<int:number>")
@needs(Role.WORK)
def take_in(number: int) -> Response:
    """Takes one into stock, as it was found, and shows the piece. Raises NotFound, NotAllowed."""
    form = Typed({name: text.strip() for name, text in request.form.items() if text.strip()})
    try:
        tag = receive(catalogue(), number, found=_found(form, number), signed=signature(), key=sent_key())
    except BadInput as error:
        order = next((each.order for each in promises(catalogue()) if each.number == number), None)
        if order is None:
            raise
        faults = tuple(Fault(_field(fault.where, number), fault.what) for fault in error.told)
        return make_response(order_page(order, form, faults), STATUS[BadInput])
    return redirect(url_for("pieces.show", tag=tag), 303)


def _field(where: str, number: int) -> str:
    return where if where.endswith(f"_{number}") or not where else f"{where}_{number}"


def _found(form: Form, number: int) -> Corrected:
    """What was typed of it. Raises BadInput at the form's fields."""
    faults: list[Fault] = []
    sizes = []
    for name in (f"width_{number}", f"length_{number}"):
        text = form.get(name, "")
        size = collected(faults, length_at, name, text) if text else None
        sizes.append(size.mm if size else None)
    if faults:
        raise BadInput(faults)
    return Corrected(sizes[0], sizes[1], lot=form.get(f"lot_{number}"), place=form.get(f"place_{number}", ""))
