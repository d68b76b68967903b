"""Ten minutes at the pages: does anything break, and does the memory of the server stay flat?

    python -m tests.bench.soak [--minutes 10] [--pieces 20000] [--people 12]

People search, look at pieces and fit at their pace, and two ask the largest jobs over and over. Every few seconds the memory of
the server and of all its processes is read (Linux, `/proc`). Told are errors, the median of the first and of the last third, and
how far apart they are. Ends with 1 where anything broke, or the last third takes over a tenth more than the first.
"""

import argparse
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

from tests.bench.load import BARE, MIX, Crowd, make_shop, met_by, p95_ms, served

LOOK_S = 5.0
GROWS = 1.1
"""How many times what the first third took the last one may."""

ROUND_S = 30.0
HEAVY = 2


def memory_mb(first: int) -> float:
    """The memory that a process and all that it started hold just now (resident set, MB)."""
    parents, held = {}, {}
    for path in Path("/proc").glob("[0-9]*/status"):
        try:
            told = dict(line.split(":", 1) for line in path.read_text().splitlines() if ":" in line)
        except OSError:  # it ended meanwhile
            continue
        parents[int(told["Pid"])] = int(told["PPid"])
        held[int(told["Pid"])] = int(told.get("VmRSS", "0").split()[0]) / 1024
    own = {first}
    while more := {child for child, parent in parents.items() if parent in own} - own:
        own |= more
    return sum(held.get(each, 0.0) for each in own)


def watched(first: int, ends: float) -> list[float]:
    """Memory every few seconds until the time is up."""
    seen = []
    while time.monotonic() < ends:
        seen.append(memory_mb(first))
        time.sleep(LOOK_S)
    return seen


def soak(path: Path, secrets: list[str], pieces: int, seconds: float) -> tuple[list[float], dict[str, list[float]], list[str]]:
    """Memory over time, seconds by kind of question, and what went wrong."""
    kinds = [kind for kind, often in MIX for _ in range(often)]
    seen: list[float] = []
    times: dict[str, list[float]] = {}
    errors: list[str] = []
    with served(BARE, 1) as (bare_port, _), served(str(path), 1) as (port, first):
        met_by(Crowd(port, bare_port, secrets, kinds, pieces, 10.0, paced=True, heavy=HEAVY))  # until it is warm
        ends = time.monotonic() + seconds
        watching = threading.Thread(target=lambda: seen.extend(watched(first, ends)))
        watching.start()
        rounds = 0
        while time.monotonic() < ends:
            rounds += 1  # a little longer each time, so that no question comes twice
            met = met_by(Crowd(port, bare_port, secrets, kinds, pieces, ROUND_S + rounds / 100, paced=True, heavy=HEAVY))
            errors += met.errors
            for kind, those in met.times.items():
                times.setdefault(kind, []).extend(those)
        watching.join()
    return seen, times, errors


def main() -> int:
    """Makes the shop, soaks it, tells what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--pieces", type=int, default=20_000)
    parser.add_argument("--people", type=int, default=12)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stock.db"
        secrets = make_shop(path, given.pieces, given.people)
        seen, times, errors = soak(path, secrets, given.pieces, given.minutes * 60)
    third = max(1, len(seen) // 3)
    before, after = statistics.median(seen[:third]), statistics.median(seen[-third:])
    print("| asks | answers | p95 ms |\n| --- | --- | --- |")
    for kind, those in sorted(times.items()):
        print(f"| {kind} | {len(those)} | {p95_ms(those):.0f} |")
    print(
        f"memory, MB: {before:.0f} in the first third, {after:.0f} in the last ({after / before:.2f} times), {max(seen):.0f} most"
    )
    print(f"errors: {len(errors)}", *sorted(set(errors))[:10], sep="\n  ")
    return int(bool(errors) or after > GROWS * before)


if __name__ == "__main__":
    sys.exit(main())
