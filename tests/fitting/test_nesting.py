"""Odd parts nested on one donor: what was cut out of it is found again, exactly, also beside cutouts and patterns."""

import random

import pytest

from remnants.fitting import fit
from remnants.fitting.sharing.nesting import Nest
from remnants.geometry.lie import overlap
from remnants.geometry.outline import Ring, area_mm2, outline_of, rectangle
from remnants.geometry.turn import moved_ring, turned
from remnants.model import Construction, Plan, Repeat, Style, Verdict
from remnants.packing import Watch
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of
from tests.planted import cut_up

TRIES = 400
"""Far more than these need; a bound on tries, not on time."""


def test_what_is_cut_up_is_all_there_and_apart() -> None:
    for seed in range(20):
        rings = cut_up(random.Random(seed), 3000, 4000, 14)
        assert len(rings) == 14
        assert sum(map(area_mm2, rings)) == pytest.approx(12e6, abs=50)
        assert not any(overlap(one, two) for place, one in enumerate(rings) for two in rings[:place])


def planted(seed: int, parts: int, used: float) -> tuple[list[Ring], list[Ring]]:
    """Cutouts of a 3000 x 4000 mm piece, and the parts asked for: `used` of the rest, at least."""
    rng = random.Random(seed)
    rings = sorted(cut_up(rng, 3000, 4000, parts), key=area_mm2)
    cutouts = [rings.pop(rng.randrange(3))]
    usable = sum(map(area_mm2, rings))
    for ring in sorted(rings, key=area_mm2):
        if sum(map(area_mm2, rings)) - area_mm2(ring) >= used * usable:
            rings.remove(ring)
    return cutouts, rings


def nested(cutouts: list[Ring], parts: list[Ring], *, turn: float = 0.0, seed: int = 0, tries: int = TRIES) -> Plan:
    """The plan for these parts on the piece less its cutouts, turned by `turn` against the room."""
    outline = turned(outline_of(rectangle(3000, 4000).ring, cutouts), turn)
    pieces = [a_piece("R-1", outline=outline, pile=turn)]
    job = a_job(*(a_patch(ring=ring, name=f"p{index}", parts=1, edges="free") for index, ring in enumerate(parts)))
    plan = fit(job, [pieces] * len(parts), watch=Watch(tries=tries), seed=seed)
    assert faults_of(job, pieces, plan) == ()
    return plan


@pytest.mark.parametrize("seed", [2, 3, 4, 5])
def test_all_odd_parts_planted_in_a_piece_with_a_cutout_are_found(seed: int) -> None:
    plan = nested(*planted(seed, 8, 0.85))
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound == "best possible"


def test_a_donor_that_lies_another_way_than_the_room_is_nested_the_same() -> None:
    assert nested(*planted(2, 8, 0.8), turn=90.0).verdict is Verdict.WHOLE
    assert nested(*planted(3, 7, 0.8), turn=25.0).verdict is Verdict.WHOLE


def test_the_same_seed_nests_the_same() -> None:
    given = planted(4, 8, 0.85)
    assert nested(*given, seed=5) == nested(*given, seed=5)


def test_more_area_than_the_donor_has_is_never_placed() -> None:
    parts = cut_up(random.Random(1), 3000, 4000, 6)
    plan = nested([parts[0]], parts, tries=12)
    assert plan.verdict is Verdict.PARTLY


def test_patterned_parts_are_nested_on_their_lattice() -> None:
    """A repeat of 200 x 300 in half-drop; each part is the size of what was cut out at a lattice move, its own motif there."""
    style = Style("Velder Trellis", Construction.CUT, repeat=Repeat(200, 300, 0.5))
    piece = a_piece("R-1", 1000, 1200, style=style, motif=(0, 0))
    boxes = [(0, 0, 400, 600), (400, 0, 1000, 450), (400, 450, 1000, 1200), (0, 600, 400, 1200)]
    parts = [[(x - left, y - low) for x, y in rectangle_at(left, low, right, top)] for left, low, right, top in boxes]
    motifs = [(-left % 200, 0.0) for left, low, _, _ in boxes]
    patches = [
        a_patch(ring=ring, name=f"p{index}", parts=1, edges="free", motif=(motif[0], -box[1]))
        for index, (ring, motif, box) in enumerate(zip(parts, motifs, boxes, strict=True))
    ]
    job = a_job(*patches)
    plan = fit(job, [[piece]] * 4, watch=Watch(tries=TRIES))
    assert faults_of(job, [piece], plan) == ()
    assert plan.verdict is Verdict.WHOLE


def rectangle_at(left: float, low: float, right: float, top: float) -> list[tuple[float, float]]:
    return [(left, low), (right, low), (right, top), (left, top)]


def test_a_nest_settles_exactly_and_keeps_to_given_sites() -> None:
    """Two squares on a strip that just holds them; one may lie at the right end only."""
    square = rectangle(500, 500).ring
    strip = outline_of(rectangle(1000, 500).ring)
    nest = Nest([square, square], strip, sites=[[(500.0, 0.0)], None])
    moves = next(found for _ in range(100) if (found := nest.work(2)) is not None)
    assert moves[0] == (500.0, 0.0)
    assert moves[1] == pytest.approx((0, 0), abs=0.01)
    assert not overlap(moved_ring(square, moves[0]), moved_ring(square, moves[1]))
