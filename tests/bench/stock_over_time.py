"""The figures of the page on stock over time, beside one plain count over the same file.

    python -m tests.bench.stock_over_time [PIECES]

A third of the pieces is cut once, over five years. Prints milliseconds and the ratio to `SELECT count(*), sum(area_mm2)`.
"""

import random
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.stock_over_time import stock_over_time
from remnants.geometry import rectangle
from remnants.ledger import Cut, Entry, Received, Standing, applied
from remnants.store import ledger, pieces, styles
from tests.bench.catalogue import some_pieces
from tests.stock_values import SIGNED, a_style

DAYS = 1800


def main(count: int) -> None:
    dice = random.Random(4)
    with tempfile.TemporaryDirectory() as folder, open_catalogue(Path(folder) / "stock.db", write=True) as catalogue:
        made = list(some_pieces(count))
        with catalogue.atomic():
            styles.put_styles(catalogue, [a_style(name) for name in sorted({piece.style for piece in made})])
            for day in range(0, DAYS, 30):
                some = made[day * count // DAYS : (day + 30) * count // DAYS]
                ledger.receive(catalogue, map(Received, some), replace(SIGNED, at=SIGNED.at + timedelta(days=day)))
            number = ledger.next_number(catalogue)
            changes: list[tuple[Entry, Standing]] = []
            for standing in list(pieces.every_standing(catalogue)):
                if dice.random() < 1 / 3:
                    left, low, right, high = standing.piece.outline.bounds
                    cut = Cut(rectangle((right - left) / 2, high - low), (right - left) * (high - low) / 2, 0.0)
                    signed = replace(SIGNED, at=standing.signed.at + timedelta(days=dice.randrange(300)))
                    entry = Entry(number, number, standing.piece.tag, cut, signed)
                    changes.append((entry, applied(standing, entry)))
                    number += 1
            ledger.write(catalogue, changes, {})
        today = SIGNED.at.date() + timedelta(days=DAYS)
        plain = timed(lambda: catalogue.execute("SELECT count(*), sum(area_mm2) FROM piece").fetchone())
        whole = timed(lambda: figures(catalogue, today))
        print(f"{count:,} pieces, {len(changes):,} cuts: {whole:.0f} ms, a plain count {plain:.0f} ms, ratio {whole / plain:.0f}")


def figures(catalogue: Catalogue, today: date) -> None:
    assert stock_over_time(catalogue, today=today)


def timed(do: Callable[[], object]) -> float:
    """Median of five, ms."""
    times = []
    for _ in range(5):
        start = time.perf_counter()
        do()
        times.append((time.perf_counter() - start) * 1000)
    return sorted(times)[2]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
