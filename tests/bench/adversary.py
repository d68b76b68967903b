"""Jobs whose answer is known, told to the engine: what it finds, what it misses, and what it claims wrongly.

    python -m tests.bench.adversary --cases 50 --seed 7 --kind "two of one"

The planter (`adversary_plant`) makes pieces round an answer, or too small for one; the judge (`adversary_judge`) measures each
plan with geometry of its own. `wrong no`: told as proved though a plan exists;
`withheld`: a right plan that the program's own proof refuses; `broke off`: it fell over. Seeds of all that went amiss are
printed.
"""

import argparse
import signal
import time
from collections import Counter
from collections.abc import Iterable
from enum import StrEnum
from types import FrameType

from remnants.fitting import fit
from remnants.model import Verdict
from remnants.proof import check_plan
from tests.bench.adversary_judge import what_is_wrong
from tests.bench.adversary_plant import KINDS, Planted, planted

__all__ = ["Outcome", "outcome_of"]

MOST_SECONDS = 20


class Outcome(StrEnum):
    """What the engine made of a case."""

    RIGHT = "right"
    WRONG_NO = "wrong no"
    UNDECIDED = "undecided"
    WRONG_PLAN = "wrong plan"
    WITHHELD = "withheld"
    STALLED = "stalled"
    BROKE_OFF = "broke off"


class Stalled(Exception):
    """A case took longer than it may."""


def outcome_of(case: Planted) -> tuple[Outcome, str]:
    """What the engine makes of a case, and what is to be said of it."""
    plan = fit(case.job, [case.pieces])
    (patch,) = plan.patches
    if patch.verdict is Verdict.NONE:
        proved = plan.bound == "best possible"
        if case.exists:
            return (Outcome.WRONG_NO if proved else Outcome.UNDECIDED), patch.reason
        return (Outcome.RIGHT if proved else Outcome.UNDECIDED), patch.reason
    pieces = {each.piece.tag: each.piece for each in case.pieces}
    styles = {each.style.name: each.style for each in case.pieces}
    wrong = what_is_wrong(case.job, pieces, styles, plan)
    if wrong or not case.exists:
        return Outcome.WRONG_PLAN, "; ".join(wrong) or "a plan where none can be"
    faults = check_plan(case.job, pieces, styles, plan)
    return (Outcome.WITHHELD, "; ".join(map(str, faults))) if faults else (Outcome.RIGHT, "")


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise Stalled


def _told(case: Planted) -> tuple[Outcome, str]:
    """As `outcome_of`, within the processor time that a case may take."""
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        return outcome_of(case)
    except Stalled:
        return Outcome.STALLED, f"over {MOST_SECONDS} s"
    except Exception as error:
        return Outcome.BROKE_OFF, repr(error)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def main(words: Iterable[str] | None = None) -> None:
    """Prints what went amiss, with its seed, and the count by kind."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=20, help="cases of each kind")
    parser.add_argument("--seed", type=int, default=1, help="the first seed; each case has the next one")
    parser.add_argument("--kind", choices=KINDS, action="append", help="only this kind; may be given again")
    asked = parser.parse_args(None if words is None else list(words))
    signal.signal(signal.SIGPROF, _stop)
    rows = []
    for kind in asked.kind or KINDS:
        counts: Counter[Outcome] = Counter()
        worst = total = 0.0
        for seed in range(asked.seed, asked.seed + asked.cases):
            start = time.process_time()
            outcome, why = _told(planted(kind, seed))
            spent = time.process_time() - start
            worst, total = max(worst, spent), total + spent
            counts[outcome] += 1
            if outcome is not Outcome.RIGHT:
                print(f"{kind} {seed}: {outcome}: {why}", flush=True)
        rows.append((kind, counts, total / asked.cases, worst))
    print(f"| kind | {' | '.join(Outcome)} | seconds, mean | most |")
    print(f"| --- |{' --- |' * (len(Outcome) + 2)}")
    for kind, counts, mean, worst in rows:
        print(f"| {kind} | {' | '.join(str(counts[each]) for each in Outcome)} | {mean:.2f} | {worst:.1f} |")


if __name__ == "__main__":
    main()
