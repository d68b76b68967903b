"""The description of the programs' interface (OpenAPI 3.1), made from the models that read and write the files."""

from functools import cache
from typing import Any

from remnants import __version__
from remnants.actions.keep_job import State
from remnants.exchange import file_schemas
from remnants.limits import KEY_CHARACTERS, PIECES_FOUND
from remnants.model import Finish, StopKind
from remnants.units import Unit

__all__ = ["description"]
"""Characters of an Idempotency-Key."""


def _in_path(name: str, told: str) -> dict[str, Any]:
    schema = {"type": "string", "minLength": 1}
    return {"name": name, "in": "path", "required": True, "schema": schema, "description": told}


_TAG, _NAME = _in_path("tag", "a piece's tag"), _in_path("name", "a job's number, or its name where no other job has it")
_UNIT = {"name": "unit", "in": "query", "schema": {"enum": list(Unit), "default": "mm"}, "description": "unit of the answer"}
_WORDS = {"name": "words", "in": "query", "required": True, "schema": {"type": "string", "minLength": 1}}
_UNTIL = {
    "name": "until",
    "in": "query",
    "schema": {"type": "string", "format": "date"},
    "description": "last day of the hold; two weeks from today if left out",
}
_KEY = {
    "name": "Idempotency-Key",
    "in": "header",
    "schema": {"type": "string", "maxLength": KEY_CHARACTERS},
    "description": "a text of the sender's own: what is sent twice with it is done once, and answered the same",
}
_MOST = {"name": "most", "in": "query", "schema": {"type": "integer", "minimum": 1, "maximum": PIECES_FOUND, "default": 20}}

_PROBLEM = {
    "type": "object",
    "description": "Why a request was refused (RFC 9457). Nothing was changed.",
    "required": ["type", "title", "status", "detail", "faults"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "faults": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["where", "what"],
                "properties": {"where": {"type": "string"}, "what": {"type": "string"}},
            },
        },
    },
}
_TEXT = {"type": "string"}
_TEXTS = {"type": "array", "items": _TEXT}


def _object(told: str, **properties: Any) -> dict[str, Any]:
    return {"type": "object", "description": told, "required": list(properties), "properties": properties}


_JOB = _object(
    "A job in the catalogue: how far it is, until when its pieces are held, who did that, and its answer.",
    number=_TEXT,
    job=_TEXT,
    stage={"enum": list(State)},
    until={"type": ["string", "null"], "format": "date"},
    who=_TEXT,
    why=_TEXT,
    answer={"$ref": "#/components/schemas/AnswerFile"},
)
_BOOKED = _object(
    "What a cut made of the stock; `note` tells what else to know, such as that its hold had lapsed.",
    job=_TEXT,
    donors=_TEXTS,
    used_up=_TEXTS,
    offcuts=_TEXTS,
    waste_mm2={"type": "number"},
    note=_TEXT,
    number=_TEXT,
)
_ENTRY = _object(
    "An entry of the ledger.",
    number={"type": "integer"},
    booking={"type": "integer", "description": "number of the first entry that was written with it"},
    at={"type": "string", "format": "date-time"},
    act=_TEXT,
    what=_TEXT,
    who=_TEXT,
    job=_TEXT,
    why=_TEXT,
)
_HISTORY = _object(
    "A piece's life, oldest entry first; what it was cut from, nearest first; what was cut from it.",
    tag=_TEXT,
    stage=_TEXT,
    cut_from=_TEXTS,
    offcuts=_TEXTS,
    entries={"type": "array", "items": _ENTRY},
)
_HEARD = _object("Words and what they are taken for.", words=_TEXT, of=_TEXT, key=_TEXT, meaning=_TEXT)
_UNDERSTOOD = _object(
    "What a question in one line says: the keys of a job file and of pieces as far as they were told, and what is missing.",
    job={"type": "object"},
    pieces={"type": "array", "items": {"type": "object"}},
    heard={"type": "array", "items": _HEARD},
    unread=_TEXTS,
    ask=_TEXTS,
)
_OUTLINED = {
    "patch": _TEXT,
    "outline": {"type": "array", "items": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}},
    "edges": {"type": "array", "items": {"enum": list(Finish)}},
    "stops": {"type": "object", "additionalProperties": {"enum": list(StopKind)}},
}
_PROPOSALS = {
    "type": "object",
    "description": "Outlines proposed for damage, the recommended one first; `ask` is what would make them better.",
    "required": ["proposals"],
    "properties": {
        "proposals": {
            "type": "array",
            "items": _object(
                "An outline (`also` further ones, where damages are taken apart), why it is so, its job, and the answer to that.",
                **_OUTLINED,
                words=_TEXTS,
                job={"$ref": "#/components/schemas/JobFile"},
                answer={"$ref": "#/components/schemas/AnswerFile"},
            ),
        },
        "ask": _TEXTS,
        "notes": _TEXTS,
    },
}
_HELD = (
    _UNTIL,
    {"name": "job", "in": "query", "schema": _TEXT, "description": "number of the job to plan anew"},
    {
        "name": "again",
        "in": "query",
        "schema": {"enum": ["yes", "no"], "default": "no"},
        "description": "`yes`: another job of the same name; without it, and without `job`, a name that is there is refused",
    },
    _KEY,
)
_OWN = {
    "Problem": _PROBLEM,
    "Tags": _object("Tags of pieces.", tags=_TEXTS),
    "Job": _JOB,
    "Booked": _BOOKED,
    "History": _HISTORY,
    "Understood": _UNDERSTOOD,
    "Proposals": _PROPOSALS,
}
_REFUSALS = {
    "400": "can't be read",
    "401": "not signed in",
    "403": "not for this role, or sent from elsewhere",
    "404": "no such thing",
    "409": "not as things stand",
    "413": "too large",
    "415": "not JSON",
    "422": "faults in what was sent, each with its place",
    "429": "too much is asked at once: wait",
    "503": "the catalogue is out of reach just now",
}


