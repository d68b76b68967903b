"""Orders that were saved: the list, each with its revisions and what changed from one to the next, and the saving."""

from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.kept_orders import Revision, every_order, order_kept, revisions_of, save_order
from remnants.actions.price_lists import prices_in_force
from remnants.actions.promised_seen import after_the_cut, promises_of
from remnants.actions.quote_order import quote_order
from remnants.errors import BadInput, Fault
from remnants.model import Role
from remnants.report.orders_text import compared, ordered_told
from remnants_web.access import needs, signature
from remnants_web.choices import digits
from remnants_web.coming import promised_lines
from remnants_web.estimates import order_asked, worked_out
from remnants_web.prices_form import PRICES_FIELD, prices_typed
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import Form, Typed
from remnants_web.shop import catalogue
from remnants_web.words import reader_unit

__all__ = ["area", "order_page"]

area = Blueprint("orders", __name__, url_prefix="/orders")

NOTHING_TYPED = Typed()


@dataclass(frozen=True)
class RevisionShown:
    """A revision as its page shows it: what it orders, and what is otherwise than in the one before."""

    revision: Revision
    ordered: str
    changed: tuple[str, ...]


@area.get("")
@needs(Role.LOOK)
def every() -> str:
    """The orders that are saved, the newest first."""
    unit = reader_unit()
    return render_template("orders.html", found=[(each, ordered_told(each.kept, unit)) for each in every_order(catalogue())])


@area.get("/<int:number>")
@needs(Role.LOOK)
def show(number: int) -> str:
    """One order with its revisions. Raises NotFound."""
    return order_page(number)


def order_page(number: int, form: Form = NOTHING_TYPED, faults: tuple[Fault, ...] = ()) -> str:
    """The page of an order, with what was typed there and what is wrong with it. Raises NotFound."""
    shown = _shown(number)
    promised = promises_of(catalogue(), number)
    cut = after_the_cut(promised, number, shown[0].revision.revision)
    coming = promised_lines(promised)
    return render_template("kept_order.html", number=number, shown=shown, coming=coming, cut=cut, form=form, faults=faults)


@area.post("/save")
@needs(Role.WORK)
def save() -> Response:
    """Saves what the order's form asks for, as it is worked out. Raises BadInput, NotFound."""
    form = Typed({name: text for name, text in request.form.items() if text.strip()})
    revises = form["revises"].strip()
    number = digits(revises)
    if revises and number is None:
        raise BadInput([Fault("revises", f"{revises[:20]!r} is no number of an order")])
    worked = worked_out(form)
    kept_prices = prices_in_force(catalogue())
    prices = prices_typed(form) if form[PRICES_FIELD] else kept_prices.prices if kept_prices else None
    kept = order_kept(worked.asked.name, worked.plans, quote_order(worked.plans, prices) if prices else None)
    made = save_order(
        catalogue(), kept, revises=number, asked=order_asked(form).file, signed=signature(form["why"]), key=sent_key()
    )
    return redirect(url_for("orders.show", number=made.number), 303)


def _shown(number: int) -> tuple[RevisionShown, ...]:
    unit, found = reader_unit(), revisions_of(catalogue(), number)
    before = (*(each.kept for each in found[1:]), None)
    return tuple(
        RevisionShown(each, ordered_told(each.kept, unit), tuple(compared(old, each.kept, unit)) if old else ())
        for each, old in zip(found, before, strict=True)
    )
