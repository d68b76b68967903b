"""Steps in shade that a photograph told, in the sight of shade: by tag, with their own bar, before shades of two photographs."""

import pytest

from remnants.errors import BadInput
from remnants.matching.seen import shade_range
from remnants.model import Grade, Lab, Wanted
from remnants.model.shade_steps import MeasuredStep, step_to, steps_in

TOLD = "R-0142 2.1 ± 0.8 (graded 2.3 ± 0.9); O-0007 0.3 +- 0.4 (graded 0.2 +- 0.4)"


def test_steps_are_read_as_they_are_written_and_found_by_tag() -> None:
    one, other = steps_in(TOLD)
    assert one == MeasuredStep("R-0142", 2.1, 0.8, 2.3, 0.9) and steps_in(str(one)) == (one,)
    assert step_to(TOLD, "o-0007") == other and step_to(TOLD, "R-01") is None and step_to("", "R-0142") is None


@pytest.mark.parametrize("text", ["R-1", "R-1 2.1", "R-1 2 ± 0 (graded 2 ± 1)", "R-1 200 ± 1 (graded 2 ± 1)", f"{TOLD}; {TOLD}"])
def test_what_is_no_measured_step_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        Wanted(shade_steps=text)
    assert refused.value.faults[0].where == "shade_steps"


def test_a_step_narrows_what_the_lot_leaves_open_by_its_own_bar() -> None:
    """By hand: 2.3 ± 0.9 weighs 1.4 to 3.2; the grey scale has that from 4 (below 2.10) to 3 (below 4.10): grades 1 to 2."""
    one, small = steps_in(TOLD)
    assert shade_range(Grade.LOT_NOT_KNOWN) == (0, 3)
    assert shade_range(Grade.LOT_NOT_KNOWN, step=one) == (1, 2)
    assert shade_range(Grade.LOT_NOT_KNOWN, step=small) == (0, 0)
    rough = Lab(60.0, 0.0, 0.0, "photo"), Lab(60.0, 0.0, 0.0)
    assert shade_range(Grade.LOT_NOT_KNOWN, measured=rough, step=one) == (1, 2), "surer than two photographs"
    sure = Lab(60.0, 0.0, 0.0), Lab(60.0, 0.0, 0.0)
    assert shade_range(Grade.LOT_NOT_KNOWN, measured=sure, step=one) == (0, 0), "an instrument on both sides is surer still"
