"""Parts of a rectangle of which one piece gives several: alike is asked once, a no is told to the end, less seen is taken."""

import random
from collections import Counter, defaultdict
from dataclasses import replace

import pytest

from remnants.fitting import FitRules
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.best_of_more import least_of_more
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.same_donor_layouts import Seamed, shared_donors
from remnants.geometry.outline import Outline, outline_of
from remnants.model import Allowance, Construction, Style
from remnants.model.plan import SeamKind
from tests.fitting.builders import a_job, a_patch, a_piece, a_plan
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
            laid = way.laid_on((donor,) * 3, ask.effort())
            told[way.alike((donor,) * 3, kinds)].add(laid is not None)
            assert laid is None or not way.is_too_wide_for((donor,) * 3)
    assert 2 <= len(told) <= len(ways)
    assert all(len(answers) == 1 for answers in told.values())


def test_a_no_to_three_parts_of_one_leftover_is_told_to_the_end() -> None:
    """406 x 1120 mm of a leftover 1524 x 1270 with two corners cut off: some ways took 5,000 programmes, and were given up."""
    outline = outline_of([(0, 1270), (0, 1067), (406, 1067), (406, 0), (1524, 0), (1524, 508), (610, 508), (610, 1270)])
    job = a_job(a_patch(356, 1070, parts=3), allowance=Allowance(25, 25, 25), min_part=150)
    ask = replace(ask_of(job, job.patches[0], FitRules()), programmes=400)
    assert list(shared_donors(ask, ask.shape, [Donor(a_piece("R-1", outline=outline), outline, 0.0)], 3)) == []
    assert ask.undecided == set()


@pytest.mark.parametrize(
    ("width", "sizes", "cut"),
    [
        (1200, {"A": (450, 4100), "B": (400, 2000), "C": (1200, 800), "D": (760, 1200)}, {"A": 2, "B": 1}),
        (1600, {"A": (450, 4100), "B": (400, 4000), "C": (1600, 800), "D": (760, 1200), "E": (400, 1200)}, {"A": 2, "B": 2}),
    ],
)
def test_pieces_give_several_parts_where_that_is_seen_less_than_each_part_from_its_own(
    width: int, sizes: dict[str, tuple[int, int]], cut: dict[str, int]
) -> None:
    """Strips side by side have side seams alone; a part from each piece takes a cross seam below C."""
    parts = sum(cut.values())
    plan = a_plan(a_job(a_patch(width, 2000, parts=parts)), *(a_piece(tag, *size) for tag, size in sizes.items()))
    assert Counter(part.piece for part in plan.patches[0].parts) == cut
    assert {seam.kind for seam in plan.patches[0].seams} == {SeamKind.SIDE}
    of_their_own = a_plan(a_job(a_patch(width, 2000, parts=parts)), *(a_piece(tag, *sizes[tag]) for tag in sizes if tag != "B"))
    assert SeamKind.CROSS in {seam.kind for seam in of_their_own.patches[0].seams}


def test_no_four_parts_that_meet_at_a_point_are_seen_less_than_is_told_at_the_least() -> None:
    """Woven, light across the pile: seams along it and across it show alike, and four quarters have one of either."""
    woven = Style("Velder Twist", Construction.WOVEN)
    job = a_job(replace(a_patch(800, 800, parts=4), light_deg=90.0))
    pieces = [a_piece(f"R-{number}", 400, 400, style=woven) for number in range(4)]
    merit = a_plan(job, *pieces).merit
    assert merit is not None and len(merit.points) == 4 + 2
    donor = Donor(pieces[0], pieces[0].piece.outline, 0.0)
    assert least_of_more(ask_of(job, job.patches[0], FitRules()), donor, 4).look <= merit.look
