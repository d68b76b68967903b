"""A repair seen before it is made: on answer and job for who measured its damage, kept with the job, shown to its customer."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as AnyResponse

from remnants.actions.fit_job import Fitted
from remnants.actions.flat_photos import flat_with
from remnants.actions.keep_job import KeptJob, find_job
from remnants.actions.repair_kept import (
    KeptRepair,
    SeamMark,
    SeamsOver,
    disc_px,
    keep_repair,
    marks_of,
    repairs_of,
    seamed_of,
)
from remnants.actions.repair_preview import (
    PROMISE,
    Donor,
    Overhead,
    Preview,
    donors_shown,
    drawable,
    floor_shown,
    framed,
    kept_pictures,
    measured_patches,
    untextured,
)
from remnants.errors import BadInput, StockChanged
from remnants.model import PatchPlan, Plan, Role
from remnants.model.sight import SEEN_WORDS
from remnants_web.access import asking, needs, signature
from remnants_web.ask import read_apart
from remnants_web.jobs import job_asked, read_form_job
from remnants_web.photo_questions import RepairDrawn, SeamsWanted
from remnants_web.planned import planned
from remnants_web.sent_texts import sent_key
from remnants_web.shapes import Typed
from remnants_web.shop import catalogue, settings
from remnants_web.shown import shown_to_them

__all__ = ["RepairShown", "area", "repairs_for_customer"]

area = Blueprint("previews", __name__)

_OWN = ("digest", "of", "seams")
"""Fields of a drawing's address beside those of its answer."""


@dataclass(frozen=True)
class RepairShown:
    """A repair on a page: which patch, where its picture is, bare and `seamed`, and its seams over it; or `why` there is none."""

    of: int
    name: str
    address: str = ""
    seamed: str = ""
    size: tuple[int, int] = (0, 0)
    marks: tuple[SeamMark, ...] = ()
    radius: int = 0
    notes: tuple[str, ...] = ()
    why: str = ""
    kept: bool = False

    @property
    def seen(self) -> str:
        """What is seen, for who doesn't see it."""
        return f"{self.name} from above, the new carpet laid into the photograph of the floor: {PROMISE}"


@dataclass(frozen=True)
class _Drawing:
    """What a drawing is made of: the floor, what becomes of the patch, and its donors."""

    floor: Overhead
    answer: PatchPlan
    donors: Mapping[str, Donor]


@area.get("/patch/preview.jpg")
@needs(Role.LOOK)
def drawn() -> Response:
    """The repair of an answer that whoever asks was shown, in the photograph that they measured."""
    form = Typed({field: text for field, text in request.args.items() if field not in _OWN})
    try:
        fitted = shown_to_them(read_form_job(job_asked(form)), request.args.get("digest", ""))
    except BadInput:
        fitted = None
    if fitted is None:
        raise NotFound("this answer is shown no longer: ask again")
    return _shown_as_asked(fitted)


@area.get("/jobs/<path:name>/preview.jpg")
@needs(Role.LOOK)
def of_job(name: str) -> Response:
    """The repair of a job, in the photograph that whoever asks measured."""
    return _shown_as_asked(_plan_of(find_job(catalogue(), name)))


@area.get("/jobs/<path:name>/repair-<int:number>-seams.jpg")
@needs(Role.WORK)
def seamed(name: str, number: int) -> Response:
    """A drawing that is kept with the job, with its seams. No device keeps it, as nobody erases it there."""
    return Response(read_apart(SeamsWanted(seamed_of(catalogue(), name, number))), mimetype="image/jpeg")


@area.post("/jobs/<path:name>/preview")
@needs(Role.WORK)
def keep(name: str) -> AnyResponse:
    """Keeps the drawing with the job."""
    kept = find_job(catalogue(), name)
    fitted, of = _plan_of(kept), _of()
    made = _made(_drawing(fitted, of))
    keep_repair(catalogue(), kept.number, kept.plan, of, made, signed=signature(), key=sent_key())
    return redirect(url_for("bookings.show", name=kept.number, _anchor="seen-before"), 303)


def repairs_for_customer(number: int, plan: Plan, secret: str) -> tuple[RepairShown, ...]:
    """The drawings of a job's plan that are kept with it, as its customer's link shows them."""
    return tuple(
        _kept_shown(
            each, plan, *(url_for(f"customer.{what}", secret=secret, number=each.number) for what in ("repair", "seamed"))
        )
        for each in repairs_of(catalogue(), number, plan)
    )


def _of_answer(fitted: Fitted, digest: str, form: Mapping[str, str]) -> tuple[RepairShown, ...]:
    """The repairs of an answer."""
    if not {part.piece for answer in fitted.plan.patches for part in answer.parts} <= fitted.versions.keys():
        return ()  # what counts for this answer alone has no picture, and none is kept of it
    asked = {field: text for field, text in form.items() if field not in ("laid", "why_not", *_OWN)}
    return _shown(fitted, lambda of: f"{url_for('previews.drawn')}?{urlencode(asked | {'digest': digest, 'of': str(of)})}")


