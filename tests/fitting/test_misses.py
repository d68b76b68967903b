"""What the arrays say of all donors at once is what exact geometry says of each, and a kept staircase changes no plan."""

import random
from dataclasses import replace

import pytest

from remnants.fitting import FitRules, fit
from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.telling.misses import Misses, miss_of
from remnants.geometry import staircase_of
from remnants.geometry.outline import TOLERANCE_MM, outline_of
from remnants.geometry.room import room_for
from remnants.model import Allowance, Candidate
from remnants.units import Unit
from tests.fitting.builders import OTHER, SAME, a_job, a_patch, a_piece
from tests.shapes import odd_outline

TURNS = (0.0, 90.0, 180.0, 270.0)


def stock(seed: int, count: int) -> list[Candidate]:
    """Half rectangles, half odd ones whose staircase is kept; two lots, some worn, piles along and across."""
    dice = random.Random(seed)
    made = []
    for number in range(count):
        width, length = dice.randrange(200, 1500), dice.randrange(200, 1500)
        odd = number % 2 == 0
        outline = odd_outline(dice, width, length) if odd else None
        match = replace(dice.choice((SAME, OTHER)), wear_steps=dice.randrange(3))
        pile = dice.choice((0.0, 90.0, 180.0))
        candidate = a_piece(f"R-{number:03d}", width, length, outline=outline, match=match, pile=pile, lot=dice.choice("AB"))
        kept = staircase_of(candidate.piece.outline, pile).pack() if odd else None
        made.append(replace(candidate, staircase=kept))
    return made


def field_of(candidates: list[Candidate], turns: tuple[float, ...]) -> Field:
    left = {candidate.piece.tag: candidate.piece.outline for candidate in candidates}
    return Field(tuple(donors_of(a_patch(1, 1, turns=turns), candidates, left)))


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("other_mm", [90.0, 350.0, 700.0, 1250.0])
def test_rooms_told_from_arrays_bound_the_exact_ones_however_the_pile_lies(axis: int, other_mm: float) -> None:
    field = field_of(stock(1, 60), TURNS)
    told = field.room(axis, other_mm)
    known = 0
    for place, donor in enumerate(field.donors):
        exact = room_for(donor.ground, axis, other_mm)
        assert told.certain[place] <= exact + TOLERANCE_MM
        assert told.possible[place] >= exact - TOLERANCE_MM
        known += told.possible[place] == -float("inf") or told.possible[place] <= told.certain[place] + 3 * TOLERANCE_MM
    assert known > len(field.donors) * 0.7  # rectangles and square-cut ones exactly, so that exact work stays rare


