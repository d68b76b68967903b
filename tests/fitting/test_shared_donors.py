"""Three parts of a rectangle of which one piece gives several: what is alike is asked once, and a no is told to the end."""

import random
from collections import defaultdict
from dataclasses import replace

import pytest

from remnants.fitting import FitRules
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.same_donor_layouts import Seamed, shared_donors
from remnants.geometry.outline import Outline, outline_of
from remnants.model import Allowance
from tests.fitting.builders import a_job, a_patch, a_piece
from tests.thorough import share

TAKES = Allowance(10, 40, 25)


def leftover(rng: random.Random) -> Outline:
    """What is left of a piece of which one corner was cut away, or two."""
    width, length = rng.randrange(600, 1200, 50), rng.randrange(600, 1200, 50)
    x, y = rng.randrange(200, width, 50), rng.randrange(200, length, 50)
    ring = [(0, 0), (width, 0), (width, y), (x, y), (x, length), (0, length)]
    if rng.random() < 0.5:
        ring = [(150, 0), *ring[1:5], (0, length), (0, 150), (150, 150)]
    return outline_of(ring)


@pytest.mark.parametrize("seed", range(share(30)))
def test_of_ways_that_are_alike_all_can_be_laid_or_none(seed: int) -> None:
    """Parts beside one another change places, the piece lies the other way round, or another one just like it is taken."""
    rng = random.Random(seed)
    outline = leftover(rng)
    width = rng.randrange(300, 900, 50)
    edges = [rng.choice(("seam", "wall", "transition")) for _ in range(4)]
    job = a_job(a_patch(width, rng.uniform(0.5, 0.9) * outline.usable_area_mm2 / width, edges=edges, parts=3), allowance=TAKES)
    ask = ask_of(job, job.patches[0], FitRules())
    pieces = a_piece("R-1", outline=outline), a_piece("R-2", outline=outline)
    donors = [Donor(piece, outline, turn) for piece in pieces for turn in (0.0, 180.0)]
    ways = Seamed.all_of(ask.shape, donors[0], ask.min_part_mm, parts=3)
    told, kinds = defaultdict[object, set[bool]](set), dict[Outline, int]()
    for way in ways:
        for donor in donors:
            told[way.alike((donor,) * 3, kinds)].add(way.laid_on(ask, (donor,) * 3) is not None)
    assert 2 <= len(told) <= len(ways)
    assert all(len(answers) == 1 for answers in told.values())


def test_a_no_to_three_parts_of_one_leftover_is_told_to_the_end() -> None:
    """406 x 1120 mm of a leftover 1524 x 1270 with two corners cut off: some ways took 5,000 programmes, and were given up."""
    outline = outline_of([(0, 1270), (0, 1067), (406, 1067), (406, 0), (1524, 0), (1524, 508), (610, 508), (610, 1270)])
    job = a_job(a_patch(356, 1070, parts=3), allowance=Allowance(25, 25, 25), min_part=150)
    ask = replace(ask_of(job, job.patches[0], FitRules()), programmes=400)
    assert list(shared_donors(ask, ask.shape, [Donor(a_piece("R-1", outline=outline), outline, 0.0)], 3)) == []
    assert ask.undecided == set()
