"""A question in one line: what was understood, as a picture and as words that can each be taken back, and what is missing.

What is told with one tap is put to the line, so that the line always says all of it.
"""

import json
import re
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, render_template, request, url_for
from markupsafe import Markup
from werkzeug.utils import redirect
from werkzeug.wrappers import Response

from remnants.actions.ask_in_words import job_understood, pieces_understood, understood
from remnants.actions.log_pieces import known_styles
from remnants.errors import BadInput, Fault
from remnants.exchange.sentence import Sentence, Tap, plainly
from remnants.limits import SENTENCE
from remnants.model import Finish, Kind, Role
from remnants.report.patch_view import asked_drawing
from remnants.units import Unit
from remnants_web.access import needs
from remnants_web.beside import log_beside
from remnants_web.figures import SCREEN, on_page
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import ShapeKind, Typed, entry_unit
from remnants_web.shop import catalogue
from remnants_web.words import reader_unit

__all__ = ["area", "changed", "example_in", "fields_of", "tap_text"]

_SIZES = {
    Unit.MM: ("900 x 840", "2100 x 800"),
    Unit.CM: ("90 x 84", "210 x 80"),
    Unit.M: ("0.9 x 0.84", "2.1 x 0.8"),
    Unit.IN: ("36 x 33", "84 x 31"),
}


def example_in(unit: Unit) -> str:
    """A question in one line whose bare figures are in a unit, inches for feet."""
    hall, closet = _SIZES[Unit.IN if unit is Unit.FT else unit]
    return f"hall {hall}, wall left and right, pile to the door; aldern twist; closet {closet} pile right"


area = Blueprint("said", __name__, url_prefix="/patch/said")

LONGEST_TAP = 4 * SENTENCE
"""A tap names words of the line, in marks of its own."""
_ALLOWANCES = ("seam", "wall", "transition")


@area.get("")
@needs(Role.LOOK)
def hear() -> Response | str:
    """The line, what it was taken for, and the button that asks. A `tap` changes the line."""
    words = request.args.get("words", request.args.get("said", ""))[: SENTENCE + 1]
    if "tap" in request.args:
        return redirect(url_for("said.hear", words=changed(words, _tap_sent(request.args["tap"]))), 303)
    try:
        sentence = understood(catalogue(), words, entry_unit())
        drawing = _drawing(sentence)
        if not sentence.ask:
            pieces_understood(sentence, "", known_styles(catalogue()))
    except BadInput as error:
        faults = tuple(Fault("words", str(fault)) for fault in error.told)
        return Response(render_template("said.html", words=words, faults=faults, sentence=None), 400, mimetype="text/html")
    asked = fields_of(sentence.job)
    asked |= {"beside": json.dumps({"unit": sentence.job["unit"], "pieces": list(sentence.pieces)})} if sentence.pieces else {}
    return render_template(
        "said.html",
        words=words,
        faults=(),
        sentence=sentence,
        tapped=tap_text,
        taken_back=[Tap("", each.words, each.at) for each in sentence.heard],
        drawing=drawing,
        fields=asked | {"said": words},
        form=fields_of(sentence.job, sentence.pieces),
        apart=sentence.pieces,
    )


@area.post("/log")
@needs(Role.WORK)
def log() -> Response:
    """Logs the carpet that an answer counted, since somebody is to hold or cut it, and goes on to the answer with it."""
    return redirect(log_beside(Typed(request.form.to_dict()), request.form.getlist("tag"), sent_key()), 303)


def tap_text(tap: Tap) -> str:
    """A tap as the page sends it."""
    return json.dumps([tap.put, tap.drop, tap.at])


def _tap_sent(text: str) -> Tap:
    try:
        put, drop, at = json.loads(text[:LONGEST_TAP])
    except (ValueError, TypeError, RecursionError):
        return Tap("")
    return Tap(str(put), str(drop), at if isinstance(at, int) else -1)


def changed(words: str, tap: Tap) -> str:
    """The line after a tap: what is put stands at its end, or in the place of what is dropped. The rest stays as it was typed."""
    if not tap.drop:
        return f"{words.strip().rstrip(';')}; {tap.put}"[:SENTENCE] if tap.put else words
    plain, told = plainly(words), re.compile(rf"(?<!\w){re.escape(tap.drop)}(?!\w)", re.IGNORECASE)
    before = sum(found.start() < tap.at for found in told.finditer(plain)) if tap.at >= 0 else 0
    line = words if len(told.findall(words)) == len(told.findall(plain)) else plain
    places = list(told.finditer(line))
    if not places:
        return words
    start, end = places[min(before, len(places) - 1)].span()
    return re.sub(r"\s*([,;])[\s,;]*", r"\1 ", f"{line[:start]}{tap.put}{line[end:]}").strip(" ,;")[:SENTENCE]


def _drawing(sentence: Sentence) -> Markup | None:
    """The patch as it was understood; None while its size or pile is missing. Raises BadFile for one that can't be."""
    if {"size", "pile", "edges", "count", "worn"} & set(sentence.ask):
        return None
    patch = job_understood(sentence).patches[0]
    return on_page(asked_drawing(patch, unit=reader_unit(), paper=SCREEN), 0)


def fields_of(job: Mapping[str, Any], pieces: tuple[Mapping[str, Any], ...] = ()) -> dict[str, str]:
    """The fields of the patch form that ask for the job, with the first of the pieces where the form can log it."""
    (patch,) = job["patches"]
    unit = job["unit"]
    fields = {key: str(job[key]) for key in ("style", "colour", "lot", "job", "max_parts") if key in job}
    fields |= {key: ", ".join(job[key]) for key in ("use", "avoid") if key in job}
    fields |= {key: f"{job['allowance'][key]} {unit}" for key in _ALLOWANCES if key in job.get("allowance", {})}
    fields |= {"any_way": "1"} if "turns" in job else {}
    fields |= {key: str(patch[key]) for key in ("name", "pile", "worn") if key in patch}
    fields |= _shape_fields(patch, unit)
    if patch.get("count", 1) > 1:
        fields["patches"] = json.dumps([patch | {"count": patch["count"] - 1}])
    if pieces and _in_the_form(pieces[0]):
        piece = pieces[0]
        fields |= {f"laid_{key}": f"{piece[key]} {unit}" for key in ("width", "length")}
        fields |= {f"laid_{key}": str(piece[key]) for key in ("room", "pile", "worn") if key in piece}
        fields |= {"laid_hidden": "yes" if piece.get("hidden") else "no"}
    return fields


def _in_the_form(piece: Mapping[str, Any]) -> bool:
    """Whether the patch form can log it: carpet that lies somewhere, with four sides."""
    return piece["kind"] == Kind.LAID.value and "width" in piece


def _shape_fields(patch: Mapping[str, Any], unit: str) -> dict[str, str]:
    edges = patch.get("edges", Finish.SEAM.value)
    told = {f"edge_{at}": edge for at, edge in enumerate([edges] if isinstance(edges, str) else edges)}
    if "radius" in patch:
        return told | {"shape": ShapeKind.ROUND, "across": f"{2 * patch['radius']} {unit}"}
    if "outline" in patch:
        return told | {"shape": ShapeKind.CORNERS, "corners": "\n".join(f"{x} {unit}, {y} {unit}" for x, y in patch["outline"])}
    if "width" in patch:
        return told | {"shape": ShapeKind.RECTANGLE, "width": f"{patch['width']} {unit}", "length": f"{patch['length']} {unit}"}
    return {}