def _of_job(kept: KeptJob) -> tuple[RepairShown, ...]:
    """The repairs of a job: those that are kept with it, else those that whoever looks measured; nobody else is told of any."""
    there = repairs_of(catalogue(), _number(kept), kept.plan) if asking().role.covers(Role.WORK) else ()
    told: dict[int, RepairShown] = {}
    for own in there:
        seams = url_for("previews.seamed", name=kept.number, number=own.number)
        told[own.patch] = _kept_shown(own, kept.plan, url_for("job_photos.show", number=own.number), seams)
    try:
        fitted = planned(kept)
    except StockChanged:
        fitted = None
    if fitted is not None:
        for each in _shown(fitted, lambda of: url_for("previews.of_job", name=kept.number, of=of)):
            told.setdefault(each.of, each)
    return tuple(told[of] for of in sorted(told))


def _number(kept: KeptJob) -> int:
    return int(kept.number.partition("-")[2])


def _shown(fitted: Fitted, address: Callable[[int], str]) -> tuple[RepairShown, ...]:
    """What can be drawn of a plan for whoever asks, or why not; nothing where they measured none of its patches lately."""
    found = []
    for patch, answer in measured_patches(fitted) if drawable(fitted) else ():
        of = fitted.plan.patches.index(answer)
        drawing = _drawing(fitted, of)
        if drawing is None:
            continue
        try:
            frame = framed(drawing.floor, answer, drawing.donors)
        except BadInput as error:
            found.append(RepairShown(of, patch.name, why="; ".join(fault.what for fault in error.faults)))
            continue
        marks, notes = marks_of(fitted.plan, patch.name, frame), untextured(answer, drawing.donors)
        own = address(of)
        found.append(RepairShown(of, patch.name, own, f"{own}&seams=1", frame.size, marks, disc_px(frame), notes))
    return tuple(found)


def _kept_shown(each: KeptRepair, plan: Plan, address: str, seamed: str) -> RepairShown:
    name, frame = plan.patches[each.patch].name, each.frame
    return RepairShown(each.patch, name, address, seamed, frame.size, marks_of(plan, name, frame), disc_px(frame), kept=True)


def _drawing(fitted: Fitted, of: int) -> _Drawing | None:
    """What the patch of that place in a plan is drawn from; None where whoever asks has no photograph of it."""
    answer = fitted.plan.patches[of] if 0 <= of < len(fitted.plan.patches) else None
    measured = {own.name: patch for patch, own in measured_patches(fitted)}
    if answer is None or answer.name not in measured or not drawable(fitted):
        return None
    patch = measured[answer.name]
    flat = flat_with(catalogue(), patch.photo_digest, asking().name, now=settings().now())
    if flat is None:
        return None
    pictures = kept_pictures(catalogue(), {part.piece for part in answer.parts}, asking().role)
    return _Drawing(floor_shown(flat, patch), answer, donors_shown(fitted, pictures))


def _made(drawing: _Drawing | None) -> Preview:
    """The drawing, worked out apart. Raises NotFound; NotMeasured where nothing can be drawn."""
    if drawing is None:
        raise NotFound("the photograph of this damage is not kept any more, or is somebody else's")
    own = {part.piece for part in drawing.answer.parts}
    donors = tuple(donor for tag, donor in drawing.donors.items() if tag in own)
    made: Preview = read_apart(RepairDrawn(drawing.floor, drawing.answer, donors))
    return made


def _plan_of(kept: KeptJob) -> Fitted:
    fitted = planned(kept)
    if fitted is None:
        raise NotFound
    return fitted


def _of() -> int:
    """Which patch of the plan is meant."""
    text = request.values.get("of", "")
    if not (text.isascii() and text.isdigit() and len(text) < 4):
        raise NotFound
    return int(text)


def _shown_as_asked(fitted: Fitted) -> Response:
    """The drawing of the patch that is asked for, with its seams where these are."""
    of = _of()
    made = _made(_drawing(fitted, of))
    if not request.args.get("seams"):
        return _sent(made.jpeg())
    marks = marks_of(fitted.plan, fitted.plan.patches[of].name, made.frame)
    return _sent(read_apart(SeamsWanted(SeamsOver(made.jpeg(), marks, disc_px(made.frame)))))


def _sent(jpeg: bytes) -> Response:
    return Response(jpeg, mimetype="image/jpeg", headers={"Cache-Control": "private, max-age=3600"})


@cache
def _grades() -> str:
    return ", ".join(f"{number} {words}" for number, words in enumerate(SEEN_WORDS))


@area.app_context_processor
def _context() -> dict[str, Any]:
    """What the pages of answers and jobs are made with."""
    return {"repairs_of_answer": _of_answer, "repairs_of_job": _of_job, "promise": PROMISE, "seam_grades": _grades()}
