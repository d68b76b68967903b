"""Measured in a photograph: taken or chosen on the phone, made flat, its corners set, and taken on as damage or as a piece."""

import math
from urllib.parse import parse_qsl, urlencode

from flask import Blueprint, Response, jsonify, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from remnants.actions.flat_photos import Flattened, drop_flat, flat_of, keep_flat
from remnants.actions.look_back import jobs_cut_from
from remnants.actions.phone_calibrations import known_phones
from remnants.actions.photo_pages import measured_pages, printed_page, tell_bar
from remnants.errors import BadInput, BadMeasure, Fault, NotMeasured
from remnants.model import Role
from remnants.report.measured_text import BY_TAPE
from remnants.report.phone_text import by_phone_text
from remnants.report.trial_text import OPENLY, tried_lines, verdict_text
from remnants.units import Unit, is_imperial, parse_length
from remnants_web.access import asking, needs, signature
from remnants_web.ask import read_apart
from remnants_web.choices import digits
from remnants_web.pattern_taken import TAKEN, row_bearing_in, taken_words
from remnants_web.photo_questions import PhotoMeasured, RowsTapped, StainTapped
from remnants_web.photos import sent_photo
from remnants_web.problems import STATUS, wants_json
from remnants_web.sent_texts import sent_key
from remnants_web.shade_compared import STEP_FIELDS, StepShown, step_shown
from remnants_web.shapes import Typed, length_at
from remnants_web.shop import catalogue, settings
from remnants_web.traced import RowsShown, Traced, as_damage, as_piece, corners_text, rows_shown, traced_in
from remnants_web.trials import tried_in, with_tried
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("measure", __name__, url_prefix="/measure")

PAPERS = (("a4", "A4"), ("letter", "Letter"))

TOPS = ((0, "up"), (90, "to the right"), (180, "down"), (270, "to the left"))
"""Where the page's top points on the drawing of the room, degrees clockwise from up."""

_NOT_CARRIED = frozenset({"key", "made_by", "photo", "file", "take", "drop", "add", "measure", "typed", "pace"})
"""Fields of those forms that belong to one sending."""

_OWN = ("measure", "typed", "top", "corners", "edge", "row", "known", *TAKEN, *STEP_FIELDS)
"""Fields of the page itself that go with it wherever it leads."""

_AT_FIELDS = {"no lens": "lens", "check bar": "bar"}
"""Fields that a refusal of a photograph is mended in; any other by another photograph."""


@area.get("")
@needs(Role.LOOK)
def ask() -> str:
    """The form. What a form that sends one here held comes along and goes back with the outline."""
    sent = Typed(request.args.to_dict())
    typed = {field: text for field, text in sent.items() if text.strip() and field not in _NOT_CARRIED}
    return _form(Typed({"measure": sent["measure"], "typed": sent["typed"] or urlencode(typed)}))


@area.post("")
@needs(Role.LOOK)
def flatten() -> AnyResponse:
    """Makes the photograph that was sent flat, and goes on to it; or says why not, and what to do."""
    form = Typed(request.form.to_dict())
    try:
        if form["bar"].strip():
            _tell_bar(form)
        found = _made_flat(form)
    except BadInput as error:
        if wants_json():
            raise
        return make_response(_form(form, error), STATUS[BadInput])
    number = keep_flat(catalogue(), asking().name, found, now=settings().now())
    return redirect(_with(url_for("measure.show", number=number), form, "measure", "typed"), 303)


@area.get("/page.pdf")
@needs(Role.LOOK)
def page_pdf() -> Response:
    """The marker page to print, of the number and for the paper in the address."""
    page = digits(request.args.get("page", "1").strip()) or 0
    pdf = printed_page(page, request.args.get("paper", _paper()))
    name = f"marker-page-{page}.pdf"
    return Response(pdf, mimetype="application/pdf", headers={"Content-Disposition": f'attachment; filename="{name}"'})


@area.get("/trial")
@needs(Role.LOOK)
def trial() -> str:
    """A shop's own trial of a phone: what was tried so far, the verdict, and the way on."""
    form = Typed(request.args.to_dict())
    tried = tried_in(form["tried"])
    return render_template(
        "trial.html",
        lengths="1, 2 and 3 ft" if is_imperial(reader_unit()) else "300, 600 and 1000 mm",
        lines=tried_lines(tried, reader_unit()),
        verdict=verdict_text(tried) if tried else "",
        openly=OPENLY,
        more=urlencode({"measure": "trial", "typed": urlencode({"tried": form["tried"]})}),
        last=digits(form["last"]),
    )


