"""A piece out of a form: what came back to the dock, or the carpet that still lies in the closet."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from itertools import islice
from typing import Any

from werkzeug.exceptions import Forbidden

from remnants.actions.ask_in_words import told_pieces
from remnants.actions.booking import once
from remnants.actions.laid_floor import log_or_correct
from remnants.actions.log_pieces import free_tags, known_styles, log_pieces, next_tag
from remnants.actions.measured_style import with_pattern
from remnants.actions.photos import keep_picture
from remnants.actions.places import the_place
from remnants.actions.show_piece import show_piece
from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange import read_stock
from remnants.exchange.reading import MISSING
from remnants.limits import ALIKE_PIECES, KEY_CHARACTERS
from remnants.model import Kind, Piece, Role, Style
from remnants.model.attributes import PLAIN, Asked
from remnants.model.picture import Picture
from remnants_web.access import asking, signature
from remnants_web.choices import chosen
from remnants_web.own_branch import branch_told
from remnants_web.pattern_taken import pattern_in, taken_words
from remnants_web.photos import picture_in
from remnants_web.sent_texts import sent_key, within
from remnants_web.shapes import PILE_UNTOLD, Form, ShapeKind, at_fields, entry_unit, outline_of
from remnants_web.shop import catalogue

__all__ = ["laid_house", "log_alike", "log_laid", "log_piece", "told_laid"]


def log_piece(form: Form, photo: bytes = b"") -> Piece:
    """Logs the piece that the form tells, with its photograph if there is one, and gives it back.

    Raises BadInput at the form's fields.
    """
    kind = chosen(Kind, form.get("kind"), "kind", default=Kind.REMNANT)
    return _logged({**outline_of(form), **_traced(form), "style": "", **_told(form), "kind": kind.value}, form, photo)


def _traced(form: Form) -> dict[str, Any]:
    """What marks a piece as measured from a photograph, as long as its corners are those that were measured there."""
    traced = form.get("traced", "").split()
    if not traced or form.get("shape") != ShapeKind.CORNERS or form.get("corners", "").split() != traced:
        return {}
    return {"photo_bar": f"{form.get('traced_bar', '')} mm", "photo_digest": form.get("traced_photo", "")}


def log_alike(form: Form, count: int) -> tuple[str, ...]:
    """Logs so many pieces as the form tells one, under the next free tags; one transaction, one booking. Gives the tags.

    Raises BadInput at the form's fields.
    """
    if not 1 <= count <= ALIKE_PIECES:
        raise BadInput([Fault("count", f"give a number of pieces from 1 to {ALIKE_PIECES}")])
    kind = chosen(Kind, form.get("kind"), "kind", default=Kind.REMNANT)
    entry = {**outline_of(form), "style": "", **_told(form), "kind": kind.value}
    opened, signed = catalogue(), signature()

    def do() -> list[str]:
        tags = list(islice(free_tags(opened, kind), count))
        placed = _placed(entry)
        told = {"unit": entry_unit().value, "pieces": [placed | {"tag": tag} for tag in tags]}
        return list(log_pieces(opened, read_stock(told, known=known_styles(opened)), signed=signed))

    try:
        return tuple(once(opened, sent_key(), ["log alike by form", entry, count], signed, do))
    except BadInput as error:
        raise BadInput(dict.fromkeys(map(_in_the_shops_words, at_fields(error, "", form).faults))) from None


def log_laid(form: Form) -> Piece:
    """Logs the laid piece that the patch form tells in its `laid_` fields, of the style that is asked for.

    Its dye lot isn't told, whatever that of the patch is. Only where a house is told, see `laid_house`: a floor of no house would
    be offered to every job as one of its own. Raises BadInput at the form's fields.
    """
    if not asking().role.covers(Role.WORK):
        raise Forbidden("logging the carpet that lies here is for people who may work; ask without it, or ask the manager")
    return _logged(_laid(form) | {"place": laid_house(form)}, form, prefix="laid_")


def laid_house(form: Form) -> str:
    """The house that the patch form tells, by itself or as its job; "" where it tells neither."""
    return form.get("house", "").strip() or form.get("job", "").strip()


def told_laid(form: Form) -> str:
    """The same piece as the text of a stock file, to be counted for one answer and logged where somebody says so.

    Raises BadInput at the form's fields.
    """
    text = json.dumps({"unit": entry_unit().value, "pieces": [_laid(form) | {"tag": "closet"}]}, default=str)
    try:
        told_pieces(json.loads(text), "", known_styles(catalogue()))
    except BadInput as error:
        raise BadInput(map(_in_the_shops_words, at_fields(error, "laid_", form).faults)) from None
    return text


def _laid(form: Form) -> dict[str, Any]:
    """The carpet that lies here, by the keys of files."""
    texts = {key: form.get(key, "").strip() for key in ("style", "colour")}
    sizes = outline_of({**form, "laid_shape": "rectangle"}, "laid_")
    return {**sizes, **texts, "kind": Kind.LAID.value, "room": "closet", "hidden": True, **_told(form, "laid_")}


def _told(form: Form, prefix: str = "") -> dict[str, Any]:
    """What the form tells of a piece beside its shape, by the keys of files. Raises BadInput for what is not for who sends it."""
    told = {}
    for attribute in PLAIN:
        field = prefix + attribute.name
        text = form.get(field, "").strip()
        if text and attribute.asked is not Asked.ELSEWHERE:
            if not asking().role.covers(attribute.seen_by):
                raise BadInput([Fault(field, f"this is told by people who may {attribute.seen_by}; leave it empty")])
            told[attribute.name] = attribute.of_text(text)
    return told


def _logged(entry: dict[str, Any], form: Form, photo: bytes = b"", prefix: str = "") -> Piece:
    """One transaction: the free tag is taken and the piece stored together. The form's key makes it count once."""
    opened, signed = catalogue(), signature()
    known = known_styles(opened)
    described = _described(form, entry["style"], known)
    picture = _picture(photo) if photo else None
    asked = ["log by form", entry, *([hashlib.sha256(photo).hexdigest()] if photo else ())]

    def do() -> str:
        tag = form.get("new_tag", "").strip() or next_tag(opened, Kind(entry["kind"]))
        told = {"unit": entry_unit().value, "pieces": [_placed(entry) | {"tag": tag}]}
        stock = read_stock(told, known=known | ({} if described is None else {described.name: described}))
        stock = stock if described is None else replace(stock, styles=(described,))
        if form.get("new_tag", "").strip():
            log_pieces(opened, stock, signed=signed)
        else:
            tag, _ = log_or_correct(opened, stock, signed=signed)
        if picture is not None:
            keep_picture(opened, tag, picture, signed)
        return tag

    try:
        tag = once(opened, within(form.get("key", ""), "key", KEY_CHARACTERS), asked, signed, do)
    except BadInput as error:
        raise BadInput(map(_in_the_shops_words, at_fields(error, prefix, form).faults)) from None
    return show_piece(opened, tag).piece


def _placed(entry: dict[str, Any]) -> dict[str, Any]:
    """What is told of a piece of the shop's, its place as it is called at the branch that the form is for: see `place_meant`.

    Raises BadInput where several branches have a place of that name and it isn't told which is meant.
    """
    if entry["kind"] not in (Kind.REMNANT.value, Kind.OFFCUT.value) or entry.get("customer"):
        return entry
    place = the_place(catalogue(), entry.get("place", ""), own=branch_told())
    return entry | {"place": place} if place else entry


def _described(form: Form, name: str, known: Mapping[str, Style]) -> Style | None:
    """The style as a photograph describes it further, where that is asked. Raises BadInput at `rows`."""
    if not form.get("describe") or not name or not taken_words(form):
        return None
    return with_pattern(known.get(name) or Style(name), pattern_in(form), entry_unit())


def _in_the_shops_words(fault: Fault) -> Fault:
    return Fault(fault.where, PILE_UNTOLD) if fault == Fault(fault.where, MISSING) and "pile" in fault.where else fault


def _picture(photo: bytes) -> Picture:
    try:
        return picture_in(photo)
    except BadFile as error:
        raise BadInput([Fault("photo", str(error))]) from None
