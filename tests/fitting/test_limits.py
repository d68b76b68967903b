"""What a search remembers, screens away and gives up on never turns into a wrong yes or a silent no."""

from dataclasses import replace

import pytest

from remnants.errors import GaveUp
from remnants.fitting import FitRules, fit
from remnants.fitting.patch import same_donor_pairs
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor import Effort
from remnants.fitting.patch.shape import Axis, splits
from remnants.geometry.outline import outline_of
from remnants.geometry.staircase import staircase_of
from remnants.model import Allowance, Candidate, Verdict
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan


def test_a_threshold_is_never_that_of_a_donor_long_gone() -> None:
    """Donors come and go while many patches search; a new one may stand where an old one stood in memory."""
    job = a_job(a_patch(1000, 400))
    ask = ask_of(job, job.patches[0], FitRules())
    split = splits(ask.shape, Axis.ACROSS)[0]
    large, small = a_piece("R-1", 800, 400), a_piece("R-2", 300, 400)
    for _ in range(50):
        for candidate, width in ((large, 800), (small, 300)):
            donor = Donor(candidate, candidate.piece.outline, 0.0)
            assert ask.threshold(split, True, donor) == pytest.approx(width, abs=0.02)
            del donor


def test_one_donor_gives_both_parts_where_the_whole_cut_would_fill_a_hole() -> None:
    """A frame of 600 x 600 round a hole, open by 20 at its right. Allowance 10 closes the mouth, so the whole cut is the full
    360,000 mm²; cut at the bottom bar, both parts lie in a donor that is itself a frame of 600² - 380² = 215,600 mm²."""
    ring = [(0, 0), (600, 0), (600, 290), (500, 290), (500, 100), (100, 100), (100, 500), (500, 500), (500, 310), (600, 310)]
    ring += [(600, 600), (0, 600)]
    edges = ["free", "free", *["wall"] * 7, *["free"] * 3]
    job = a_job(a_patch(ring=ring, edges=edges), allowance=Allowance(0, 10, 10), min_part=10)
    frame = a_piece("R-1", 600, 600, cutouts=[((110, 110), (490, 110), (490, 490), (110, 490))])
    assert a_plan(job, frame).verdict is Verdict.JOINED


def test_a_stored_staircase_screens_no_part_away_that_is_no_rectangle() -> None:
    """An L-shaped half lies on an L-shaped donor though its bounding rectangle doesn't."""
    ring = [(0, 0), (1000, 0), (1000, 300), (300, 300), (300, 1200), (0, 1200)]
    job = a_job(a_patch(ring=ring))
    ask = ask_of(job, job.patches[0], FitRules())
    outline = outline_of([(0, 0), (800, 0), (800, 300), (300, 300), (300, 1200), (0, 1200)])
    bare = a_piece("R-1", outline=outline)
    stored = Candidate(bare.piece, bare.style, bare.match, staircase_of(outline).pack())
    split = next(split for split in splits(ask.shape, Axis.ACROSS) if split.low >= 300)
    for candidate in (bare, stored):
        field = Field((Donor(candidate, candidate.piece.outline, 0.0),))
        reaches = Reaches.of(ask, field, split, low=True)
        assert reaches.at[0] >= 800  # optimistic, so that no pair is left out
        assert reaches.settle(0) == pytest.approx(800, abs=0.02)


def test_a_search_that_gives_up_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """A no that isn't proved names what is undecided, and is not called the best possible."""

    def gives_up(*_: object, **__: object) -> None:
        raise GaveUp("too many ways")

    monkeypatch.setattr(same_donor_pairs, "place_together", gives_up)
    corner = outline_of([(0, 0), (600, 0), (600, 300), (300, 300), (300, 800), (0, 800)])
    plan = fit(a_job(a_patch(700, 300)), [[a_piece("R-1", outline=corner)]])
    assert plan.verdict is Verdict.NONE
    assert "R-1" in plan.short[0].reason
    assert "undecided" in plan.short[0].reason
    assert plan.bound != "best possible"


def test_one_donor_is_worth_so_many_programmes_however_often_its_seam_range_is_halved(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left of the effort is handed on, and ends."""
    efforts = []

    def counted(*given: object, effort: Effort) -> None:
        efforts.append(effort)
        effort.left -= 1
        if effort.left < 0:
            raise GaveUp("too many ways")

    monkeypatch.setattr(same_donor_pairs, "place_together", counted)
    job = a_job(a_patch(700, 300))
    corner = outline_of([(0, 0), (600, 0), (600, 300), (300, 300), (300, 800), (0, 800)])
    ask = replace(ask_of(job, job.patches[0], FitRules()), programmes=0)
    donor = Donor(a_piece("R-1", outline=corner), corner, 0.0)
    assert list(same_donor_pairs.one_donor_pairs(ask, ask.shape, Field((donor,)))) == []
    assert efforts and all(effort.left == -1 for effort in efforts)
    assert ask.undecided == {"both parts from R-1"}
