"""Holding, cutting and letting go: what an answer does to the stock. Each is signed, done once, refused when stock changed."""

import json
from collections.abc import Callable
from dataclasses import replace
from urllib.parse import parse_qsl, urlencode

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.booking import answered
from remnants.actions.fit_job import Fitted
from remnants.actions.job_lines import list_jobs
from remnants.actions.job_names import Which, jobs_called, number_text
from remnants.actions.keep_job import (
    State,
    cut_job,
    cut_plan,
    find_job,
    hold_job,
    refuse_changed,
    release_job,
)
from remnants.actions.ledger_head import head_note
from remnants.actions.leftovers import Choice
from remnants.actions.make_sheet import SheetWish, fonts, make_sheet, own_texts
from remnants.actions.repair_kept import pictures_kept
from remnants.actions.shop_rules import held_until, least_sizes
from remnants.actions.show_piece import known_tags, show_piece
from remnants.errors import BadInput, Fault, NotAllowed, SameName, StockChanged
from remnants.limits import SENT_PARTS
from remnants.model import Job, Role
from remnants.report.cut_tags import tags_pdf
from remnants.report.job_csv import job_csv
from remnants.report.sheet import customer_pdf, sheet_pdf
from remnants.report.wording import consents
from remnants_web.access import asking, needs, signature
from remnants_web.ask import answer_to
from remnants_web.customer_page import for_customer
from remnants_web.handed_out import handed_out
from remnants_web.jobs import NAMELESS, digest_of, pictures_of, read_form_job, words_of
from remnants_web.leaves import leaf_of
from remnants_web.planned import planned
from remnants_web.problems import STATUS, wants_json
from remnants_web.questions import PlanAsked
from remnants_web.reached import address_for_others
from remnants_web.sent_texts import sent_key, sent_why
from remnants_web.shapes import entry_unit
from remnants_web.shop import catalogue, settings
from remnants_web.shown import shown_to_them
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("bookings", __name__, url_prefix="/jobs")

A_LEAF = 300
"""Jobs on a leaf of their list."""

_PRINTS = {"sheet": sheet_pdf, "customer": customer_pdf, "tags": tags_pdf}


@area.get("")
@needs(Role.LOOK)
def every() -> str:
    """The jobs, newest first, leaf by leaf."""
    lines = list_jobs(catalogue())
    leaf = leaf_of(len(lines), request.args.get("leaf", ""), most=A_LEAF)
    return render_template("jobs.html", jobs=leaf.of(lines), leaf=leaf)


@area.post("/hold")
@needs(Role.WORK)
def hold() -> BaseResponse:
    """Keeps the donors of an answer for its job."""
    until = held_until(catalogue(), settings().now().date())

    def book(fitted: Fitted, which: Which) -> str:
        chosen = replace(fitted, plan=_choice().made(fitted.plan))
        return hold_job(catalogue(), chosen, until=until, signed=signature(sent_why()), key=sent_key(), which=which).number

    return _booked(book)


@area.post("/cut")
@needs(Role.WORK)
def cut_now() -> BaseResponse:
    """Books an answer as cut."""

    def book(fitted: Fitted, which: Which) -> str:
        return cut_plan(catalogue(), fitted, signed=signature(sent_why()), key=sent_key(), choice=_choice(), which=which).number

    return _booked(book)


@area.get("/<path:name>")
@needs(Role.LOOK)
def show(name: str) -> str:
    """One job: its plan, how far it is, and what can be done now."""
    kept = find_job(catalogue(), name)
    try:
        fitted, changed = planned(kept), ""
    except StockChanged as error:
        fitted, changed = None, str(error)
    if fitted is None:
        return render_template(
            "job.html",
            kept=kept,
            cutting=(),
            laying=(),
            pieces={},
            words=None,
            consents=(),
            changed=changed,
            customer=for_customer(kept),
        )
    unit = reader_unit()
    pictures = pictures_of(fitted, unit, asking().role)
    return render_template(
        "job.html",
        kept=kept,
        cutting=[each for each in pictures if each.piece],
        laying=[each for each in pictures if not each.piece],
        pieces=fitted.pieces,
        words=words_of(fitted, unit),
        consents=consents(fitted.plan, fitted.pieces),
        changed="",
        customer=for_customer(kept),
    )


@area.post("/<path:name>/cut")
@needs(Role.WORK)
def cut_held(name: str) -> BaseResponse:
    """Books the held plan as cut."""
    booked = cut_job(catalogue(), name, signed=signature(sent_why()), key=sent_key(), choice=_choice())
    lapsed = "yes" if booked.note else None
    return redirect(url_for("bookings.show", name=name, lapsed=lapsed), 303)


@area.post("/<path:name>/release")
@needs(Role.WORK)
def release(name: str) -> BaseResponse:
    """Lets the donors go."""
    release_job(catalogue(), name, signed=signature(), key=sent_key())
    return redirect(url_for("bookings.show", name=name), 303)


