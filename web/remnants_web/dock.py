"""The dock: one piece after another by a scanner that types, or by the camera; each answered at once, with its undo."""

from collections.abc import Callable

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.dock import Found, Scan, look_up, put_here, resize_piece
from remnants.actions.undo import undo_received
from remnants.errors import BadInput, Fault, RemnantsError
from remnants.model import Role
from remnants_web.access import local_path, needs, signature
from remnants_web.choices import digits
from remnants_web.dock_said import How, Said, done_last, refusal, said_of, scanned, unknown_words, which_words
from remnants_web.own_branch import branch_told
from remnants_web.problems import STATUS
from remnants_web.scanned import tag_of
from remnants_web.sent_texts import sent_key, sent_place
from remnants_web.shapes import Typed, length_at
from remnants_web.shop import catalogue

__all__ = ["area", "move_page", "refused", "scanned_to"]

area = Blueprint("dock", __name__, url_prefix="/dock")


@area.get("")
@needs(Role.WORK)
def choose() -> str:
    """What one can do there."""
    return render_template("dock.html")


@area.get("/move")
@needs(Role.WORK)
def move() -> str:
    """The rack that pieces are moved to, and the field for the next scan."""
    return move_page(sent_place())


@area.post("/move")
@needs(Role.WORK)
def move_scanned() -> Response:
    """Moves the scanned piece to the rack; a scanned rack is where the next ones go.

    What nobody knows may have been a rack that was misread, so the rack has to be scanned anew: nothing goes to a wrong one.
    """
    return scanned_to("dock.move", _moved, "moved")


def scanned_to(door: str, do: Callable[[str, str], Response], done: str) -> Response:
    """What comes of a scan where pieces go to a rack: the rack for the next ones, what `do` does, or why nothing is `done`."""
    place, scan = sent_place(), look_up(catalogue(), scanned(), own=branch_told())
    if scan.found is Found.PLACE:
        return redirect(url_for(door, place=scan.text), 303)
    if scan.found is Found.PLACES:
        told = Said(f"{which_words(scan)} Nothing was {done}.", How.HEED)
        new = "" if scan.text in dict(scan.places).values() else scan.text
        return refused(move_page("", door=door, said=told, before=place, new=new, which=scan.places))
    if not scan.text:
        return refused(move_page(place, door=door, said=Said("Nothing was scanned.", How.HEED)))
    if scan.found is Found.NOTHING:
        told = Said(f"{unknown_words(scan)} Nothing was {done}. Scan the rack again, then go on.", How.WRONG)
        return refused(move_page("", door=door, said=told, before=place, new=scan.text))
    if not place:
        return refused(move_page("", door=door, said=Said(f"Scan the rack first. {scan.text} was not {done}.", How.HEED)))
    return do(scan.text, place)


def _moved(tag: str, place: str) -> Response:
    try:
        moved = put_here(catalogue(), tag, place, signed=signature(), key=sent_key())
    except RemnantsError as error:
        return refused(move_page(place, said=refusal(error, "It was not moved.")), error)
    if not moved:
        told = Said(f"{tag} lies at {place} already. Nothing was written twice.", How.HEED)
        return make_response(move_page(place, said=told))
    return redirect(url_for("dock.move", place=place, did=tag), 303)


@area.get("/size")
@needs(Role.WORK)
def size() -> str | Response:
    """The field for a tag; with a tag that was scanned, its size and fields for the new one."""
    text = tag_of(request.args.get("scan", ""))
    if not text:
        return _size_page(None)
    scan = look_up(catalogue(), text)
    if scan.standing is None:
        told = f"{scan.text} is a place, not a piece." if scan.found in (Found.PLACE, Found.PLACES) else unknown_words(scan)
        return refused(_size_page(None, Said(f"{told} Nothing was changed.", How.WRONG)))
    if not scan.standing.piece.outline.is_rectangle:
        tag = scan.text
        told = f"{tag} is no plain rectangle. Its corners are told anew by `remnants correct {tag}`."
        return refused(_size_page(None, Said(told, How.HEED)))
    return _size_page(scan)


@area.post("/size")
@needs(Role.WORK)
def size_told() -> Response:
    """Corrects the size of the scanned piece, as it was shown."""
    scan = look_up(catalogue(), scanned())
    if scan.standing is None:
        return refused(_size_page(None, Said(f"{unknown_words(scan)} Nothing was changed.", How.WRONG)))
    try:
        width, length = (length_at(name, request.form.get(name, "")) for name in ("width", "length"))
        seen = digits(request.form.get("seen", ""))
        if seen is None:
            raise BadInput([Fault("seen", "scan the piece again: the form did not say how it was shown")])
        sides = {"width_mm": width.mm, "length_mm": length.mm}
        resize_piece(catalogue(), scan.text, **sides, seen=seen, signed=signature(), key=sent_key())
    except RemnantsError as error:
        return refused(_size_page(scan, refusal(error, "Nothing was changed.")), error)
    return redirect(url_for("dock.size", did=scan.text), 303)


@area.post("/undo-received")
@needs(Role.WORK)
def undo_received_here() -> Response:
    """Takes back all that came in together, by its first piece and the number of that one's entry."""
    tag, seen = request.form.get("tag", ""), digits(request.form.get("seen", ""))
    if seen is None:
        raise BadInput([Fault("seen", "open the dock's page again and take it back from there")])
    undo_received(catalogue(), tag, seen=seen, signed=signature(), key=sent_key())
    return redirect(local_path(request.form.get("back") or url_for("dock.choose")), 303)


def move_page(
    place: str,
    *,
    door: str = "dock.move",
    said: Said | None = None,
    before: str = "",
    new: str = "",
    which: tuple[tuple[str, str], ...] = (),
) -> str:
    """The page where pieces go to a rack: moved there, or taken back from who had them lent."""
    lines = done_last()
    back = url_for(door, place=place or before or None)
    given = {
        "said": said or said_of(lines),
        "done": lines,
        "back": back,
        "before": before,
        "new": new,
        "which": which,
        "door": door,
    }
    return render_template("dock_move.html", place=place, **given)


def _size_page(scan: Scan | None, said: Said | None = None) -> str:
    lines = done_last()
    told = Typed(request.form.to_dict())
    given = {"said": said or said_of(lines), "done": lines, "back": url_for("dock.size")}
    return render_template("dock_size.html", standing=scan.standing if scan else None, told=told, **given)


def refused(page: str, error: RemnantsError | None = None) -> Response:
    """The page with the status of what was refused."""
    kind = next((kind for kind in type(error).__mro__ if kind in STATUS), BadInput) if error else BadInput
    return make_response(page, STATUS[kind])
