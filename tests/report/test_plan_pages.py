"""Pictures fitted to their place: what is drawn once serves every paper on which it would be the same."""

from functools import partial

import pytest

from remnants.geometry.outline import Ring, rectangle
from remnants.report.board import Paper
from remnants.report.diagram import donor_picture, patch_picture
from remnants.report.donor_view import donor_scale
from remnants.report.drawing import Drawing
from remnants.report.patch_view import patch_scale
from remnants.report.plan_pages import Redrawn, fitted_drawing
from remnants.units import Unit
from tests.report.plans import FT, IN, Layout, a_layout, a_patch, a_piece

L_SHAPE: Ring = ((0, 0), (40 * IN, 0), (40 * IN, 12 * IN), (15 * IN, 12 * IN), (15 * IN, 30 * IN), (0, 30 * IN))
PLACES = ((98.0, 118.0), (182.0, 56.0), (60.0, 40.0))
"""Widths and heights of paper that the sheet has for a picture, and one into which nothing goes (mm)."""


def laid() -> Layout:
    layout = a_layout(a_piece("R-9", rectangle(12 * FT, 9 * FT)))
    layout.whole(a_patch("sill", rectangle(90 * IN, 9 * IN).ring), "R-9")
    return layout.whole(a_patch("corner", L_SHAPE), "R-9", (0.0, 14 * IN))


def patch_of(layout: Layout, index: int, paper: Paper) -> Drawing:
    return patch_picture(layout.plan, layout.job, index, pieces=layout.pieces, styles={}, unit=Unit.IN, paper=paper)


def donor_of(layout: Layout, paper: Paper) -> Drawing:
    return donor_picture(layout.plan, "R-9", pieces=layout.pieces, styles={}, unit=Unit.IN, paper=paper)


@pytest.mark.parametrize("what", ["sill", "corner", "donor"])
def test_a_picture_drawn_once_for_each_scale_is_the_one_that_is_drawn_anew_for_each_paper(what: str) -> None:
    layout = laid()
    if what == "donor":
        draw, scale = partial(donor_of, layout), partial(donor_scale, layout.pieces["R-9"], unit=Unit.IN)
        picture = Redrawn(lambda paper: scale(paper=paper), draw)
    else:
        index = ["sill", "corner"].index(what)
        draw = partial(patch_of, layout, index)
        picture = Redrawn(lambda paper: patch_scale(layout.job.patches[index], unit=Unit.IN, paper=paper), draw)
    for wide, tall in PLACES:
        assert fitted_drawing(picture.on, wide, tall) == fitted_drawing(draw, wide, tall)


def test_what_is_fitted_to_many_heights_is_drawn_once_for_each_scale_and_width() -> None:
    layout = laid()
    drawn: list[tuple[float, float]] = []

    def draw(paper: Paper) -> Drawing:
        made = patch_of(layout, 0, paper)
        drawn.append((made.scale, paper.width_mm))
        return made

    picture = Redrawn(lambda paper: patch_scale(layout.job.patches[0], unit=Unit.IN, paper=paper), draw)
    for _ in range(2):
        for wide, tall in PLACES:
            fitted_drawing(picture.on, wide, tall)
    assert len(drawn) == len(set(drawn)) > 1
