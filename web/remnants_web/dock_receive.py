"""Receiving at the dock: the carpet is told once, then each piece's new tag is scanned, or how many alike came."""

from urllib.parse import urlencode

from flask import make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.dock import Found, look_up
from remnants.actions.own_branch import usual_place
from remnants.actions.places import unmistaken
from remnants.errors import BadInput, Fault, RemnantsError
from remnants.model import Role
from remnants.model.attributes import PLAIN
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.dock import area
from remnants_web.dock_said import How, Said, done_last, refusal, said_of, scanned, which_words
from remnants_web.laid import log_alike, log_piece
from remnants_web.log import KIND_WORDS
from remnants_web.own_branch import branch_told, here_now
from remnants_web.problems import STATUS
from remnants_web.shapes import BEARINGS, Typed
from remnants_web.shop import catalogue
from remnants_web.style_meant import NEW_STYLE, styles_meant
from remnants_web.tags import PAPER_WORDS, usual_paper

__all__ = ["TOLD", "area", "receive", "receive_scanned"]

TOLD = (*(attribute.name for attribute in PLAIN if attribute.shared), "width", "length")
"""What is told once of all that come in alike."""


@area.get("/receive")
@needs(Role.WORK)
def receive() -> str:
    """The carpet that comes in, filled in as it was told for the last one, and the field for the next tag."""
    form = Typed({name: request.args[name] for name in TOLD if name in request.args})
    if not form["place"]:
        form["place"] = usual_place(catalogue(), asking().name, here_now().name)
    return _page(form)


@area.post("/receive")
@needs(Role.WORK)
def receive_scanned() -> Response:
    """Logs a piece under the scanned tag, or so many alike under free ones; a scanned rack is where the next ones lie."""
    form, tag = Typed(request.form.to_dict()), scanned()
    scan = look_up(catalogue(), tag, own=branch_told()) if tag else None
    if scan and scan.found is Found.PLACE:
        return _on(form | {"place": unmistaken(catalogue(), scan.text, own=branch_told())})
    if scan and scan.found is Found.PLACES:
        return make_response(_page(form, said=Said(f"{which_words(scan)} Nothing was received.", How.HEED)), STATUS[BadInput])
    alike = "alike" in form
    if meant := styles_meant(form):
        return make_response(_page(form, meant=meant), STATUS[BadInput])
    try:
        if alike:
            tags = log_alike(form, digits(form["count"].strip()) or 0)
        elif not tag:
            raise BadInput([Fault("scan", "scan the piece's new tag, or say how many came without one")])
        elif " " in tag:
            raise BadInput([Fault("scan", f"{tag[:60]!r} has a blank, as racks have: a new tag that is scanned has none")])
        else:
            tags = (log_piece(form | {"new_tag": tag}).tag,)
    except BadInput as error:
        return make_response(_page(form, error=error), STATUS[BadInput])
    except RemnantsError as error:
        return make_response(_page(form, said=refusal(error, "Nothing was received.")), STATUS[BadInput])
    return _on(form, did=tags[0])


def _on(form: dict[str, str], **more: str) -> Response:
    told = {name: form[name] for name in TOLD if form.get(name)}
    return redirect(f"{url_for('dock.receive')}?{urlencode(told | more)}", 303)


def _page(form: Typed, *, said: Said | None = None, error: BadInput | None = None, meant: tuple[str, ...] = ()) -> str:
    lines = done_last()
    told = {name: form[name] for name in TOLD if form[name]}
    if error and not said:
        said = Said(f"{form['scan'] or 'This'} was not received. See below.", How.WRONG)
        at_tag = [fault.what for fault in error.faults if fault.where in ("scan", "new_tag", "count")]
        said = Said(f"{at_tag[0]}. Nothing was received.", How.WRONG) if at_tag else said
    if meant:
        said = Said("Nothing is received yet: which style is meant?", How.HEED)
    return render_template(
        "dock_receive.html",
        form=form,
        said=said or said_of(lines),
        done=lines,
        back=f"{url_for('dock.receive')}?{urlencode(told)}",
        faults=error.faults if error else (),
        meant=meant,
        new_style=NEW_STYLE,
        told_all=all(form[name] for name in ("style", "width", "length", "pile")) and not (error or meant),
        bearings=BEARINGS,
        kinds=KIND_WORDS,
        papers=PAPER_WORDS,
        paper=usual_paper(),
    )
