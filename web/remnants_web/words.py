"""What every template may say: lengths and areas as the reader reads them, dates, who is asking."""

import base64
from datetime import date, datetime
from typing import Any, NamedTuple
from urllib.parse import urlencode
from uuid import uuid4

from flask import Flask, request
from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from remnants.actions.branches import has_branches
from remnants.actions.told_to import piece_told
from remnants.days import day_words, moment_words
from remnants.model import Person, Piece, Role, Theme
from remnants.model.piece import WORN_WORDS
from remnants.report.attribute_words import bearing_words
from remnants.report.pieces import place_words, size_words
from remnants.report.swatch import swatch_svg
from remnants.report.wording import sentence
from remnants.units import Unit, write_area, write_length
from remnants_web.access import lacks_factor, signed_in
from remnants_web.labels import label_of
from remnants_web.own_branch import here_now
from remnants_web.shop import catalogue, settings

__all__ = ["WAYS", "Way", "add_words", "reader_unit"]


class Way(NamedTuple):
    """A place one can go: who may, what the start page says of it, whether only wide screens list it, and whether only shops
    that told of branches or vans do.
    """

    role: Role
    told: str
    desk: bool = False
    branches: bool = False


WAYS = (
    ("/patch", "Patch", Way(Role.LOOK, "Can what we have fill what is missing?")),
    ("/find", "Find", Way(Role.LOOK, "A piece by style, colour, lot or tag.")),
    ("/log", "Log", Way(Role.WORK, "A piece that came back, in seconds.")),
    ("/dock", "Dock", Way(Role.WORK, "Receive, move, correct, count: scan after scan.", desk=True)),
    ("/measure", "Measure", Way(Role.LOOK, "Damage or a piece, in a photograph with a marker page.", desk=True)),
    ("/racks", "Racks", Way(Role.LOOK, "What lies where, drawn to scale.")),
    (
        "/on-the-way",
        "On the way",
        Way(Role.LOOK, "What is sent from branch to branch, and what is late.", desk=True, branches=True),
    ),
    ("/order", "Order", Way(Role.LOOK, "Rooms in; what stock gives and what roll to order out.", desk=True)),
    ("/stock", "Stock", Way(Role.LOOK, "How much there was when, how old it is, what reuse saved.", desk=True)),
    ("/jobs", "Jobs", Way(Role.LOOK, "What is held, and what was cut for whom.")),
    ("/rules", "Rules", Way(Role.LOOK, "How long a hold lasts, which leftovers are kept.", desk=True)),
    ("/people", "People", Way(Role.MANAGE, "Who works here, and what each may do.", desk=True)),
    ("/door-book", "Door book", Way(Role.MANAGE, "Who came in, who was refused, what was done about people.", desk=True)),
)
"""Address, word and way, in the order of the menu."""


def reader_unit() -> Unit:
    """The unit that whoever asks reads; feet for those not signed in."""
    session = signed_in()
    return session.person.unit if session else Unit.FT


def add_words(app: Flask) -> None:
    """Adds the filters and what each template may use.

    A template is compiled once for whoever asks, and what a filter says of a constant with it: a label that a shared part names
    was that of the area which was asked first. Filters that read the request take the context, so that none is said beforehand.
    """
    app.jinja_env.filters.update(
        length=_length,
        area=_area,
        day=_day,
        date=_date,
        moment=_moment,
        second=_second,
        size=_size,
        swatch=_swatch,
        pile=_pile,
        place=_place,
        wear=_wear,
        sentence=sentence,
        label=_label,
        row_label=_row_label,
    )
    app.context_processor(_context)


def _context() -> dict[str, Any]:
    session = signed_in()
    me: Person | None = session.person if session else None
    return {
        "me": me,
        "may_work": me is not None and me.role.covers(Role.WORK),
        "may_manage": me is not None and me.role.covers(Role.MANAGE),
        "theme": me.theme if me else Theme.DEVICE,
        "unit": reader_unit(),
        "shop": settings().shop,
        "demo": settings().demo,
        "here": request.path,
        "here_now": here_now,
        "page_again": _page_again(),
        "ways": _ways() if me else (),
        "lacks_factor": lacks_factor(),
        "seal": base64.b64encode(session.seal).decode() if session else "",
        "fresh_key": lambda: str(uuid4()),
    }


def _page_again() -> str:
    """The address of the page that is shown, to come back to; without the branch that it names, since another is chosen on it."""
    if request.method != "GET":
        return ""
    told = [(name, text) for name, text in request.args.items(multi=True) if name != "branch"]
    return f"{request.path}?{urlencode(told)}" if told else request.path


def _ways() -> tuple[tuple[str, str, Way], ...]:
    """The ways of this shop, as the menu and the start page list them."""
    told = has_branches(catalogue())
    return tuple(each for each in WAYS if told or not each[2].branches)


@pass_context
def _label(_where: Context, field: str) -> str:
    return label_of(field, request.blueprint or "")


@pass_context
def _row_label(_where: Context, field: str) -> str:
    return label_of(field, request.blueprint or "", of_row=True)


@pass_context
def _length(_where: Context, length_mm: float) -> str:
    return write_length(length_mm, reader_unit())


@pass_context
def _area(_where: Context, area_mm2: float) -> str:
    return write_area(area_mm2, reader_unit())


@pass_context
def _size(_where: Context, piece: Piece) -> str:
    return size_words(piece, reader_unit())


def _swatch(piece: Piece) -> Markup:
    return Markup(swatch_svg(piece))  # its texts are escaped where they are written


def _pile(piece: Piece) -> str:
    return bearing_words(piece.pile_deg)


@pass_context
def _place(_where: Context, piece: Piece) -> str:
    """Where it lies; with which customer, only for those who work with them."""
    session = signed_in()
    return place_words(piece_told(session.person.role if session else Role.LOOK, piece))


def _day(moment: datetime) -> str:
    return _date(moment)


def _date(day: date) -> str:
    return day_words(day)


def _wear(piece: Piece) -> str:
    return WORN_WORDS[piece.worn]


def _moment(moment: datetime) -> str:
    return moment_words(moment)


def _second(moment: datetime) -> str:
    return f"{day_words(moment)}, {moment:%H:%M:%S} UTC"
