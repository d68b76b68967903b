"""Carpet that a question tells of and that isn't logged: it counts for that answer alone, and is logged when somebody says so."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any
from urllib.parse import parse_qsl, urlencode

from flask import url_for

from remnants.actions import Catalogue
from remnants.actions.ask_in_words import told_pieces
from remnants.actions.booking import once
from remnants.actions.laid_floor import log_or_correct
from remnants.actions.log_pieces import known_styles, next_tag, taken_tags
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.limits import NAME_CHARACTERS, TOLD_CHARACTERS, TOLD_PIECES
from remnants.model import Job, Kind, Piece
from remnants_web.access import signature
from remnants_web.jobs import NAMELESS, Answer, job_asked, read_form_job
from remnants_web.sent_texts import within
from remnants_web.shapes import Form, Typed
from remnants_web.shop import catalogue

__all__ = ["beside_of", "house_of", "log_beside", "marked", "pieces_beside", "pieces_told"]

NO_HOUSE = "say in which house it is: carpet of no known house would be offered to every job"


def beside_of(form: Form) -> str:
    """The carpet that a question tells of, as the text of a stock file; "" where there is none. Raises BadInput."""
    text = form.get("beside", "").strip()
    if not text:
        return ""
    try:
        told = json.loads(text) if len(text) <= TOLD_CHARACTERS else None
    except (ValueError, RecursionError):
        told = None
    pieces = told.get("pieces") if isinstance(told, dict) and "unit" in told else None
    if not isinstance(pieces, list) or not 0 < len(pieces) <= TOLD_PIECES or not all(isinstance(each, dict) for each in pieces):
        raise BadInput("the carpet told with the question can't be read; ask it anew in one line")
    return text


def pieces_told(text: str) -> tuple[str, ...]:
    """What the pieces of such a text are called."""
    return tuple(str(piece.get("tag", "")) for piece in _file(text)["pieces"]) if text else ()


def house_of(job: Job) -> str:
    """The house that a job tells, by itself or as its name up to the first comma; "" where it has neither."""
    return job.house or ("" if job.name == NAMELESS else job.name.partition(",")[0].strip())


def pieces_beside(opened: Catalogue, job: Job, text: str) -> tuple[Piece, ...]:
    """The pieces of such a text, in the job's house. Raises BadInput where one can't be, or is called as one in the catalogue."""
    if not text:
        return ()
    pieces = told_pieces(_file(text), house_of(job), known_styles(opened))
    if taken := taken_tags(opened, [piece.tag for piece in pieces]):
        raise BadInput(
            f"a piece has the tag {pieces[min(taken)].tag!r} already; call the carpet told with the question otherwise"
        )
    return pieces


def marked(found: Iterable[Answer], beside: Sequence[Piece]) -> tuple[Answer, ...]:
    """Answers that say which of their donors were told with the question, and are in no catalogue."""
    told = [piece.tag for piece in beside]
    return tuple(replace(each, unlogged=tuple(tag for tag in each.donors if tag in told)) for each in found)


def log_beside(form: Form, tags: Sequence[str], key: str) -> str:
    """Logs the pieces told with a question that have these tags there, one whose floor is known told anew.

    Gives the address of the question with them in the catalogue. Raises BadInput.
    """
    asked = Typed(dict(parse_qsl(form.get("asked", ""))))
    house = within(form.get("house", ""), "house", NAME_CHARACTERS)
    asked |= {"house": house} if house else {}
    text = beside_of(asked)
    told = [dict(piece) for piece in _file(text)["pieces"]] if text else []
    logged = [piece for piece in told if piece.get("tag") in tags]
    if not logged:
        raise BadInput("no carpet told with the question is named; ask it anew in one line")
    job = read_form_job(job_asked(asked))
    pieces_beside(catalogue(), job, text)
    if not house_of(job) and any(piece["kind"] in (Kind.LAID, Kind.KEPT) for piece in logged):
        raise BadInput([Fault("house", NO_HOUSE)])
    booked = _logged({"unit": _file(text)["unit"], "pieces": logged}, job, key)
    left = [piece for piece in told if piece not in logged]
    asked.pop("beside")
    asked |= {"beside": json.dumps({"unit": _file(text)["unit"], "pieces": left})} if left else {}
    return f"{url_for('patch.answer')}?{urlencode(asked | {'laid': ', '.join(booked)})}"


def _logged(file: Mapping[str, Any], job: Job, key: str) -> list[str]:
    """The tags that the pieces of a file are logged by, all or none."""
    opened, signed = catalogue(), signature()

    def do() -> list[str]:
        tags = []
        for piece in file["pieces"]:
            tag = next_tag(opened, Kind(piece["kind"]))
            one = {"unit": file["unit"], "pieces": [piece | {"tag": tag}]}
            known = told_pieces(one, house_of(job), known_styles(opened))
            tags.append(log_or_correct(opened, Stock((), known), signed=signed)[0])
        return tags

    return list(once(opened, key, ["log what was told", dict(file), house_of(job)], signed, do))


def _file(text: str) -> dict[str, Any]:
    return dict(json.loads(text))
