"""The shortest strip: against brute force, against strips cut up by construction, and on a lattice."""

import random
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.packing import Item, Lattice, StripPacking, StripProblem, Watch, WhyStopped, pack_strip
from remnants.packing.strip import skyline
from remnants.packing.strip.bounds import lower_bound
from tests.thorough import share

SMALL = st.builds(Item, st.integers(1, 5), st.integers(1, 5))


def faults_of(problem: StripProblem, packing: StripPacking) -> list[str]:
    """What is wrong with a packing, found without the packer's code."""
    boxes = [(x, y, x + item.width, y + item.length) for item, (x, y) in zip(problem.items, packing.corners, strict=True)]
    faults = [f"{box} leaves the strip" for box in boxes if box[0] < 0 or box[1] < 0 or box[2] > problem.width]
    faults += [f"{box} ends past {packing.length}" for box in boxes if box[3] > packing.length]
    for index, a in enumerate(boxes):
        faults += [f"{a} and {b} overlap" for b in boxes[:index] if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]]
    for item, corner in zip(problem.items, packing.corners, strict=True):
        if item.lattice and not item.lattice.holds(*corner):
            faults.append(f"{corner} is off its lattice")
    return faults


def shortest(problem: StripProblem) -> int:
    """The least length by trying every whole corner of every item."""
    length = max(item.length for item in problem.items)
    while not _places(problem, length, ()):
        length += 1
    return length


def _places(problem: StripProblem, length: int, placed: tuple[tuple[int, int, int, int], ...]) -> bool:
    if len(placed) == len(problem.items):
        return True
    item = problem.items[len(placed)]
    for x, y in product(range(problem.width - item.width + 1), range(length - item.length + 1)):
        if item.lattice and not item.lattice.holds(x, y):
            continue
        box = (x, y, x + item.width, y + item.length)
        apart = all(box[2] <= b[0] or b[2] <= box[0] or box[3] <= b[1] or b[3] <= box[1] for b in placed)
        if apart and _places(problem, length, (*placed, box)):
            return True
    return False


@settings(max_examples=share(40), deadline=None)
@given(st.integers(5, 7), st.lists(SMALL, min_size=1, max_size=5))
def test_the_shortest_strip_agrees_with_trying_everything(width: int, items: list[Item]) -> None:
    problem = StripProblem(width, tuple(items))
    packing = pack_strip(problem, watch=Watch())
    assert faults_of(problem, packing) == []
    assert packing.length == packing.bound == shortest(problem)
    assert packing.why is WhyStopped.BEST_POSSIBLE
    assert lower_bound(problem) <= packing.length


@st.composite
def patterned(draw: st.DrawFn) -> Item:
    across, along = draw(st.integers(1, 3)), draw(st.integers(1, 4))
    lattice = Lattice(
        draw(st.integers(0, across - 1)), across, draw(st.integers(0, along - 1)), along, draw(st.integers(0, along - 1))
    )
    return Item(draw(st.integers(1, 4)), draw(st.integers(1, 4)), lattice)


@settings(max_examples=share(30), deadline=None)
@given(st.integers(6, 7), st.lists(patterned(), min_size=1, max_size=4))
def test_items_on_a_lattice_agree_with_trying_everything(width: int, items: list[Item]) -> None:
    problem = StripProblem(width, tuple(items))
    packing = pack_strip(problem, watch=Watch())
    assert faults_of(problem, packing) == []
    assert packing.length == packing.bound == shortest(problem)


