"""Small orders beside a plain exact model: how much longer is our shortest choice than the least roll there is?

    python -m tests.bench.small_orders [--jobs 40] [--seconds 10] [--seed 1] [--tries 800]

A job is one to three rectangular rooms of 1.2 to 5 m by chance on a roll of 3.66 or 4 m, no pattern, no cross seams. The model
knows nothing of ours: for each room its bearing, how many breadths, how wide each (any whole millimetre), and where each cut lies
on the roll, all at once, by CP-SAT without start, bound or hint. Seams weigh nothing in it: our shortest choice stands beside.

Prints each job that ours is above, then the mean and the worst excess in percent of the model's length, how many of its answers
are proved, and the seams of both.
"""

import argparse
import random
import time
from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from remnants.estimating import Floors, OrderRules, Roll, Room
from remnants.estimating.order import choices, orders_from_roll
from remnants.geometry import rectangle
from remnants.packing import Watch
from remnants.proof.orders import check_order

RULES = OrderRules()
MOST_BREADTHS = 4


@dataclass(frozen=True)
class Exact:
    """The model's answer: roll (mm), a bound on the least (mm), and how many cuts each room has."""

    length_mm: int
    bound_mm: int
    cuts: tuple[int, ...]


def a_job(seed: int) -> tuple[list[Room], Roll]:
    """Rooms by chance, sizes in whole centimetres."""
    chance = random.Random(seed)
    sizes = [(chance.randint(120, 500) * 10.0, chance.randint(120, 500) * 10.0) for _ in range(chance.randint(1, 3))]
    roll = Roll(chance.choice((3660.0, 4000.0)))
    return [Room(f"R{place}", rectangle(*size), (37.0,) * 4) for place, size in enumerate(sizes)], roll


def exactly(rooms: Sequence[Room], roll: Roll, *, seconds: float) -> Exact | None:
    """The least roll by a plain model, at most `seconds`; None where it found none."""
    model = cp_model.CpModel()
    width, top = round(roll.width_mm), 30_000
    length = model.new_int_var(0, top, "length")
    across, along, used = [], [], []
    for room in rooms:
        turned = model.new_bool_var("")
        sides = [round(room.outline.bounds[axis + 2] - room.outline.bounds[axis]) + 74 for axis in (0, 1)]
        wide = model.new_int_var(0, top, "")
        long = model.new_int_var(0, top, "")
        for side, way in ((0, ~turned), (1, turned)):
            model.add(wide == sides[side]).only_enforce_if(way)
            model.add(long == sides[1 - side]).only_enforce_if(way)
        there = [model.new_bool_var("") for _ in range(MOST_BREADTHS)]
        model.add_bool_and(there[0])
        widths = []
        for place, is_there in enumerate(there):
            if place:
                model.add_implication(is_there, there[place - 1])
            x, y = model.new_int_var(0, width, ""), model.new_int_var(0, top, "")
            cut = model.new_int_var(0, width, "")
            model.add(cut == 0).only_enforce_if(~is_there)
            model.add(cut >= round(RULES.least_fill_mm) + 25 + (25 if place else 37)).only_enforce_if(is_there)
            end, far = model.new_int_var(0, width, ""), model.new_int_var(0, top, "")
            across.append(model.new_optional_interval_var(x, cut, end, is_there, ""))
            along.append(model.new_optional_interval_var(y, long, far, is_there, ""))
            model.add(far <= length).only_enforce_if(is_there)
            widths.append(cut)
        seams = round(2 * RULES.seam_mm)
        model.add(sum(widths) == wide + seams * (sum(there) - 1))
        used.append(there)
    model.add_no_overlap_2d(across, along)
    model.minimize(length)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 8
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    cuts = tuple(sum(solver.boolean_value(each) for each in there) for there in used)
    return Exact(round(solver.objective_value), round(solver.best_objective_bound), cuts)


def ours(rooms: Sequence[Room], roll: Roll, *, tries: int) -> tuple[float, int, float]:
    """Our shortest choice, proved: roll (mm), seams, and what is told to be the least of any way of laying (mm)."""
    floors = Floors("job", tuple(rooms))
    plans = orders_from_roll(floors, roll, rules=RULES, watch=Watch(tries=tries))
    for plan in plans:
        if faults := check_order(plan, floors, RULES):
            raise AssertionError(faults)
    shortest = min(choices(plans), key=lambda plan: plan.length_mm)
    return shortest.length_mm, len(shortest.seams), max(plan.least_mm for plan in plans)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--jobs", type=int, default=40)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tries", type=int, default=800)
    options = parser.parse_args()
    excess: list[float] = []
    proved = seams = exact_seams = 0
    spent = gap = 0.0
    for seed in range(options.seed, options.seed + options.jobs):
        rooms, roll = a_job(seed)
        exact = exactly(rooms, roll, seconds=options.seconds)
        start = time.process_time()
        length, count, least = ours(rooms, roll, tries=options.tries)
        spent += time.process_time() - start
        if exact is None:
            continue
        proved += exact.length_mm == exact.bound_mm
        excess.append((length / exact.length_mm - 1) * 100)
        gap += (1 - least / length) * 100
        seams, exact_seams = seams + count, exact_seams + sum(exact.cuts) - len(rooms)
        if excess[-1] > 0.1:
            sizes = ", ".join(f"{room.outline.bounds[2]:.0f} x {room.outline.bounds[3]:.0f}" for room in rooms)
            told = f"{exact.length_mm} (at least {exact.bound_mm}) with cuts {exact.cuts}"
            print(f"{seed:3}: {sizes} on {roll.width_mm:.0f}: {length:.0f} with {count} seams; {told}", flush=True)
    count = len(excess)
    above = sum(each > 0.1 for each in excess)
    print(f"{count} jobs, {proved} proved: {above} above, mean {sum(excess) / count:.2f} %, worst {max(excess):.2f} %")
    print(f"shorter than the model: {sum(each < -0.1 for each in excess)}; seams ours {seams}, model {exact_seams}")
    print(f"our own bound {gap / count:.1f} % below in the mean; {spent / count:.1f} processor seconds a job")


if __name__ == "__main__":
    main()
