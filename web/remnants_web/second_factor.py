"""One's own second factor: setting it up with a code to scan, recovery codes shown once, taking it away."""

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions import second_factor as actions
from remnants.actions.one_time_codes import address_of
from remnants.errors import BadInput, Fault
from remnants.model import Role, Session
from remnants_web.access import asking, needs, signed_in
from remnants_web.me import code_drawing
from remnants_web.problems import STATUS
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("second_factor", __name__, url_prefix="/me/second-factor")


@area.get("")
@needs(Role.LOOK)
def show() -> str:
    """How far it is, and what can be done."""
    return _shown()


@area.post("/begin")
@needs(Role.LOOK)
def begin() -> Response:
    """Draws a secret for the phone."""
    try:
        actions.begin_factor(catalogue(), _session(), request.form.get("passphrase", ""), now=settings().now())
    except BadInput as error:
        return make_response(_shown(error.faults), STATUS[BadInput])
    return redirect(url_for("second_factor.show"), 303)


@area.post("/confirm")
@needs(Role.LOOK)
def confirm() -> Response:
    """Takes the phone's first code, and shows the recovery codes."""
    try:
        codes = actions.confirm_factor(catalogue(), _session(), request.form.get("code", ""), now=settings().now())
    except BadInput as error:
        return make_response(_shown(error.faults), STATUS[BadInput])
    return make_response(render_template("recovery.html", codes=codes, begun=True, lacks_factor=False))


@area.post("/codes")
@needs(Role.LOOK)
def codes() -> Response:
    """New recovery codes."""
    try:
        fresh = actions.fresh_recovery_codes(catalogue(), _session(), request.form.get("code", ""), now=settings().now())
    except BadInput as error:
        return make_response(_shown(error.faults), STATUS[BadInput])
    return make_response(render_template("recovery.html", codes=fresh, begun=False))


@area.post("/remove")
@needs(Role.LOOK)
def remove() -> Response:
    """Takes it away."""
    given = (request.form.get("passphrase", ""), request.form.get("last_code", ""))
    try:
        actions.remove_factor(catalogue(), _session(), *given, now=settings().now())
    except BadInput as error:
        moved = tuple(Fault("last_code", fault.what) if fault.where == "code" else fault for fault in error.faults)
        return make_response(_shown(moved), STATUS[BadInput])
    return redirect(url_for("second_factor.show"), 303)


def _shown(faults: tuple[Fault, ...] = ()) -> str:
    setting = actions.setting_of(catalogue(), asking())
    address = address_of(setting.secret, asking().name, settings().shop) if setting.secret else ""
    grouped = " ".join(setting.secret[at : at + 4] for at in range(0, len(setting.secret), 4))
    drawing = code_drawing(address) if address else ""
    return render_template("second_factor.html", setting=setting, grouped=grouped, code=drawing, faults=faults)


def _session() -> Session:
    session = signed_in()
    assert session is not None, "the guard lets nobody else here"
    return session
