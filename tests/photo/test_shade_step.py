"""The step in shade between two carpets in one photograph: true within its bar, refused where light or picture don't allow it."""

import pytest

from remnants.errors import BadInput, NotMeasured
from remnants.photo.refusals import WhyNot
from remnants.photo.shade_step import shade_step
from tests.photo.two_carpets import FLOOR_AT, OTHER_AT, two_carpets


def test_steps_are_true_within_their_bars_by_an_instrument_and_by_the_pages_white() -> None:
    """One of twenty lies outside a true bar, so of these ten two may, and none by far."""
    outside = 0
    for seed, step in ((1, 0.0), (2, 2.0), (3, 6.0), (4, 1.0), (5, 3.0)):
        seen = two_carpets(seed, step=step)
        for floor in (seen.told, None):
            found = shade_step(seen.flat, FLOOR_AT, OTHER_AT, floor=floor)
            off = abs(found.delta_e - seen.step)
            assert 0.2 < found.bar < 2.5 and off < 2 * found.bar
            assert abs(found.apart[0] - (seen.other.lightness - seen.floor.lightness)) < 1.5
            outside += off > found.bar
    assert outside <= 2


def test_the_other_way_round_the_step_is_as_large() -> None:
    seen = two_carpets(4, step=4.0)
    there, back = (shade_step(seen.flat, *ends, floor=seen.told) for ends in ((FLOOR_AT, OTHER_AT), (OTHER_AT, FLOOR_AT)))
    assert abs(there.delta_e - back.delta_e) <= there.bar + back.bar
    assert there.apart[0] * back.apart[0] <= 0.0 or abs(there.apart[0]) < 0.5


def test_what_is_burnt_out_or_too_dark_is_refused() -> None:
    for exposed, why in ((6.0, WhyNot.BURNT), (0.005, WhyNot.DARK)):
        seen = two_carpets(5, exposed=exposed)
        with pytest.raises(NotMeasured) as refused:
            shade_step(seen.flat, FLOOR_AT, OTHER_AT, floor=seen.told)
        assert refused.value.why == why


def test_lights_of_two_colours_are_refused() -> None:
    seen = two_carpets(6, light=(0.2, 0.02, 0.5))
    with pytest.raises(NotMeasured, match="two lights of different colour") as refused:
        shade_step(seen.flat, FLOOR_AT, OTHER_AT, floor=seen.told)
    assert refused.value.why == WhyNot.LIGHT


def test_a_carpet_that_is_too_small_in_view_is_refused_and_so_is_a_border_within_it() -> None:
    seen = two_carpets(7, step=8.0)
    with pytest.raises(NotMeasured) as refused:
        shade_step(seen.flat, FLOOR_AT, (250.0, 60.0), floor=seen.told)
    assert refused.value.why == WhyNot.SMALL
    with pytest.raises(NotMeasured, match="a border or a stain runs through") as refused:
        shade_step(seen.flat, (260.0, 20.0), (300.0, -185.0), floor=seen.told)
    assert refused.value.why == WhyNot.LIGHT
    with pytest.raises(BadInput, match="outside the photograph"):
        shade_step(seen.flat, FLOOR_AT, (5000.0, 0.0), floor=seen.told)
