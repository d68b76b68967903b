"""One patch from 2,000 odd donors of one style, up to two parts: beside placing parts by shapely on a grid of seams.

    python -m tests.bench.joining

The peer asks shapely, donor by donor and seam by seam (every 50 mm), whether a part lies on a donor at the corners of the
donor's bounds shrunk by the part's: it misses much of what fits, and is given a twentieth of the donors.
"""

import random
import time

from shapely import affinity
from shapely.geometry import Polygon, box

from remnants.fitting import fit
from remnants.geometry.outline import Outline
from remnants.model import Allowance, Candidate
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of
from tests.geometry.test_lie import star

DONORS = 2000
SHARE = 20
SIZES = ((1000, 600), (1900, 900), (2400, 1200), (2600, 1500))


def stock(seed: int) -> list[Candidate]:
    """Star-shaped pieces of 6 to 14 corners."""
    rng = random.Random(seed)
    return [a_piece(f"R-{i:04d}", outline=Outline(star(rng, rng.randint(6, 14), 1200))) for i in range(DONORS)]


def by_grid(pieces: list[Candidate], width: float, length: float) -> int:
    """How many (donor, seam, side) the grid scan finds to fit."""
    found = 0
    for candidate in pieces:
        donor = Polygon(candidate.piece.outline.ring)
        left, bottom, right, top = donor.bounds
        for at in range(150, int(width) - 150, 50):
            part = box(0, 0, at + 50, length + 50)
            steps = [(x, y) for x in range(int(left), int(right - at), 100) for y in range(int(bottom), int(top - length), 100)]
            found += any(donor.contains(affinity.translate(part, x, y)) for x, y in steps)
    return found


def main() -> None:
    """Prints the table."""
    print(f"{'patch mm':>12} {'verdict':>8} {'seconds':>8} {'grid scan, seconds for all donors (from a share)':>50} {'ratio':>8}")
    for width, length in SIZES:
        pieces = stock(3)
        job = a_job(a_patch(width, length), allowance=Allowance(25, 75, 75), min_part=150)
        start = time.perf_counter()
        plan = fit(job, [pieces])
        ours = time.perf_counter() - start
        assert faults_of(job, pieces, plan) == ()
        start = time.perf_counter()
        by_grid(pieces[: DONORS // SHARE], width, length)
        peer = (time.perf_counter() - start) * SHARE
        print(f"{width:>6} x {length:<4} {plan.verdict:>8} {ours:>8.2f} {peer:>50.1f} {peer / ours:>8.0f}")


if __name__ == "__main__":
    main()
