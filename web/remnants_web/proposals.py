"""Outlines that are proposed, as a page shows them: each drawn in its room, and the way on to its answer."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from remnants.actions.fit_job import Fitted
from remnants.actions.propose_job import Proposed
from remnants.actions.told_to import fitted_told
from remnants.exchange import job_json
from remnants.model import DamagedJob, Role, Sight, Verdict
from remnants.report.floor_view import Floor, floor_drawing
from remnants.report.outline_view import outline_drawings
from remnants.report.wording import consents, spare_lines
from remnants.units import Unit
from remnants_web.figures import SCREEN, on_page
from remnants_web.jobs import Picture, key_lines
from remnants_web.shapes import Form

__all__ = ["OutlineShown", "outlines_shown", "room_picture", "taken_with"]

NAMES = ("The best outline", "Another outline", "A third outline")

_OF_JOB = (
    *("style", "colour", "lot", "job", "house", "customer"),
    *("seam", "wall", "transition", "max_parts", "any_way"),
    *("use", "avoid", "may_in_view", "may_other_customers", "may_other_houses"),
)
"""Fields that the form of a patch has too."""


@dataclass(frozen=True)
class OutlineShown:
    """One outline on the page, or several where damaged places are taken apart: its plan, its drawing in the room, the way on."""

    name: str
    words: tuple[str, ...]
    fitted: Fitted
    pictures: tuple[Picture, ...]
    taken: str

    @property
    def verdict(self) -> Verdict:
        """Whole, joined, partly or none."""
        return self.fitted.plan.verdict

    @property
    def donors(self) -> tuple[str, ...]:
        """Tags of the pieces to cut, in order."""
        return tuple(dict.fromkeys(part.piece for patch in self.fitted.plan.patches for part in patch.parts))

    @property
    def asking(self) -> tuple[str, ...]:
        """Whom to ask before anything is fetched, each a sentence; never for a customer's eyes."""
        return consents(self.fitted.plan, self.fitted.pieces)

    @property
    def sights(self) -> tuple[Sight, ...]:
        """What will be seen of it, the plainest first."""
        return tuple(sorted(self.fitted.plan.sights, key=lambda sight: (-sight.worst, -sight.best)))

    def spare(self, unit: Unit) -> tuple[str, ...]:
        """How exact the tape must be."""
        return spare_lines(self.fitted.plan, self.fitted.job, unit)


def outlines_shown(
    found: Sequence[Proposed], asked: DamagedJob, form: Form, *, unit: Unit, role: Role
) -> tuple[OutlineShown, ...]:
    """The outlines that were found for damage, as people of a role are told, drawn in a unit."""
    told = [fitted_told(role, each.fitted) for each in found]
    return tuple(
        OutlineShown(name, each.proposal.words, fitted, _pictures(number, each, fitted, asked, unit), taken_with(form, fitted))
        for number, (name, each, fitted) in enumerate(zip(NAMES, found, told, strict=False), start=1)
    )


def room_picture(floor: Floor, unit: Unit) -> Picture:
    """The room as it was told, with the damage so far."""
    drawn = floor_drawing(floor, unit=unit, paper=SCREEN)
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
        paper=SCREEN,
        reasons=False,
    )
    return tuple(
        Picture(on_page(drawing, 10 * number + at), drawing.title, key_lines(drawing)) for at, drawing in enumerate(drawn)
    )