@area.get("/<int:number>")
@needs(Role.LOOK)
def show(number: int) -> AnyResponse:
    """The carpet from above with the corners in the address: found by a tap, measured, or taken on to a form."""
    flat, ends_at = flat_of(catalogue(), number, asking().name, now=settings().now())
    form = Typed(request.args.to_dict())
    try:
        if form["tap"] or form["tap.x"]:
            return _tapped(form, flat, number)
        found = traced_in(form, flat)
        rows = _rows(form, flat)
        step = step_shown(form, flat)
        if form["on"] and not step:
            return redirect(_taken_on(form, flat, found, number), 303)
        error = None
    except BadInput as refused:
        found, rows, step, error = None, (), None, refused
    if wants_json():
        if error:
            raise error
        return jsonify({"corners": form["corners"], "sides": found.sides if found else (), "lines": found.lines if found else ()})
    across, down = flat.flat.size
    shown = render_template(
        "measured.html",
        number=number,
        form=form,
        faults=error.told if error else (),
        found=found or Traced(()),
        rows=rows,
        step=step,
        step_leads=f"{url_for('propose.ask')}?{urlencode(step.carried)}" if step and step.carried else "",
        looked_back=_jobs_to_look_back(step),
        taking=lambda row: _with(url_for("measure.show", number=number), Typed(form | row.taken), *_OWN),
        taken=taken_words(form),
        size=(across, down),
        px_per_mm=flat.flat.px_per_mm,
        goes=ends_at,
        tops=TOPS,
        by_tape=BY_TAPE,
        by_phone=by_phone_text(flat.by_phone),
    )
    return make_response(shown, STATUS[BadInput] if error else 200)


@area.get("/<int:number>.jpg")
@needs(Role.LOOK)
def picture(number: int) -> Response:
    """The carpet from above, for who sent the photograph."""
    flat, _ = flat_of(catalogue(), number, asking().name, now=settings().now())
    return Response(flat.flat.jpeg, mimetype="image/jpeg", headers={"Cache-Control": "private, max-age=3600"})


@area.post("/<int:number>/throw-away")
@needs(Role.LOOK)
def throw_away(number: int) -> AnyResponse:
    """Erases it before its time."""
    drop_flat(catalogue(), number, asking().name)
    return redirect(_with(url_for("measure.ask"), Typed(request.form.to_dict()), "measure", "typed"), 303)


def _jobs_to_look_back(step: StepShown | None) -> tuple[tuple[str, str], ...]:
    """Jobs that were cut from the piece that a step was measured to, each with its address to keep the step."""
    if not (step and step.tag and asking().role.covers(Role.WORK)):
        return ()
    return tuple(
        (kept.job.name, url_for("bookings.show", name=kept.number, step=step.told, _anchor="looked-back"))
        for kept in jobs_cut_from(catalogue(), step.tag)
    )


def _with(address: str, form: Typed, *fields: str) -> str:
    """The address with those fields that something stands in."""
    told = {field: form[field] for field in fields if form[field]}
    return f"{address}?{urlencode(told)}" if told else address


def _tell_bar(form: Typed) -> None:
    """Keeps how long a page's check bar is. Raises BadInput at the form's fields."""
    if not asking().role.covers(Role.WORK):
        raise BadInput([Fault("bar", "the check bar is told by people who may work; leave it empty")])
    try:
        bar_mm = parse_length(form["bar"], Unit.MM)
    except BadMeasure as error:
        raise BadInput([Fault("bar", str(error))]) from None
    tell_bar(catalogue(), digits(form["page"].strip()) or 0, bar_mm, signed=signature(), key=sent_key())


def _made_flat(form: Typed) -> Flattened:
    """Raises BadInput at the form's fields."""
    above_mm = length_at("above", form["above"]).mm if form["above"].strip() else 0.0
    lens_35 = _lens(form["lens"].strip())
    photo = sent_photo()
    if not photo:
        raise BadInput([Fault("photo", "take or choose a photograph first")])
    bars = tuple((page.page, page.bar_mm) for page in measured_pages(catalogue()).values())
    try:
        found: Flattened = read_apart(PhotoMeasured(photo, bars, lens_35, above_mm, known_phones(catalogue())))
    except NotMeasured as error:
        where = _AT_FIELDS.get(error.why, "photo")
        raise NotMeasured([Fault(where, fault.what.partition(", with `")[0]) for fault in error.faults], error.why) from None
    except BadInput as error:
        raise BadInput([Fault("photo", fault.what) for fault in error.faults]) from None
    return found


