"""Lines for a spreadsheet, as an answer: what leaves the shop so is noted in the door book."""

from flask import Response

from remnants.actions.door_book import note
from remnants.model.door_line import DoorKind
from remnants_web.access import asking
from remnants_web.shop import catalogue

__all__ = ["spreadsheet"]


def spreadsheet(text: str, name: str) -> Response:
    """The lines as a file of that name, to whoever asks."""
    note(catalogue(), DoorKind.EXPORT, asking().name, what=name)
    answer = Response(text, mimetype="text/csv")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
