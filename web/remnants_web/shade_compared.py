"""The step in shade between two carpets in one flattened photograph, as its page tells it and as a job takes it."""

from dataclasses import dataclass
from urllib.parse import parse_qsl

from remnants.actions.flat_photos import Flattened, ShadeStep
from remnants.errors import BadInput, Fault
from remnants.model import Lab
from remnants.report.measured_text import step_lines, step_of
from remnants_web.ask import read_apart
from remnants_web.choices import chosen
from remnants_web.photo_questions import ShadesCompared
from remnants_web.shapes import Typed, YesNo
from remnants_web.traced import points_in

__all__ = ["STEP_FIELDS", "StepShown", "step_shown"]

STEP_FIELDS = ("alike", "step_tag", "floor_lab")
_MOST_TAG = 80


@dataclass(frozen=True)
class StepShown:
    """The step in words and as a job takes it, and the fields of a damage form that go on with it; none without a tag."""

    lines: tuple[str, ...]
    carried: dict[str, str]
    tag: str = ""
    told: str = ""


def step_shown(form: Typed, flat: Flattened) -> StepShown | None:
    """The step between the two places that the form's corners tell; None where it isn't asked for. Raises BadInput."""
    if form["on"] != "shade":
        return None
    if chosen(YesNo, form["alike"], "alike", default=YesNo.NO) is not YesNo.YES:
        what = "a step in shade is told of carpets that lie the same way: turn one until they do, take the picture, and say yes"
        raise BadInput([Fault("alike", what)])
    floor, points = _floor(form["floor_lab"].strip()), points_in(form, flat)
    if len(points) != 2:
        what = "set two corners: the first in the middle of the floor, the second in the middle of the other carpet"
        raise BadInput([Fault("corners", what)])
    try:
        found: ShadeStep = read_apart(ShadesCompared(flat, points[0], points[1], floor))
    except BadInput as error:
        raise BadInput(Fault("corners", fault.what) for fault in error.faults) from None
    tag = " ".join(form["step_tag"].split())[:_MOST_TAG]
    if not tag:
        return StepShown(step_lines(found), {})
    told = str(step_of(found, tag))
    return StepShown(step_lines(found), _carried(form, told, tag), tag, told)


def _carried(form: Typed, step: str, tag: str) -> dict[str, str]:
    """What was typed on the damage form before, with this step; an earlier one to the same piece gives way."""
    typed = Typed(dict(parse_qsl(form["typed"]))) if form["measure"] == "propose" else Typed()
    before = [each for each in typed["shade_steps"].split(";") if each.strip() and not each.strip().startswith(f"{tag} ")]
    return typed | {"shade_steps": "; ".join([*map(str.strip, before), step])}


def _floor(text: str) -> Lab | None:
    """The floor's shade by an instrument. Raises BadInput."""
    if not text:
        return None
    try:
        lightness, a, b = (float(part) for part in text.split(","))
    except ValueError:
        raise BadInput([Fault("floor_lab", f"{text[:40]!r} is no shade: give L*,a*,b*, such as 72.1,2.0,13.8")]) from None
    try:
        return Lab(lightness, a, b)
    except BadInput as error:
        raise BadInput(Fault("floor_lab", fault.what) for fault in error.faults) from None
