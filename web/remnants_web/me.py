"""One's own page: units, light or dark, passphrase, devices and keys."""

from datetime import date, timedelta

import segno
from flask import Blueprint, make_response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Response

from remnants.actions import doors
from remnants.actions import people as people_actions
from remnants.actions.own_branch import choose_branch
from remnants.errors import BadInput, Fault
from remnants.model import Role, Scope, Session, Theme
from remnants.units import Unit
from remnants_web.access import asking, let_in, local_path, needs, signed_in, signed_out
from remnants_web.choices import chosen
from remnants_web.problems import STATUS
from remnants_web.reached import address_for_others, for_others
from remnants_web.shop import catalogue, settings

__all__ = ["area", "code_drawing"]

KEY_HOLDS = timedelta(days=90)
"""How long a key holds unless another day is given."""

SCOPE_WORDS = (
    (Scope.LOOK, "look: find pieces and read what happened to them"),
    (Scope.FIT, "fit: ask what a job can be cut from"),
    (Scope.LOG, "log: put pieces in"),
    (Scope.BOOK, "book: hold, cut and let go"),
)

area = Blueprint("me", __name__, url_prefix="/me")


@area.get("")
@needs(Role.LOOK)
def show() -> str:
    """Everything that is one's own."""
    return _shown()


@area.post("/preferences")
@needs(Role.LOOK)
def prefer() -> Response:
    """Units and theme."""
    unit = chosen(Unit, request.form.get("unit"), "unit")
    theme = chosen(Theme, request.form.get("theme"), "theme")
    people_actions.set_preferences(catalogue(), asking().name, unit=unit, theme=theme)
    return redirect(url_for("me.show"), 303)


@area.post("/branch")
@needs(Role.LOOK)
def work_from() -> Response:
    """The branch or van that pages start with, and the page again where it was chosen."""
    choose_branch(catalogue(), asking().name, request.form.get("branch", ""))
    return redirect(local_path(request.form.get("back") or url_for("me.show")), 303)


@area.post("/passphrase")
@needs(Role.LOOK)
def change_passphrase() -> Response:
    """Another passphrase."""
    try:
        old, new = request.form.get("old", ""), request.form.get("passphrase", "")
        secret = doors.change_passphrase(catalogue(), _session(), old, new, now=settings().now())
    except BadInput as error:
        return make_response(_shown(error.faults), STATUS[BadInput])
    return let_in(secret, url_for("me.show"))


@area.post("/device")
@needs(Role.LOOK)
def link_device() -> str:
    """A code that signs a phone in."""
    secret = doors.device_link(catalogue(), asking(), now=settings().now(), session=_session())
    address = address_for_others(url_for("start.link", secret=secret))
    alone = not for_others()
    return render_template("device.html", address=address, code=code_drawing(address), minutes=_minutes(), alone=alone)


@area.get("/phone")
@needs(Role.LOOK)
def phone() -> str:
    """The addresses at which phones reach this shop, the first as a code to scan."""
    addresses = for_others()
    return render_template("phone.html", addresses=addresses, code=code_drawing(addresses[0] + "/") if addresses else "")


@area.post("/key")
@needs(Role.WORK)
def make_key() -> Response:
    """A key for a program, shown once."""
    scopes = [scope for scope in Scope if request.form.get(f"scope {scope}")]
    try:
        until = _day(request.form.get("until", ""))
        label = request.form.get("label", "")
        now, here = settings().now(), _session()
        key = doors.make_key(catalogue(), asking(), label=label, scopes=scopes, until=until, now=now, session=here)
    except BadInput as error:
        return make_response(_shown(error.faults), STATUS[BadInput])
    return make_response(render_template("key.html", key=key, scopes=scopes, until=until))


@area.post("/end-everything")
@needs(Role.LOOK)
def end_everything() -> Response:
    """Signs out everywhere, here too; keys and links end, and what the device kept is cleared."""
    doors.end_everything(catalogue(), asking(), by=asking())
    return signed_out()


@area.post("/sessions/<int:number>/end")
@needs(Role.LOOK)
def end_session(number: int) -> Response:
    """Signs out somewhere else."""
    doors.end_session(catalogue(), asking(), number)
    return redirect(url_for("me.show"), 303)


def code_drawing(text: str) -> Markup:
    """A QR code (ISO/IEC 18004) of the text as an SVG element; the text itself stands beside it for those who can't scan."""
    drawn = segno.make(text, error="m").svg_inline(scale=6, border=4, dark="#000", light="#fff", svgclass="code", omitsize=True)
    return Markup(drawn)


def _shown(faults: tuple[Fault, ...] = ()) -> str:
    sessions = doors.sessions_of(catalogue(), asking(), now=settings().now())
    usual = (settings().now() + KEY_HOLDS).date()
    return render_template(
        "me.html",
        sessions=sessions,
        scopes=SCOPE_WORDS,
        usual=usual,
        this=_session().number,
        faults=faults,
        units=Unit,
        themes=Theme,
    )


def _session() -> Session:
    session = signed_in()
    if session is None:
        raise BadRequest
    return session


def _day(text: str) -> date:
    """A day out of a form. Raises BadInput."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput([Fault("until", f"{text[:20]!r} is no date: write it like 2031-05-03")]) from None


def _minutes() -> int:
    return int(doors.DEVICE_LINK_HOLDS.total_seconds() // 60)
