"""What goes into the van for one plan beside materials. Common practice, no source."""

from collections.abc import Iterator

from remnants.geometry.rounds import circle_of
from remnants.materials.cuts import cuts_of, donors_of
from remnants.materials.lifting import piece_load
from remnants.materials.needs import Fixing
from remnants.materials.runs import filled_patches
from remnants.materials.steps import Setting
from remnants.model import Construction, Finish, Job, Kind, Plan

__all__ = ["tools_of"]


def tools_of(plan: Plan, job: Job, setting: Setting) -> tuple[str, ...]:
    """The tools that the plan's own steps call for, in the order of use; none where nothing is cut."""
    return tuple(dict.fromkeys(_tools(plan, job, setting))) if donors_of(plan) else ()


def _tools(plan: Plan, job: Job, setting: Setting) -> Iterator[str]:
    edges = {edge for patch in filled_patches(plan, job) for edge in patch.edges}
    stretched = setting.fixing is Fixing.STRETCHED
    yield from ("gloves", "knee pads", "tape", "straightedge and square", "chalk", "knife and its blades")
    for style in dict.fromkeys(setting.style_of(tag) for tag in donors_of(plan)):
        yield from _by_construction(style.construction if style else None)
    if any(circle_of(cut.part.cut) for cut in cuts_of(plan)):
        yield from ("pin and string", "pencil")
    if any(setting.pieces[tag].kind is Kind.LAID for tag in donors_of(plan)):
        yield "pliers to lift carpet off its strip"
    if any(piece_load(setting.pieces[tag], setting.style_of(tag), setting.rules).heavy for tag in donors_of(plan)):
        yield "trolley, or a second person"
    if stretched and (Finish.SEAM in edges or any(answer.seams for answer in plan.patches)):
        yield from ("seam iron with shield and stand", "flat board to weight the seam")
    if stretched:
        yield "stapler"
    else:
        yield "trowel for adhesive"
    if stretched and Finish.WALL in edges:
        yield from ("hammer", "cutter for strip", "kicker", "tucking tool")
    if Finish.TRANSITION in edges:
        yield from ("stapler", "hammer and block for a metal edge")


def _by_construction(construction: Construction | None) -> Iterator[str]:
    if construction in (Construction.CUT, Construction.CUT_AND_LOOP, None):
        yield "blunt tool to part the pile"
    if construction in (Construction.LOOP, Construction.CUT_AND_LOOP, None):
        yield "scissors for loops"
    if construction is Construction.WOVEN:
        yield "sealer at hand for woven edges"
