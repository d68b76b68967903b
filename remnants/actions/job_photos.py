"""Photographs of a job, before the repair and after it: put in, shown, taken away. They show somebody's home.

They are for people who work with customers, stand on the job's own page alone, and are erased with the customer.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from remnants.actions.booking import once
from remnants.actions.job_names import number_text, row_of
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.exchange.keepsake import kept_picture, small_picture
from remnants.ledger import Signed
from remnants.limits import JOB_PHOTOS, PHOTO_CHARACTERS
from remnants.model import Person, Role
from remnants.model.picture import JobPhoto, Moment, Picture
from remnants.store import Catalogue, job_photos

__all__ = [
    "SMALLER_SIDE",
    "JobPhotos",
    "add_job_photo",
    "jpeg_of_job_photo",
    "keep_job_picture",
    "may_take_away",
    "photos_of_job",
    "smaller_jpeg_of_job_photo",
    "take_job_photo_away",
]

SMALLER_SIDE = 640
"""Pixels of the longer side of one as a page shows it: half of a desk's screen."""


@dataclass(frozen=True)
class JobPhotos:
    """The photographs of a job, oldest first, and whether it takes no more since its customer was forgotten."""

    every: tuple[JobPhoto, ...]
    closed: bool

    def there(self, moment: str) -> tuple[JobPhoto, ...]:
        """Those that are still there, of before the repair or after it."""
        return tuple(photo for photo in self.every if photo.gone_at is None and photo.moment == moment)


def add_job_photo(
    catalogue: Catalogue,
    job: str,
    photo: bytes,
    *,
    moment: str,
    words: str = "",
    signed: Signed,
    key: str = "",
    read: Callable[[bytes], Picture] = kept_picture,
) -> int:
    """Keeps a photograph of the job of that number or name, taken `before` or `after` the repair; gives its number.

    `read` makes the picture out of what was sent, so that nothing but its pixels is kept. Raises NotFound; BadFile for what is no
    picture; BadInput for a moment or words that are none; NotAllowed for one too many, and where the customer was forgotten.
    """
    number = row_of(catalogue, job).number
    when, told = _moment(moment), _words(words)
    picture = read(photo)
    asked = ["job photograph", number, when.value, told, hashlib.sha256(photo).hexdigest()]

    def do() -> int:
        return keep_job_picture(catalogue, number, picture, moment=when, words=told, signed=signed)

    return int(once(catalogue, key, asked, signed, do))


def keep_job_picture(catalogue: Catalogue, job: int, picture: Picture, *, moment: Moment, words: str, signed: Signed) -> int:
    """Keeps a picture that is made ready, and gives its number. The caller holds the transaction. Raises NotAllowed."""
    if job_photos.is_closed(catalogue, job):
        raise NotAllowed(f"the customer of {number_text(job)} was forgotten, so no photograph is kept with it")
    there = [kept for kept in job_photos.of_job(catalogue, job) if kept.gone_at is None and kept.moment is moment]
    if len(there) >= JOB_PHOTOS:
        raise NotAllowed(f"{number_text(job)} has {JOB_PHOTOS} photographs {moment} the repair already; take one away first")
    return job_photos.add(catalogue, job, picture, moment=moment, words=words, signed=signed)


def photos_of_job(catalogue: Catalogue, job: str, role: Role) -> JobPhotos | None:
    """The photographs of a job as people of this role are shown them: None for who only looks. Raises NotFound."""
    if not role.covers(Role.WORK):
        return None
    number = row_of(catalogue, job).number
    return JobPhotos(job_photos.of_job(catalogue, number), job_photos.is_closed(catalogue, number))


def jpeg_of_job_photo(catalogue: Catalogue, number: int) -> bytes:
    """The file of a photograph. Raises NotFound."""
    return job_photos.jpeg_of(catalogue, _there(catalogue, number).number)


def smaller_jpeg_of_job_photo(catalogue: Catalogue, number: int) -> bytes:
    """The same, at most SMALLER_SIDE pixels each way. Raises NotFound; BadFile for a damaged one."""
    return small_picture(jpeg_of_job_photo(catalogue, number), side=SMALLER_SIDE)


def may_take_away(person: Person, photo: JobPhoto) -> bool:
    """Whether somebody may take a photograph away: who put it there, and managers."""
    return person.role.covers(Role.MANAGE) or person.name.casefold() == photo.who.casefold()


def take_job_photo_away(catalogue: Catalogue, number: int, *, by: Person, signed: Signed) -> str:
    """Erases a photograph with its words; gives the number of its job, as it is written. Raises NotFound, NotAllowed."""
    with catalogue.atomic():
        photo = _there(catalogue, number)
        if not may_take_away(by, photo):
            raise NotAllowed(f"{photo.who} put this photograph there; {photo.who} or a manager takes it away")
        job_photos.take_away(catalogue, number, signed)
    return number_text(photo.job)


def _there(catalogue: Catalogue, number: int) -> JobPhoto:
    photo = job_photos.find(catalogue, number)
    if photo is None:
        raise NotFound(f"there is no photograph {number} of a job, or it was taken away")
    return photo


def _moment(text: str) -> Moment:
    try:
        return Moment(text)
    except ValueError:
        raise BadInput([Fault("moment", "say whether it was taken before the repair or after it")]) from None


def _words(text: str) -> str:
    """The words that go with a photograph, in one line."""
    refuse_unseen_marks(words=text)
    words = " ".join(text.split())
    if len(words) > PHOTO_CHARACTERS:
        raise BadInput([Fault("words", f"has {len(words)} letters; write at most {PHOTO_CHARACTERS}")])
    return words