def test_donors_picked_from_a_field_keep_their_figures() -> None:
    candidates = stock(2, 40)
    whole = field_of(candidates, TURNS)
    chosen = whole.areas > sorted(whole.areas)[len(whole.areas) // 3]
    picked = whole.some(chosen).some(whole.shades[chosen] > 100)
    alone = Field(picked.donors)
    for name in ("sizes", "areas", "plain", "pieces", "shades", "screened"):
        ours, anew = getattr(picked, name), getattr(alone, name)
        if name == "pieces":
            ours, anew = [[list(each).index(one) for one in each] for each in (ours, anew)]
        assert list(map(str, ours)) == list(map(str, anew)), name
    assert list(picked.room(0, 300).possible) == list(alone.room(0, 300).possible)
    numbers, firsts = picked.kinds
    for place, donor in enumerate(picked.donors):
        first = firsts[numbers[place]]
        assert (first.candidate.piece.lot, first.lay_deg) == (donor.candidate.piece.lot, donor.lay_deg)
        assert place in picked.of_kind(int(numbers[place]))


@pytest.mark.parametrize("ring", [(), [(0, 0), (500, 0), (500, 200), (200, 200), (200, 600), (0, 600)]])
@pytest.mark.parametrize("unit", [Unit.MM, Unit.FT])
def test_misses_told_at_once_are_those_told_one_by_one(ring: list[tuple[float, float]], unit: Unit) -> None:
    job = a_job(a_patch(480, 520, ring=ring), allowance=Allowance(10.0), unit=unit)
    ask = ask_of(job, job.patches[0], FitRules())
    field = field_of(stock(3, 120), (0.0,))
    told = Misses(ask, field, unit)
    kinds = set()
    for place, donor in enumerate(field.donors):
        bare = Donor(replace(donor.candidate, staircase=None), donor.left, donor.turn_deg)
        alone = miss_of(ask, bare, unit)
        assert told.words(place) == (alone.words if alone else "")
        assert told.missing_mm[place] == pytest.approx(alone.missing_mm if alone else -float("inf"), abs=2 * TOLERANCE_MM)
        kinds.add(told.words(place).partition("short")[2] if alone else "fits")
    assert len(kinds) >= 4
    nearest = told.nearest
    assert nearest is not None
    assert told.missing_mm[nearest] == min(missing for missing in told.missing_mm if missing > -float("inf"))


@pytest.mark.parametrize("seed", range(6))
def test_a_kept_staircase_saves_work_and_changes_no_plan(seed: int) -> None:
    candidates = stock(10 + seed, 40)
    job = a_job(a_patch(900 + 150 * seed, 700, turns=(0.0, 90.0)), allowance=Allowance(10.0), min_part=100)
    assert fit(job, [candidates]) == fit(job, [[replace(candidate, staircase=None) for candidate in candidates]])


def test_the_least_lacking_is_told_of_pieces_that_lack_alike_by_tag() -> None:
    pair = [a_piece(tag, 500, 400) for tag in ("R-2", "R-1")]
    job = a_job(a_patch(600, 400))
    misses = Misses(ask_of(job, job.patches[0], FitRules()), field_of(pair, (0.0,)), Unit.MM)
    assert misses.nearest is not None
    assert misses.field.donors[misses.nearest].tag == "R-1"
    assert misses.words(misses.nearest) == "100 mm short across the pile"


def test_a_cutout_in_the_only_place_is_told_with_what_is_clear_of_it() -> None:
    """600 x 400 with a hole of 100 x 100 in its middle: clear of it 250 x 400 and 600 x 150, by hand."""
    outline = outline_of([(0, 0), (600, 0), (600, 400), (0, 400)], [[(250, 150), (350, 150), (350, 250), (250, 250)]])
    bare = a_piece("R-1", outline=outline)
    kept = replace(bare, staircase=staircase_of(outline).pack())
    job = a_job(a_patch(300, 350))
    misses = Misses(ask_of(job, job.patches[0], FitRules()), field_of([kept], (0.0,)), Unit.MM)
    assert misses.words(0) == "50 mm short across the pile, clear of cutouts and edges"


def test_a_piece_passed_over_is_told_by_the_allowed_turn_that_serves_it_best() -> None:
    """R-1 is 320 x 950, 600 short across; turned a quarter it is 30 wider and 80 short along. R-2 fits turned, where R-3 fits as
    it lies: nothing is amiss with it."""
    job = a_job(a_patch(920, 400, parts=1, turns=(0.0, 90.0)))
    pieces = [a_piece("R-1", 320, 950), a_piece("R-2", 400, 930), a_piece("R-3", 920, 400)]
    reasons = {passed.piece: passed.reason for passed in fit(job, [pieces]).passed_over}
    assert reasons["R-1"] == "80 mm short along the pile, turned 90 degrees"
    assert reasons["R-2"].startswith("would do")


def test_at_the_first_allowed_turn_nothing_is_said_of_turns() -> None:
    """Both turns lack; the first one less."""
    job = a_job(a_patch(920, 400, parts=1, turns=(0.0, 90.0)))
    (passed,) = fit(job, [[a_piece("R-1", 900, 410)]]).passed_over
    assert passed.reason == "20 mm short across the pile"
