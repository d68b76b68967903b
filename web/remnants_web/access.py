"""Who may ask for what. Every view says which role it needs; a view that says nothing stops the app from starting.

One guard stands before all views. In order: is it us who are asked; did a page of ours send this change; who is asking; may they.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar
from urllib.parse import quote, urlsplit

from flask import Flask, current_app, g, redirect, request
from werkzeug.exceptions import Forbidden, SecurityError, Unauthorized
from werkzeug.wrappers import Response

from remnants.actions import Signed, doors
from remnants.actions.second_factor import must_have_factor
from remnants.errors import MadeByAnother
from remnants.limits import PERSON_CHARACTERS
from remnants.model import Person, Role, Scope, Session, SessionKind
from remnants_web.hosts import HERE, is_known
from remnants_web.sent_late import keep_sent
from remnants_web.shop import catalogue, settings

__all__ = [
    "SAFE_METHODS",
    "Access",
    "access_of",
    "anyone",
    "asking",
    "check_all_said",
    "cookie_name",
    "guard",
    "lacks_factor",
    "let_in",
    "local_path",
    "needs",
    "signature",
    "signed_in",
    "signed_out",
]

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
_BY_COOKIE = frozenset({SessionKind.BROWSER, SessionKind.DEVICE})
_BY_KEY = frozenset({SessionKind.KEY})
_FOREIGN = "this change was not sent by a page of this shop, so nothing was done; open the page here and send it again"

View = TypeVar("View", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Access:
    """The least role that a view needs; None lets anyone in, signed in or not. A key needs `scope` too; without it none may."""

    role: Role | None
    scope: Scope | None = None


def needs(role: Role, *, scope: Scope | None = None) -> Callable[[View], View]:
    """Marks a view as for people whose role covers `role`, and for their keys that have the scope."""
    return _marked(Access(role, scope))


def anyone(view: View) -> View:
    """Marks a view as open to those not signed in: the doors themselves, and what holds no data."""
    return _marked(Access(None))(view)


def access_of(view: Callable[..., Any]) -> Access | None:
    """What a view says about who may use it."""
    return getattr(view, "access", None)


def check_all_said(app: Flask) -> None:
    """Raises RuntimeError naming each view that does not say who may use it."""
    silent = [name for name, view in app.view_functions.items() if name != "static" and access_of(view) is None]
    if silent:
        raise RuntimeError(f"these views don't say who may use them: {', '.join(sorted(silent))}")


def guard() -> Response | None:
    """Runs before every view; see the top of this file."""
    if not is_known(request.environ.get("HTTP_HOST", ""), settings().hosts, request.environ.get(HERE, "")):
        raise SecurityError
    if request.endpoint == "static":
        return None
    if request.method not in SAFE_METHODS and not _sent_by_us():
        raise Forbidden(_FOREIGN)
    if request.mimetype != "multipart/form-data":
        request.max_content_length = settings().largest_form
    g.session = _as_far_as_let(_find_session())
    if request.endpoint is None:
        return None
    access = access_of(current_app.view_functions[request.endpoint])
    needed = access.role if access else Role.MANAGE
    if needed is None:
        return None
    if g.session is None:
        return keep_sent("" if _key() else request.cookies.get(cookie_name(), "")) or _to_sign_in()
    role = g.session.person.role
    if not role.covers(needed) and g.lacks_factor:
        return _to_set_up()
    if not role.covers(needed):
        raise Forbidden(f"this is for people who may {needed}; your role is {role}. The manager can change that")
    _refuse_beyond_scope(g.session, access)
    _refuse_anothers(g.session.person)
    return None


def signed_in() -> Session | None:
    """The session of whoever asks."""
    found: Session | None = g.get("session")
    return found


def asking() -> Person:
    """The person who asks; the guard has let them in."""
    session = signed_in()
    if session is None:
        raise Unauthorized("sign in first")
    return session.person


def signature(why: str = "", job: str = "") -> Signed:
    """How whoever asks signs an entry of the ledger."""
    return Signed(asking().name, settings().now(), why, job)


def cookie_name() -> str:
    """Over https the name itself makes the browser hold the cookie to this host and to encryption (RFC 6265bis, 4.1.3.2)."""
    return "__Host-remnants" if settings().https else "remnants"


def let_in(secret: str, goes_on: str) -> Response:
    """Goes on to a path of ours with a session's cookie: kept from scripts, from other sites and, over https, from the wire."""
    answer = redirect(goes_on, 303)
    longest = max(doors.LONGEST[kind] for kind in _BY_COOKIE)
    answer.set_cookie(cookie_name(), secret, max_age=longest, secure=settings().https, httponly=True, samesite="Lax", path="/")
    return answer


