"""The estimator's page: rooms in, stock against roll side by side, pictures, and a table to take along."""

import json
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.order_rooms import Limits, Ordered, order_rooms, stock_of
from remnants.errors import BadInput, Fault, NoPlan
from remnants.exchange.rooms import RoomsAsked, read_rooms
from remnants.model import Role
from remnants.report.order_text import order_csv, order_tables
from remnants.report.order_view import order_svgs
from remnants.units import write_length
from web.access import needs
from web.figures import on_page
from web.problems import STATUS
from web.shapes import Form, Typed, entry_unit
from web.shop import catalogue
from web.tables import PageTable, page_tables
from web.words import reader_unit

__all__ = ["area"]

area = Blueprint("order", __name__, url_prefix="/order")

MOST_ROOMS = 6
PER_WORDS = (("m2", "m²"), ("ft2", "ft²"), ("yd2", "yd²"), ("m", "m of roll"), ("ft", "ft of roll"), ("yd", "yd of roll"))
TRIES = 400
"""Enough for a house; bounded so that nobody keeps the server busy, and the same answer comes each time."""


@dataclass(frozen=True)
class OrderShown:
    """The order as the page shows it."""

    tables: tuple[PageTable, ...]
    pictures: tuple[Markup, ...]
    notes: tuple[str, ...]


@area.get("")
@needs(Role.LOOK)
def ask() -> BaseResponse:
    """The form; with rooms in the address, the answer under it."""
    form = Typed(request.args.to_dict())
    if not any(form[f"width_{index}"] for index in range(MOST_ROOMS)):
        return make_response(_page(form))
    try:
        asked, ordered = _ordered(form)
    except (BadInput, NoPlan) as error:
        faults = error.faults if isinstance(error, BadInput) else (Fault("", str(error)),)
        return make_response(_page(form, faults=faults), STATUS[BadInput])
    return make_response(_page(form, shown=_shown(asked, ordered)))


@area.get("/order.csv")
@needs(Role.LOOK)
def table() -> Response:
    """The order as lines for a spreadsheet."""
    asked, ordered = _ordered(Typed(request.args.to_dict()))
    answer = Response(order_csv(_columns(ordered), unit=asked.unit), mimetype="text/csv")
    answer.headers["Content-Disposition"] = 'attachment; filename="order.csv"'
    return answer


def _page(form: Typed, *, faults: tuple[Fault, ...] = (), shown: OrderShown | None = None) -> str:
    query = request.query_string.decode("ascii", "replace")
    return render_template("order.html", form=form, faults=faults, shown=shown, rooms=MOST_ROOMS, pers=PER_WORDS, query=query)


def _ordered(form: Form) -> tuple[RoomsAsked, Ordered]:
    try:
        asked = read_rooms(json.dumps(_rooms_file(form)))
    except BadInput as error:
        raise BadInput(Fault(_field(fault.where, form), fault.what) for fault in error.faults) from None
    return asked, order_rooms(asked, stock_of(catalogue()), limits=Limits(seconds=None, tries=TRIES))


def _rooms_file(form: Form) -> dict[str, Any]:
    told = {key: form[key].strip() for key in ("style", "colour", "lot") if form.get(key, "").strip()}
    file: dict[str, Any] = {"unit": entry_unit().value, "order": form.get("order", "").strip(), **told}
    file["roll"] = {"width": form["roll_width"].strip()} if form.get("roll_width", "").strip() else {}
    file["rooms"] = [
        {"name": form.get(f"name_{index}", "").strip() or f"room {index + 1}"}
        | {side: form.get(f"{side}_{index}", "").strip() for side in ("width", "length")}
        for index in _filled(form)
    ]
    if form.get("amount", "").strip():
        per = form.get("per") or "m2"
        file["prices"] = [{"currency": form.get("currency", "").strip(), "amount": form["amount"].strip(), "per": per}]
    return file


def _filled(form: Form) -> list[int]:
    return [
        index for index in range(MOST_ROOMS) if form.get(f"width_{index}", "").strip() or form.get(f"length_{index}", "").strip()
    ]


def _field(where: str, form: Form) -> str:
    """`rooms[1].width` is the field `width_3` where the second room filled in stands fourth."""
    if where.startswith("rooms["):
        number, _, rest = where.removeprefix("rooms[").partition("]")
        index = _filled(form)[int(number)]
        return f"{'length' if 'length' in rest else 'width'}_{index}"
    return {"roll.width": "roll_width", "prices[0].currency": "currency", "prices[0].amount": "amount"}.get(where, where)


def _columns(ordered: Ordered) -> list[tuple[str, Any]]:
    way = ordered.chosen
    if way.best.placed == way.without.placed:
        return [("all from the roll", way.best)]
    return [("all from the roll", way.without), ("stock first", way.best)]


def _shown(asked: RoomsAsked, ordered: Ordered) -> OrderShown:
    unit = reader_unit()
    others = [(f"roll {write_length(way.roll.width_mm, unit)} wide", way.best) for way in ordered.ways[1:]]
    tables = page_tables(order_tables(asked.floors.name, _columns(ordered), others, unit=unit))
    drawn = order_svgs(ordered.chosen.best, unit=unit)
    pictures = tuple(on_page(text, 200 + number) for number, text in enumerate(drawn.values()))
    return OrderShown(tables, pictures, (*ordered.notes, *ordered.refused))
