"""Patterned goods of several patches in one model: what the pieces can give together, and never more."""

import random
from collections.abc import Sequence
from itertools import product

import pytest

from remnants.geometry.outline import Ring, bounds, rectangle
from remnants.geometry.turn import moved_ring
from remnants.model import Candidate, Job, Patch, Repeat, Style
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan
from tests.fitting.test_columns import asked, by_columns, filled
from tests.thorough import share

TRELLIS = Style("Velder Trellis", repeat=Repeat(500, 500))


@pytest.mark.parametrize(("width", "both"), [(900, True), (899, False)])
def test_two_patches_of_one_piece_lie_a_whole_repeat_apart(width: int, both: bool) -> None:
    """400 and 400 side by side would do with 800, but the pattern sets the second at 500: 500 + 400."""
    job = a_job(*(a_patch(400, 400, name=f"hall {n}", parts=1, motif=(0, 0)) for n in range(2)))
    plan = a_plan(job, a_piece("R-1", width, 400, style=TRELLIS, motif=(0, 0)))
    assert filled(plan) == 1 + both
    assert plan.bound == "best possible"


@pytest.mark.parametrize(("width", "met"), [(600, True), (599, False)])
def test_parts_that_share_a_piece_with_another_patch_meet_each_other(width: int, met: bool) -> None:
    """A hall of 600 x 300 that tells no motif point and a closet of 250 x 310, for which R-1 of 300 x 300 is too short.

    R-1 gives the hall's left half. The other one goes on in the pattern from 300 to 600 on R-2, the closet before it. The other
    way round the hall's left half would lie from 200 to 500, and the closet at 500. Of plain goods 300 + 250 would do.
    """
    job = a_job(a_patch(600, 300, name="hall"), a_patch(250, 310, name="closet", parts=1))
    pieces = [a_piece("R-1", 300, 300, style=TRELLIS, motif=(0, 0)), a_piece("R-2", width, 310, style=TRELLIS, motif=(0, 0))]
    plan = a_plan(job, *pieces)
    assert (filled(plan) == 2) is met
    assert plan.bound == "best possible"
    plain = a_plan(job, a_piece("R-1", 300, 300), a_piece("R-2", 550, 310))
    assert filled(plain) == 2


def _most_by_trying_all(job: Job, pieces: Sequence[Candidate]) -> int:
    """The most patches that can be cut whole, every place of the pattern tried for each."""
    asks, donors = asked(job, pieces)
    places: list[list[tuple[str, Ring] | None]] = []
    for ask, own in zip(asks, donors, strict=True):
        laid = [(donor.tag, donor.to_piece(ask.shape.cut, move)) for donor in own for move in ask.moves(ask.shape, donor) or ()]
        places.append([None, *laid])
    return max(sum(each is not None for each in chosen) for chosen in product(*places) if _clear(chosen))


def _clear(chosen: Sequence[tuple[str, Ring] | None]) -> bool:
    laid = [each for each in chosen if each is not None]
    return not any(
        one[0] == two[0] and _overlap(bounds(one[1]), bounds(two[1])) for i, one in enumerate(laid) for two in laid[:i]
    )


def _overlap(one: Sequence[float], two: Sequence[float]) -> bool:
    return min(one[2], two[2]) - max(one[0], two[0]) > 0.01 and min(one[3], two[3]) - max(one[1], two[1]) > 0.01


def test_no_more_and_no_fewer_patches_come_whole_than_where_each_place_of_the_pattern_is_tried() -> None:
    told = 0
    for seed in range(1, 1 + share(36)):
        dice = random.Random(seed)
        repeat = Repeat(dice.choice((150, 230)), dice.choice((180, 260)), dice.choice((0.0, 0.5)))
        style, turns = Style("Velder Trellis", repeat=repeat), dice.choice(((0.0,), (0.0, 180.0)))
        patches = [a_patch(*_size(dice, 200, 400), name=f"hall {n}", parts=1, motif=_spot(dice), turns=turns) for n in range(3)]
        job = a_job(*patches)
        pieces = [a_piece(f"R-{n}", *_size(dice, 350, 700), style=style, motif=_spot(dice)) for n in range(2)]
        answer, most = by_columns(*asked(job, pieces)), _most_by_trying_all(job, pieces)
        assert answer is not None
        assert answer.bound.unfilled <= len(patches) - most, seed
        if answer.proved:
            told += 1
            assert sum(each is not None for each in answer.made) == most, seed
    assert told > share(36) * 0.9


def _size(dice: random.Random, low: int, high: int) -> tuple[int, int]:
    return dice.randrange(low, high, 10), dice.randrange(low, high, 10)


def _spot(dice: random.Random) -> tuple[float, float]:
    return dice.uniform(0, 200), dice.uniform(0, 200)


@pytest.mark.parametrize("motif_told", [True, False])
def test_patterned_patches_that_were_cut_from_the_pieces_are_never_called_too_much_for_them(motif_told: bool) -> None:
    """Each of two patches is parted by a seam, the parts laid in rows on two pieces, the pattern met: most are found again."""
    found = 0
    seeds = range(1, 1 + share(24))
    for seed in seeds:
        dice = random.Random(seed)
        style = Style("Velder Trellis", repeat=Repeat(dice.uniform(120, 300), dice.uniform(120, 300)))
        motifs = [_spot(dice), _spot(dice)]
        rows: list[list[Ring]] = [[], []]
        patches: list[Patch] = []
        for n in range(2):
            width, length = dice.uniform(400, 800), dice.uniform(200, 500)
            motif, at = _spot(dice), dice.uniform(0.3, 0.7) * width
            for (left, right), row in zip(((0.0, at), (at, width)), dice.choice(((0, 1), (1, 0), (0, 0))), strict=True):
                part = moved_ring(rectangle(right - left, length).ring, (left, 0.0))
                rows[row].append(_next_in_row(part, rows[row], motif, motifs[row], style))
            patches.append(a_patch(width, length, name=f"hall {n}", motif=motif if motif_told else None))
        pieces = [_round(f"R-{n}", row, motif, style) for n, (row, motif) in enumerate(zip(rows, motifs, strict=True)) if row]
        job = a_job(*patches)
        answer = by_columns(*asked(job, pieces))
        assert answer is not None
        assert answer.bound.unfilled == 0, seed
        found += all(answer.made)
    assert found >= 0.9 * len(seeds)


def _next_in_row(part: Ring, row: Sequence[Ring], motif: tuple[float, float], onto: tuple[float, float], style: Style) -> Ring:
    """A part of a patch moved to the first place of the pattern beyond the row."""
    assert style.repeat is not None
    end = max((bounds(ring)[2] for ring in row), default=0.0)
    x, y = onto[0] - motif[0], onto[1] - motif[1]
    while x + bounds(part)[0] < end:
        x += style.repeat.across_mm
    return moved_ring(part, (x, y))


def _round(tag: str, row: Sequence[Ring], motif: tuple[float, float], style: Style) -> Candidate:
    """A rectangle round what lies in a row."""
    left, bottom, right, top = bounds([point for ring in row for point in ring])
    spot = (motif[0] - left, motif[1] - bottom)
    return a_piece(tag, right - left, top - bottom, style=style, motif=spot)
