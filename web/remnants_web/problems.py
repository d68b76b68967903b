"""Refusals as answers: one shape for programs (RFC 9457 problem details), one page for people.

error -> status        BadInput 422 · NotFound 404 · NotAllowed 409 · NoPlan 409 · NotPermitted 403 · SignInRefused 401
                       TooManyTries 429 · Crowded 429 · CatalogueUnusable 503 · GaveUp 503 · Unproved 500
"""

import logging
from dataclasses import dataclass
from typing import Any

from flask import Flask, jsonify, render_template, request
from werkzeug.exceptions import Forbidden, HTTPException, SecurityError, Unauthorized
from werkzeug.http import HTTP_STATUS_CODES
from werkzeug.wrappers import Response

from remnants import errors
from remnants.actions.door_book import note_beside
from remnants.model.door_line import DoorKind, DoorLine
from remnants_web.access import signed_in
from remnants_web.shop import address, settings

__all__ = ["STATUS", "Problem", "add_problems", "problem_of", "wants_json"]

STATUS: dict[type[errors.RemnantsError], int] = {
    errors.BadInput: 422,
    errors.NotFound: 404,
    errors.NotAllowed: 409,
    errors.NoPlan: 409,
    errors.NotPermitted: 403,
    errors.SignInRefused: 401,
    errors.TooManyTries: 429,
    errors.CatalogueUnusable: 503,
    errors.GaveUp: 503,
    errors.Crowded: 429,
    errors.Unproved: 500,
}
"""The nearest class in an error's family decides."""

_KINDS: dict[type[errors.RemnantsError], str] = {errors.MadeByAnother: "/problems/made-by-another"}
"""Those that a device tells apart from others of the same status."""

_PLAIN = {
    400: "the request can't be read; go back and send it again",
    404: "there is no such page; the menu shows what there is",
    405: "this address can't be used that way",
    413: "that is too large to send; a photo may have up to 10 MB, a form up to half a megabyte",
}
_TITLES = {
    401: "Sign in first",
    403: "Not for you",
    404: "Not found",
    409: "Not now",
    413: "Too large",
    422: "Please look again",
    429: "Wait a little",
    500: "Something broke here",
    503: "Out of reach just now",
}

_FOREIGN_NAME = "this shop is not known by that name; start it with --host NAME if it should be\n"

_NOTED = {
    Unauthorized: "not signed in",
    Forbidden: "not allowed",
    errors.SignInRefused: "a link that opens nothing",
}
"""What goes into the door book here, and its words; the doors themselves note whom they know of."""

_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE"})

_log = logging.getLogger("remnants.web")


@dataclass(frozen=True, slots=True)
class Problem:
    """What was refused. `faults` says where, `wait_s` how long until it may be tried again, `kind` which problem it is."""

    status: int
    title: str
    detail: str
    faults: tuple[errors.Fault, ...] = ()
    wait_s: int | None = None
    kind: str = "about:blank"

    def as_json(self) -> dict[str, Any]:
        """The members of RFC 9457, and `faults` as a list of where and what."""
        faults = [{"where": fault.where, "what": fault.what} for fault in self.faults]
        return {"type": self.kind, "title": self.title, "status": self.status, "detail": self.detail, "faults": faults}


def problem_of(error: Exception) -> Problem:
    """What a person or program is told. Anything unforeseen says nothing of how it is built."""
    if isinstance(error, errors.RemnantsError):
        kind = next(kind for kind in type(error).__mro__ if kind in STATUS)
        status = STATUS[kind]
        faults = error.told if isinstance(error, errors.BadInput) else ()
        wait_s = error.wait_s if isinstance(error, errors.TooManyTries) else (5 if status in (429, 503) else None)
        return Problem(status, _title(status), str(error), faults, wait_s, _KINDS.get(type(error), "about:blank"))
    if isinstance(error, HTTPException):
        status = error.code or 500
        own = error.description if error.description != type(error).description else None
        return Problem(status, _title(status), _PLAIN.get(status) or own or HTTP_STATUS_CODES.get(status, ""))
    return Problem(500, _title(500), "nothing was changed. Try again; if it stays, tell the manager the time it happened")


def add_problems(app: Flask) -> None:
    """Every error of every view ends here."""
    app.register_error_handler(errors.RemnantsError, _answer)
    app.register_error_handler(HTTPException, _answer)
    app.register_error_handler(Exception, _answer)


def _answer(error: Exception) -> Response:
    if isinstance(error, HTTPException) and error.response is not None:
        return error.response  # type: ignore[return-value]
    if isinstance(error, SecurityError):  # asked under a foreign name: no address of ours can be written for it
        return Response(_FOREIGN_NAME, 400, mimetype="text/plain")
    problem = problem_of(error)
    if isinstance(error, tuple(_NOTED)):
        _note_refused(error)
    if problem.status >= 500:  # the rule, as the path may hold a secret
        foreseen = isinstance(error, errors.GaveUp)
        _log.error("%s %s failed", request.method, request.url_rule or "/", exc_info=None if foreseen else error)
    if wants_json():
        response: Response = jsonify(problem.as_json())
        response.mimetype = "application/problem+json"
    else:
        response = Response(render_template("problem.html", problem=problem), mimetype="text/html")
    response.status_code = problem.status
    if problem.wait_s is not None:
        response.headers["Retry-After"] = str(problem.wait_s)
    if problem.status == 401 and request.path.startswith("/api/"):
        response.headers["WWW-Authenticate"] = 'Bearer realm="remnants"'
    return response


def _note_refused(error: Exception) -> None:
    """Notes in the door book what was refused to whom: the way by its rule, as the path may hold a secret."""
    session, way = signed_in(), request.url_rule
    why = next(words for kind, words in _NOTED.items() if isinstance(error, kind))
    told = f"{why}: {request.method if request.method in _METHODS else 'some other method'} {way}"
    who = session.person.name if session else ""
    note_beside(settings().catalogue, DoorLine(settings().now(), DoorKind.REFUSED, who, address(), what=told))


def _title(status: int) -> str:
    return _TITLES.get(status) or HTTP_STATUS_CODES.get(status, "Not done")


def wants_json() -> bool:
    """Whether whoever asks reads JSON rather than pages."""
    accepted = request.accept_mimetypes
    return request.path.startswith("/api/") or accepted.best_match(["text/html", "application/json"]) == "application/json"
