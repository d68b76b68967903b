"""A job as a form tells it, and the answer as a page shows it."""

import hashlib
import json
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from markupsafe import Markup

from remnants.actions import Catalogue
from remnants.actions.fit_job import Fitted, fit_job
from remnants.errors import BadInput
from remnants.exchange import answer_json, read_job
from remnants.model import Job, Verdict
from remnants.report.diagram import drawings
from remnants.units import Unit
from web.figures import SCREEN, on_page
from web.shapes import Form, at_fields, entry_unit, patch_of

__all__ = ["Answer", "Picture", "answers", "digest_of", "job_text", "pictures_of", "read_form_job"]

_LONGEST_JOB = 64 * 1024


@dataclass(frozen=True)
class Picture:
    """A drawing on the page, its title, and the same told in words."""

    drawing: Markup
    title: str
    told: str


@dataclass(frozen=True)
class Answer:
    """One way to make the job. `job` is its file as text, `digest` stands for exactly this plan."""

    name: str
    fitted: Fitted
    pictures: tuple[Picture, ...]
    job: str
    digest: str
    without: tuple[str, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """Whole, joined, partly or none."""
        return self.fitted.plan.verdict

    @property
    def seen(self) -> str:
        """The donors and their versions as the page shows them, as text for a form: what changed since can then be told."""
        return json.dumps(dict(sorted(self.fitted.versions.items())))

    @property
    def donors(self) -> tuple[str, ...]:
        """Tags of the pieces to cut, in order."""
        parts = (part.piece for patch in self.fitted.plan.patches for part in patch.parts)
        return tuple(dict.fromkeys(parts))


def job_text(form: Form) -> str:
    """The job's file, out of the patch form. Raises BadInput at the form's fields."""
    wanted = {key: form.get(key, "").strip() for key in ("style", "colour", "lot")}
    job: dict[str, Any] = {"unit": entry_unit().value, "job": form.get("job", "").strip(), **wanted}
    job["allowance"] = {key: text for key in ("seam", "wall", "transition") if (text := form.get(key, "").strip())}
    if form.get("max_parts"):
        job["max_parts"] = _whole(form["max_parts"])
    if form.get("any_way"):
        job["turns"] = [0, 180]
    job["patches"] = [patch_of(form)]
    return json.dumps(job)


def read_form_job(text: str) -> Job:
    """The job in the text that a form made. Raises BadInput at the form's fields."""
    if len(text) > _LONGEST_JOB:
        raise BadInput("the job is too long; a job of one patch fits a page")
    try:
        return read_job(text)
    except BadInput as error:
        raise at_fields(error) from None


def answers(catalogue: Catalogue, text: str, unit: Unit, *, today: date) -> tuple[Answer, ...]:
    """The best way, and beside it one without the best one's donors, where that makes all of the job too."""
    job = read_form_job(text)
    best = _answer("The best way", fit_job(catalogue, job, today=today), text, unit)
    if not best.donors:
        return (best,)
    others = fit_job(catalogue, job, today=today, without=set(best.donors))
    other = _answer("With other pieces", others, text, unit, first=100, without=best.donors)
    return (best, other) if other.verdict in (Verdict.WHOLE, Verdict.JOINED) else (best,)


def digest_of(fitted: Fitted) -> str:
    """Stands for exactly this plan: the same parts from the same places."""
    parts = [patch["parts"] for patch in answer_json(fitted.plan)["patches"]]
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()[:32]


def pictures_of(fitted: Fitted, unit: Unit, first: int = 1) -> tuple[Picture, ...]:
    """Every donor with its cuts and every patch with its parts; `first` keeps their ids apart on one page."""
    if not fitted.plan.patches:
        return ()
    made = drawings(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=unit, paper=SCREEN)
    return tuple(Picture(on_page(drawing, first + at), drawing.title, drawing.told) for at, drawing in enumerate(made))


def _answer(name: str, fitted: Fitted, text: str, unit: Unit, *, first: int = 1, without: Collection[str] = ()) -> Answer:
    return Answer(name, fitted, pictures_of(fitted, unit, first), text, digest_of(fitted), tuple(without))


def _whole(text: str) -> int | str:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else text[:40]
