"""Our word index beside full rapidfuzz scans: milliseconds a query and recall in the top five.

    python -m tests.bench.names [--names 1000000] [--queries 100]

Truth is the name that a query was made from. `of the scan's` is the share of the right names in the scan's top five that ours has
in its top five; `same scorer` ranks our shortlist by the scan's own scorer and counts how much of the scan's top five is there
(equal scores count as the same place).
"""

import argparse
import random
import statistics
import time
from collections.abc import Callable

from rapidfuzz import fuzz, process

from remnants.matching.names import NameIndex
from remnants.matching.words import fold
from tests.matching.noise import COLOURS, SHADES, noisy, styles


def distinct_names(count: int, rng: random.Random) -> list[str]:
    """That many names of style, shade and two colours, each different."""
    found: dict[str, None] = {}
    all_styles = styles(20_000)
    while len(found) < count:
        found[f"{rng.choice(all_styles)} {rng.choice(SHADES)}{rng.choice(COLOURS)} {rng.choice(COLOURS)}"] = None
    return list(found)


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--names", type=int, default=50_000)
    parser.add_argument("--queries", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    rng = random.Random(given.seed)
    names = distinct_names(given.names, rng)
    began = time.perf_counter()
    index = NameIndex(names)
    print(f"{len(names):,} names, index built in {time.perf_counter() - began:.1f} s")
    planted = [rng.randrange(len(names)) for _ in range(given.queries)]
    queries = [noisy(names[row], rng, rng.choice([1, 1, 2])) for row in planted]
    ours, times = [], []
    for query, row in zip(queries, planted, strict=True):
        began = time.perf_counter()
        hits = index.search(query, 5)
        times.append(1000 * (time.perf_counter() - began))
        ours.append(row in {hit.row for hit in hits})
    late = sorted(times)[int(0.95 * len(times))]
    print(f"ours: median {statistics.median(times):.1f} ms, 95 % under {late:.1f} ms, recall@5 {statistics.mean(ours):.3f}")
    for scorer in (fuzz.WRatio, fuzz.token_set_ratio, fuzz.token_sort_ratio):
        print(compared(scorer, index, list(zip(queries, planted, ours, strict=True))))


def compared(scorer: Callable[..., float], index: NameIndex, asked: list[tuple[str, int, bool]]) -> str:
    """The line for one scorer, over (query, right row, whether ours had it)."""
    folded = [fold(name) for name in index.names]
    hits, times, shared = [], [], []
    for query, row, _ in asked:
        began = time.perf_counter()
        top = process.extract(fold(query), folded, scorer=scorer, limit=5)
        times.append(1000 * (time.perf_counter() - began))
        hits.append(row in {place for _, _, place in top})
        again = process.extract(fold(query), [folded[each] for each in index.shortlist(query)], scorer=scorer, limit=5)
        shared.append(sum(score >= top[-1][1] - 1e-9 for _, score, _ in again) / 5)
    relative = statistics.mean(mine for (_, _, mine), theirs in zip(asked, hits, strict=True) if theirs)
    return (
        f"{scorer.__name__}: median {statistics.median(times):.0f} ms, recall@5 {statistics.mean(hits):.3f}; "
        f"ours has {relative:.3f} of the scan's; same scorer {statistics.mean(shared):.3f}"
    )


if __name__ == "__main__":
    main()
