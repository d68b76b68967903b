"""Where one finds the form again that one sent when one's session was over: filled in, or ready to be sent as it was."""

from collections.abc import Callable

from flask import Blueprint, current_app, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from remnants.actions.unsent import Unsent, drop_form, show_form
from remnants.model import Role
from remnants_web.access import access_of, asking, needs
from remnants_web.count import compared_again
from remnants_web.log import logged_again
from remnants_web.order import ordered_again
from remnants_web.patch import asked_again
from remnants_web.propose import damage_again
from remnants_web.sent_late import form_cookie, kept_here
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("unsent", __name__, url_prefix="/unsent")

_FORMS: dict[str, Callable[[Typed, bool], str]] = {
    "log.log": logged_again,
    "patch.ask_now": asked_again,
    "propose.ask_now": damage_again,
    "count.compare": compared_again,
    "order.ask": ordered_again,
}
"""The forms that are shown filled in, each with whether a file came with it. Any other is shown as what would be sent."""

_DOING = {
    "changes.move": "Move it",
    "changes.discard": "Discard it for good",
    "changes.undo": "Take the last one back",
    "bookings.hold": "Hold for 14 days",
    "bookings.cut_now": "Cut: book it now",
    "bookings.cut_held": "Cut: book it",
    "bookings.release": "Let go",
    "count.book": "Book this count",
    "count.undo": "Take this count back",
}
_TOLD = {"place": "Place", "room": "Room", "why": "Why", "job": "Job", "typed": "Tags seen", "customer": "Customer"} | {
    "moment": "Taken",
    "words": "A few words with it",
}


@area.get("")
@needs(Role.LOOK)
def show() -> Response | str:
    """The form; to anybody but its maker no more than whose it is."""
    found = kept_here()
    if found is None:
        return redirect("/", 303)
    mine = found.person.casefold() == asking().name.casefold()
    endpoint = _endpoint(found) if mine else ""
    if not endpoint:
        return render_template("unsent.html", form=found, mine=mine, doing="", told=())
    show_form(catalogue(), request.cookies.get(form_cookie(), ""))
    if endpoint in _FORMS:
        return _FORMS[endpoint](Typed(dict(reversed(found.fields))), found.files)
    told = [(word, value) for name, word in _TOLD.items() for key, value in found.fields if key == name and value.strip()]
    return render_template("unsent.html", form=found, mine=True, doing=_DOING.get(endpoint, "Send it"), told=told)


@area.post("/drop")
@needs(Role.LOOK)
def drop() -> Response:
    """Its maker wants it no longer."""
    found = kept_here()
    if found and found.person.casefold() == asking().name.casefold():
        drop_form(catalogue(), request.cookies.get(form_cookie(), ""))
    return redirect("/", 303)


def _endpoint(found: Unsent) -> str:
    """Which view the form was for; empty where there is none by now, or its maker may not use it any more."""
    try:
        endpoint, _ = current_app.url_map.bind("").match(found.path, method="POST")
    except HTTPException:
        return ""
    access = access_of(current_app.view_functions[endpoint])
    return str(endpoint) if access and access.role and asking().role.covers(access.role) else ""
