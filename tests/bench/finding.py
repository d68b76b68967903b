"""Finding pieces by free words in a running process: milliseconds a query over many pieces.

    python -m tests.bench.finding [--names 50000] [--pieces 1000000] [--queries 200]

Pieces carry labels (style, colour, lot); a query is a name with slips and, every second time, a lot as it may be misread.
"""

import argparse
import random
import statistics
import time

from remnants.matching.finder import Finder
from remnants.matching.stock_names import Label
from tests.matching.noise import COLOURS, SHADES, confused, noisy, styles


def main() -> None:
    """Prints the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--names", type=int, default=50_000)
    parser.add_argument("--pieces", type=int, default=1_000_000)
    parser.add_argument("--queries", type=int, default=200)
    given = parser.parse_args()
    rng = random.Random(1)
    colours = [shade + colour for shade in SHADES for colour in COLOURS]
    names = [(style, colour) for style in styles(given.names // 20) for colour in rng.sample(colours, 20)]
    pieces = [Label(*rng.choice(names), f"{rng.randrange(1000, 3000)}-{rng.choice('ABDISO')}") for _ in range(given.pieces)]
    began = time.perf_counter()
    finder = Finder(pieces)
    built = time.perf_counter() - began
    print(f"{len(pieces):,} pieces, {len(set(pieces)):,} labels, {len(names):,} names; built in {built:.1f} s")
    finder.find("velder loop", 5)
    times, busy, right = [], [], []
    for turn in range(given.queries):
        label = rng.choice(pieces)
        typed = noisy(f"{label.style} {label.colour}", rng, rng.choice([1, 1, 2])) + f" {confused(label.lot, rng)}" * (turn % 2)
        began, worked = time.perf_counter(), time.process_time()
        found = finder.find(typed, 5)
        times.append(1000 * (time.perf_counter() - began))
        busy.append(1000 * (time.process_time() - worked))
        right.append(any(each.label[: 2 + turn % 2] == label[: 2 + turn % 2] for each in found))
    late = sorted(times)[int(0.95 * len(times))]
    cpu = statistics.median(busy)
    print(f"median {statistics.median(times):.1f} ms ({cpu:.1f} ms of processor), 95 % under {late:.1f} ms")
    print(f"recall@5 {statistics.mean(right):.3f}")


if __name__ == "__main__":
    main()
