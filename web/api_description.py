"""The description of the programs' interface (OpenAPI 3.1), made from the models that read and write the files."""

from functools import cache
from typing import Any

from remnants import __version__
from remnants.exchange import file_schemas
from remnants.units import Unit

__all__ = ["description"]

_TAG = {
    "name": "tag",
    "in": "path",
    "required": True,
    "schema": {"type": "string", "minLength": 1},
    "description": "a piece's tag",
}
_UNIT = {"name": "unit", "in": "query", "schema": {"enum": list(Unit), "default": "mm"}, "description": "unit of the answer"}
_WORDS = {"name": "words", "in": "query", "required": True, "schema": {"type": "string", "minLength": 1}}
_MOST = {"name": "most", "in": "query", "schema": {"type": "integer", "minimum": 1, "maximum": 200, "default": 20}}

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
_TAGS = {
    "type": "object",
    "required": ["tags"],
    "properties": {"tags": {"type": "array", "items": {"type": "string"}}},
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
            "/api/fit": {"post": _sent("fit", "A job in, its answer out. Changes nothing.", "JobFile", "200", "AnswerFile")},
            "/api/pieces": {
                "get": _asked("find", "Pieces like the words, the likeliest first.", (_WORDS, _MOST, _UNIT), "StockFile"),
                "post": _sent("log", "Logs the pieces of a stock file: all or none.", "StockFile", "201", "Tags"),
            },
            "/api/pieces/{tag}": {"get": _asked("show", "One piece, alone in a stock file.", (_TAG, _UNIT), "StockFile")},
        },
        "components": {
            "schemas": {**file_schemas(), "Problem": _PROBLEM, "Tags": _TAGS},
            "securitySchemes": {"key": {"type": "http", "scheme": "bearer", "description": "a key from one's own page"}},
        },
    }


def _asked(name: str, told: str, parameters: tuple[dict[str, Any], ...], answer: str) -> dict[str, Any]:
    return {"operationId": name, "summary": told, "parameters": list(parameters), "responses": _responses("200", answer)}


def _sent(name: str, told: str, body: str, status: str, answer: str) -> dict[str, Any]:
    content = {"application/json": {"schema": _ref(body)}}
    request = {"required": True, "content": content}
    return {"operationId": name, "summary": told, "requestBody": request, "responses": _responses(status, answer)}


def _responses(status: str, answer: str) -> dict[str, Any]:
    refused = {"application/problem+json": {"schema": _ref("Problem")}}
    answers: dict[str, Any] = {status: {"description": "done", "content": {"application/json": {"schema": _ref(answer)}}}}
    return answers | {code: {"description": told, "content": refused} for code, told in _REFUSALS.items()}


def _ref(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/schemas/{name}"}
