"""The estimator's page: rooms and repairs in, stock against roll side by side, pictures, and both to take along."""

from dataclasses import dataclass

from flask import Blueprint, Response, g, make_response, render_template, request
from markupsafe import Markup
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.estimate_job import Estimate, held_names
from remnants.actions.kept_orders import order_kept, revisions_of
from remnants.actions.make_sheet import fonts
from remnants.actions.price_lists import prices_in_force
from remnants.actions.quote_order import quote_order
from remnants.actions.told_to import fitted_told
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NoPlan, NotFound
from remnants.exchange.sent_drawing import Looked
from remnants.model import Role
from remnants.model.price_list import PriceList
from remnants.report.house_sheet import house_pdf
from remnants.report.house_text import house_table
from remnants.report.order_sheet import CarpetSheet, OrderSheet, order_pdf
from remnants.report.order_text import house_csv
from remnants.report.papers import OrderPaper, floors_pdf, quote_pdf, supplier_pdf
from remnants.report.plan_pages import PlanDrawn
from remnants.report.plan_view import lines_told
from remnants.report.ticket_sheet import TicketSheet, ticket_pdf
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.estimates import worked_out
from remnants_web.figures import plan_on_page
from remnants_web.handed_out import handed_out
from remnants_web.order_shown import HouseShown, columns_of, house_shown, notes_of, parts_of
from remnants_web.prices_form import PRICES_FIELD, prices_typed
from remnants_web.problems import STATUS
from remnants_web.questions import ORDER_SECONDS, Worked
from remnants_web.rooms_file import DRAWING_LINES, DRAWING_UNITS, layers_sent, sent_rooms
from remnants_web.rooms_form import CORNERS, MOST_ROOMS, PILES, USES, WALLS, rows_of
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue, settings
from remnants_web.words import reader_unit

__all__ = ["area", "ordered_again"]

area = Blueprint("order", __name__, url_prefix="/order")

PER_WORDS = (("m2", "m²"), ("ft2", "ft²"), ("yd2", "yd²"), ("m", "m of roll"), ("ft", "ft of roll"), ("yd", "yd of roll"))
FEWEST_ROWS, MORE_ROWS = 3, 4
NOTHING_LOOKED_AT = Looked(())


@dataclass(frozen=True)
class PageShown:
    """A page of a PDF as its picture, and its numbered lines in words."""

    picture: Markup
    lines: tuple[tuple[int, str], ...]


@area.route("", methods=["GET", "POST"])
@needs(Role.LOOK)
def ask() -> BaseResponse:
    """The form; with rooms in it, the answer above. A rooms file is sent, what is typed stands in the address."""
    form = _typed()
    try:
        if "look" in form:
            return make_response(_page(form, looked=layers_sent(form, request.files.get("file"))))
        form |= sent_rooms(form, request.files.get("file"))
        if "more" in form or not (rows_of(form) or form["held"] or form["steps"] or form["rooms_file"].strip()):
            return make_response(_page(form))
        g.sent = MultiDict(form)  # with the file's content: a page that waits sends it again
        worked = worked_out(form, page=True)
    except (BadInput, NoPlan, NotFound) as error:
        faults = error.told if isinstance(error, BadInput) else (Fault("", str(error)),)
        return make_response(_page(form, faults=faults), STATUS[BadInput])
    return make_response(_page(form, shown=house_shown(worked)))


def ordered_again(form: Typed, file: bool) -> str:
    """The form as it was sent when its maker's session was over; `file` says that a file was chosen, which is not kept."""
    return _page(form, faults=(Fault("file", "a page can't keep a file that was chosen: choose it again"),) if file else ())


@area.route("/order.csv", methods=["GET", "POST"])
@needs(Role.LOOK)
def table() -> Response:
    """The order as lines for a spreadsheet."""
    worked = worked_out(_typed())
    columns = [(part.carpet, columns_of(each)) for part, each in zip(worked.plans, worked.estimates, strict=True)]
    return handed_out(house_csv(columns, unit=worked.asked.unit), "order.csv")


