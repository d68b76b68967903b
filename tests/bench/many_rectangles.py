"""Jobs of many rectangles that were cut from a few pieces: how many come whole, without the packing and with it?

    python -m tests.bench.many_rectangles [--counts 8 13 20 30 40] [--seeds 3] [--parts 1] [--tries 60]

Each piece, of a size by chance, is cut up by straight cuts, and each patch is then made up to a twentieth narrower or shorter: so
all fit whole. The peer is the same search without packing. Every plan passes the proof. Seconds are of the processor; the answer
is first told after so many of them.
"""

import argparse
import random
import time
from collections import Counter
from dataclasses import dataclass
from unittest import mock

from remnants.fitting import fit
from remnants.fitting.sharing.many_rectangles import FEWEST
from remnants.model import Candidate, Job, Verdict
from remnants.model.merit import Merit
from remnants.packing import Watch
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of

Box = tuple[int, int]

SHRUNK = 0.95
"""So much of what was cut is left of one side at the least."""

PATCHES_A_PIECE = 6
NEVER = 10**9


@dataclass(frozen=True)
class Came:
    """How many patches came whole, joined, or not at all; seconds to the end, and to the first plan."""

    counts: tuple[int, int, int]
    seconds: float
    first: float
    merit: Merit


def cut_up(dice: random.Random, board: Box, count: int) -> list[Box]:
    """A piece cut into so many parts by straight cuts, always the largest next, across its longer side."""
    made = [board]
    while len(made) < count:
        made.sort(key=lambda box: box[0] * box[1])
        width, length = made.pop()
        at = dice.uniform(0.25, 0.75)
        if width >= length:
            made += [(round(width * at), length), (width - round(width * at), length)]
        else:
            made += [(width, round(length * at)), (width, length - round(length * at))]
    return made


def planted(seed: int, count: int, *, parts: int = 1) -> tuple[Job, list[Candidate]]:
    """A job of so many rectangles, and the pieces that it was cut from."""
    dice = random.Random(seed)
    boards = [(dice.randint(1000, 3600), dice.randint(1000, 4000)) for _ in range(max(2, count // PATCHES_A_PIECE))]
    counts = [1] * len(boards)
    while sum(counts) < count:
        counts[max(range(len(boards)), key=lambda at: boards[at][0] * boards[at][1] / counts[at])] += 1
    sizes = [size for board, number in zip(boards, counts, strict=True) for size in cut_up(dice, board, number)]
    for at, (width, length) in enumerate(sizes):
        share = dice.uniform(SHRUNK, 1)
        sizes[at] = (round(width * share), length) if dice.random() < 0.5 else (width, round(length * share))
    dice.shuffle(sizes)
    job = a_job(*(a_patch(*size, name=f"p{at}", parts=parts) for at, size in enumerate(sizes)), min_part=150)
    return job, [a_piece(f"R-{at}", *board) for at, board in enumerate(boards)]


def answer(job: Job, pieces: list[Candidate], tries: int, *, packed: bool) -> Came:
    """What becomes of a job, with the packing or without."""
    start, told = time.process_time(), list[tuple[float, Merit]]()
    with mock.patch("remnants.fitting.sharing.search.FEWEST", FEWEST if packed else NEVER):
        plan = fit(
            job,
            [pieces] * len(job.patches),
            watch=Watch(tries=tries),
            told=lambda merit, _bound: told.append((time.process_time() - start, merit)),
        )
    seconds = time.process_time() - start
    assert faults_of(job, pieces, plan) == ()
    verdicts = Counter(patch.verdict for patch in plan.patches)
    counts = verdicts[Verdict.WHOLE], verdicts[Verdict.JOINED], verdicts[Verdict.NONE]
    first, merit = (told[0][0], told[-1][1]) if told else (seconds, Merit())
    return Came(counts, seconds, first, merit)


def main() -> None:
    """Prints the table, a line a number of patches."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--counts", type=int, nargs="+", default=[8, 13, 20, 30, 40])
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--parts", type=int, default=1, help="most parts of a patch")
    parser.add_argument("--tries", type=int, default=60)
    options = parser.parse_args()
    print(
        "| patches a job | jobs | whole / joined / none without | with | seconds without | with | first answer without | with |"
    )
    for count in options.counts:
        rows = []
        for seed in range(options.seeds):
            job, pieces = planted(seed, count, parts=options.parts)
            one, two = (answer(job, pieces, options.tries, packed=packed) for packed in (False, True))
            assert two.merit.key <= one.merit.key, (count, seed)
            rows.append((one, two))
        filled = [" / ".join(str(sum(each)) for each in zip(*(row[way].counts for row in rows), strict=True)) for way in (0, 1)]
        spent = [f"{sum(getattr(row[way], name) for row in rows):.1f}" for name in ("seconds", "first") for way in (0, 1)]
        print("|", " | ".join([str(count), str(len(rows)), *filled, *spent]), "|", flush=True)


if __name__ == "__main__":
    main()
