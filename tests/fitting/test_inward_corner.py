"""A seam through an inward corner of a patch: the halves carry no spur along the edge that it runs over."""

import pytest

from remnants.fitting import fit
from remnants.fitting.shape import Axis, Shape, splits
from remnants.geometry.outline import TOLERANCE_MM, area_mm2
from remnants.model import Allowance, Finish, Job
from remnants.proof import check_plan
from tests.fitting.builders import a_patch, a_piece

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
                assert half.finishes.count(Finish.SEAM) == 1
            assert sum(area_mm2(half.ring) for half in halves) == pytest.approx(area_mm2(ring))


def test_an_ell_that_only_joins_at_its_corner_is_answered() -> None:
    patch = a_patch(ring=ELL, pile=90)
    job = Job("x", (patch,))
    candidates = [a_piece("A", 640, 820), a_piece("B", 370, 330)]
    plan = fit(job, [candidates])
    pieces = {each.piece.tag: each.piece for each in candidates}
    assert not check_plan(job, pieces, {each.style.name: each.style for each in candidates}, plan)
