"""The fillings of a donor that are worth most, the best mix of many and what a dive makes of it: planted, and in whole."""

import random
from itertools import combinations

import numpy as np
import pytest

from remnants.packing import Donor, DonorProblem, Part, Watch
from remnants.packing.donors.best_filling import Held, best_fillings
from remnants.packing.donors.choice import weigh
from remnants.packing.donors.diving import dive
from remnants.packing.donors.kinds import Filling, Kinds, kinds_of
from remnants.packing.donors.looking import Looker
from remnants.packing.donors.many_fillings import Maker
from remnants.packing.donors.mixing import FIRST, MORE, Mixer

Size = tuple[int, int]


def held_of(size: Size, parts: list[Size], worth: list[float]) -> Held:
    widths, lengths = np.array(parts, dtype=np.int64).T
    return Held(size, widths, lengths, np.ones(len(parts), dtype=np.int64), np.array(worth))


def halved(room: Size, count: int, rng: random.Random) -> list[Size]:
    """A donor cut into `count` rectangles, the largest of them edge to edge each time."""
    sizes = [room]
    while len(sizes) < count:
        width, length = sizes.pop(max(range(len(sizes)), key=lambda index: sizes[index][0] * sizes[index][1]))
        if width > length:
            cut = rng.randint(width // 4, 3 * width // 4)
            sizes += [(cut, length), (width - cut, length)]
        else:
            cut = rng.randint(length // 4, 3 * length // 4)
            sizes += [(width, cut), (width, length - cut)]
    return sizes


def test_two_worth_little_beat_one_worth_more_that_bars_them() -> None:
    held = held_of((10, 4), [(6, 4), (5, 4), (5, 3)], [5.0, 3.0, 3.0])
    best = best_fillings(held, rate=0.1, most=10, wanted=5)
    assert best[0][0] == 6.0
    assert {place for place, _, _ in best[0][1]} == {1, 2}


@pytest.mark.parametrize("seed", range(8))
def test_a_donor_cut_up_whole_is_found_among_parts_worth_a_little_less(seed: int) -> None:
    rng = random.Random(seed)
    room = (3660, 2000)
    cut = halved(room, 7, rng)
    others = [(rng.randint(300, 1800), rng.randint(300, 1000)) for _ in range(20)]
    worth = [float(w * h) for w, h in cut] + [0.8 * w * h for w, h in others]
    found = best_fillings(held_of(room, [*cut, *others], worth), rate=1.0, most=100, wanted=5)
    assert sorted(place for place, _, _ in found[0][1]) == list(range(7))
    for value, spots in found:
        assert value == pytest.approx(sum(worth[place] for place, _, _ in spots))
        boxes = [(x, y, *np.add((x, y), [*cut, *others][place])) for place, x, y in spots]
        assert all(a >= 0 and b >= 0 and c <= room[0] and d <= room[1] for a, b, c, d in boxes)
        for (a, b, c, d), (e, f, g, h) in combinations(boxes, 2):
            assert c <= e or g <= a or d <= f or h <= b


def test_the_same_parts_are_told_once_and_no_more_than_there_are() -> None:
    held = Held((9, 9), np.array([3]), np.array([3]), np.array([4]), np.array([1.0]))
    found = best_fillings(held, rate=0.1, most=20, wanted=10)
    assert [(worth, len(spots)) for worth, spots in found] == [(4.0, 4)]


def some_kinds(rng: random.Random) -> Kinds:
    parts = tuple(Part(rng.randint(10, 60), rng.randint(10, 60)) for _ in range(25)) * 2
    return kinds_of(DonorProblem(parts, (*[Donor(100, 100, 3)] * 10, *[Donor(80, 120, 2)] * 2)))


def test_a_mix_of_the_few_that_matter_costs_what_the_mix_of_all_costs() -> None:
    rng = random.Random(3)
    kinds = some_kinds(rng)
    maker = Maker(kinds, rng)
    mixer = Mixer(kinds)
    worth = [float(sort.area) for sort in kinds.sorts]
    for _ in range(3):
        for _ in range(20):
            maker.complete((), kinds.demand, [one * rng.uniform(0.5, 1.5) for one in worth], None, full=8)
        fillings = list(maker.pool.values())
        mix, whole = mixer.mix(fillings, worth), weigh(kinds, fillings)
        assert len(fillings) > FIRST + MORE
        assert mix.cost == pytest.approx(whole.cost)
        assert min(mix.excess) > -1e-5
        assert sum(kinds.kinds[f.kind].cost * share for f, share in zip(fillings, mix.shares, strict=True)) == pytest.approx(
            mix.cost
        )


def planted(rng: random.Random) -> tuple[Kinds, list[Filling]]:
    """Parts cut four times in each of four ways from donors, nothing left over; and those four fillings."""
    room = (2550, 2100)
    ways = [halved(room, 7, rng) for _ in range(4)]
    parts = tuple(Part(*size) for way in ways for _ in range(4) for size in way)
    kinds = kinds_of(DonorProblem(parts, tuple(Donor(*room) for _ in range(30))))
    place = {(sort.width, sort.length): index for index, sort in enumerate(kinds.sorts)}
    held = [held_of(room, way, [1.0] * 7) for way in ways]
    laid = [best_fillings(each, rate=0.0, most=200, wanted=1)[0][1] for each in held]
    return kinds, [
        Filling.of(0, [(place[way[part]], x, y) for part, x, y in spots]) for way, spots in zip(ways, laid, strict=True)
    ]


def test_a_dive_takes_the_donors_that_hold_all_from_among_hundreds_that_hold_less() -> None:
    rng = random.Random(6)
    kinds, whole = planted(rng)
    assert all(len(filling.sorts) == 7 for filling in whole)
    maker = Maker(kinds, rng)
    for _ in range(4):
        maker.complete((), kinds.demand, [float(sort.area) for sort in kinds.sorts], None, full=16)
    looker = Looker(maker, Watch(tries=2000))
    kept = dive(looker, [*maker.pool.values(), *whole], 16, over=lambda: False)
    assert kinds.lay(kept).rank == (0, 16)
    short = dive(looker, [*maker.pool.values(), *whole], 15, over=lambda: False)
    assert kinds.lay(short).rank[1] <= 15


def test_what_is_looked_for_is_worth_more_than_its_donor_and_uses_what_is_left() -> None:
    rng = random.Random(6)
    kinds, _ = planted(rng)
    maker = Maker(kinds, rng)
    maker.complete((), kinds.demand, [float(sort.area) for sort in kinds.sorts], None, full=16)
    watch = Watch(tries=2000)
    mix = weigh(kinds, list(maker.pool.values()))
    better = Looker(maker, watch).better(mix, kinds.demand, kinds.supply)
    assert better
    assert 0 < watch.tries < 2000
    for filling in better:
        assert sum(mix.of_sort[sort] for sort in filling.sorts) > 1
        assert (filling.kind, filling.sorts) in maker.pool
    none_left = [0] * len(kinds.sorts)
    assert Looker(maker, watch).better(mix, none_left, kinds.supply) == []