@cache
def description(shop: str) -> dict[str, Any]:
    """The whole description, as JSON values."""
    return {
        "openapi": "3.1.0",
        "info": {"title": f"{shop}: what programs can do", "version": __version__},
        "servers": [{"url": "/"}],
        "security": [{"key": []}],
        "paths": {
            "/api/fit": {"post": _sent("fit", "A job in, its answer out. Changes nothing.", "JobFile", ("200", "AnswerFile"))},
            "/api/ask": {
                "get": _asked("ask", "What a question in one line says. Changes nothing.", (_WORDS, _UNIT), "Understood")
            },
            "/api/propose": {
                "post": _sent("propose", "Damage in, outlines out. Changes nothing.", "JobFile", ("200", "Proposals"))
            },
            "/api/pieces": {
                "get": _asked("find", "Pieces like the words, the likeliest first.", (_WORDS, _MOST, _UNIT), "StockFile"),
                "post": _sent("log", "Logs the pieces of a stock file: all or none.", "StockFile", ("201", "Tags"), _KEY),
            },
            "/api/pieces/{tag}": {"get": _asked("show", "One piece, alone in a stock file.", (_TAG, _UNIT), "StockFile")},
            "/api/pieces/{tag}/history": {"get": _asked("history", "All that happened to a piece.", (_TAG, _UNIT), "History")},
            "/api/jobs": {"post": _sent("hold", "Fits a job and holds its pieces for it.", "JobFile", ("201", "Job"), *_HELD)},
            "/api/jobs/{name}": {"get": _asked("job", "How far a job is, and its answer.", (_NAME,), "Job")},
            "/api/jobs/{name}/cut": {"post": _asked("cut", "Books the plan that is held as cut.", (_NAME, _KEY), "Booked")},
            "/api/jobs/{name}/release": {"post": _asked("release", "Lets go of what is held.", (_NAME, _KEY), "Tags")},
        },
        "components": {
            "schemas": {**file_schemas(), **_OWN},
            "securitySchemes": {"key": {"type": "http", "scheme": "bearer", "description": "a key from one's own page"}},
        },
    }


def _asked(name: str, told: str, parameters: tuple[dict[str, Any], ...], answer: str) -> dict[str, Any]:
    return {"operationId": name, "summary": told, "parameters": list(parameters), "responses": _responses("200", answer)}


def _sent(name: str, told: str, body: str, answer: tuple[str, str], *parameters: dict[str, Any]) -> dict[str, Any]:
    """What takes a body: its answer as (status, schema)."""
    request = {"required": True, "content": {"application/json": {"schema": _ref(body)}}}
    described = {"operationId": name, "summary": told, "parameters": list(parameters)}
    return described | {"requestBody": request, "responses": _responses(*answer)}


def _responses(status: str, answer: str) -> dict[str, Any]:
    refused = {"application/problem+json": {"schema": _ref("Problem")}}
    answers: dict[str, Any] = {status: {"description": "done", "content": {"application/json": {"schema": _ref(answer)}}}}
    return answers | {code: {"description": told, "content": refused} for code, told in _REFUSALS.items()}


def _ref(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/schemas/{name}"}
