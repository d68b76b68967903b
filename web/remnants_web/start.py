"""The doors: signing in and out, one-time links, devices; and the page one starts from."""

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions import doors, second_factor
from remnants.actions.job_lines import list_jobs
from remnants.actions.job_state import State
from remnants.actions.known_copies import known_copies
from remnants.errors import BadInput, SignInRefused
from remnants.model import LinkUse, Role
from remnants.report.copies import CopyLine, copy_line
from remnants_web.access import anyone, asking, let_in, local_path, needs, signed_in, signed_out
from remnants_web.problems import STATUS
from remnants_web.said import example_in
from remnants_web.sent_late import kept_here, kept_of
from remnants_web.shop import address, catalogue, settings
from remnants_web.words import reader_unit

__all__ = ["area"]

MOST_HELD = 5
_LONGEST_SECRET = 100

area = Blueprint("start", __name__)


@area.get("/")
@needs(Role.LOOK)
def home() -> str:
    """What one can do here."""
    held = [kept for kept in list_jobs(catalogue()) if kept.stage is State.HELD][:MOST_HELD]
    return render_template("home.html", held=held, copies=_copies(), example=example_in(reader_unit()))


def _copies() -> CopyLine | None:
    """How old the newest copy is, for whoever works with the stock; an invented shop has none, nor may a server's
    machine, where its keeper makes them."""
    if settings().demo or not asking().role.covers(Role.WORK):
        return None
    known = known_copies(settings().catalogue)
    if known is None:
        return None
    return copy_line(known.newest, known.drilled, settings().now(), passed=known.passed)


@area.get("/sign-in")
@anyone
def sign_in() -> str | Response:
    """Name and passphrase."""
    if signed_in():
        return redirect(local_path(request.args.get("next")), 303)
    return _door(local_path(request.args.get("next")))


@area.post("/sign-in")
@anyone
def sign_in_now() -> Response:
    """Opens a session, or says no without saying why."""
    name, goes_on = request.form.get("name", ""), local_path(request.form.get("next"))
    try:
        opened = doors.sign_in(
            catalogue(),
            name,
            request.form.get("passphrase", ""),
            address=address(),
            label=_device_words(),
            now=settings().now(),
        )
    except SignInRefused as error:
        return make_response(_door(goes_on, name, str(error)), STATUS[SignInRefused])
    return _gone_in(opened, name, goes_on)


@area.post("/sign-in/code")
@anyone
def sign_in_by_code() -> Response:
    """Takes the code that a sign-in waits for: the phone's, or a recovery code."""
    half, goes_on = request.form.get("half", "")[:_LONGEST_SECRET], local_path(request.form.get("next"))
    code = request.form.get("code", "").strip() or request.form.get("recovery", "")
    try:
        name, opened = second_factor.finish_sign_in(catalogue(), half, code, address=address(), now=settings().now())
    except SignInRefused as error:
        return make_response(_code_page(half, goes_on, str(error)), STATUS[SignInRefused])
    return _gone_in(opened, name, goes_on)


def _gone_in(opened: doors.Opened, name: str, goes_on: str) -> Response:
    """Into the shop, or on to the code that is asked for."""
    if not opened.whole:
        return make_response(_code_page(opened.secret, goes_on))
    return let_in(opened.secret, url_for("unsent.show") if kept_of(name) else goes_on)


def _code_page(half: str, goes_on: str, refused: str = "") -> str:
    minutes = int(doors.CODE_HOLDS.total_seconds() // 60)
    return render_template("sign_in_code.html", half=half, next=goes_on, refused=refused, minutes=minutes)


@area.post("/sign-out")
@needs(Role.LOOK)
def sign_out() -> Response:
    """Ends this session here and clears what the device kept, but for entries that wait there to be sent (`waits`)."""
    session = signed_in()
    if session:
        doors.end_session(catalogue(), session.person, session.number)
    return signed_out()


@area.get("/link/<secret>")
@anyone
def link(secret: str) -> str:
    """What a one-time link would do. Looking at it, as a preview does, uses nothing up."""
    use, person = doors.link_of(catalogue(), secret, now=settings().now())
    return render_template("link.html", use=use, person=person, secret=secret, name="", faults=())


@area.post("/link/<secret>")
@anyone
def link_now(secret: str) -> Response:
    """Uses a one-time link: signs this device in, or sets a passphrase."""
    use, person = doors.link_of(catalogue(), secret, now=settings().now())
    name = request.form.get("name", "")
    try:
        if use is LinkUse.DEVICE:
            device = doors.link_device(catalogue(), secret, label=_device_words(), now=settings().now())
            return let_in(device, url_for("unsent.show") if person and kept_of(person.name) else "/")
        opened = doors.set_passphrase_by_link(
            catalogue(), secret, request.form.get("passphrase", ""), name=name, label=_device_words(), now=settings().now()
        )
    except BadInput as error:
        page = render_template("link.html", use=use, person=person, secret=secret, name=name, faults=error.faults)
        return make_response(page, STATUS[BadInput])
    return _gone_in(opened, person.name if person else name, "/")


@area.get("/sign-out")
@needs(Role.LOOK)
def sign_out_asked() -> str:
    """Asks before signing out."""
    return render_template("sign_out.html", person=asking())


def _door(goes_on: str, name: str = "", refused: str = "") -> str:
    kept = kept_here()
    return render_template(
        "sign_in.html", name=name, refused=refused, next=goes_on, kept=kept if kept and not kept.shown else None
    )


def _device_words() -> str:
    """A few words that tell one device from another, out of what the browser says of itself."""
    told = request.user_agent.string
    systems = ("iPhone", "iPad", "Android", "Windows", "Mac OS", "Linux")
    browsers = ("Firefox", "Edg", "Chrome", "Safari")
    system = next((word for word in systems if word in told), "a device")
    browser = next((word for word in browsers if word in told), "a browser")
    return f"{'Edge' if browser == 'Edg' else browser} on {system}"
