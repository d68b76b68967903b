"""A photograph made flat to be measured in on a page: kept for a day, for who sent it alone, without where it was taken."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from remnants.actions.photo_pages import bar_of
from remnants.errors import NotFound
from remnants.model import Lab
from remnants.model.phone_lens import PhoneCalibration
from remnants.photo.flattened import Flattened, flattened, flattened_of
from remnants.photo.measures import Length, MeasuredOutline, Point
from remnants.photo.rows import RowsSeen, rows_seen
from remnants.photo.shade_step import ShadeStep, shade_step
from remnants.photo.stain import Stain, stain_on
from remnants.photo.there import refuse_where_none_are_measured
from remnants.photo.trial import Tried
from remnants.photo.view import view_of
from remnants.store import Catalogue, flat_photos
from remnants.store.flat_photos import FlatPhoto

__all__ = [
    "HOLDS",
    "Flattened",
    "Length",
    "MeasuredOutline",
    "Point",
    "RowsSeen",
    "ShadeStep",
    "Stain",
    "Tried",
    "drop_flat",
    "flat_of",
    "flat_with",
    "keep_flat",
    "made_flat",
    "rows_in",
    "stain_in",
    "step_in",
]

HOLDS = timedelta(days=1)
"""How long it is kept where nobody throws it away before."""


def made_flat(
    photo: bytes,
    bars: Sequence[tuple[int, float]],
    *,
    name: str,
    lens_35: float | None = None,
    above_mm: float = 0.0,
    phones: Sequence[PhoneCalibration] = (),
) -> Flattened:
    """The photograph in the bytes of a file, made flat. `bars` tell by page how long its check bar is (mm), `phones` what is
    known of phones' lenses.

    Raises BadFile, at `name` where what reads marks is not installed; NotMeasured, each with what to do.
    """
    refuse_where_none_are_measured(name)
    return flattened(view_of(photo, bar_of(dict(bars)), lens_35=lens_35, calibrations=phones), above_mm=above_mm)


def stain_in(found: Flattened, tap: Point) -> Stain:
    """The outline (mm) of what was tapped. Raises NotMeasured, BadInput."""
    return stain_on(found, tap)


def rows_in(found: Flattened, at: Point) -> tuple[RowsSeen, RowsSeen]:
    """Both candidates for the rows round a point of the carpet (mm), the stronger first. Raises NotMeasured, BadInput."""
    return rows_seen(found, at)


def step_in(found: Flattened, floor_at: Point, other_at: Point, floor: Lab | None = None) -> ShadeStep:
    """The step in shade between the carpets round two points (mm). Raises NotMeasured, BadInput."""
    return shade_step(found, floor_at, other_at, floor=floor)


def keep_flat(catalogue: Catalogue, person: str, found: Flattened, *, now: datetime) -> int:
    """Keeps it for a day, for that person alone, and gives its number. What is older goes."""
    with catalogue.atomic():
        flat_photos.drop_old(catalogue, now=now)
        return flat_photos.add(catalogue, person, FlatPhoto(found.flat.jpeg, found.told(), now + HOLDS))


def flat_of(catalogue: Catalogue, number: int, person: str, *, now: datetime) -> tuple[Flattened, datetime]:
    """The one with that number, and when it goes. Raises NotFound where it is gone, or somebody else's."""
    kept = flat_photos.find(catalogue, number, person, now=now)
    if kept is None:
        raise NotFound("this picture is not kept any more, or is somebody else's: take it again")
    return flattened_of(kept.jpeg, kept.told), kept.ends_at


def flat_with(catalogue: Catalogue, digest: str, person: str, *, now: datetime) -> Flattened | None:
    """That of the photograph with this SHA-256, if this person sent it and it is kept still."""
    kept = flat_photos.with_digest(catalogue, digest, person, now=now)
    return flattened_of(kept.jpeg, kept.told) if kept else None


def drop_flat(catalogue: Catalogue, number: int, person: str) -> None:
    """Keeps it no longer."""
    with catalogue.atomic():
        flat_photos.drop(catalogue, number, person)
