"""A repair as it was drawn, kept with its job as a photograph of before: shown there, and behind the customer's link.

It is erased as any photograph of a job is. One that shows another plan than the job has now is shown to no customer.
"""

from dataclasses import dataclass
from datetime import datetime

from remnants.actions.booking import once
from remnants.actions.customer_page import NOTHING, plan_digest
from remnants.actions.job_names import number_text, row_of
from remnants.actions.job_photos import keep_job_picture
from remnants.actions.keep_job import State, find_job
from remnants.actions.repair_preview import PROMISE, Preview
from remnants.actions.tries import digest
from remnants.errors import NotFound
from remnants.ledger import Signed
from remnants.model import Plan
from remnants.model.picture import Moment, Picture, RepairPicture
from remnants.photo.drawn_repair import DrawnRepair, repair_told, with_repair
from remnants.photo.preview import Frame
from remnants.photo.seams_drawn import SeamMark, SeamsOver, disc_px, seam_marks, seam_sights
from remnants.store import Catalogue, agreements, job_photos

__all__ = [
    "WORDS",
    "Frame",
    "KeptRepair",
    "SeamMark",
    "SeamsOver",
    "disc_px",
    "keep_repair",
    "marks_of",
    "pictures_kept",
    "repair_by",
    "repairs_of",
    "seamed_by",
    "seamed_of",
]

WORDS = f"The repair as it may look: {PROMISE}"


@dataclass(frozen=True, slots=True)
class KeptRepair:
    """A drawing that is kept: its number among photographs of jobs, the job's, which patch it shows, and what of the floor."""

    number: int
    job: int
    patch: int
    frame: Frame


def keep_repair(catalogue: Catalogue, job: str, plan: Plan, patch: int, made: Preview, *, signed: Signed, key: str = "") -> int:
    """Keeps the drawing of a plan's patch, counted from 0, with its job; gives its number. One that is there already stays.

    Raises NotFound; NotAllowed where the job has too many photographs, or its customer was forgotten.
    """
    number, shown = row_of(catalogue, job).number, plan_digest(plan)
    jpeg = with_repair(made.jpeg(), DrawnRepair(shown, patch, made.frame))
    picture = Picture(jpeg, *made.frame.size)

    def do() -> int:
        there = [each.number for each in repairs_of(catalogue, number, plan) if each.patch == patch]
        if there:
            return there[0]
        return keep_job_picture(catalogue, number, picture, moment=Moment.BEFORE, words=WORDS, signed=signed)

    return int(once(catalogue, key, ["repair drawn", number, shown, patch], signed, do))


def repairs_of(catalogue: Catalogue, job: int, plan: Plan) -> tuple[KeptRepair, ...]:
    """The drawings of the job's plan as it is now, by its patches, the newest of each."""
    now, found = plan_digest(plan), {}
    for photo in job_photos.of_job(catalogue, job):
        if photo.gone_at is None and photo.moment is Moment.BEFORE and photo.words == WORDS:
            told = repair_told(job_photos.jpeg_of(catalogue, photo.number))
            if told and told.plan == now:
                found[told.patch] = KeptRepair(photo.number, job, told.patch, told.frame)
    return tuple(found[patch] for patch in sorted(found))


def pictures_kept(catalogue: Catalogue, job: str, plan: Plan) -> tuple[RepairPicture, ...]:
    """The same as a printed page shows them. Raises NotFound."""
    return tuple(
        RepairPicture(plan.patches[each.patch].name, Picture(job_photos.jpeg_of(catalogue, each.number), *each.frame.size))
        for each in repairs_of(catalogue, row_of(catalogue, job).number, plan)
    )


def seamed_of(catalogue: Catalogue, job: str, number: int) -> SeamsOver:
    """Such a drawing of a job's plan, to be drawn with its seams. Raises NotFound."""
    kept = find_job(catalogue, job)
    return _seamed(catalogue, row_of(catalogue, job).number, kept.plan, number, f"{kept.number} has no such drawing")


def marks_of(plan: Plan, patch: str, frame: Frame) -> tuple[SeamMark, ...]:
    """The seams of a patch as they are drawn over its picture."""
    return seam_marks(seam_sights(plan.sights, patch), frame)


def repair_by(catalogue: Catalogue, secret: str, number: int, *, now: datetime) -> bytes:
    """The file of such a drawing, as the customer's link of that secret shows it.

    Raises NotFound, in the same words whatever is wrong: no link any more, another job's, or another plan's.
    """
    return seamed_by(catalogue, secret, number, now=now).jpeg


def seamed_by(catalogue: Catalogue, secret: str, number: int, *, now: datetime) -> SeamsOver:
    """The same, to be drawn with its seams. Raises as `repair_by`."""
    link = agreements.open_link(catalogue, digest(secret), now=now)
    if link is not None:
        kept = find_job(catalogue, number_text(link.job))
        if kept.stage is not State.RELEASED:
            return _seamed(catalogue, link.job, kept.plan, number, NOTHING)
    raise NotFound(NOTHING)


def _seamed(catalogue: Catalogue, job: int, plan: Plan, number: int, otherwise: str) -> SeamsOver:
    each = next((each for each in repairs_of(catalogue, job, plan) if each.number == number), None)
    if each is None:
        raise NotFound(otherwise)
    marks = marks_of(plan, plan.patches[each.patch].name, each.frame)
    return SeamsOver(job_photos.jpeg_of(catalogue, number), marks, disc_px(each.frame))
