"""The customer's own page of a job: made and ended on the job's page, read and signed behind its link by whoever has that.

The link's page needs nobody signed in and shows the customer's projection alone. No address of elsewhere stands on it. Its
Referrer-Policy stays `same-origin`: with `no-referrer`, browsers would not say that a page of ours sent the signature.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from remnants.actions import customer_page as actions
from remnants.actions.door_book import note
from remnants.actions.keep_job import KeptJob, find_job
from remnants.actions.repair_kept import repair_by, seamed_by
from remnants.errors import BadInput, NotAllowed, NotFound
from remnants.limits import DRAWN_CHARACTERS, DRAWN_LINES, DRAWN_POINTS
from remnants.model import Role
from remnants.model.agreement import Agreement
from remnants.model.door_line import DoorKind
from remnants.report.diagram import patch_picture
from remnants_web.access import anyone, asking, needs
from remnants_web.figures import SCREEN, name_on_page, on_page
from remnants_web.jobs import Picture, key_lines
from remnants_web.me import code_drawing
from remnants_web.previews import repairs_for_customer
from remnants_web.problems import STATUS
from remnants_web.reached import address_for_others, for_others
from remnants_web.shop import catalogue, settings

__all__ = ["Agreed", "ForCustomer", "area", "for_customer"]

area = Blueprint("customer", __name__)

_LONGEST_SECRET = 100
"""Characters of a secret that are looked at: what is longer is none of ours."""

Block = tuple[str, tuple[str, ...]]
"""`h2` and a heading, `p` and a line, or `ul` and its items."""


@dataclass(frozen=True)
class Agreed:
    """An agreement as a page shows it: whether it was to another plan than the one now, its drawing, its text in blocks."""

    told: Agreement
    other_plan: bool
    drawing: Markup
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class ForCustomer:
    """What a job's page tells of the customer's link, and of what was agreed to, the newest first."""

    link: actions.CustomerLink | None
    agreed: tuple[Agreed, ...]


def for_customer(kept: KeptJob) -> ForCustomer:
    """The link and the agreements of a job."""
    plan = actions.plan_digest(kept.plan)
    agreed = tuple(_agreed(each, plan) for each in actions.agreed_of(catalogue(), kept.number))
    return ForCustomer(actions.link_of(catalogue(), kept.number, now=settings().now()), agreed)


@area.post("/jobs/<path:name>/customer-link")
@needs(Role.WORK)
def make(name: str) -> str:
    """A new link to the customer's page, shown once; the older one ends."""
    kept = find_job(catalogue(), name)
    secret, link = actions.make_link(catalogue(), kept.number, by=asking().name, now=settings().now())
    path = url_for("customer.show", secret=secret)
    address = address_for_others(path)
    return render_template(
        "customer_link.html", kept=kept, address=address, path=path, code=code_drawing(address), link=link, alone=not for_others()
    )


@area.post("/jobs/<path:name>/customer-link/end")
@needs(Role.WORK)
def end(name: str) -> Response:
    """Ends the link at once."""
    actions.end_link(catalogue(), name, by=asking().name)
    return redirect(url_for("bookings.show", name=name), 303)


@area.get("/for/<secret>")
@anyone
def show(secret: str) -> Response:
    """What a customer reads, and what they agreed to."""
    return _shown(secret)


@area.get("/for/<secret>/repair-<int:number>.jpg")
@anyone
def repair(secret: str, number: int) -> Response:
    """The repair as it may look, where it was kept with the job for its customer."""
    try:
        jpeg = repair_by(catalogue(), secret[:_LONGEST_SECRET], number, now=settings().now())
    except NotFound:
        return _gone()
    return _kept_to_itself(Response(jpeg, mimetype="image/jpeg"))


