"""The front door of the drawings: one for each donor with its cuts, one for each patch with its parts."""

import re
from collections.abc import Mapping, Sequence

from remnants.errors import NotFound
from remnants.materials.cuts import cuts_of, donor_cuts, donors_of, leftovers_of, patch_cuts
from remnants.model import Job, Piece, Plan, Style
from remnants.report.board import Paper
from remnants.report.donor_view import donor_drawing
from remnants.report.drawing import Drawing
from remnants.report.patch_view import patch_drawing
from remnants.report.svg import svg_text
from remnants.units import Unit

__all__ = ["donor_picture", "drawings", "file_names", "patch_picture", "safe_names", "write_svgs"]

SCREEN = Paper()


def drawings(
    plan: Plan,
    job: Job,
    *,
    pieces: Mapping[str, Piece],
    styles: Mapping[str, Style],
    unit: Unit | None = None,
    paper: Paper = SCREEN,
) -> tuple[Drawing, ...]:
    """Donors in the order in which they are cut, then patches in the order of the job.

    `pieces` by tag must hold every donor as it was before the cuts; `styles` by name may lack some. Lengths are written in
    `unit`, by default the job's. Raises NotFound when a donor is not among the pieces.
    """
    shown = unit or Unit(job.unit)
    donors = [donor_picture(plan, tag, pieces=pieces, styles=styles, unit=shown, paper=paper) for tag in donors_of(plan)]
    patches = [
        patch_picture(plan, job, index, pieces=pieces, styles=styles, unit=shown, paper=paper)
        for index in range(len(plan.patches))
    ]
    return (*donors, *patches)


def donor_picture(
    plan: Plan,
    tag: str,
    *,
    pieces: Mapping[str, Piece],
    styles: Mapping[str, Style],
    unit: Unit,
    paper: Paper,
    back: bool = False,
) -> Drawing:
    """One donor with its cuts, as `drawings` makes it, or mirrored from the `back`.

    Raises NotFound when it is not among the pieces.
    """
    piece = pieces.get(tag)
    if piece is None:
        raise NotFound(f"the plan cuts {tag!r}, which is not among the pieces given; draw it with the stock it was made from")
    return donor_drawing(
        piece,
        styles.get(piece.style),
        cuts=donor_cuts(cuts_of(plan), tag),
        leftovers=leftovers_of(plan, tag),
        unit=unit,
        paper=paper,
        asking=plan.asking,
        back=back,
    )


def patch_picture(
    plan: Plan, job: Job, index: int, *, pieces: Mapping[str, Piece], styles: Mapping[str, Style], unit: Unit, paper: Paper
) -> Drawing:
    """The patch at this place of the job as it lies, as `drawings` makes it. Raises NotFound when its donor is not given."""
    own = patch_cuts(cuts_of(plan), index)
    for cut in own:
        if cut.piece not in pieces:
            raise NotFound(f"the plan cuts {cut.piece!r}, which is not among the pieces given")
    patch, style = job.patches[index], styles.get(pieces[own[0].piece].style) if own else None
    return patch_drawing(
        patch, plan.patches[index], cuts=own, pieces=pieces, style=style, unit=unit, paper=paper, room=job.room_of(patch)
    )


def write_svgs(
    plan: Plan,
    job: Job,
    *,
    pieces: Mapping[str, Piece],
    styles: Mapping[str, Style],
    unit: Unit | None = None,
    paper: Paper = SCREEN,
) -> dict[str, str]:
    """File name to SVG text for every drawing: `piece-R-0142.svg`, `patch-hall.svg`; names are safe on any file system."""
    made = drawings(plan, job, pieces=pieces, styles=styles, unit=unit, paper=paper)
    return {f"{name}.svg": svg_text(drawing) for name, drawing in zip(file_names(made), made, strict=True)}


def file_names(made: Sequence[Drawing]) -> tuple[str, ...]:
    """A file name without ending for each drawing, as `safe_names` makes them."""
    return safe_names([drawing.name for drawing in made])


def safe_names(given: Sequence[str]) -> tuple[str, ...]:
    """A name for each that any file system takes: letters, figures and dashes; a second one of the same name gets `-2`."""
    names: list[str] = []
    taken: set[str] = set()
    for each in given:
        stem = re.sub(r"[^\w]+", "-", each).strip("-")[:80] or "drawing"
        name = next(
            option
            for option in (stem, *(f"{stem}-{index}" for index in range(2, len(given) + 2)))
            if option.casefold() not in taken
        )
        taken.add(name.casefold())
        names.append(name)
    return tuple(names)
