"""Files that leave the shop, as answers: papers to print and lines for a spreadsheet. Each is noted in the door book."""

from flask import Response

from remnants.actions.door_book import note
from remnants.model.door_line import DoorKind
from remnants_web.access import asking
from remnants_web.shop import catalogue

__all__ = ["handed_out"]

_TYPES = {
    ".csv": "text/csv",
    ".json": "application/json",
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".zip": "application/zip",
}


def handed_out(made: str | bytes, name: str, *, of: str = "", opened: bool = False) -> Response:
    """The file of that name, to whoever asks; `opened` in their browser, or else kept.

    `of` tells the door book what it is of, in our own words and figures: no text that somebody typed.
    """
    note(catalogue(), DoorKind.EXPORT, asking().name, what=f"{name}, {of}" if of else name)
    answer = Response(made, mimetype=_TYPES[name[name.rindex(".") :]])
    answer.headers["Content-Disposition"] = f'{"inline" if opened else "attachment"}; filename="{name}"'
    return answer
