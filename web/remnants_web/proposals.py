"""Outlines that are proposed, as a page shows them: each drawn in its room, and the way on to its answer."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from remnants.actions.fit_job import Fitted
from remnants.actions.propose_job import Proposed
from remnants.actions.told_to import fitted_told
from remnants.exchange import job_json
from remnants.model import DamagedJob, Role
from remnants.report.floor_view import Floor, floor_drawing
from remnants.report.outline_view import outline_drawings
from remnants.units import Unit
from remnants_web.figures import SCREEN, on_page
from remnants_web.jobs import Picture, PlanShown, key_lines
from remnants_web.shapes import Form

__all__ = ["OutlineShown", "outlines_shown", "room_picture", "taken_with"]

ROOM = replace(SCREEN, tallest_mm=104.0)
"""Paper for a whole room with a small patch in it: as tall as a phone shows at once, so that a narrow hall isn't drawn small."""

NAMES = ("The best outline", "Another outline", "A third outline")

_OF_JOB = (
    *("style", "colour", "lot", "job", "house", "customer"),
    *("seam", "wall", "transition", "max_parts", "any_way"),
    *("use", "avoid", "may_in_view", "may_other_customers", "may_other_houses"),
)
"""Fields that the form of a patch has too."""


@dataclass(frozen=True)
class OutlineShown(PlanShown):
    """One outline on the page, or several where damaged places are taken apart: drawn in the room, with the way on."""

    words: tuple[str, ...]
    taken: str


def outlines_shown(
    found: Sequence[Proposed], asked: DamagedJob, form: Form, *, unit: Unit, role: Role
) -> tuple[OutlineShown, ...]:
    """The outlines that were found for damage, as people of a role are told, drawn in a unit."""
    told = [fitted_told(role, each.fitted) for each in found]
    return tuple(
        OutlineShown(name, fitted, _pictures(number, each, fitted, asked, unit), each.proposal.words, taken_with(form, fitted))
        for number, (name, each, fitted) in enumerate(zip(NAMES, found, told, strict=False), start=1)
    )


def room_picture(floor: Floor, unit: Unit) -> Picture:
    """The room as it was told, with the damage so far."""
    drawn = floor_drawing(floor, unit=unit, paper=ROOM)
    return Picture(on_page(drawn, 1), drawn.title, key_lines(drawn))


def taken_with(form: Form, fitted: Fitted) -> str:
    """The query by which the answer's page is asked for the job with its outlines."""
    told = {field: text for field in _OF_JOB if (text := form.get(field, "").strip())}
    job = job_json(fitted.job)
    rooms = {"rooms": json.dumps(job["rooms"])} if "rooms" in job else {}
    return urlencode(told | rooms | {"patches": json.dumps(job["patches"])})


def _pictures(number: int, each: Proposed, fitted: Fitted, asked: DamagedJob, unit: Unit) -> tuple[Picture, ...]:
    """A picture for each room; what ends each side stands beside them in words."""
    drawn = outline_drawings(
        each.proposal,
        asked,
        number=number,
        pieces=fitted.pieces,
        styles=fitted.styles,
        unit=unit,
        paper=ROOM,
        reasons=False,
    )
    return tuple(
        Picture(on_page(drawing, 10 * number + at), drawing.title, key_lines(drawing)) for at, drawing in enumerate(drawn)
    )
