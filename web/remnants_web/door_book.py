"""The manager's page of the door book: who came in, who was refused, what was done about people and with the whole stock."""

from flask import Blueprint, render_template, request

from remnants.actions.door_book import DoorPage, page_of
from remnants.actions.people import everybody
from remnants.limits import PERSON_CHARACTERS
from remnants.model import Role
from remnants.model.door_line import DoorKind
from remnants_web.access import needs
from remnants_web.choices import digits
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("door_book", __name__, url_prefix="/door-book")

_LAST_PAGE = 10_000


@area.get("")
@needs(Role.MANAGE)
def show() -> str:
    """A page of it, newest first; of one person or one kind where asked so. A kind that is none is passed over."""
    person = request.args.get("person", "").strip()[:PERSON_CHARACTERS]
    kind = next((kind for kind in DoorKind if kind == request.args.get("kind")), None)
    number = min(max(digits(request.args.get("page", "")) or 1, 1), _LAST_PAGE)
    names = [one.name for one in everybody(catalogue())]
    others = [person] if person and person.casefold() not in {name.casefold() for name in names} else []
    unreadable = ""
    try:
        found = page_of(settings().catalogue, number=number, person=person, kind=kind)
    except OSError as error:
        found, unreadable = DoorPage((), more=False), error.strerror or "it can't be opened"
    return render_template(
        "door_book.html",
        found=found,
        unreadable=unreadable,
        number=number,
        person=person,
        kind=kind or "",
        people=[("", "everybody"), *((name, name) for name in (*names, *others))],
        kinds=[("", "everything"), *((kind.value, kind.value) for kind in DoorKind)],
    )