def signed_out() -> Response:
    """Goes to the door without a session's cookie, and clears what the device kept, but for entries that wait there (`waits`)."""
    answer = redirect("/sign-in", 303)
    answer.delete_cookie(cookie_name(), secure=settings().https, httponly=True, samesite="Lax")
    answer.headers["Clear-Site-Data"] = '"cache"' if request.form.get("waits") else '"cache", "storage"'
    return answer


def local_path(path: str | None) -> str:
    """A path on this server to go on to, or `/`: never another host's address."""
    if not path or not path.startswith("/") or path.startswith("//") or "\\" in path or not path.isprintable():
        return "/"
    parts = urlsplit(path)
    return "/" if parts.scheme or parts.netloc else path


def _marked(access: Access) -> Callable[[View], View]:
    def mark(view: View) -> View:
        view.access = access  # type: ignore[attr-defined]
        return view

    return mark


def _as_far_as_let(session: Session | None) -> Session | None:
    """A manager who by the shop's rule must have a second factor, and has none, may work and not manage; so may their keys."""
    g.lacks_factor = session is not None and must_have_factor(catalogue(), session.person)
    return replace(session, person=replace(session.person, role=Role.WORK)) if session and g.lacks_factor else session


def lacks_factor() -> bool:
    """Whether whoever asks is a manager who has to set a second factor up before they may manage."""
    return bool(g.get("lacks_factor"))


def _to_set_up() -> Response:
    wants_page = "text/html" in request.headers.get("Accept", "") and not request.path.startswith("/api/")
    if request.method != "GET" or not wants_page:
        raise Forbidden("managers here come in with a second factor as well; set yours up on your own page first")
    return redirect("/me/second-factor", 303)


def _refuse_beyond_scope(session: Session, access: Access | None) -> None:
    """A key does what programs can do, as far as its scopes go: no pages, no sessions, no people."""
    if session.kind is not SessionKind.KEY:
        return
    scope = access.scope if access else None
    if scope is None:
        raise Forbidden("a key does only what /api/openapi.json tells; for anything else a person signs in")
    if scope not in session.scopes:
        told = ", ".join(sorted(session.scopes))
        raise Forbidden(f"this key may {told}, and this needs {scope}; make one that may on your own page")


def _refuse_anothers(person: Person) -> None:
    """What one person made is not signed by another who is signed in where it is sent from: a form may say who made it."""
    made_by = request.form.get("made_by", "")[:PERSON_CHARACTERS] if request.method not in SAFE_METHODS else ""
    if made_by and made_by.casefold() != person.name.casefold():
        raise MadeByAnother(
            f"{made_by} made this and you are signed in as {person.name}, so nothing was done; {made_by} signs in here to send it"
        )


def _sent_by_us() -> bool:
    """True when the browser says that a page of this very origin sent it.

    Sec-Fetch-Site where there is one (W3C Fetch Metadata), else Origin (RFC 6454). A program sends neither, and then only
    its key may speak for it: a key never travels by itself as a cookie does.
    """
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site == "same-origin"
    origin = request.headers.get("Origin")
    if origin is not None:
        return origin == f"{request.scheme}://{request.host}".lower()
    return bool(_key())


def _key() -> str:
    scheme, _, key = request.headers.get("Authorization", "").partition(" ")
    return key.strip() if scheme.lower() == "bearer" else ""


def _find_session() -> Session | None:
    """By key when one is given (then the cookie counts for nothing), else by cookie."""
    key, cookie = _key(), request.cookies.get(cookie_name(), "")
    if not key and not cookie:
        return None
    return doors.session_of(catalogue(), key or cookie, kinds=_BY_KEY if key else _BY_COOKIE, now=settings().now())


def _to_sign_in() -> Response:
    wants_page = "text/html" in request.headers.get("Accept", "") and not request.path.startswith("/api/")
    if request.method != "GET" or not wants_page:
        raise Unauthorized("sign in first, or give a key")
    return redirect(f"/sign-in?next={quote(request.full_path.rstrip('?'), safe='')}", 303)
