"""The pages after the bench card: each patch as it lies, the order of work, materials, and where their figures come from."""

from collections.abc import Iterator, Sequence

from remnants.materials.cautions import Caution
from remnants.materials.needs import Need, Stuff, needs_of
from remnants.materials.rules import Figure
from remnants.materials.steps import Setting, Step, steps_of
from remnants.materials.tools import tools_of
from remnants.model import Job, Plan
from remnants.report.diagram import patch_picture
from remnants.report.flow import (
    SLACK_MM,
    Block,
    beside,
    bullets,
    caution,
    columns,
    drawing_block,
    gap,
    heading,
    new_page,
    table,
    taken_mm,
    text,
    together,
)
from remnants.report.needs_text import amount_text, strip_lines
from remnants.report.patch_view import patch_scale
from remnants.report.plan_pages import PlanDrawn, Redrawn, fitted_drawing, key_blocks
from remnants.report.wording import VERDICTS, counted, extent_text, sentence

__all__ = ["lay_blocks", "work_blocks"]

LAY_MM = (118.0, 100.0, 84.0, 70.0, 56.0)
"""Heights tried for the picture of a patch, until the work goes on its pages; the last is the least that can be read."""

WORK_PAGES = 2
"""How many pages the work of a patch has: the picture is made so large that all goes on them."""

KEY_MM = 84.0
GAP_MM = 6.0
KEY_TOP_MM = 6.0
"""The width of a key beside its picture, with what is left free between them; where it begins, about where the carpet does."""

COLUMNS_MM = 32.0
"""What two columns may leave empty at the foot of a page, because a step stays together."""


def lay_blocks(drawn: PlanDrawn, setting: Setting, room: tuple[float, float]) -> Iterator[Block]:
    """Each patch as it lies in its room, one below another on a new page of `room` mm. Raises NotFound for a donor not given."""
    yield new_page()
    yield from (together(group) for group in _lays(drawn, setting, _pictures(drawn, setting), room[0], LAY_MM[0]))


def work_blocks(drawn: PlanDrawn, setting: Setting, room: tuple[float, float]) -> Iterator[Block]:
    """The pages of the work, `room` mm each: how each patch lies, the order of work, materials, and where figures come from.

    Raises NotFound for a donor that is not given.
    """
    head = heading("Order of work")
    steps = list(_steps(steps_of(drawn.plan, drawn.job, setting)))
    needed = list(_materials(drawn.plan, drawn.job, setting, room[0]))
    below = sum(taken_mm(group, room[0] / 2) for group in steps) / 2 + taken_mm([head, *needed], room[0])
    lays = _sized(drawn, setting, room, WORK_PAGES * room[1] - below - COLUMNS_MM)
    used = 0.0
    for height in (taken_mm(group, room[0]) for group in lays):
        used = used + height if used + height <= room[1] else height
    yield new_page()
    yield from (together(group) for group in lays)
    yield head
    yield from columns(steps, room, first_mm=room[1] - used - taken_mm([head], room[0]) - SLACK_MM)
    yield from needed


def _sized(drawn: PlanDrawn, setting: Setting, room: tuple[float, float], free: float) -> list[list[Block]]:
    """Each patch's picture with its words, as tall as lets all of them go into what is free (mm)."""
    lays: list[list[Block]] = []
    pictures = _pictures(drawn, setting)
    for tallest in LAY_MM:
        lays = list(_lays(drawn, setting, pictures, room[0], tallest))
        if sum(taken_mm(group, room[0]) for group in lays) <= free:
            break
    return lays


def _lays(drawn: PlanDrawn, setting: Setting, pictures: Sequence[Redrawn], wide: float, tallest: float) -> Iterator[list[Block]]:
    for picture, patch, answer in zip(pictures, drawn.job.patches, drawn.plan.patches, strict=True):
        told = f"{extent_text(patch.ring, setting.unit)}. {sentence(answer.reason)}" if answer.reason else ""
        head = [heading(f"{patch.name}: {VERDICTS[answer.verdict].lower()}"), *([text(told, small=True)] if told else [])]
        yield [*head, gap(1), *_pictured(picture, wide, tallest)]


def _pictured(picture: Redrawn, wide: float, tallest: float) -> list[Block]:
    """A drawing with its key: beside it where that takes less room and the drawing gets no smaller, else under it."""
    under, aside = fitted_drawing(picture.on, wide, tallest), fitted_drawing(picture.on, wide - KEY_MM, tallest)
    below = [drawing_block(under), gap(1), *key_blocks(under, small=True)]
    if aside.scale > under.scale:
        return below
    key = [gap(KEY_TOP_MM), *key_blocks(aside, small=True)]
    pair = [beside(drawing_block(aside), key, wide, KEY_MM - GAP_MM), gap(1)]
    return min(pair, below, key=lambda blocks: taken_mm(blocks, wide))


def _pictures(drawn: PlanDrawn, setting: Setting) -> list[Redrawn]:
    return [_lay(drawn, index, setting) for index in range(len(drawn.job.patches))]


def _lay(drawn: PlanDrawn, index: int, setting: Setting) -> Redrawn:
    plan, job, unit, pieces, styles = drawn.plan, drawn.job, setting.unit, drawn.pieces, drawn.styles
    return Redrawn(
        lambda paper: patch_scale(job.patches[index], unit=unit, paper=paper),
        lambda paper: patch_picture(plan, job, index, pieces=pieces, styles=styles, unit=unit, paper=paper),
    )


def _materials(plan: Plan, job: Job, setting: Setting, room: float) -> Iterator[Block]:
    needs = needs_of(plan, job, rules=setting.rules, fixing=setting.fixing, unit=setting.unit)
    figures = tuple(dict.fromkeys(figure for need in needs for figure in need.figures))
    rows = [(need.stuff, amount_text(need, setting.unit), _because(need, figures, setting)) for need in needs]
    yield heading("For the van", small=True)
    yield text(f"{sentence(', '.join(tools_of(plan, job, setting)))} Common practice, no source.", small=True)
    yield heading("Materials", small=True)
    yield table(("what", "how much", "because"), rows, (3.8, 2.7, 10.5), room)
    sources = (f"[{number}] {figure.value:g} {figure.unit}: {figure.source}" for number, figure in enumerate(figures, start=1))
    yield heading("Sources of the figures", small=True)
    yield text(f"{'; '.join(sources)}.", small=True)


def _because(need: Need, figures: Sequence[Figure], setting: Setting) -> str:
    """The sum behind an amount, where its figures come from by number, and for strip how to cut it."""
    numbers = ", ".join(str(figures.index(figure) + 1) for figure in need.figures)
    strips = strip_lines(need, setting.unit) if need.stuff is Stuff.STRIP else []
    told = f"{need.how}{f' [{numbers}]' if numbers else ''}"
    return "; ".join((told, *counted(strips)))


def _steps(steps: Sequence[Step]) -> Iterator[list[Block]]:
    """What stays together of each step. A caution stands in full where its danger is met first, and is called to mind again."""
    told: dict[Caution, int] = {}
    for number, step in enumerate(steps, start=1):
        new = [each for each in step.cautions if each not in told]
        again = [f"{each.value.name} (step {told[each]})" for each in step.cautions if each in told]
        told |= dict.fromkeys(new, number)
        first, *rest = bullets(step.lines, "☐", small=True)
        warned = [*(each.value.text for each in new), *([f"As before: {', '.join(again)}."] if again else [])]
        framed = [caution(" ".join(warned), small=True)] if warned else []
        yield [heading(f"{number}. {step.title}", small=True), *framed, first]
        yield from ([line] for line in rest)
