"""A style described by what a photograph shows: filled in where nothing was told, never against what a tape or a mill told."""

import pytest

from remnants.actions.measured_style import PatternSeen, with_pattern
from remnants.errors import BadInput
from remnants.model import Style
from remnants.model.style import Repeat
from remnants.photo.measures import Length
from remnants.units import Unit

SEEN = PatternSeen(Length(300.0, 2.0), Length(450.0, 3.0), 4.0)


def test_a_bare_style_gets_repeat_bar_and_rows() -> None:
    found = with_pattern(Style("Elmore Weave"), SEEN, Unit.MM)
    assert found == Style("Elmore Weave", repeat=Repeat(300.0, 450.0), repeat_bar_mm=3.0, row_mm=4.0)


def test_what_a_tape_told_stays_where_the_photograph_agrees_and_is_never_overwritten() -> None:
    taped = Style("Elmore Weave", repeat=Repeat(301.0, 449.0, 0.5), row_mm=4.05)
    assert with_pattern(taped, SEEN, Unit.MM) == taped
    other = Style("Elmore Weave", repeat=Repeat(310.0, 449.0))
    with pytest.raises(BadInput, match="has a repeat of 310 mm x 449 mm already"):
        with_pattern(other, SEEN, Unit.MM)


def test_a_repeat_of_an_earlier_photograph_gives_way_and_keeps_its_drop() -> None:
    earlier = Style("Elmore Weave", repeat=Repeat(310.0, 449.0, 0.5), repeat_bar_mm=9.0)
    assert with_pattern(earlier, SEEN, Unit.MM).repeat == Repeat(300.0, 450.0, 0.5)


def test_nothing_seen_describes_nothing() -> None:
    with pytest.raises(BadInput, match="neither is seen there"):
        with_pattern(Style("Elmore Weave"), PatternSeen(across=Length(300.0, 2.0)), Unit.MM)
