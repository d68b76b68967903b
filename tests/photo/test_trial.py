"""A shop's own trial of a phone: its verdict follows from how likely it is, and needs lengths enough."""

import pytest

from remnants.photo.measures import Length
from remnants.photo.trial import Tried, Verdict, verdict_of
from remnants.report.trial_text import verdict_text


def tried(outside: int, count: int = 9, photos: int = 3) -> list[Tried]:
    return [Tried(Length(600.0, 7.0), 620.0 if at < outside else 603.0, f"p{at % photos}") for at in range(count)]


@pytest.mark.parametrize(
    ("outside", "count", "photos", "verdict"),
    [
        (0, 9, 3, Verdict.GOOD),
        (1, 9, 3, Verdict.GOOD),  # 37 % of true trials have one or more
        (2, 9, 3, Verdict.DOUBTFUL),  # 7 %
        (3, 9, 3, Verdict.BAD),  # 0.8 %
        (2, 12, 4, Verdict.GOOD),  # 12 %
        (0, 8, 3, Verdict.TOO_FEW),
        (0, 9, 2, Verdict.TOO_FEW),
        (3, 5, 1, Verdict.BAD),  # 0.1 %: nobody needs more
        (0, 0, 1, Verdict.TOO_FEW),
    ],
)
def test_the_verdict_follows_from_how_many_lie_outside(outside: int, count: int, photos: int, verdict: Verdict) -> None:
    assert verdict_of(tried(outside, count, photos)) is verdict


def test_each_verdict_says_what_to_do() -> None:
    assert "8 of 9 lengths lie within their bars, in 3 photographs." in verdict_text(tried(1))
    assert "check with a tape" in verdict_text(tried(0)) and "do not measure with it" in verdict_text(tried(3))
    assert "Try three more" in verdict_text(tried(2)) and "3 lengths in each of 3 photographs" in verdict_text(tried(0, 4))