@area.route("/order.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def paper() -> Response:
    """The order on paper."""
    worked = worked_out(_typed())
    unit = reader_unit()
    day = day_words(settings().now())
    carpets = tuple(
        CarpetSheet(part.carpet, parts_of(each, unit), each.best, notes_of(each, unit), _drawn(each))
        for part, each in zip(worked.plans, worked.estimates, strict=True)
    )
    total = None if worked.asked.is_one else house_table(worked.plans, unit)
    sheet = OrderSheet(worked.asked.name, carpets, unit, day, settings().paper_note, total)
    return handed_out(order_pdf(sheet, fonts()), "order.pdf")


@area.route("/ticket.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def cut_ticket() -> Response:
    """The cut ticket, for whoever cuts the roll."""
    worked = worked_out(_typed())
    day = day_words(settings().now())
    sheet = TicketSheet(worked.asked.name, worked.plans, reader_unit(), day, settings().paper_note, _revision(worked))
    return handed_out(ticket_pdf(sheet, fonts()), "ticket.pdf")


@area.route("/quote.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def quote() -> Response:
    """The customer's quote, by the shop's prices as they are typed, or else as they are kept."""
    typed = _typed()
    prices, worked = _prices(typed), worked_out(typed)
    quoted = quote_order(worked.plans, prices)
    return handed_out(quote_pdf(_order_paper(worked), quoted, fonts()), "quote.pdf")


def _prices(typed: Typed) -> PriceList:
    """What is typed, or else what the shop keeps. Raises BadInput at the field where there is neither."""
    kept = None if typed[PRICES_FIELD] else prices_in_force(catalogue())
    return kept.prices if kept else prices_typed(typed)


@area.route("/supplier.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def supplier() -> Response:
    """The supplier's order."""
    return handed_out(supplier_pdf(_order_paper(worked_out(_typed())), fonts()), "supplier.pdf")


@area.route("/floors.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def floors() -> Response:
    """The installer's drawings."""
    return handed_out(floors_pdf(_order_paper(worked_out(_typed())), fonts()), "floors.pdf")


@area.route("/house.pdf", methods=["GET", "POST"])
@needs(Role.LOOK)
def whole_house() -> Response:
    """The whole house on one sheet, for the installer."""
    return handed_out(house_pdf(_order_paper(worked_out(_typed())), fonts()), "house.pdf")


def _order_paper(worked: Worked) -> OrderPaper:
    day, note = day_words(settings().now()), settings().paper_note
    return OrderPaper(worked.asked.name, worked.plans, reader_unit(), day, note, _revision(worked))


def _revision(worked: Worked) -> str:
    """What the revision is called that orders this, of the order that the form says it revises; "" where none does."""
    number = digits(request.values.get("revises", "").strip())
    if number is None:
        return ""
    kept = order_kept(worked.asked.name, worked.plans)
    return next((each.called for each in revisions_of(catalogue(), number) if each.kept.is_as(kept)), "")


def _drawn(estimate: Estimate) -> tuple[PlanDrawn, ...]:
    told = (fitted_told(asking().role, each) for each in estimate.repairs)
    return tuple(PlanDrawn(each.plan, each.job, each.pieces, each.styles) for each in told)


def _typed() -> Typed:
    """What was typed, in the address or sent."""
    return Typed({name: text for name, text in request.values.items() if text.strip() and name != "key"})


def _page(
    form: Typed, *, faults: tuple[Fault, ...] = (), shown: HouseShown | None = None, looked: Looked = NOTHING_LOOKED_AT
) -> str:
    more = MORE_ROWS if form.pop("more", "") else 0
    rows = min(MOST_ROOMS, max(FEWEST_ROWS, max(rows_of(form), default=0) + 1 + more))
    return render_template(
        "order.html",
        form=form,
        faults=faults,
        shown=shown,
        layers=looked.layers,
        seen=looked.page and PageShown(plan_on_page(looked.page, reader_unit()), lines_told(looked.page, reader_unit())),
        drawing_lines=DRAWING_LINES,
        rows=rows,
        most=MOST_ROOMS,
        seconds=ORDER_SECONDS,
        priced=shown is not None and prices_in_force(catalogue()) is not None,
        pers=PER_WORDS,
        uses=USES,
        corners=CORNERS,
        walls=WALLS,
        drawing_units=DRAWING_UNITS,
        piles=PILES,
        held=[("", "none"), *held_names(catalogue())],
    )
