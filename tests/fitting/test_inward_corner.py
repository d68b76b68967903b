"""A seam through an inward corner of a patch: the halves carry no spur along the edge that it runs over."""

import pytest

from remnants.fitting import fit
from remnants.fitting.patch.shape import Axis, Shape, splits
from remnants.geometry.outline import TOLERANCE_MM, area_mm2
from remnants.model import Allowance, Finish, Job, SeamKind
from remnants.proof import check_plan
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan

ELL = ((0.0, 0.0), (1016.0, 0.0), (1016.0, 309.6), (762.0, 309.6), (762.0, 609.6), (0.0, 609.6))


@pytest.mark.parametrize("turned", [False, True])
def test_halves_at_an_inward_corner_are_plain_and_keep_the_area(turned: bool) -> None:
    ring = tuple((y, 1016.0 - x) for x, y in ELL) if turned else ELL
    ring = ring if area_mm2(ring) > 0 else ring[::-1]
    shape = Shape(ring, (Finish.WALL,) * 6, Allowance())
    for split in (each for axis in Axis for each in splits(shape, axis)):
        for at in (split.low, split.high):
            if not split.low < split.high:
                continue
            halves = [half for half in split.halves(at) if len(half.ring) > 2 and half.extent(split.axis) > TOLERANCE_MM]
            for half in halves:
                assert area_mm2(half.cut) > area_mm2(half.ring) > 0
                assert half.finishes.count(Finish.SEAM) == (half.extent(split.axis) < shape.extent(split.axis))
            assert sum(area_mm2(half.ring) for half in halves) == pytest.approx(area_mm2(ring))


def test_an_ell_that_only_joins_at_its_corner_is_answered() -> None:
    patch = a_patch(ring=ELL, pile=90)
    job = Job("x", (patch,))
    candidates = [a_piece("A", 640, 820), a_piece("B", 370, 330)]
    plan = fit(job, [candidates])
    pieces = {each.piece.tag: each.piece for each in candidates}
    assert not check_plan(job, pieces, {each.style.name: each.style for each in candidates}, plan)


def test_a_seam_that_runs_on_along_a_wall_takes_the_allowance_of_a_wall_there() -> None:
    """An L whose inward side, x = 700 from y = 300 up, is a wall: a seam below it leaves 76.2 beside the wall, not 25.4."""
    ell = ((0, 0), (1000, 0), (1000, 300), (700, 300), (700, 800), (0, 800))
    edges = ("seam", "seam", "seam", "wall", "seam", "seam")
    # 700 + 25.4 + 25.4 across the seam, 700 + 25.4 + 76.2 across the wall; 800 and 2 x 25.4 long.
    narrow, wide = a_piece("R-1", 800, 900), a_piece("R-1", 802, 900)
    right = a_piece("R-2", 351, 400)  # 300 and 2 x 25.4 across, 300 and 2 x 25.4 along
    job = a_job(a_patch(ring=ell, edges=edges), allowance=Allowance(), min_part=100)
    plan = a_plan(job, wide, right)
    (seam,) = plan.patches[0].seams
    assert (seam.kind, seam.length_mm) == (SeamKind.SIDE, 300)
    assert Finish.WALL in plan.patches[0].parts[0].finishes
    assert not a_plan(job, narrow, right).patches[0].parts