@area.get("/<path:name>/<what>.pdf")
@needs(Role.LOOK)
def printed(name: str, what: str) -> Response:
    """The cut sheet (donors seen from the `side` asked for), the customer's page, or the tags of a held or cut job, to print.

    A device that asks for what it keeps (`Remnants-Keep: yes`) gets no photograph, and is told not to keep a page with one.
    """
    if what not in _PRINTS:
        raise NotFound
    kept = find_job(catalogue(), name)
    link = address_for_others(url_for("bookings.show", name=kept.number))
    fitted = planned(kept)
    if fitted is None:
        raise NotFound
    note = head_note(catalogue(), beside=settings().paper_note)
    keep, back = least_sizes(catalogue(), today=settings().now().date()), request.args.get("side") == "back"
    wish = SheetWish(own_texts(), unit=reader_unit(), link=link, note=note, back=back, keep=keep)
    to_keep = request.headers.get("Remnants-Keep") == "yes"
    if asking().role.covers(Role.WORK) and what != "tags" and not to_keep:  # who only looks is shown no photograph of a home
        wish = replace(wish, repairs=pictures_kept(catalogue(), kept.number, kept.plan))
    sheet = make_sheet(fitted, wish)
    answer = handed_out(_PRINTS[what](sheet, fonts()), f"{what}.pdf", of=kept.number, opened=True)
    if wish.repairs:
        answer.headers["Remnants-Keep"] = "no"
    return answer


@area.get("/<path:name>/job.csv")
@needs(Role.LOOK)
def table(name: str) -> Response:
    """The job's cuts, seams and leftovers as lines for a spreadsheet, in the unit of who reads; at whatever stage it is."""
    kept = find_job(catalogue(), name)
    return handed_out(job_csv(kept.plan, unit=entry_unit()), "job.csv", of=kept.number)


def _booked(book: Callable[[Fitted, Which], str]) -> BaseResponse:
    """Books the answer that the page showed, once; where somebody was first, tells a person who, when and what to do now."""
    job = _named_job(request.form.get("job_file", ""))
    which = Which(request.form.get("number", "").strip()[:20], again=bool(request.form.get("again")))
    try:
        same = jobs_called(catalogue(), job.name)
        if same and answered(catalogue(), sent_key()):
            return redirect(url_for("bookings.show", name=number_text(same[-1].number)), 303)
        number = book(_as_shown(job), which)
    except SameName as error:
        if wants_json():
            raise
        others = [kept for kept in list_jobs(catalogue()) if kept.number in error.numbers]
        sent = [(name, text) for name, text in request.form.items(multi=True) if name not in ("number", "again")]
        page = render_template("same_name.html", same=others, sent=sent, job=job.name, states=State)
        return make_response(page, STATUS[NotAllowed])
    except StockChanged as error:
        if wants_json():
            raise
        again = f"{url_for('patch.answer')}?{urlencode(parse_qsl(request.form.get('asked', '')))}"
        page = render_template("changed.html", told=str(error).rstrip("."), job=job.name, took=_took(), again=again)
        return make_response(page, STATUS[NotAllowed])
    return redirect(url_for("bookings.show", name=number), 303)


def _named_job(text: str) -> Job:
    """The job as asked, under the name that the form gives it where it had none. Raises BadInput."""
    job, name = read_form_job(text), request.form.get("job", "").strip()
    if job.name == NAMELESS and name:
        job = read_form_job({**json.loads(text), "job": name})
    if job.name == NAMELESS:
        raise BadInput([Fault("job", "give the job a name first, so that what is held for it can be found")])
    return job


def _as_shown(job: Job) -> Fitted:
    """The very plan that the page showed: as it was kept, or made anew where a donor changed or it is kept no longer.

    Raises StockChanged when it comes out otherwise then.
    """
    digest = request.form.get("digest", "")
    kept = shown_to_them(job, digest)
    if kept is not None and _donors_stand(kept):
        return kept
    way = {"2": 2, "3": 3}.get(request.form.get("way", ""), 1)
    fitted: Fitted = answer_to(PlanAsked(settings().catalogue, job, settings().now().date(), ways=way > 1))
    fitted = fitted.taken(way) if way <= max(1, len(fitted.ways)) else fitted
    if digest_of(fitted) != digest:
        refuse_changed(catalogue(), _seen(), job.name)
        raise StockChanged(
            "the stock changed since this answer was shown, so nothing was booked; ask again to see today's answer"
        )
    return fitted


def _donors_stand(kept: Fitted) -> bool:
    try:
        refuse_changed(catalogue(), kept.versions, kept.job.name)
    except StockChanged:
        return False
    return True


def _took() -> list[tuple[str, str]]:
    """Each donor of the answer as it stands now: its tag and words such as `held for ... until ...`."""
    return [(tag, show_piece(catalogue(), tag).standing.words) for tag in _seen()]


def _seen() -> dict[str, int]:
    """The donors that are known and their versions, as the form tells them; none where it tells nonsense."""
    try:
        told = json.loads(request.form.get("seen", ""))
    except (ValueError, RecursionError):
        return {}
    if not isinstance(told, dict) or not all(type(version) is int and 0 <= version < 2**53 for version in told.values()):
        return {}
    known = known_tags(catalogue(), [tag for tag in told if tag.isprintable()][:SENT_PARTS])
    return {tag: told[tag] for tag in known}


def _choice() -> Choice:
    """Which leftovers are kept, and which thrown away, all the same."""
    keep, discard = (tuple(request.form.getlist(field)) for field in ("keep", "discard"))
    return Choice(keep, discard)
