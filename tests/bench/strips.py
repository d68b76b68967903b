"""Published strips whose shortest length is known: ours beside rectpack's best.

    python -m tests.bench.strips PATH [--seconds 10] [--most-items 30] [--sets hopper2001a] [--every 2] [--tries 2000]

PATH is a JSON file: `strips`, each with `name`, `set`, `width`, `optimum` and `items` as pairs of width and length. The sets:
Hopper and Turton, European Journal of Operational Research 128 (2001); Burke, Kendall and Whitwell, Operations Research 52
(2004); Hopper, PhD thesis, Cardiff University (2000). Each is a strip cut up whole, so nothing is shorter. Nothing is turned.

Every packing is checked from its corners. Prints each strip and then one line a set: the mean excess over the optimum in percent,
how many are exact, how many are longer than rectpack's best, and the seconds of the processor, --seconds at most for a strip.
"""

import argparse
import json
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

from remnants.packing import Item, StripProblem, Watch, pack_strip
from tests.bench.strip_packing import by_rectpack


@dataclass(frozen=True)
class Measured:
    """One strip: lengths and processor seconds."""

    group: str
    items: int
    optimum: int
    ours: int
    peer: int
    seconds: float
    peer_seconds: float


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("path", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--tries", type=int, help="bound the effort too, as an order does")
    parser.add_argument("--most-items", type=int, default=1000)
    parser.add_argument("--least-items", type=int, default=0)
    parser.add_argument("--sets", nargs="+")
    parser.add_argument("--every", type=int, default=1, help="one strip in so many")
    parser.add_argument("--no-peer", action="store_true")
    options = parser.parse_args()
    strips = [
        each
        for each in json.loads(options.path.read_text(encoding="utf-8"))["strips"]
        if options.least_items <= len(each["items"]) <= options.most_items and (not options.sets or each["set"] in options.sets)
    ]
    found = [_measure(each, options) for each in strips[:: options.every]]
    print("| set | strips | excess ours / rectpack % | exact | longer than rectpack | seconds |")
    print("| --- | --- | --- | --- | --- | --- |")
    for group in dict.fromkeys(each.group for each in found):
        _line(group, [each for each in found if each.group == group])
    _line("up to 30 items", [each for each in found if each.items <= 30])
    _line("all", found)


def _measure(strip: dict[str, Any], options: argparse.Namespace) -> Measured:
    problem = StripProblem(strip["width"], tuple(Item(width, length) for width, length in strip["items"]))
    start = time.process_time()
    watch = Watch(seconds=options.seconds, tries=options.tries, clock=time.process_time)
    packing = pack_strip(problem, watch=watch)
    took = time.process_time() - start
    _check(problem, packing.corners, packing.length)
    start = time.process_time()
    peer = 0 if options.no_peer else by_rectpack(problem)
    peer_took = time.process_time() - start
    told = f"{packing.length} for {strip['optimum']}, at least {packing.bound}, {packing.why.value}"
    print(f"{strip['name']:6} {len(problem.items):4} items: {told}; rectpack {peer}; {took:.1f} s", flush=True)
    return Measured(strip["set"], len(problem.items), strip["optimum"], packing.length, peer, took, peer_took)


def _check(problem: StripProblem, corners: Sequence[tuple[int, int]], length: int) -> None:
    """Raises where the packing is no packing, or not so long as it says."""
    boxes = [(x, y, x + item.width, y + item.length) for (x, y), item in zip(corners, problem.items, strict=True)]
    if any(x < 0 or y < 0 or right > problem.width or top > length for x, y, right, top in boxes):
        raise AssertionError("an item lies outside the strip")
    for one, other in combinations(boxes, 2):
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]:
            raise AssertionError("two items overlap")


def _line(name: str, found: Sequence[Measured]) -> None:
    if not found:
        return
    count = len(found)
    ours, peer = (sum(getattr(each, who) / each.optimum - 1 for each in found) / count * 100 for who in ("ours", "peer"))
    exact, peer_exact = (sum(getattr(each, who) == each.optimum for each in found) for who in ("ours", "peer"))
    longer = sum(each.ours > each.peer for each in found)
    took, peer_took = (sum(getattr(each, which) for each in found) / count for which in ("seconds", "peer_seconds"))
    print(f"| {name} | {count} | {ours:.2f} / {peer:.2f} | {exact} / {peer_exact} | {longer} | {took:.1f} / {peer_took:.1f} |")


if __name__ == "__main__":
    main()
