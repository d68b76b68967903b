"""The repair seen before it is made, in the photograph of its damage: which pictures there are, and the drawing."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from remnants.actions.fitted import Fitted
from remnants.actions.photo_outlines import piece_ring
from remnants.actions.photos import add_photo, photos_shown
from remnants.errors import BadFile
from remnants.model import Patch, PatchPlan, Role
from remnants.photo.flattened import Flattened, flattened
from remnants.photo.measures import MeasuredOutline
from remnants.photo.overhead import Overhead, overhead_of, overhead_told, with_scale
from remnants.photo.preview import PROMISE, Donor, Frame, Preview, framed, previewed, untextured
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.seams_drawn import disc_px, seam_marks, seam_sights, seams_drawn
from remnants.photo.view import View
from remnants.store import Catalogue, photos

__all__ = [
    "PROMISE",
    "Donor",
    "Frame",
    "Overhead",
    "Preview",
    "add_photo",
    "donors_shown",
    "drawable",
    "floor_shown",
    "framed",
    "kept_pictures",
    "measured_patches",
    "overhead_of",
    "picture_in_file",
    "piece_picture",
    "piece_pictured",
    "repair_preview",
    "untextured",
    "with_scale",
    "with_seams",
]


def measured_patches(fitted: Fitted) -> tuple[tuple[Patch, PatchPlan], ...]:
    """The patches of an answer that are filled and were measured in a photograph which tells where they lie in it."""
    asked = {patch.name: patch for patch in fitted.job.patches}
    return tuple(
        (asked[answer.name], answer)
        for answer in fitted.plan.patches
        if answer.parts and answer.name in asked and asked[answer.name].photo_at and asked[answer.name].photo_digest
    )


def floor_shown(found: Flattened | View, patch: Patch) -> Overhead:
    """The photograph as a picture of the floor that the patch lies in. Raises NotMeasured where it is another photograph."""
    flat = flattened(found) if isinstance(found, View) else found
    if patch.photo_at is None or flat.digest != patch.photo_digest:
        told = f"this is not the photograph that {patch.name} was measured in: give that one, as the camera stored it"
        raise refused(WhyNot.NOT_SHOWN, told)
    return overhead_of(flat, (*patch.photo_at, patch.photo_turn_deg or 0.0))


def piece_pictured(found: MeasuredOutline, flat: Flattened) -> Overhead:
    """The picture of a piece with this outline, in the piece's own axes. Raises BadInput where too little of it is left."""
    ring, (x, y) = piece_ring(found)
    wide, long = (max(axis) for axis in zip(*ring, strict=True))
    return overhead_of(flat, (-x, -y, 0.0), (wide, long))


def piece_picture(view: View, found: MeasuredOutline, *, above_mm: float = 0.0) -> bytes:
    """The same as a JPEG that tells its own scale."""
    return with_scale(piece_pictured(found, flattened(view, above_mm=above_mm)))


def picture_in_file(jpeg: bytes) -> Overhead:
    """A picture of a piece from above out of a file. Raises BadFile where it tells no scale."""
    found = overhead_told(jpeg)
    if found is None:
        raise BadFile("this tells no scale: give a picture that `remnants measure --scaled` wrote")
    return found


def kept_pictures(catalogue: Catalogue, tags: Iterable[str], role: Role = Role.MANAGE) -> dict[str, Overhead]:
    """Of each piece the newest picture to scale that is kept with it and that people of this role are shown."""
    found = {}
    for tag in tags:
        for kept in reversed(photos_shown(catalogue, tag, role)):
            if kept.gone_at is None and (told := overhead_told(photos.jpeg_of(catalogue, kept.number))):
                found[tag] = told
                break
    return found


def donors_shown(fitted: Fitted, pictures: Mapping[str, Overhead]) -> dict[str, Donor]:
    """The pieces that an answer cuts, each with its picture where there is one."""
    tags = dict.fromkeys(part.piece for answer in fitted.plan.patches for part in answer.parts)
    donors = {}
    for tag in tags:
        piece = fitted.pieces[tag]
        style = fitted.styles.get(piece.style)
        along_mm = style.repeat.along_mm if style and style.repeat else None
        donors[tag] = Donor(piece, style.row_mm if style else None, along_mm, pictures.get(tag))
    return donors


def drawable(fitted: Fitted) -> bool:
    """Whether every piece that is cut is known here; one that counts for a single answer is not."""
    return all(part.piece in fitted.pieces for answer in fitted.plan.patches for part in answer.parts)


def repair_preview(floor: Overhead, answer: PatchPlan, donors: Mapping[str, Donor]) -> Preview:
    """The patch in the picture of its floor. Raises NotMeasured, with what to do."""
    return previewed(floor, answer, donors)


def with_seams(made: Preview, fitted: Fitted, patch: str) -> Preview:
    """The same with the patch's seams, each with its grade."""
    marks = seam_marks(seam_sights(fitted.plan.sights, patch), made.frame)
    return replace(made, colours=seams_drawn(made.colours, marks, radius=disc_px(made.frame)))