@area.get("/for/<secret>/repair-<int:number>-seams.jpg")
@anyone
def seamed(secret: str, number: int) -> Response:
    """The same with its seams; drawn here, as the desks work for who is signed in, and it takes some hundredths of a second."""
    try:
        over = seamed_by(catalogue(), secret[:_LONGEST_SECRET], number, now=settings().now())
    except NotFound:
        return _gone()
    return _kept_to_itself(Response(over.drawn(), mimetype="image/jpeg"))


@area.post("/for/<secret>")
@anyone
def sign(secret: str) -> Response:
    """Signs the agreement, once."""
    sent = {field: request.form.get(field, "") for field in ("name", "strokes", "read")}
    strokes = sent["strokes"][: DRAWN_CHARACTERS + 1]
    signing = actions.Signing(sent["name"], strokes, bool(request.form.get("ticked")), sent["read"][:64])
    try:
        actions.sign(catalogue(), secret[:_LONGEST_SECRET], signing, now=settings().now())
    except NotFound:
        return _gone()
    except BadInput as error:
        return _shown(secret, error=error, name=signing.name)
    except NotAllowed as error:
        return _shown(secret, told=str(error), name=signing.name)
    return redirect(url_for("customer.show", secret=secret), 303)


def _shown(secret: str, *, error: BadInput | None = None, told: str = "", name: str = "") -> Response:
    try:
        page = actions.page_by(catalogue(), secret[:_LONGEST_SECRET], now=settings().now())
    except NotFound:
        return _gone()
    agreed = _agreed(page.agreed, page.plan) if page.agreed else None
    shown = render_template(
        "customer_page.html",
        page=page,
        agreed=agreed,
        blocks=_blocks(page.text),
        pictures=_pictures(page) if not page.other_plan else (),
        repairs=repairs_for_customer(page.job, page.fitted.plan, secret) if page.fitted and not page.other_plan else (),
        secret=secret,
        faults=error.faults if error else (),
        refused=told if not agreed else "",
        name=name,
        most_lines=DRAWN_LINES,
        most_points=DRAWN_POINTS,
    )
    status = STATUS[BadInput] if error else STATUS[NotAllowed] if told else 200
    return _kept_to_itself(make_response(shown, status))


def _gone() -> Response:
    """The same page for a link that has ended, one that was ended, and one that never was."""
    note(catalogue(), DoorKind.REFUSED, "", what="a customer's link that opens nothing")
    return _kept_to_itself(make_response(render_template("customer_gone.html", told=actions.NOTHING), STATUS[NotFound]))


def _kept_to_itself(answer: Response) -> Response:
    answer.headers["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _pictures(page: actions.CustomerPage) -> tuple[Picture, ...]:
    """Each patch that is filled, as it will lie."""
    if page.view is None or page.fitted is None:
        return ()
    seen, styles = page.view, page.fitted.styles
    made = [
        (answer.name, patch_picture(seen.plan, seen.job, at, pieces=seen.pieces, styles=styles, unit=page.unit, paper=SCREEN))
        for at, answer in enumerate(seen.plan.patches)
        if answer.parts
    ]
    return tuple(
        Picture(on_page(drawing, at), f"{name[:1].upper()}{name[1:]}", key_lines(drawing))
        for at, (name, drawing) in enumerate(made)
    )


def _agreed(agreement: Agreement, plan: str) -> Agreed:
    return Agreed(agreement, agreement.plan != plan, name_on_page(agreement.strokes), _blocks(agreement.read))


def _blocks(text: str) -> tuple[Block, ...]:
    """The text's lines by what they are; its title is the page's own."""
    return tuple(_gathered(text.splitlines()))


def _gathered(lines: list[str]) -> Iterator[Block]:
    for kind, some in groupby((line.strip() for line in lines if line.strip()), key=_kind):
        own = tuple(line.lstrip("#-").strip() for line in some)
        if kind == "ul":
            yield kind, own
        elif kind:
            yield from ((kind, (line,)) for line in own)


def _kind(line: str) -> str:
    if line.startswith("## "):
        return "h2"
    if line.startswith("# "):
        return ""
    return "ul" if line.startswith("- ") else "p"
