"""What is worked out of a photograph that is measured in, apart from the pages and within bounds. Plain values for a process."""

import hashlib
import json
from dataclasses import dataclass, field, replace

from remnants.actions.flat_photos import Flattened, RowsSeen, ShadeStep, Stain, made_flat, rows_in, stain_in, step_in
from remnants.actions.phone_calibrations import PhoneCalibration, PhonePhoto, calibrated, phone_photo_of, wanted
from remnants.actions.repair_kept import SeamsOver
from remnants.actions.repair_preview import Donor, Overhead, Preview, repair_preview
from remnants.model import Lab, PatchPlan
from remnants.question import Stop

__all__ = [
    "PhoneSeen",
    "PhoneSolved",
    "PhotoMeasured",
    "RepairDrawn",
    "RowsTapped",
    "SeamsWanted",
    "ShadesCompared",
    "StainTapped",
]


@dataclass(frozen=True)
class PhotoMeasured:
    """A photograph with a marker page, to be made flat. `bars` tell by page how long its check bar is (mm)."""

    photo: bytes = field(repr=False)
    bars: tuple[tuple[int, float], ...]
    lens_35: float | None
    above_mm: float
    phones: tuple[PhoneCalibration, ...] = ()

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(self.photo + repr(self).encode()).hexdigest()

    def answer(self, stop: Stop) -> Flattened:
        """The carpet from above. Raises BadFile and NotMeasured."""
        return made_flat(self.photo, self.bars, name="photo", lens_35=self.lens_35, above_mm=self.above_mm, phones=self.phones)


@dataclass(frozen=True)
class PhoneSeen:
    """A photograph of the marker page by which a phone is calibrated, and those that were told before it."""

    photo: bytes = field(repr=False)
    before: tuple[PhonePhoto, ...]

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(self.photo + repr(self).encode()).hexdigest()

    def answer(self, stop: Stop) -> tuple[PhonePhoto, str]:
        """What it tells, and what the next one should show. Raises BadFile and NotMeasured."""
        found = phone_photo_of(self.photo, name="photo")
        return found, wanted((*self.before, found))


@dataclass(frozen=True)
class PhoneSolved:
    """Photographs of the marker page out of which a phone is to be calibrated."""

    photos: tuple[PhonePhoto, ...]

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(repr(self).encode()).hexdigest()

    def answer(self, stop: Stop) -> PhoneCalibration:
        """The calibration. Raises NotMeasured."""
        return calibrated(self.photos)


@dataclass(frozen=True)
class RepairDrawn:
    """A patch to be drawn into the picture of its floor, and the pieces that it is cut from."""

    floor: Overhead = field(repr=False)
    patch: PatchPlan
    donors: tuple[Donor, ...] = field(repr=False)

    @property
    def key(self) -> str:
        """What stands for it."""
        pictures = (each.picture.jpeg if each.picture else b"" for each in self.donors)
        told = [repr(self), repr(replace(self.floor, jpeg=b"")), *(repr(each.piece) for each in self.donors)]
        return hashlib.sha256(b"".join((*(each.encode() for each in told), self.floor.jpeg, *pictures))).hexdigest()

    def answer(self, stop: Stop) -> Preview:
        """The drawing. Raises NotMeasured."""
        return repair_preview(self.floor, self.patch, {each.piece.tag: each for each in self.donors})


@dataclass(frozen=True)
class SeamsWanted:
    """A drawing whose seams are to be drawn over it."""

    over: SeamsOver = field(repr=False)

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(repr((self.over.marks, self.over.radius)).encode() + self.over.jpeg).hexdigest()

    def answer(self, stop: Stop) -> bytes:
        """The drawing with its seams."""
        del stop
        return self.over.drawn()


@dataclass(frozen=True)
class StainTapped:
    """A tap (mm) in damage on carpet that was made flat, whose outline is wanted."""

    flat: Flattened = field(repr=False)
    tap: tuple[float, float]

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(f"{json.dumps(self.flat.told())} {self.tap}".encode()).hexdigest()

    def answer(self, stop: Stop) -> Stain:
        """The outline. Raises NotMeasured and BadInput."""
        return stain_in(self.flat, self.tap)


@dataclass(frozen=True)
class RowsTapped:
    """A tap (mm) on sound carpet that was made flat, whose rows are wanted."""

    flat: Flattened = field(repr=False)
    tap: tuple[float, float]

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(f"rows {json.dumps(self.flat.told())} {self.tap}".encode()).hexdigest()

    def answer(self, stop: Stop) -> tuple[RowsSeen, RowsSeen]:
        """Both candidates. Raises NotMeasured and BadInput."""
        return rows_in(self.flat, self.tap)


@dataclass(frozen=True)
class ShadesCompared:
    """Two points (mm) on carpet that was made flat, of the floor and of other carpet, whose step in shade is wanted."""

    flat: Flattened = field(repr=False)
    floor_at: tuple[float, float]
    other_at: tuple[float, float]
    floor: Lab | None

    @property
    def key(self) -> str:
        """What stands for it."""
        return hashlib.sha256(f"shades {json.dumps(self.flat.told())} {self!r}".encode()).hexdigest()

    def answer(self, stop: Stop) -> ShadeStep:
        """The step. Raises NotMeasured and BadInput."""
        return step_in(self.flat, self.floor_at, self.other_at, self.floor)
