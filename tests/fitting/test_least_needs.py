"""Cheap figures pass a donor over only where exact work would too: what the search looks at changes, its answers don't."""

import math
import random
from dataclasses import replace
from itertools import groupby, islice
from weakref import WeakKeyDictionary

import numpy as np
import pytest

from remnants.fitting import FitRules
from remnants.fitting.patch import reaches as reaches_module
from remnants.fitting.patch import worth
from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.patch.best_way import best_for
from remnants.fitting.patch.layout import Joint, Layout, leaves
from remnants.fitting.patch.least_needs import DIRECTIONS, needs_along, widths_of
from remnants.fitting.patch.made import at_best, settled
from remnants.fitting.patch.more_parts import joined, too_little_carpet
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.seam_intervals import intervals
from remnants.fitting.patch.seam_places import pairs
from remnants.fitting.patch.shape import Split, splits
from remnants.geometry.outline import Point, outline_of, rectangle
from remnants.geometry.turn import turned_ring
from remnants.model import Allowance, Candidate
from tests.fitting.builders import NO_ALLOWANCE, a_job, a_patch, a_piece
from tests.geometry.test_lie import star
from tests.shapes import SHAPES, odd_outline
from tests.thorough import share

TAKES = (NO_ALLOWANCE, Allowance(25, 25, 25), Allowance(10, 75, 40), Allowance(60, 0, 20))


def an_oval(across: float, along: float, corners: int = 24) -> list[Point]:
    """An oval patch of so many corners, as it is drawn round a column."""
    steps = [math.tau * (corner + 0.5) / corners for corner in range(corners)]
    return [(across / 2 * math.cos(step), along / 2 * math.sin(step)) for step in steps]


def an_odd_patch(rng: random.Random) -> list[Point]:
    """An L, an oval or a star."""
    wide, long = rng.uniform(400, 1500), rng.uniform(400, 1500)
    x, y = wide * rng.uniform(0.3, 0.7), long * rng.uniform(0.3, 0.7)
    return rng.choice(
        (
            [(0, 0), (wide, 0), (wide, y), (x, y), (x, long), (0, long)],
            an_oval(wide, long, rng.choice((8, 8, 24))),
            list(star(rng, rng.randint(4, 8), 700, rough=0.4)),
        )
    )


def some_donors(rng: random.Random, count: int) -> list[Candidate]:
    """Pieces of every outline that there is, at several bearings."""
    kept = list(SHAPES.values())
    return [
        a_piece(
            f"R-{number:03d}",
            outline=rng.choice(
                (
                    odd_outline(rng, rng.randint(300, 1600), rng.randint(300, 1600)),
                    outline_of(star(rng, rng.randint(5, 12), 900)),
                    rectangle(rng.randint(200, 1500), rng.randint(200, 1500)),
                    rng.choice(kept),
                )
            ),
            pile=rng.choice((0.0, 90.0, 180.0, 22.5, 17.3)),
        )
        for number in range(count)
    ]


def an_ask(rng: random.Random, donors: list[Candidate], *, uneven: bool) -> tuple[Ask, Field]:
    """A patch of odd outline, each edge with a finish of its own, and the donors in its pile frame."""
    ring = an_odd_patch(rng)
    edges = [rng.choice(("seam", "wall", "free") if uneven else ("seam", "wall")) for _ in ring]
    patch = a_patch(ring=ring, edges=edges, pile=rng.choice((0.0, 40.0)), turns=rng.choice(((0.0,), (0.0, 180.0), (0.0, 90.0))))
    job = a_job(patch, allowance=rng.choice(TAKES if uneven else TAKES[:2]), min_part=60)
    ask = ask_of(job, job.patches[0], FitRules())
    return ask, Field(tuple(donors_of(job.patches[0], donors, {each.piece.tag: each.piece.outline for each in donors})))


