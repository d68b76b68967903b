"""Beams: what they find on strips cut up whole, that what they find is a packing, and that no hope is given up wrongly."""

import random
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.packing import Item, StripProblem, Watch, WhyStopped, pack_strip
from remnants.packing.strip.beam import Guide, fill_by_beam
from remnants.packing.strip.beams import EVEN, LARGE_FIRST, LONG_FIRST, shorten_by_beams, shorten_quickly
from remnants.packing.strip.bounds import lower_bound
from remnants.packing.strip.hopeless import Hopeless
from remnants.packing.strip.skylines import BEYOND
from tests.packing.test_strip import faults_of
from tests.packing.test_strip_ways import rectangles
from tests.thorough import share

Rect = tuple[int, int, int, int]


def cut_up(count: int, seed: int, *, width: int = 200, length: int = 200) -> tuple[StripProblem, list[Rect]]:
    """A whole strip cut from edge to edge at random, and where its parts lay."""
    chance = random.Random(seed)
    parts: list[Rect] = [(0, 0, width, length)]
    while len(parts) < count:
        left, low, right, high = parts.pop(chance.choices(range(len(parts)), [(r - x) * (t - y) for x, y, r, t in parts])[0])
        if right - left >= 8 and (high - low < 8 or chance.random() * (right - left + high - low) < right - left):
            cut = chance.randint(left + 1 + (right - left) // 4, right - 1 - (right - left) // 4)
            parts += [(left, low, cut, high), (cut, low, right, high)]
        else:
            cut = chance.randint(low + 1 + (high - low) // 4, high - 1 - (high - low) // 4)
            parts += [(left, low, right, cut), (left, cut, right, high)]
    chance.shuffle(parts)
    return StripProblem(width, tuple(Item(right - left, high - low) for left, low, right, high in parts)), parts


@pytest.mark.parametrize("seed", range(3))
def test_a_strip_cut_into_28_is_put_together_again(seed: int) -> None:
    problem, _ = cut_up(28, seed)
    packing = pack_strip(problem, watch=Watch(tries=600))
    assert faults_of(problem, packing) == []
    assert (packing.length, packing.why) == (200, WhyStopped.BEST_POSSIBLE)


def test_of_many_parts_little_is_wasted_for_little_effort() -> None:
    """Together these three come to 16 over 200 for the same effort where beams are full of like skylines, and to 9 now."""
    over = 0
    for count, seed in ((60, 1), (49, 2), (80, 3)):
        problem, _ = cut_up(count, seed)
        found: list[tuple[tuple[int, int], ...]] = []
        shorten_by_beams(problem, length=240, bound=200, watch=Watch(tries=120), better=found.append)
        over += max(y + item.length for (_, y), item in zip(found[-1], problem.items, strict=True)) - 200
    assert over <= 12


def test_among_few_parts_that_fill_no_strip_whole_chance_leads_beams_too() -> None:
    """36 parts by chance: 5025 for the same effort where one guide alone looked above the bound."""
    problem = StripProblem(2000, tuple(Item(width, length) for width, length in rectangles(36, 0)))
    found: list[tuple[tuple[int, int], ...]] = []
    shorten_by_beams(problem, length=5600, bound=lower_bound(problem), watch=Watch(tries=30), better=found.append)
    assert max(y + item.length for (_, y), item in zip(found[-1], problem.items, strict=True)) < 4900


def test_a_beam_of_unlike_skylines_fills_what_one_of_like_ones_does_not() -> None:
    """Of 80 parts, with so few skylines kept: what lays the same items is kept once, or the beam holds little else."""
    problem, _ = cut_up(80, 3)
    found = [fill_by_beam(problem, 204, most=40, guide=LONG_FIRST, watch=Watch(), unlike=unlike) for unlike in (False, True)]
    assert [each.corners is not None for each in found] == [False, True]
    assert found[1].cut_short


def test_beams_begun_quickly_go_on_with_others() -> None:
    """Narrow beams first, the rest later: what was told once is not looked for again."""
    problem, _ = cut_up(49, 2)
    found: list[tuple[tuple[int, int], ...]] = []
    shorten_quickly(problem, length=240, bound=200, watch=Watch(), better=found.append)
    lengths = [max(y + item.length for (_, y), item in zip(each, problem.items, strict=True)) for each in found]
    assert lengths == sorted(lengths, reverse=True)
    more: list[tuple[tuple[int, int], ...]] = []
    shorten_by_beams(problem, length=lengths[-1], bound=200, watch=Watch(tries=80), better=more.append, begun=True)
    assert max(y + item.length for (_, y), item in zip(more[0], problem.items, strict=True)) < lengths[-1]


@settings(max_examples=share(40), deadline=None)
@given(
    items=st.lists(st.builds(Item, st.integers(1, 3_660_000), st.integers(1, 6_000_000)), min_size=1, max_size=9),
    over=st.floats(1.0, 1.5),
    guides=st.tuples(st.sampled_from((EVEN, LARGE_FIRST, LONG_FIRST)), st.sampled_from((None, LONG_FIRST, LARGE_FIRST))),
    unlike=st.booleans(),
    pieces=st.sampled_from((None, 1, 2, 3)),
)
def test_what_a_beam_finds_is_a_packing_no_longer_than_asked_and_across_no_end(
    items: list[Item], over: float, guides: tuple[Guide, Guide | None], unlike: bool, pieces: int | None
) -> None:
    problem = StripProblem(3_660_000, tuple(items))
    length = int(lower_bound(problem) * over)
    ends = max(1, length // pieces) if pieces else None
    length = ends * pieces if ends and pieces else length
    found = fill_by_beam(
        problem, length, most=50, guide=guides[0], late=guides[1], watch=Watch(), unlike=unlike, ends=ends
    ).corners
    if found is not None:
        boxes = [(x, y, x + item.width, y + item.length) for item, (x, y) in zip(items, found, strict=True)]
        assert all(x >= 0 and y >= 0 and right <= problem.width and top <= length for x, y, right, top in boxes)
        assert ends is None or all(bottom // ends == (top - 1) // ends for _, bottom, _, top in boxes)
        pairs = [(a, b) for at, a in enumerate(boxes) for b in boxes[:at]]
        assert all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in pairs)


def skyline(laid: Sequence[Rect], width: int) -> tuple[list[int], list[int]]:
    """Left ends and heights of the steps above these rectangles."""
    tops = [max((top for left, _, right, top in laid if left <= x < right), default=0) for x in range(width)]
    lefts = [x for x in range(width) if x == 0 or tops[x] != tops[x - 1]]
    return [*lefts, width], [*(tops[x] for x in lefts), BEYOND]


@settings(max_examples=share(60), deadline=None)
@given(seed=st.integers(0, 10_000), count=st.integers(2, 24), spare=st.sampled_from((0, 0, 3, 40)), share_laid=st.floats(0, 1))
def test_a_skyline_that_leads_to_a_packing_is_never_given_up(seed: int, count: int, spare: int, share_laid: float) -> None:
    problem, parts = cut_up(count, seed, width=100, length=100)
    laid = sorted(range(count), key=lambda index: parts[index][1::-1])[: int(share_laid * count)]
    if not laid or len(laid) == count:
        return
    sizes = sorted({(item.width, item.length) for item in problem.items})
    widths, heights = np.array(sizes).T
    counts = [sum((item.width, item.length) == size for item in problem.items) for size in sizes]
    gone = [sum((problem.items[index].width, problem.items[index].length) == size for index in laid) for size in sizes]
    hopeless = Hopeless(100, 100 + spare, widths=widths, heights=heights, counts=np.array(counts))
    lefts, tops = skyline([parts[index] for index in laid], 100)
    waiting = np.array([[all_of - used for all_of, used in zip(counts, gone, strict=True)]])
    assert hopeless.leave(np.array([lefts]), np.array([tops]), waiting).tolist() == [0]


def test_a_skyline_on_which_nothing_more_can_stand_is_given_up() -> None:
    """A gap 3 wide between walls, and nothing left that makes 3; or two that are too tall for the same column."""
    hopeless = Hopeless(10, 10, widths=np.array([7, 4, 3]), heights=np.array([10, 5, 5]), counts=np.array([1, 0, 2]))
    assert hopeless.leave(np.array([[0, 3, 10]]), np.array([[0, 10, BEYOND]]), np.array([[0, 0, 2]])).tolist() == [0]
    assert hopeless.leave(np.array([[0, 3, 10]]), np.array([[0, 10, BEYOND]]), np.array([[0, 1, 0]])).tolist() == []
    tall = Hopeless(10, 10, widths=np.array([6, 6]), heights=np.array([6, 5]), counts=np.array([1, 1]))
    assert tall.leave(np.array([[0, 10]]), np.array([[0, BEYOND]]), np.array([[1, 1]])).tolist() == []


def test_beams_end_by_their_effort_and_say_the_same_every_time() -> None:
    problem, _ = cut_up(60, 5)
    answers = []
    for _ in range(2):
        watch = Watch(tries=20)
        found: list[tuple[tuple[int, int], ...]] = []
        shorten_by_beams(problem, length=260, bound=200, watch=watch, better=found.append)
        assert watch.over() and watch.tries < 40
        answers.append(found)
    assert answers[0] == answers[1] and answers[0]


def test_beams_grow_wider_only_while_a_skyline_was_left_out() -> None:
    """Three items that can't lie in 9: the narrowest beams see all there is, and nothing more is looked at."""
    problem = StripProblem(10, (Item(6, 5), Item(6, 4), Item(5, 3)))
    watch = Watch()
    shorten_by_beams(problem, length=13, bound=10, watch=watch, better=lambda _: None)
    assert watch.tries < 1