def cut_up(count: int, seed: int) -> StripProblem:
    """A 400 x 900 strip cut into `count` rectangles, edge to edge: no plan is shorter than 900."""
    rng = random.Random(seed)
    rects = [(400, 900)]
    while len(rects) < count:
        width, length = rects.pop(rng.choices(range(len(rects)), [w * h for w, h in rects])[0])
        if rng.random() * (width + length) < width:
            cut = rng.randint(width // 5, width - width // 5)
            rects += [(cut, length), (width - cut, length)]
        else:
            cut = rng.randint(length // 5, length - length // 5)
            rects += [(width, cut), (width, length - cut)]
    return StripProblem(400, tuple(Item(width, length) for width, length in rects))


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("count", [8, 14, 20])
def test_a_strip_cut_up_is_put_together_again(count: int, seed: int) -> None:
    problem = cut_up(count, seed)
    packing = pack_strip(problem, watch=Watch(tries=2000))
    assert faults_of(problem, packing) == []
    assert (packing.length, packing.bound) == (900, 900)


def test_the_same_seed_and_tries_give_the_same_plan() -> None:
    problem = cut_up(26, 3)
    plans = [pack_strip(problem, watch=Watch(tries=60), seed=5) for _ in range(2)]
    assert plans[0].corners == plans[1].corners


def test_more_tries_never_give_a_longer_strip() -> None:
    problem = cut_up(30, 9)
    lengths = [pack_strip(problem, watch=Watch(tries=tries)).length for tries in (1, 10, 100, 400)]
    assert lengths == sorted(lengths, reverse=True)


def test_a_request_to_stop_gives_the_best_so_far_with_its_gap() -> None:
    problem = StripProblem(10, tuple(Item(3 + index % 5, 2 + index % 7) for index in range(40)))
    heard: list[tuple[int, int]] = []
    packing = pack_strip(problem, watch=Watch(stop=lambda: bool(heard)), told=lambda length, bound: heard.append((length, bound)))
    assert faults_of(problem, packing) == []
    assert heard
    assert packing.bound <= packing.length
    assert packing.why in (WhyStopped.ASKED, WhyStopped.BEST_POSSIBLE)
    assert packing.gap == pytest.approx((packing.length - packing.bound) / packing.length)


def test_nothing_takes_no_strip() -> None:
    packing = pack_strip(StripProblem(5, ()), watch=Watch())
    assert (packing.length, packing.corners, packing.gap) == (0, (), 0.0)


def test_items_that_no_strip_can_hold_are_all_named() -> None:
    with pytest.raises(BadInput) as refused:
        StripProblem(4, (Item(5, 1), Item(1, 0), Item(2, 2), Item(3, 1, Lattice(2, 3, 0, 1))))
    assert [fault.where for fault in refused.value.faults] == ["items[0]", "items[1]", "items[3]"]


def test_a_bound_between_two_possible_ends_is_proved_at_once() -> None:
    # four items that may start at 0, 2, 4, ... only: 3 across 6 by 2, one more behind them, so 4 long; the area alone says 3
    lattice = Lattice(0, 1, 0, 2)
    items = (Item(1, 2, lattice), *(Item(2, 2, lattice),) * 3)
    packing = pack_strip(StripProblem(6, items), watch=Watch())
    assert (packing.length, packing.bound) == (4, 4)


def test_the_bound_sees_what_cannot_lie_side_by_side() -> None:
    # 3 of 6 across a width of 10: never two side by side, so 3 x 4 = 12 long, where the area alone says ceil(72 / 10) = 8
    assert lower_bound(StripProblem(10, (Item(6, 4),) * 3)) == 12


def test_what_can_be_no_shorter_is_proved_by_tries_and_by_time() -> None:
    problem = StripProblem(7, tuple(Item(2 + index % 3, 2 + index % 4) for index in range(7)))
    by_tries, by_both = pack_strip(problem, watch=Watch(tries=3000)), pack_strip(problem, watch=Watch())
    assert by_tries.length == by_tries.bound == by_both.length == by_both.bound


@pytest.mark.parametrize("seed", range(20))
def test_many_items_are_laid_as_if_each_were_looked_at(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(seed)
    width, grid = chance.choice((40, 400)), chance.choice((1, 5, 10))
    sizes = [(chance.randint(1, width // grid) * grid, chance.randint(1, width // grid) * grid) for _ in range(10 + 5 * seed)]
    problem = StripProblem(width, tuple(Item(*size) for size in sizes))
    order = chance.sample(range(len(sizes)), len(sizes))
    looked_up = skyline.fill(problem, order)
    monkeypatch.setattr(skyline, "FEW", len(sizes))
    assert looked_up == skyline.fill(problem, order)
    assert looked_up is not None and skyline.fill(problem, order, looked_up[0]) is None


def test_the_bound_counts_thirds_and_what_is_wider_than_half() -> None:
    thirds = StripProblem(100, tuple(Item(34, 10) for _ in range(5)))
    assert lower_bound(thirds) == 30  # two of over a third side by side, and 5 x 340 / 100 alone gives 20
    halves = StripProblem(100, (Item(60, 7), Item(60, 7), Item(45, 6), Item(45, 6)))
    assert lower_bound(halves) == 20  # beside 60 goes no 45: 7 + 7 + 6, by area 14
