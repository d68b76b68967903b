"""Odd parts laid from one end of a piece on: each place is a right one, and what fills a piece without a gap goes in."""

import random
from collections.abc import Iterator
from itertools import combinations

import pytest
import shapely

from remnants.fitting import FitRules
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.best_way import best_for
from remnants.fitting.sharing import make_room
from remnants.fitting.sharing.donors_left import fields_of
from remnants.fitting.sharing.from_one_end import Ends, Way
from remnants.geometry.lie import overlap
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, outline_of, rectangle
from remnants.geometry.turn import moved_ring
from tests.fitting.builders import a_job, a_patch, a_piece
from tests.planted import cut_up

WIDTH, LENGTH = 3000.0, 4000.0


def most_of(rings: list[Ring], outline: Outline, width: int) -> tuple[tuple[int, Point], ...]:
    """What is laid in the end."""
    *_, most = Ends(rings, outline).laid(Way(width, 0.1, 1e-4))
    return most


def planted(seed: int, parts: int, *, without: int = 2) -> tuple[list[Ring], Outline]:
    """A piece cut up, without a few of its parts; two more of them are cutouts."""
    rng = random.Random(seed)
    rings = sorted(cut_up(rng, WIDTH, LENGTH, parts), key=area_mm2)
    cutouts = [rings.pop(rng.randrange(len(rings) // 2)) for _ in range(2)]
    return rng.sample(rings, len(rings) - without), outline_of(rectangle(WIDTH, LENGTH).ring, cutouts)


def test_three_parts_that_fill_a_piece_are_all_laid() -> None:
    """1000 x 1000, of it a foot of 1000 x 300 and a corner of 400 x 700 beside one of 600 x 700."""
    rings = [rectangle(600, 700).ring, rectangle(1000, 300).ring, rectangle(400, 700).ring]
    laid = dict(most_of(rings, rectangle(1000, 1000), 10))
    assert laid.keys() == {0, 1, 2}
    assert sum(abs(area_mm2(ring)) for ring in rings) == 1000 * 1000


def test_what_has_no_place_is_left_out_and_the_rest_is_laid() -> None:
    assert [number for number, _ in most_of([rectangle(900, 400).ring, rectangle(300, 1100).ring], rectangle(1000, 1000), 5)] == [
        0
    ]


@pytest.mark.parametrize("seed", range(4))
def test_parts_lie_on_the_piece_and_clear_of_cutouts_and_of_one_another(seed: int) -> None:
    rings, outline = planted(seed, 12)
    steps = list(Ends(rings, outline).laid(Way(4, 0.1, 1 / 3)))
    assert [len(step) for step in steps] == sorted(len(step) for step in steps)
    lies = [moved_ring(rings[number], move) for number, move in steps[-1]]
    assert len({number for number, _ in steps[-1]}) == len(lies) >= len(rings) // 2
    room = outline.usable.buffer(TOLERANCE_MM, join_style="mitre")
    for index, ring in enumerate(lies):
        assert room.covers(shapely.Polygon(ring))
        assert not any(overlap(ring, other) for other in lies[:index])


@pytest.mark.parametrize("seed", [1, 4, 5])
def test_all_parts_cut_out_of_a_piece_are_laid_on_it_again(seed: int) -> None:
    rings, outline = planted(seed, 20, without=4)
    assert len(most_of(rings, outline, 15)) == len(rings)


def test_rounds_from_the_ends_come_to_an_end_and_what_then_has_no_place_is_nested(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nine squares of 400 fill 1200 x 1200. No round comes twice."""
    tried = list[Way]()

    def counted(_: Ends, way: Way) -> Iterator[tuple[tuple[int, Point], ...]]:
        tried.append(way)
        yield ()

    monkeypatch.setattr(Ends, "laid", counted)
    job = a_job(*(a_patch(400, 400, name=f"p{number}", parts=1, edges="free") for number in range(9)))
    asks = [ask_of(job, patch, FitRules(placements=2, donors_weighed=1)) for patch in job.patches]
    offered = [a_piece("R-1", 1200, 1200)]
    alone = [best_for(ask, field) for ask, field in zip(asks, fields_of(asks, [offered] * len(asks)), strict=True)]
    plans = make_room.squeezes(asks, [offered] * len(asks), alone, [None] * len(asks), random.Random(1))
    plan = next(plan for plan in plans if plan is not None)
    assert tried == list(make_room.FROM_ENDS)
    assert all(plan)


def test_patches_laid_from_one_end_become_a_plan_and_those_without_a_place_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nine odd patches on one piece: the first plan that comes holds what was laid, each clear of all others."""
    monkeypatch.setattr(make_room, "FROM_ENDS", (Way(3, 0.1, 1e-4),))
    rings, outline = planted(5, 13)
    job = a_job(*(a_patch(ring=ring, name=f"p{number}", parts=1, edges="free") for number, ring in enumerate(rings)))
    asks = [ask_of(job, patch, FitRules(placements=2, donors_weighed=1)) for patch in job.patches]
    offered = [a_piece("R-1", outline=outline)]
    alone = [best_for(ask, field) for ask, field in zip(asks, fields_of(asks, [offered] * len(asks)), strict=True)]
    plans = make_room.squeezes(asks, [offered] * len(asks), alone, [None] * len(asks), random.Random(1))
    plan = next(plan for plan in plans if plan is not None)
    cuts = [cut for made in plan if made is not None for _, cut in made.cuts]
    assert len(cuts) == len(most_of(rings, outline, 3)) >= 6
    assert not any(overlap(one, two) for one, two in combinations(cuts, 2))
    assert all(outline.usable.buffer(TOLERANCE_MM, join_style="mitre").covers(shapely.Polygon(cut)) for cut in cuts)
