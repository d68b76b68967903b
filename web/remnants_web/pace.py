"""The manager's page of how long each field of the patch form takes, where the shop's rules ask for a note of it."""

from flask import Blueprint, redirect, render_template, url_for
from werkzeug.wrappers import Response

from remnants.actions.field_paces import WHOLE, forget_paces, noted_paces
from remnants.actions.shop_rules import own_rules
from remnants.model import Role
from remnants_web.access import needs
from remnants_web.labels import label_of
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("pace", __name__, url_prefix="/pace")


@area.get("")
@needs(Role.MANAGE)
def show() -> str:
    """The note, the whole form first, then the fields that take longest."""
    paces = sorted(noted_paces(catalogue()), key=lambda pace: pace.field != WHOLE)
    rows = [(_called(pace.field), pace) for pace in paces]
    return render_template("pace.html", rows=rows, noted=own_rules(catalogue()).note_pace)


@area.post("/empty")
@needs(Role.MANAGE)
def empty() -> Response:
    """Empties the note."""
    forget_paces(catalogue())
    return redirect(url_for("pace.show"), 303)


def _called(field: str) -> str:
    return "The whole form" if field == WHOLE else label_of(field, "patch")