@pytest.mark.parametrize("seed", range(share(24)))
def test_no_donor_is_passed_over_that_fills_the_split_after_all(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reaches_module, "DONORS_A_PLACE", 1)  # as closely as among hundreds of donors
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 12), uneven=seed % 3 == 0)
    for split in (each for axis in AXES for each in splits(ask.shape, axis)):
        for low in (True, False):
            reaches = Reaches.of(ask, field, split, low=low)
            for place, donor in enumerate(field.donors[:1] if split.uneven else field.donors):  # there each takes long
                true, told = reaches._reach(donor), reaches.at[place]
                if true is not None:
                    assert not math.isnan(told), (donor.tag, split.low, low)
                    assert told >= true if low else told <= true


@pytest.mark.parametrize("seed", range(share(24)))
def test_the_same_pairs_come_in_the_same_order_as_where_each_donor_is_looked_at_first(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reaches_module, "DONORS_A_PLACE", 1 + 19 * (seed % 2))  # as among hundreds of donors, and as among few
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 10), uneven=False)
    found = _in_order(ask, field)
    as_ever = Reaches.of

    def each_settled(ask: Ask, field: Field, split: Split, *, low: bool) -> Reaches:
        reaches = as_ever(ask, field, split, low=low)
        at = [reaches._reach(donor) for donor in field.donors]
        told = np.array([np.nan if reach is None else reach for reach in at])
        return replace(reaches, at=told, exact=np.ones(len(told), dtype=bool))

    monkeypatch.setattr(Reaches, "of", each_settled)
    assert found == _in_order(ask, field)


def _in_order(ask: Ask, field: Field) -> list[tuple[object, ...]]:
    """The pairs as they come, but those alike in look, carpet and tags, which nothing puts in order, by where they lie."""
    keyed = []
    for look, layout in pairs(ask, ask.shape, field):
        area_mm2 = sum(field.areas[field.donors.index(leaf.donor)] for leaf in leaves(layout))
        keyed.append(((look.key, round(area_mm2), [leaf.donor.tag for leaf in leaves(layout)]), _told(layout)))
    return [told for _, alike in groupby(keyed, key=lambda each: each[0]) for told in sorted(told for _, told in alike)]


@pytest.mark.parametrize("seed", range(share(24)))
def test_a_pair_spends_no_less_than_it_is_passed_over_for(seed: int) -> None:
    """Where its parts lie best takes long to find; a pair that spends too much wherever they lie is passed over unlaid."""
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 10), uneven=False)
    for _, layout in islice(pairs(ask, ask.shape, field), 12):
        laid = settled(ask, Option(layout))
        if laid is not None:
            least = at_best(ask, layout)
            assert least.key <= laid.key
            assert least.spoiled <= laid.spoiled


