"""How often the true step in shade between two carpets lies within its bar, in synthetic photographs; every fourth has none.

python -m tests.bench.shade_step --seeds 300
"""

import argparse
from collections import Counter

import numpy as np

from remnants.errors import NotMeasured
from remnants.photo.shade_step import shade_step
from tests.photo.two_carpets import FLOOR_AT, OTHER_AT, two_carpets

LIGHTS = {"even": (0.1, 0.01, 0.01), "by a window": (0.3, 0.04, 0.02), "two lights": (0.4, 0.08, 0.08)}
"""How steep, bent and coloured light is, of 400 mm."""


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=200, help="pictures of each kind (default 200)")
    parser.add_argument("--first", type=int, default=500_000, help="the first seed")
    args = parser.parse_args()
    print(
        "| light | floor's shade | measured | refused | truth within the bar | off, 95 % within | median bar | off to bar, 95 % |"
    )
    for name, light in LIGHTS.items():
        off: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
        why: dict[bool, Counter[str]] = {True: Counter(), False: Counter()}
        for seed in range(args.first, args.first + args.seeds):
            seen = two_carpets(seed, light=light, step=0.0 if seed % 4 == 0 else None)
            for known in (True, False):
                try:
                    found = shade_step(seen.flat, FLOOR_AT, OTHER_AT, floor=seen.told if known else None)
                except NotMeasured as error:
                    why[known][error.why] += 1
                    continue
                off[known].append((abs(found.delta_e - seen.step), found.bar))
        for known in (True, False):
            table = np.asarray(off[known]) if off[known] else np.full((1, 2), np.nan)
            within, far = 100 * float((table[:, 0] <= table[:, 1]).mean()), float(np.quantile(table[:, 0], 0.95))
            told = "measured" if known else "by the page's white"
            of_bar = float(np.quantile(table[:, 0] / table[:, 1], 0.95))
            shares = f"{within:.1f} % | {far:.2f} | {np.median(table[:, 1]):.2f} | {of_bar:.2f}"
            counts = f"{len(off[known])} | {dict(why[known])}"
            print(f"| {name} | {told} | {counts} | {shares} |", flush=True)


if __name__ == "__main__":
    main()
