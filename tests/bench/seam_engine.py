"""The speeds of the seam engine: one patch, or twelve, from thousands of donors, the hard cases among them.

    python -m tests.bench.seam_engine [--case oval]

*Ordinary* stock is what a shop has: seven pieces in ten are rectangles, the others L-shaped, with cutouts or of 7 to 14 corners,
a quarter with their pile along x. *Stars* of 6 to 14 corners have no staircase and many inward corners. The peer looks at each
donor once: shapely draws its edge in by half the tolerance. Seconds are of the processor.
"""

import argparse
import math
import random
import time
from collections.abc import Callable, Sequence

import shapely

from remnants.fitting import fit
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, rectangle
from remnants.model import Allowance, Candidate, Job, Merit
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of
from tests.geometry.test_lie import star
from tests.shapes import odd_outline

ROUND = Allowance(25, 25, 25)
WALLS = Allowance(25, 75, 75)
LEAST = 150


def ordinary(count: int) -> list[Candidate]:
    """Pieces of 0.3 to 3.6 m by 0.3 to 6 m."""
    rng = random.Random(3)
    made = []
    for number in range(count):
        width, length = rng.randrange(300, 3600), rng.randrange(300, 6000)
        odd = rng.random() < 0.3
        outline = odd_outline(rng, width, length) if odd else rectangle(width, length)
        made.append(a_piece(f"R-{number:05d}", outline=outline, pile=rng.choice((0.0, 0.0, 0.0, 90.0))))
    return made


def stars(count: int) -> list[Candidate]:
    """Pieces of 6 to 14 corners, up to 2.4 m across."""
    rng = random.Random(3)
    return [a_piece(f"R-{number:05d}", outline=Outline(star(rng, rng.randint(6, 14), 1200))) for number in range(count)]


def oval(across: float, along: float, corners: int = 24) -> list[Point]:
    """An oval patch."""
    steps = [math.tau * (corner + 0.5) / corners for corner in range(corners)]
    return [(across / 2 * math.cos(step), along / 2 * math.sin(step)) for step in steps]


def ell(across: float, along: float, x: float, y: float) -> list[Point]:
    """An L: its foot is `y` high, its upright `x` wide."""
    return [(0, 0), (across, 0), (across, y), (x, y), (x, along), (0, along)]


def one(ring: Sequence[Point], takes: Allowance, parts: int = 2) -> Job:
    """A job of one patch."""
    return a_job(a_patch(ring=ring, parts=parts), allowance=takes, min_part=LEAST)


def twelve() -> Job:
    """A job of twelve large rectangles."""
    rng = random.Random(5)
    sizes = [(rng.randrange(2200, 3400), rng.randrange(3000, 5200)) for _ in range(12)]
    patches = [a_patch(*size, name=f"room {number}") for number, size in enumerate(sizes, 1)]
    return a_job(*patches, allowance=WALLS, min_part=LEAST)


CASES: dict[str, tuple[Job, Callable[[int], list[Candidate]], int]] = {
    "oval of 24 corners, whole": (one(oval(1900, 1400), ROUND), ordinary, 2_000),
    "oval of 24 corners, joined": (one(oval(5200, 4400), ROUND), ordinary, 2_000),
    "oval of 24 corners, whole, stars": (one(oval(1900, 1400), ROUND), stars, 2_000),
    "oval of 24 corners, joined, stars": (one(oval(2300, 1500), ROUND), stars, 2_000),
    "oval of 24 corners, none, stars": (one(oval(2900, 1800), ROUND), stars, 2_000),
    "L, whole": (one(ell(2400, 2200, 900, 800), WALLS), ordinary, 10_000),
    "L, joined": (one(ell(4400, 5200, 1900, 1800), WALLS), ordinary, 10_000),
    "three parts": (one(rectangle(10_000, 5000).ring, WALLS, 3), ordinary, 2_000),
    "four parts, far too large": (one(rectangle(20_000, 9000).ring, WALLS, 4), ordinary, 10_000),
    "four parts, a little too large": (one(rectangle(7300, 12_200).ring, WALLS, 4), ordinary, 10_000),
    "twelve large patches": (twelve(), ordinary, 2_000),
}


def measured(job: Job, pieces: list[Candidate]) -> tuple[str, float, float | None]:
    """The verdict, the seconds that it took, and those to the first plan that fills all."""
    start = time.process_time()
    first: list[float] = []

    def told(merit: Merit, _bound: Merit) -> None:
        if not first and merit.unfilled == 0:
            first.append(time.process_time() - start)

    plan = fit(job, [pieces] * len(job.patches), told=told)
    seconds = time.process_time() - start
    assert faults_of(job, pieces, plan) == ()
    return str(plan.verdict), seconds, first[0] if first else None


def looked_at_once(pieces: list[Candidate]) -> float:
    """Seconds of the peer."""
    start = time.process_time()
    shapely.buffer([each.piece.outline.usable for each in pieces], -TOLERANCE_MM / 2, join_style="mitre")
    return time.process_time() - start


def main() -> None:
    """Prints the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--case", default="", help="only cases whose name holds this")
    chosen = options.parse_args()
    print("| case | donors | verdict | seconds | first full plan | each donor looked at once | ratio |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for name, (job, stock, count) in CASES.items():
        if chosen.case in name:
            pieces = stock(count)
            verdict, seconds, first = measured(job, pieces)
            peer = looked_at_once(pieces)
            shown = "" if first is None else f"{first:.2f}"
            print(f"| {name} | {count:,} | {verdict} | {seconds:.2f} | {shown} | {peer:.2f} | {seconds / peer:.0f} |", flush=True)


if __name__ == "__main__":
    main()
