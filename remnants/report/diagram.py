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

__all__ = ["drawings", "file_names", "safe_names", "write_svgs"]

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
    cuts = cuts_of(plan)
    made = []
    for tag in donors_of(plan):
        piece = pieces.get(tag)
        if piece is None:
            raise NotFound(f"the plan cuts {tag!r}, which is not among the pieces given; draw it with the stock it was made from")
        made.append(
            donor_drawing(
                piece,
                styles.get(piece.style),
                cuts=donor_cuts(cuts, tag),
                leftovers=leftovers_of(plan, tag),
                unit=shown,
                paper=paper,
                asking=plan.asking,
            )
        )
    for index, (patch, answer) in enumerate(zip(job.patches, plan.patches, strict=True)):
        own = patch_cuts(cuts, index)
        style = styles.get(pieces[own[0].piece].style) if own else None
        room = job.room_of(patch)
        made.append(patch_drawing(patch, answer, cuts=own, pieces=pieces, style=style, unit=shown, paper=paper, room=room))
    return tuple(made)


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
