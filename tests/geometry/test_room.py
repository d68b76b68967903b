"""How wide a part may be on a piece, against bisection with the exact containment of `lie`."""

import random

import numpy as np
import pytest

from remnants.geometry.lie import Ground, fits
from remnants.geometry.outline import outline_of, rectangle
from remnants.geometry.room import room_for
from tests.geometry.test_lie import star


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("axis", [0, 1])
def test_the_figure_is_where_fitting_ends(seed: int, axis: int) -> None:
    rng = random.Random(seed)
    cutouts = [star(rng, 5, 150, (rng.uniform(-400, 400), rng.uniform(-400, 400))) for _ in range(rng.randint(0, 2))]
    ground = Ground(outline_of(star(rng, rng.randint(3, 14), 1000), cutouts))
    other = rng.uniform(50, 1200)
    room = room_for(ground, axis, other)

    def lies(extent: float) -> bool:
        sizes = (extent, other) if axis == 0 else (other, extent)
        return fits(ground, rectangle(*sizes).ring)

    if np.isfinite(room) and room > 1:
        assert lies(room - 0.01)
        assert not lies(room + 0.01)
    else:
        assert not lies(1.0)


def test_a_step_in_an_l_shape() -> None:
    """400 wide over the lower 100; 150 wide all the way up 300."""
    ground = Ground(outline_of([(0, 0), (400, 0), (400, 100), (150, 100), (150, 300), (0, 300)]))
    assert room_for(ground, 0, 100) == pytest.approx(400, abs=0.011)
    assert room_for(ground, 0, 101) == pytest.approx(150, abs=0.011)
    assert room_for(ground, 1, 151) == pytest.approx(100, abs=0.011)
    assert room_for(ground, 1, 401) == -np.inf
