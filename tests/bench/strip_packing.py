"""Strip packing beside rectpack and a plain exact model, on strips cut up so that the best length is known.

    python -m tests.bench.strip_packing [--seconds 10] [--sizes 10 15 20 40 80] [--seeds 5]

Orientation fixed, no turning. Every instance is a full strip cut up at random: nothing can be shorter than the strip.
`guillotine` cuts go from edge to edge; `spiral` ones set five rectangles round one another, which no such cut can make.
Prints one line a group: the mean excess over the best in percent, how many are exact, and the seconds.
"""

import argparse
import random
import time
from collections.abc import Callable
from functools import partial

import rectpack
from ortools.sat.python import cp_model

from remnants.packing import Item, StripProblem, Watch, pack_strip

WIDTH, LENGTH = 3660, 12000
Rect = tuple[int, int]


def cut_up(count: int, seed: int, *, spiral: bool) -> StripProblem:
    """A 3660 x 12000 strip cut into `count` rectangles at random."""
    rng = random.Random(seed)
    rects: list[Rect] = [(WIDTH, LENGTH)]
    while len(rects) < count:
        width, length = rects.pop(rng.choices(range(len(rects)), [w * h for w, h in rects])[0])
        if spiral and count - len(rects) >= 5 and width >= 10 and length >= 10 and rng.random() < 0.5:
            rects += _spiral(width, length, rng)
        elif rng.random() * (width + length) < width:
            cut = rng.randint(max(1, width // 6), width - max(1, width // 6))
            rects += [(cut, length), (width - cut, length)]
        else:
            cut = rng.randint(max(1, length // 6), length - max(1, length // 6))
            rects += [(width, cut), (width, length - cut)]
    rng.shuffle(rects)
    return StripProblem(WIDTH, tuple(Item(width, length) for width, length in rects))


def _spiral(width: int, length: int, rng: random.Random) -> list[Rect]:
    x1, x2 = sorted(rng.sample(range(width // 5, width - width // 5), 2))
    y1, y2 = sorted(rng.sample(range(length // 5, length - length // 5), 2))
    return [(x2, y1), (width - x2, y2), (width - x1, length - y2), (x1, length - y1), (x2 - x1, y2 - y1)]


def by_rectpack(problem: StripProblem) -> int:
    """The shortest strip on which any of rectpack's settings places all: every algorithm and order, by halving."""
    algorithms = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith(("MaxRects", "Skyline", "Guillotine"))]
    orders = [rectpack.SORT_AREA, rectpack.SORT_SSIDE, rectpack.SORT_LSIDE, rectpack.SORT_PERI, rectpack.SORT_RATIO]
    return min(_halve(problem, algorithm, order) for algorithm in algorithms for order in orders)


def _halve(problem: StripProblem, algorithm: type, order: Callable[..., object]) -> int:
    low, high = 1, sum(item.length for item in problem.items)
    while low < high:
        middle = (low + high) // 2
        if _places_all(problem, middle, algorithm, order):
            high = middle
        else:
            low = middle + 1
    return low


def _places_all(problem: StripProblem, length: int, algorithm: type, order: Callable[..., object]) -> bool:
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=algorithm, sort_algo=order, rotation=False, bin_algo=rectpack.PackingBin.BFF
    )
    for index, item in enumerate(problem.items):
        packer.add_rect(item.width, item.length, rid=index)
    packer.add_bin(problem.width, length)
    packer.pack()
    return len(packer.rect_list()) == len(problem.items)


def by_plain_model(problem: StripProblem, seconds: float) -> int | None:
    """A textbook constraint model without start, bound or hint."""
    model = cp_model.CpModel()
    top = sum(item.length for item in problem.items)
    span = model.new_int_var(0, top, "span")
    across, along = [], []
    for item in problem.items:
        x = model.new_int_var(0, problem.width - item.width, "")
        y = model.new_int_var(0, top, "")
        model.add(y + item.length <= span)
        across.append(model.new_fixed_size_interval_var(x, item.width, ""))
        along.append(model.new_fixed_size_interval_var(y, item.length, ""))
    model.add_no_overlap_2d(across, along)
    model.minimize(span)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    return round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _timed(make: Callable[[], int | None]) -> tuple[int | None, float]:
    start = time.monotonic()
    return make(), time.monotonic() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--sizes", type=int, nargs="+", default=[10, 15, 20, 40, 80])
    parser.add_argument("--seeds", type=int, default=5)
    options = parser.parse_args()
    print("| items | cut | way | mean excess % | exact | worse than rectpack | seconds each |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for count in options.sizes:
        for spiral in (False, True):
            problems = [cut_up(count, seed, spiral=spiral) for seed in range(options.seeds)]
            _group(problems, f"| {count} | {'spiral' if spiral else 'guillotine'}", options.seconds)


def _group(problems: list[StripProblem], head: str, seconds: float) -> None:
    ways: dict[str, Callable[[StripProblem], int | None]] = {
        "rectpack, best of all settings": by_rectpack,
        "plain exact model": lambda problem: by_plain_model(problem, seconds),
        "remnants": lambda problem: pack_strip(problem, watch=Watch(seconds=seconds, clock=time.monotonic)).length,
    }
    peer: list[int] = []
    for name, way in ways.items():
        answers = [_timed(partial(way, problem)) for problem in problems]
        lengths = [length if length is not None else 2 * LENGTH for length, _ in answers]
        peer = peer or lengths
        excess = sum(length / LENGTH - 1 for length in lengths) / len(lengths) * 100
        exact = sum(length == LENGTH for length in lengths)
        worse = sum(length > other for length, other in zip(lengths, peer, strict=True))
        spent = sum(took for _, took in answers) / len(answers)
        print(f"{head} | {name} | {excess:.2f} | {exact}/{len(lengths)} | {worse} | {spent:.2f} |", flush=True)


if __name__ == "__main__":
    main()
