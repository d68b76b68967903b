"""One patch from a warehouse: 100,000 pieces, 10,000 of the style, and a million of fifty styles; three in ten of odd outlines.

    python -m tests.bench.fitting_scale [--millions]

An open catalogue is asked as a server or a long run asks it, with the ways beside the answer: "first" includes reading the
pieces of the style, the rest are medians of five, each after a piece of the style was moved. The peers: the same questions of a
tenth of the stock (the cost may grow with the pieces of the style no worse than linearly), and bare SQL that reads the rows of
the style. Processor time is told beside time on the wall, which others at work on the machine lengthen.
"""

import argparse
import gc
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.fit_job import fit_job
from remnants.actions.log_pieces import log_pieces
from remnants.cli import COLLECT_SELDOM
from remnants.exchange import Stock
from remnants.geometry import rectangle
from remnants.model import Allowance, Finish, Job, Kind, Patch, Piece, Style, Wanted
from tests.shapes import odd_outline
from tests.stock_values import SIGNED

KINDS = ("Loop", "Twist", "Velvet", "Berber", "Frieze")
ODD = 0.3
AT_ONCE = 100_000
AGAIN = 5
SIZES = ((1200, 900), (2400, 1200), (3500, 2600), (3700, 5200), (3900, 11_000))
"""Patches across by along, mm, from one that most pieces make whole to one that nothing makes."""


def names(count: int) -> list[str]:
    """The invented styles."""
    return [f"Quorl {KINDS[number % 5]} {number}" for number in range(count)]


def some_pieces(count: int, styles: list[str], seed: int = 3) -> Iterator[Piece]:
    """Pieces of the styles in turn, 4 colours and 3 lots each, 0.3 to 3.6 m by 0.3 to 6 m."""
    dice = random.Random(seed)
    for number in range(count):
        width, length = dice.randrange(300, 3600), dice.randrange(300, 6000)
        odd = dice.random() < ODD
        yield Piece(
            f"R-{number:07d}",
            Kind.REMNANT,
            styles[number % len(styles)],
            f"Shade {dice.randrange(4)}",
            f"{dice.randrange(3)}-B",
            odd_outline(dice, width, length) if odd else rectangle(width, length),
            pile_deg=dice.choice((0.0, 0.0, 0.0, 90.0)),
            place=f"Bay {dice.randrange(200)}",
        )


def a_job(width: float, length: float, style: str, parts: int) -> Job:
    """One patch with a seam all around."""
    patch = Patch("hall", rectangle(width, length).ring, 0.0, (Finish.SEAM,) * 4, Wanted(style), max_parts=parts)
    return Job("bench", (patch,), Allowance(25.0))


Seconds = tuple[float, float]
"""On the wall, and of the processor."""


def timed(do: Callable[[], object]) -> Seconds:
    """How long it takes."""
    wall, processor = time.perf_counter(), time.process_time()
    do()
    return time.perf_counter() - wall, time.process_time() - processor


def stocked(path: Path, count: int, styles: list[str]) -> None:
    """Logs so many pieces into a new catalogue, a hundred thousand at a time."""
    known = tuple(Style(name) for name in styles)
    with open_catalogue(path, write=True) as catalogue:
        for start in range(0, count, AT_ONCE):
            made = some_pieces(min(AT_ONCE, count - start), styles, seed=start)
            pieces = tuple(replace(piece, tag=f"R-{number:07d}") for number, piece in enumerate(made, start))
            log_pieces(catalogue, Stock(known, pieces), signed=SIGNED)


def ask(catalogue: Catalogue, style: str) -> dict[str, tuple[str, Seconds]]:
    """Each question's verdict and the median times of asking it again, a piece of the style moved before each."""
    told = {}
    for width, length in SIZES:
        for parts in (1, 2):
            job, times = a_job(width, length, style, parts), []
            for turn in range(AGAIN):
                move_piece(catalogue, "R-0000000", place=f"Bay {turn}", signed=SIGNED)
                times.append(timed(lambda: fit_job(catalogue, job, ways=True)))  # noqa: B023 - called at once
            wall, processor = (statistics.median(each) for each in zip(*times, strict=True))
            told[f"{width} x {length}, {parts}"] = str(fit_job(catalogue, job).plan.verdict), (wall, processor)
    return told


def asked(path: Path, count: int, styles: list[str]) -> dict[str, tuple[str, Seconds]]:
    """The answers of a catalogue of so many pieces, the first reading among them."""
    if not path.exists():
        stocked(path, count, styles)
    with open_catalogue(path, write=True) as catalogue:
        first = timed(lambda: fit_job(catalogue, a_job(*SIZES[0], styles[0], 1)))
        sql = "SELECT * FROM piece WHERE style = ? AND stage IN ('in stock', 'held')"
        bare = timed(lambda: catalogue.execute(sql, [styles[0]]).fetchall())
        return {"bare SQL of the rows": ("", bare), "first, with reading": ("", first), **ask(catalogue, styles[0])}


def main() -> None:
    """Prints the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--millions", action="store_true", help="a million pieces of 50 styles: takes minutes to log")
    options.add_argument("--folder", type=Path, help="where to keep the catalogues for the next time")
    chosen = options.parse_args()
    gc.set_threshold(*COLLECT_SELDOM)
    most, styles = (1_000_000, names(50)) if chosen.millions else (100_000, names(10))
    with tempfile.TemporaryDirectory() as temporary:
        folder = chosen.folder or Path(temporary)
        few, many = (asked(folder / f"{count}-{len(styles)}.db", count, styles) for count in (most // 10, most))
    sizes = (f"{most // 10:,} pieces, wall", "processor", f"{most:,} pieces, wall", "processor", "ratio")
    print(f"{'patch, mm, most parts':28} {'verdict':8}", *(f"{size:>22}" for size in sizes))
    for question, (verdict, (wall, processor)) in many.items():
        figures = (*few[question][1], wall, processor, processor / few[question][1][1])
        print(f"{question:28} {verdict:8}", *(f"{figure:>22.3f}" for figure in figures))


if __name__ == "__main__":
    main()
