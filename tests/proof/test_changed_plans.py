"""Right plans of jobs by chance, changed a little: each is refused by the question that must see it, or is still right.

    python -m tests.proof.test_changed_plans [--count 10000] [--seed 1]

asks as many as wanted and prints what strays, with the seed of each.
"""

import argparse
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache

import pytest

from tests.proof.changes import CHANGES, Change
from tests.proof.random_plans import a_random_plan
from tests.thorough import EVERY


def strays(seed: int, changes: Sequence[Change] = CHANGES) -> Iterator[tuple[str, str]]:
    """For each change of the plan of a seed: its name, and what the proof said that it should not; "" where it said right."""
    planned = a_random_plan(random.Random(seed))
    if planned.refusals:
        yield "as planned", f"refused by {planned.refusals}"
        return
    for number, change in enumerate(changes):
        made = change(planned, random.Random(seed * 1000 + number))
        if made is None:
            continue
        changed, due = made
        told = changed.refusals
        right = bool(due & set(told)) if due else not told
        yield change.__name__, "" if right else f"refused by {told or 'nobody'}, should be by {sorted(due) or 'nobody'}"


SEEDS = range(1, 17, EVERY)
asked = cache(lambda seed: tuple(strays(seed)))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plan_changed_a_little_is_refused_by_the_question_that_must_see_it_or_still_right(seed: int) -> None:
    assert not [f"{name}: {what}" for name, what in asked(seed) if what], f"seed {seed}"


def test_every_change_is_made_in_some_of_the_plans() -> None:
    assert {name for seed in SEEDS for name, _ in asked(seed)} == {change.__name__ for change in CHANGES}


def _told(seed: int) -> Iterator[tuple[str, str]]:
    """As `strays`; where planning breaks off that is told too, and the next seed is asked."""
    try:
        yield from strays(seed)
    except Exception as error:
        yield "as planned", f"broke off: {error!r}"


def main() -> None:
    """Asks as many as wanted."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--count", type=int, default=10_000, help="changes to ask of")
    options.add_argument("--seed", type=int, default=1, help="of the first plan; each further plan has the next")
    chosen = options.parse_args()
    counts: Counter[str] = Counter()
    seed, wrong = chosen.seed, 0
    while counts.total() < chosen.count:
        for name, what in _told(seed):
            counts[name] += 1
            if what:
                wrong += 1
                print(f"seed {seed}, {name}: {what}", flush=True)
        seed += 1
    for name, count in sorted(counts.items()):
        print(f"{count:6} {name}")
    print(f"{counts.total()} changes of the plans of seeds {chosen.seed} to {seed - 1}: {wrong} strayed")


if __name__ == "__main__":
    main()
