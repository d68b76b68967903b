"""The manager's page: who works here, and what each may do, in all and at which branch."""

from enum import StrEnum

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions import factor_reset
from remnants.actions import people as actions
from remnants.actions.branch_people import roles_at_branches, set_role_at
from remnants.actions.branches import branches_of
from remnants.errors import BadInput, Fault, NotAllowed
from remnants.limits import NAME_CHARACTERS
from remnants.model import Role
from remnants_web.access import asking, needs, signature
from remnants_web.choices import chosen
from remnants_web.me import code_drawing
from remnants_web.problems import STATUS
from remnants_web.reached import address_for_others
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("people", __name__, url_prefix="/people")


class MayThere(StrEnum):
    """What somebody may do at a branch; with nothing they have no role of their own there."""

    WORK = "work"
    LOOK = "look"
    NOTHING = "nothing"


@area.get("")
@needs(Role.MANAGE)
def show() -> str:
    """Everybody."""
    return _shown()


@area.post("")
@needs(Role.MANAGE)
def invite() -> Response:
    """Adds somebody and shows their one-time link."""
    name = request.form.get("name", "")
    try:
        role = chosen(Role, request.form.get("role"), "role", default=Role.LOOK)
        secret = actions.invite(catalogue(), name, role, by=asking(), now=settings().now())
    except BadInput as error:
        return make_response(_shown(error.faults, name), STATUS[BadInput])
    return _link_page(name, secret)


@area.post("/<name>/link")
@needs(Role.MANAGE)
def invite_again(name: str) -> Response:
    """A new link for somebody who lost theirs, or their passphrase."""
    return _link_page(name, actions.invite_again(catalogue(), name, by=asking(), now=settings().now()))


@area.post("/<name>/role")
@needs(Role.MANAGE)
def change_role(name: str) -> Response:
    """Another role."""
    role = chosen(Role, request.form.get("role"), "role")
    actions.change_role(catalogue(), name, role, by=asking())
    return redirect(url_for("people.show"), 303)


@area.post("/<name>/branch")
@needs(Role.MANAGE)
def change_role_there(name: str) -> Response:
    """A role at a branch, or none of their own there any more."""
    may = chosen(MayThere, request.form.get("may"), "may")
    role = None if may is MayThere.NOTHING else Role(may)
    set_role_at(catalogue(), request.form.get("branch", "")[:NAME_CHARACTERS], name, role, signed=signature())
    return redirect(url_for("people.show"), 303)


@area.post("/<name>/shut-out")
@needs(Role.MANAGE)
def shut_out(name: str) -> Response:
    """Lets somebody in no more."""
    actions.shut_out(catalogue(), name, by=asking())
    return redirect(url_for("people.show"), 303)


@area.post("/<name>/end-everything")
@needs(Role.MANAGE)
def end_everything(name: str) -> Response:
    """Ends somebody's sessions, devices, keys and links, as when a phone was lost; they come in again by their passphrase."""
    actions.end_everything_of(catalogue(), name, by=asking())
    return redirect(url_for("people.show"), 303)


@area.get("/<name>/reset-second-factor")
@needs(Role.MANAGE)
def reset_asked(name: str) -> str:
    """Asks before a second factor is taken away."""
    _refuse_own(name)
    return render_template("reset_factor.html", person=factor_reset.whose_factor(catalogue(), name))


@area.post("/<name>/reset-second-factor")
@needs(Role.MANAGE)
def reset_factor(name: str) -> Response:
    """Takes the second factor away from somebody who lost their phone; one's own is looked after on one's own page."""
    _refuse_own(name)
    factor_reset.reset_factor(catalogue(), name, by=asking().name)
    return redirect(url_for("people.show"), 303)


@area.post("/<name>/let-back")
@needs(Role.MANAGE)
def let_back(name: str) -> Response:
    """Lets somebody in again."""
    actions.let_back(catalogue(), name, by=asking())
    return redirect(url_for("people.show"), 303)


def _refuse_own(name: str) -> None:
    if name.casefold() == asking().name.casefold():
        raise NotAllowed("another manager resets yours; on your own page you take it away with a code")


def _shown(faults: tuple[Fault, ...] = (), name: str = "") -> str:
    there: dict[str, list[tuple[str, Role]]] = {}
    for branch, person, role in roles_at_branches(catalogue()):
        there.setdefault(person, []).append((branch, role))
    return render_template(
        "people.html",
        people=actions.everybody(catalogue()),
        roles=Role,
        faults=faults,
        name=name,
        branches=[branch.name for branch in branches_of(catalogue()).branches],
        there=there,
        may_there=MayThere,
    )


def _link_page(name: str, secret: str) -> Response:
    address = address_for_others(url_for("start.link", secret=secret))
    days = actions.INVITE_HOLDS.days
    return make_response(render_template("invited.html", name=name, address=address, code=code_drawing(address), days=days))
