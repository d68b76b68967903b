"""Odd parts on one piece, not turned, beside a general-purpose nesting library.

    python -m tests.bench.irregular [--seconds 20] [--planted-tries 60] [--seeds 3] [--parts 12 20] [--planted-only]

The parts are a piece of 3000 x 4000 mm cut up (straight and slanted cuts, Ls), so all have a place. Strip: spyrrow (MIT) lays
them on a strip 3000 wide, one worker, and tells the shortest it finds. Ours, one process, must place them all on pieces 3000
wide whose length gives a density of so many hundredths less than spyrrow's; the time is the same for spyrrow's one run and for
each of our pieces. The densest piece on which ours places all is told. Planted: two of the parts become cutouts, others are
left out until 85 % of what is usable is asked for; spyrrow knows no cutouts, so it has no figure there. Its effort is counted in
tries, those of an ordinary job, so that a busy machine finds as much; the time told is the processor's. Every plan of ours passes
the check.
"""

import argparse
import random
import time
from dataclasses import dataclass

import spyrrow

from remnants.fitting import TRIES, fit
from remnants.geometry.outline import Ring, area_mm2, outline_of
from remnants.model import Allowance, Candidate, Grade, Job, Kind, Match, Patch, Piece, Style, Verdict
from remnants.model.patch import Finish
from remnants.packing import Watch
from remnants.proof import check_plan
from remnants.units import Unit
from tests.planted import cut_up

WIDTH, LENGTH = 3000.0, 4000.0
USED = 0.85
STEPS = (0.0, 0.01, 0.02, 0.03, 0.05, 0.08)
"""How much less dense than spyrrow's strip our pieces are tried, densest first."""


@dataclass(frozen=True)
class Planted:
    """How many parts were asked for, how much of the piece they take, how many were placed, and the processor's seconds."""

    asked: int
    used: float
    placed: int
    seconds: float


def placed(parts: list[Ring], length: float, cutouts: list[Ring], watch: Watch) -> tuple[int, float]:
    """How many of the parts our search places on a piece under the watch, and the processor's seconds; the plan is checked."""
    start = time.process_time()
    ring: Ring = ((0.0, 0.0), (WIDTH, 0.0), (WIDTH, length), (0.0, length))
    style = Style("Velder Twist")
    piece = Piece("R-1", Kind.REMNANT, style.name, "Oatmeal", "4471-B", outline_of(ring, cutouts), 0.0)
    patches = tuple(
        Patch(f"part {index}", part, 0.0, tuple(Finish.FREE for _ in part), max_parts=1) for index, part in enumerate(parts)
    )
    job = Job("cut up", patches, Allowance(0.0, 0.0, 0.0), 50.0, Unit.MM)
    candidate = Candidate(piece, style, Match(Grade.SAME_LOT, 0, "Same lot."))
    plan = fit(job, [[candidate]] * len(patches), seed=1, watch=watch)
    faults = check_plan(job, {"R-1": piece}, {style.name: style}, plan)
    if faults:
        raise SystemExit(f"a plan fails its check: {faults}")
    return sum(patch.verdict is not Verdict.NONE for patch in plan.patches), time.process_time() - start


def by_spyrrow(parts: list[Ring], seconds: int) -> float:
    """The density of the shortest strip that spyrrow finds."""
    items = [spyrrow.Item(str(index), [*part, part[0]], demand=1, allowed_orientations=[0.0]) for index, part in enumerate(parts)]
    config = spyrrow.StripPackingConfig(total_computation_time=seconds, seed=1, num_workers=1, early_termination=False)
    solution = spyrrow.StripPackingInstance("cut up", strip_height=WIDTH, items=items).solve(config)
    return sum(map(area_mm2, parts)) / (WIDTH * float(solution.width))


def densest(parts: list[Ring], theirs: float, seconds: float) -> float:
    """The density of the densest piece tried on which ours places all parts; 0 if none."""
    area = sum(map(area_mm2, parts))
    for less in STEPS:
        watch = Watch(seconds=seconds, clock=time.perf_counter)
        if placed(parts, area / WIDTH / (theirs * (1 - less)), [], watch)[0] == len(parts):
            return theirs * (1 - less)
    return 0.0


def planted(rng: random.Random, parts: list[Ring], tries: int) -> Planted:
    """Two parts become cutouts, and as many are left out as keeps `USED` of the rest; how many are placed."""
    mixed = sorted(parts, key=area_mm2)
    cutouts = [mixed.pop(rng.randrange(len(mixed) // 2)) for _ in range(2)]
    usable = sum(map(area_mm2, mixed))
    while True:
        asked = rng.sample(mixed, len(mixed) - rng.randint(1, max(1, len(mixed) // 4)))
        used = sum(map(area_mm2, asked)) / usable
        if USED <= used < USED + 0.02:
            break
    count, taken = placed(asked, LENGTH, cutouts, Watch(tries=tries))
    return Planted(len(asked), used, count, taken)


def main() -> None:
    """Prints one line a number of parts and a seed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=int, default=20)
    parser.add_argument("--planted-tries", type=int, default=TRIES, help="effort to find all planted parts")
    parser.add_argument("--planted-only", action="store_true", help="leave the densities out, which take minutes")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--parts", type=int, nargs="+", default=[12, 20])
    args = parser.parse_args()
    print("| parts | seed | density: spyrrow | ours | ratio | planted: asked | used | placed | seconds |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for count in args.parts:
        for seed in range(args.seeds):
            rng = random.Random(seed)
            parts = cut_up(rng, WIDTH, LENGTH, count)
            densities = "| | | "
            if not args.planted_only:
                theirs = by_spyrrow(parts, args.seconds)
                ours = densest(parts, theirs, args.seconds)
                densities = f"| {theirs:.3f} | {ours:.3f} | {ours / theirs:.2f} "
            back = planted(rng, parts, args.planted_tries)
            print(
                f"| {count} | {seed} {densities}| {back.asked} | {back.used:.0%} | {back.placed} | {back.seconds:.1f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
