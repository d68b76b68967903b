"""Houses of five to eight rooms, and hundreds of rooms: how near is the shortest choice to what no way of laying goes below?

    python -m tests.bench.houses [--houses 10] [--tries 480] [--seed 0]
    python -m tests.bench.houses --rooms 200 [--alike] [--tries 480]

Rooms are rectangles of 1.5 to 5.5 m by chance on 3.66 or 4 m, with trims and seams as by default, no pattern, no cross seams. In
every second house the pile's bearing is told. `--rooms` makes one house of so many rooms of 1.8 to 6 m on 4 m, or all `--alike`,
3.8 x 5.2 m. 480 tries are what `remnants order` gives to the roll. Every order is proved.

Prints a line a house, then the gap in the mean and at worst, how many are over 3 %, and seconds of the processor.
"""

import argparse
import random
import time

from remnants.estimating import Floors, OrderRules, Roll, Room
from remnants.estimating.order import choices, orders_from_roll
from remnants.geometry import rectangle
from remnants.packing import Watch
from remnants.proof.orders import check_order

RULES = OrderRules()


def a_house(seed: int) -> tuple[Floors, Roll]:
    """Five to eight rooms by chance."""
    chance = random.Random(1000 + seed)
    count = chance.randint(5, 8)
    sizes = [(chance.randint(150, 550) * 10.0, chance.randint(150, 550) * 10.0) for _ in range(count)]
    roll = Roll(chance.choice((3660.0, 4000.0)))
    pile_deg = 0.0 if seed % 2 else None
    return Floors(
        "house", tuple(Room(f"R{place}", rectangle(*size), (37.5,) * 4, pile_deg) for place, size in enumerate(sizes))
    ), roll


def many_rooms(count: int, *, alike: bool) -> tuple[Floors, Roll]:
    """As in a hotel: all alike, or each by chance."""
    chance = random.Random(1)
    sizes = [
        (3800.0, 5200.0) if alike else (chance.randint(180, 600) * 10.0, chance.randint(180, 600) * 10.0) for _ in range(count)
    ]
    return Floors("hotel", tuple(Room(f"R{place}", rectangle(*size), (37.5,) * 4) for place, size in enumerate(sizes))), Roll(
        4000.0
    )


def measured(name: str, floors: Floors, roll: Roll, tries: int) -> tuple[float, float]:
    """Orders, proves and prints: the gap as a share of the shortest choice, and processor seconds."""
    start = time.process_time()
    plans = orders_from_roll(floors, roll, rules=RULES, watch=Watch(tries=tries))
    took = time.process_time() - start
    for plan in plans:
        if faults := check_order(plan, floors, RULES):
            raise AssertionError(faults)
    found = choices(plans)
    shortest = min(found, key=lambda plan: plan.length_mm)
    gap = 1 - shortest.least_mm / shortest.length_mm
    told = ", ".join(f"{plan.length_mm:.0f} with {len(plan.seams)}" for plan in found)
    print(f"{name}: {len(floors.rooms)} rooms on {roll.width_mm:.0f}: at least {shortest.least_mm:.0f}; {told}; ", end="")
    print(f"recommended {plans[0].length_mm:.0f}; gap {100 * gap:.2f} %, {took:.1f} s", flush=True)
    return gap, took


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--houses", type=int, default=10)
    parser.add_argument("--tries", type=int, default=480)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--rooms", type=int)
    parser.add_argument("--alike", action="store_true")
    options = parser.parse_args()
    if options.rooms:
        measured("hotel", *many_rooms(options.rooms, alike=options.alike), options.tries)
        return
    found = [measured(str(seed), *a_house(seed), options.tries) for seed in range(options.seed, options.seed + options.houses)]
    gaps = [gap for gap, _ in found]
    over = sum(gap > 0.03 for gap in gaps)
    print(f"gap {100 * sum(gaps) / len(gaps):.2f} % in the mean, {100 * max(gaps):.2f} % at worst, {over} over 3 %; ", end="")
    print(f"{sum(took for _, took in found) / len(found):.1f} s a house")


if __name__ == "__main__":
    main()