def _paper() -> str:
    """The paper that whoever asks will have."""
    return "letter" if is_imperial(reader_unit()) else "a4"


def _lens(text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text.removesuffix("mm").replace(",", "."))
    except ValueError:
        raise BadInput([Fault("lens", f"{text[:40]!r} is no lens: give mm by 35 mm film, such as 26")]) from None


def _tapped(form: Typed, flat: Flattened, number: int) -> AnyResponse:
    """The same page with the outline of what was tapped. Raises BadInput."""
    told = form["tap"].split(",") if form["tap"] else [form["tap.x"], form["tap.y"]]
    tap = _point(told, flat, shown=form["shown"] if not form["tap"] else "")
    try:
        stain = read_apart(StainTapped(flat, tap))
    except BadInput as error:
        raise BadInput([Fault("corners", fault.what) for fault in error.faults]) from None
    found = {"corners": corners_text(stain.corners, flat), "edge": f"{stain.edge_mm:.2f}"}
    if wants_json():
        return jsonify(found)
    return redirect(_with(url_for("measure.show", number=number), Typed(form | found), *_OWN), 303)


def _point(told: list[str], flat: Flattened, *, shown: str = "") -> tuple[float, float]:
    """The point of the carpet (mm) at a pixel of the picture, or of it as wide as it was shown. Raises BadInput."""
    across, down = flat.flat.size
    try:
        x, y = (float(part) for part in told)
        wide = float(shown or across)
    except ValueError:
        raise BadInput([Fault("corners", "this is no place in the picture: tap in it")]) from None
    if not all(math.isfinite(each) for each in (x, y, wide)):
        raise BadInput([Fault("corners", "this is no place in the picture: tap in it")])
    column, row = (part * across / max(wide, 1.0) for part in (x, y))
    left, bottom = flat.flat.corner_mm
    return left + column / flat.flat.px_per_mm, bottom + (down - row) / flat.flat.px_per_mm


def _rows(form: Typed, flat: Flattened) -> tuple[RowsShown, ...]:
    """Both candidates for the rows where a tap asks for them. Raises BadInput."""
    if not form["rows"]:
        return ()
    at = _point(form["rows"].split(","), flat)
    try:
        return rows_shown(read_apart(RowsTapped(flat, at)), at, flat)
    except BadInput as error:
        raise BadInput([Fault("corners", fault.what) for fault in error.faults]) from None


def _taken_on(form: Typed, flat: Flattened, found: Traced | None, number: int) -> str:
    """The address of the form that goes on with the outline. Raises BadInput."""
    if form["on"] == "trial":
        tried = with_tried(form, found, flat)
        return f"{url_for('measure.trial')}?{urlencode({'tried': tried, 'last': str(number)})}"
    outline = found.outline if found else None
    if outline is None and not (form["on"] == "log" and form["bearing"]):
        raise BadInput([Fault("corners", "set three corners or more first: an outline goes on, not a length")])
    typed = Typed(dict(parse_qsl(form["typed"]))) if form["measure"] == form["on"] else Typed()
    carried = {field: form[field] for field in ("row", *TAKEN) if form[field].strip()}
    if form["on"] == "log":
        shape = as_piece(outline, flat, row_deg=row_bearing_in(form)) if outline else {}
        return f"{url_for('log.ask')}?{urlencode(typed | shape | carried | {'flat': str(number)})}"
    assert outline is not None, "damage goes on with an outline"
    top = digits(form["top"]) or 0
    fields = typed | as_damage(typed, outline, flat, top_deg=top, catalogue=catalogue())
    fields |= {"row": carried["row"]} if "row" in carried else {}
    rows_deg = row_bearing_in(form)
    fields |= {} if rows_deg is None else {"rows_run": f"{(rows_deg + top) % 180.0:.1f}"}
    return f"{url_for('propose.ask')}?{urlencode(fields)}"


def _form(form: Typed, error: BadInput | None = None) -> str:
    faults = error.told if error else ()
    return render_template(
        "measure.html",
        form=form,
        faults=faults,
        papers=PAPERS,
        paper=_paper(),
        pages=tuple(measured_pages(catalogue()).values()),
        bar_open=any(fault.where in ("bar", "page") for fault in faults),
        more_open=bool(form["lens"] or form["above"]) or any(fault.where in ("lens", "above") for fault in faults),
    )
