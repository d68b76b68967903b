"""How long outlines for damage take beside one plain fit from the same stock, in processor time.

    python -m tests.bench.outlines --pieces 10000

A lounge with a carpeted doorway, another one, two lanes and two pieces of furniture; one, two and three burns; all pieces of the
asked style. Invented data. The peer is `fit` of the recommended outline from the same stock.
"""

import argparse
import json
import random
import time
from typing import Any

from remnants.actions.fit_job import fit_offer, offer_in_hand
from remnants.actions.propose_job import proposals_from
from remnants.exchange import read_damaged_job, read_stock

ROOM = {
    "name": "lounge",
    "outline": [[0, 0], [150, 0], [150, 60], [200, 60], [200, 180], [0, 180]],
    "doorways": [{"edge": 0, "from": 20, "width": 32, "depth": 4}, {"edge": 3, "from": 30, "width": 32}],
    "lanes": [[[36, 0], [40, 60], [170, 100]], [[40, 60], [20, 180]]],
    "light": 90,
    "hidden": [[[100, 0], [150, 0], [150, 30], [100, 30]], [[0, 120], [36, 120], [36, 180], [0, 180]]],
}
BURNS = ((60, 50, 70, 60), (110, 90, 114, 100), (80, 140, 95, 150))


def a_stock(count: int, seed: int) -> str:
    """So many plain remnants of one style and colour, of seven lots."""
    chance = random.Random(seed)
    pieces = [
        {
            "tag": f"R-{number:05}",
            "kind": "remnant",
            "style": "Velder",
            "lot": str(number % 7),
            "width": round(chance.uniform(8, 90), 2),
            "length": round(chance.uniform(8, 120), 2),
            "pile": chance.choice([0, 0, 90, 180]),
        }
        for number in range(count)
    ]
    styles = [{"name": "Velder", "construction": "loop", "row": 0.25}]
    return json.dumps({"unit": "in", "styles": styles, "pieces": pieces})


def a_job(burns: int) -> str:
    """A job with so many burns in one patch."""
    damage = [[[x1, y1], [x2, y1], [x2, y2], [x1, y2]] for x1, y1, x2, y2 in BURNS[:burns]]
    patch: dict[str, Any] = {"name": "burn", "room": "lounge", "pile": 0, "damage": damage}
    return json.dumps({"unit": "in", "style": "Velder", "lot": "1", "rooms": [ROOM], "patches": [patch]})


def main() -> None:
    """Prints a line for each number of burns."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=4)
    args = parser.parse_args()
    stock = read_stock(a_stock(args.pieces, args.seed))
    print(f"{args.pieces:,} pieces of the style, processor seconds")
    for burns in range(1, len(BURNS) + 1):
        asked = read_damaged_job(a_job(burns))
        offer = offer_in_hand(stock, asked.job)
        began = time.process_time()
        found = proposals_from(offer, asked)
        took = time.process_time() - began
        began = time.process_time()
        fit_offer(offer, found[0].proposal.job)
        peer = time.process_time() - began
        outlines = [len(each.proposal.outlines) for each in found]
        print(f"{burns} burns: {outlines} outlines in {took:.2f} s, {took / peer:.1f} times one fit ({peer:.2f} s)")


if __name__ == "__main__":
    main()
