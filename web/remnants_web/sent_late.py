"""A form that is sent when one's session is over is kept on the server until one is signed in again, for its maker alone.

What finds it again is a secret in a cookie of this browser; the sign-in page and whoever else comes in are told no more of it
than whose it is.
"""

from flask import redirect, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.unsent import HOLDS, Unsent, form_kept, keep_form
from remnants.limits import PERSON_CHARACTERS
from remnants_web.shop import catalogue, settings

__all__ = ["form_cookie", "keep_sent", "kept_here", "kept_of"]

_KEPT_ELSEWHERE = frozenset({"me", "people", "second_factor", "start"})
"""Areas whose forms are never kept: passphrases, links, who may do what."""


def form_cookie() -> str:
    """The name of the cookie that holds the secret; as the session's, bound to this host over https."""
    return "__Host-remnants-form" if settings().https else "remnants-form"


def keep_sent(ended: str) -> Response | None:
    """Keeps the form that a page sent under the secret of an ended session, and goes to the door. None where it isn't kept.

    A script that sends for a page keeps what it sends by itself, so only what the browser sends is kept here.
    """
    by_page = request.headers.get("Sec-Fetch-Mode", "navigate") == "navigate" and "text/html" in request.headers.get("Accept", "")
    if not (ended and by_page and request.method == "POST") or request.blueprint in _KEPT_ELSEWHERE:
        return None
    fields = [(name, value) for name, values in request.form.lists() for value in values]
    files = any(file.filename for file in request.files.values())
    if not fields and not files:
        return None
    made_by = request.form.get("made_by", "")[:PERSON_CHARACTERS]
    secret = keep_form(catalogue(), ended, request.path, fields, files=files, made_by=made_by, now=settings().now())
    if not secret:
        return None
    answer = redirect(url_for("start.sign_in"), 303)
    age = int(HOLDS.total_seconds())
    answer.set_cookie(form_cookie(), secret, max_age=age, secure=settings().https, httponly=True, samesite="Lax", path="/")
    return answer


def kept_here() -> Unsent | None:
    """The form that this browser's cookie finds."""
    return form_kept(catalogue(), request.cookies.get(form_cookie(), ""), now=settings().now())


def kept_of(name: str) -> Unsent | None:
    """The same, if it is this person's and they didn't see it again yet."""
    found = kept_here()
    mine = found is not None and found.person.casefold() == " ".join(name.split()).casefold()
    return found if found and mine and not found.shown else None