@pytest.mark.parametrize("seed", range(share(24)))
def test_the_answer_is_the_one_where_no_pair_is_passed_over_unlaid(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = random.Random(seed)
    ask, field = an_ask(rng, some_donors(rng, 14), uneven=False)
    found = best_for(ask, field)
    monkeypatch.setattr(worth, "least_spoiled_mm2", lambda *_args, **_how: -1e12)
    again = best_for(replace(ask, known=WeakKeyDictionary(), undecided=set()), field)
    assert (found is None) == (again is None)
    if found is not None and again is not None:
        assert (found.key, found.moves) == (again.key, again.moves)


def test_what_a_cut_spoils_at_the_least_is_what_it_spoils_in_a_corner() -> None:
    """1000 x 2000 off 3000 x 4000, by hand: 12 - 2 = 10 m² are left, and beside the cut a rectangle of 2 x 4 = 8 m² or of
    3 x 2 = 6 m². Worth 12 x 12 / (12 + 4) = 9 before and 10 x 8 / (8 + 4) = 6.67 after."""
    (donor,) = donors_of(a_patch(1000, 2000), [a_piece("R-1", 3000, 4000)], {"R-1": rectangle(3000, 4000)})
    cut = rectangle(1000, 2000).ring
    rules = FitRules()
    assert worth.least_spoiled_mm2(donor, (cut,), rules) == pytest.approx(9e6 - 6.667e6, abs=2000)
    assert worth.spoiled_mm2(donor, (cut,), rules) == pytest.approx(9e6 - 6.667e6, abs=2000)
    assert worth.spoiled_mm2(donor, (rectangle(1000, 2000, (900, 900)).ring,), rules) > 3e6


def _told(layout: Layout) -> tuple[object, ...]:
    assert isinstance(layout, Joint)
    return layout.split.axis, layout.at, *((leaf.donor.tag, leaf.donor.turn_deg) for leaf in leaves(layout))


def test_too_little_carpet_in_all_ends_the_search_for_more_parts_before_any_piece_is_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Three L-shaped pieces of 0.48 m² for a patch of 1.5 m²; with a fourth there would be enough for four parts."""
    ell = outline_of([(0, 0), (800, 0), (800, 400), (400, 400), (400, 800), (0, 800)])
    pieces = [a_piece(f"R-{number}", outline=ell) for number in range(4)]
    job = a_job(a_patch(1500, 1000, parts=4))
    ask = ask_of(job, job.patches[0], FitRules())
    field = Field(tuple(donors_of(job.patches[0], pieces, {each.piece.tag: each.piece.outline for each in pieces})))
    assert too_little_carpet(ask.shape, field, 3)
    assert not too_little_carpet(ask.shape, field, 4)
    monkeypatch.setattr(Reaches, "of", lambda *_: pytest.fail("a piece was looked at"))
    assert list(joined(ask, ask.shape, field, 3)) == []


def test_a_donor_that_takes_too_long_beside_slanting_edges_is_left_out_and_told() -> None:
    """A taper whose sides take nothing where the joint takes 60, and a piece with two cutouts to get round."""
    job = a_job(a_patch(ring=[(0, 0), (1000, 0), (800, 1400), (200, 1400)], edges="free"), allowance=Allowance(60, 0, 0))
    piece = a_piece("R-1", 1100, 1400, cutouts=[((300, 500), (450, 500), (450, 620), (300, 620))])
    ask = replace(ask_of(job, job.patches[0], FitRules()), programmes=1)
    (split,) = splits(ask.shape, AXES[1])
    (donor,) = donors_of(job.patches[0], [piece], {"R-1": piece.piece.outline})
    assert split.uneven
    assert intervals(ask, split, donor, low=True) == ()
    assert ask.undecided == {"R-1 beside slanting edges that take less than a joint"}


def test_a_part_takes_the_more_the_further_on_its_seam_lies() -> None:
    """An oval of 2000 x 1000, 25 mm taken all round: with the seam in the middle its low part is 1000 + 25 + 25 along the pile
    and half of 2000 + 2 x 25 across."""
    job = a_job(a_patch(ring=an_oval(2000, 1000)), allowance=Allowance(25, 25, 25))
    ask = ask_of(job, job.patches[0], FitRules())
    split = next(each for each in splits(ask.shape, AXES[0]) if each.low < 0 < each.high)
    needs = needs_along(split, split.low, split.high, low=True)
    assert (needs.least[1:] >= needs.least[:-1]).all()
    middle = needs_along(split, 0.0, split.high, low=True).least[0]
    assert middle[0] == pytest.approx(1000 + 25 + 25, rel=0.01)
    assert middle[DIRECTIONS // 2] == pytest.approx(1000 + 25 + 25, rel=0.01)


def test_a_donor_measures_the_same_however_it_lies_on_the_shelf() -> None:
    """Turned on the shelf with its pile, a piece is the same to the patch."""
    ring = star(random.Random(4), 9, 700)
    for turn in (90.0, 180.0, 17.3):
        pieces = [
            a_piece("R-1", outline=outline_of(ring)),
            a_piece("R-2", outline=outline_of(turned_ring(ring, turn)), pile=turn),
        ]
        patch = a_patch(500, 500)
        upright, turned = Field(tuple(donors_of(patch, pieces, {each.piece.tag: each.piece.outline for each in pieces}))).measures
        assert turned[:DIRECTIONS] == pytest.approx(upright[:DIRECTIONS], abs=0.01)
        assert upright[:DIRECTIONS] == pytest.approx(widths_of(np.array(ring)), abs=0.1)
