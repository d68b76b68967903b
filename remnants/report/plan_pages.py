"""A plan's drawings on paper: a page for each donor with its cuts and for each patch with its parts, and the key below."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from remnants.geometry.tolerances import DUST_MM
from remnants.model import Job, Piece, Plan, Style
from remnants.report.board import Paper
from remnants.report.diagram import drawings
from remnants.report.drawing import Drawing
from remnants.report.flow import Block, bullets, drawing_block, gap, new_page, text
from remnants.units import Unit

__all__ = ["PlanDrawn", "Redrawn", "fitted_drawing", "key_blocks", "patch_blocks", "plan_pages"]

TALLEST_MM = (150.0, 125.0, 100.0, 75.0, 50.0)
"""Heights tried for the carpet on its page until dimensions and heading go on it too."""


@dataclass(frozen=True)
class PlanDrawn:
    """What a plan is drawn from: its job, its donors by tag as they were before the cuts, and their styles by name."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]


@dataclass(frozen=True)
class Redrawn:
    """A picture that is asked for on many papers until it fits: `draw` makes it, at the `scale` that it tells of a paper.

    How tall the paper is tells in its scale alone, so that it is drawn once for each scale and width.
    """

    scale: Callable[[Paper], float]
    draw: Callable[[Paper], Drawing]
    _made: dict[tuple[float, Paper], Drawing] = field(default_factory=dict, init=False, repr=False, compare=False)

    def on(self, paper: Paper) -> Drawing:
        """The picture on this paper."""
        asked = self.scale(paper), replace(paper, tallest_mm=0.0)
        if asked not in self._made:
            self._made[asked] = self.draw(paper)
        return self._made[asked]


def plan_pages(drawn: PlanDrawn, *, unit: Unit, room: tuple[float, float], above: str = "") -> Iterator[Block]:
    """The pages; `room` is what a page has (mm), `above` stands small over each. Raises NotFound when a donor is missing."""
    for drawing in _fitting(drawn, unit, room):
        yield new_page()
        if above:
            yield text(above, small=True)
        yield drawing_block(drawing)
        yield gap(3)
        yield from key_blocks(drawing)


def patch_blocks(drawn: PlanDrawn, *, unit: Unit, room: tuple[float, float]) -> Iterator[Block]:
    """A small picture of each patch as it lies in its room, with its parts and seams, without a word of where they come from.

    Raises NotFound when a donor is missing.
    """
    paper = Paper(room[0] * SMALL, room[1] * SMALL / 2, 0.5, keyed=False)
    made = drawings(drawn.plan, drawn.job, pieces=drawn.pieces, styles=drawn.styles, unit=unit, paper=paper)
    for drawing in made[len(made) - len(drawn.plan.patches) :]:
        yield gap(3)
        yield drawing_block(drawing)


SMALL = 0.75
"""The share of a page's width that a picture for the customer takes."""


def key_blocks(drawing: Drawing, *, small: bool = False) -> Iterator[Block]:
    """What the drawing's letters and lines mean, in words below it."""
    for line in drawing.key:
        head, tab, rest = line.partition("\t")
        yield from bullets([rest], head, small=small) if tab else [text(line, small=True)]


TRIES = 40
"""So often what is over, up or across, is taken off the room for the carpet. Where that is wide it takes several until the height
counts at all: after six, a card whose carpet was as wide as the page ran on to another.
"""


def fitted_drawing(make: Callable[[Paper], Drawing], width_mm: float, height_mm: float) -> Drawing:
    """The drawing with its carpet as tall as goes into `height_mm`, without key and heading, at any scale."""
    wide, tallest = width_mm, height_mm
    for _ in range(TRIES):
        drawing = make(Paper(wide, tallest, 0.5, keyed=False, headed=False, slim=True))
        over, beside = drawing.height_mm - height_mm, drawing.width_mm - width_mm
        if max(over, beside) <= DUST_MM:
            break
        wide, tallest = wide - max(0.0, beside), max(SHORTEST_MM, tallest - max(0.0, over))
    return drawing


SHORTEST_MM = 20.0
"""Carpet is never drawn shorter than this to save room."""


def _fitting(drawn: PlanDrawn, unit: Unit, room: tuple[float, float]) -> tuple[Drawing, ...]:
    """Each drawing as tall as goes on a page with its heading and dimensions."""
    best: list[Drawing] = []
    for tallest in TALLEST_MM:
        paper = Paper(room[0], tallest, 0.5, keyed=False)
        made = drawings(drawn.plan, drawn.job, pieces=drawn.pieces, styles=drawn.styles, unit=unit, paper=paper)
        kept = zip(best or made, made, strict=True)
        best = [old if old.height_mm <= room[1] - 10 else new for old, new in kept]
        if all(each.height_mm <= room[1] - 10 for each in best):
            break
    return tuple(best)
