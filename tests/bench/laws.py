"""Laws over planted jobs: what makes no difference on the floor changes no answer, and asking for more never gives more.

    python -m tests.bench.laws --cases 1000 --seed 1

Each case is asked as it was planted and once for each law; what breaks one is printed with its kind and seed.
"""

import argparse
import json
import random
import sys
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from remnants.exchange import Stock, job_json, read_job, read_stock, stock_json
from remnants.fitting import fit
from remnants.geometry.outline import Outline, Point, bounds
from remnants.geometry.turn import turned_ring
from remnants.model import Allowance, Candidate, Job, Plan
from remnants.model.merit import Rank
from remnants.units import Unit
from tests.bench.adversary_plant import Planted, planted
from tests.fitting.builders import a_piece

__all__ = ["KINDS", "LAWS", "Law", "answer_to", "broken"]

KINDS = (
    "whole",
    "two",
    "two of one",
    "hair",
    "taper",
    "narrow",
    "bearing",
    "two, patterned",
    "three, rectangles",
    "three, shared",
    "three, others",
    "short",
)
"""Kinds of planted jobs that are asked: quick ones, of which most have an answer."""

Asked = tuple[Job, tuple[Candidate, ...]]


@dataclass(frozen=True)
class Law:
    """A change of a job or its stock, and whether the answer to that may come after the answer before it."""

    change: Callable[[Job, tuple[Candidate, ...]], Asked]
    holds: Callable[[Plan, Plan], bool]


def answer_to(asked: Asked) -> Plan:
    """What is made of the one patch."""
    return fit(asked[0], [asked[1]])


def shuffled(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """The stock in another order."""
    return job, tuple(random.Random(1).sample(pieces, len(pieces)))


def doubled(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """Every length twice as long."""
    patch = job.patches[0]
    patch = replace(patch, ring=tuple((2 * x, 2 * y) for x, y in patch.ring), motif=_twice(patch.motif))
    takes = Allowance(2 * job.allowance.seam_mm, 2 * job.allowance.wall_mm, 2 * job.allowance.transition_mm)
    grown = []
    for each in pieces:
        rings = [tuple((2 * x, 2 * y) for x, y in ring) for ring in (each.piece.outline.ring, *each.piece.outline.cutouts)]
        piece = replace(each.piece, outline=Outline(rings[0], tuple(rings[1:])), motif=_twice(each.piece.motif))
        repeat = each.style.repeat
        told = repeat and replace(repeat, across_mm=2 * repeat.across_mm, along_mm=2 * repeat.along_mm)
        grown.append(replace(each, piece=piece, style=replace(each.style, repeat=told)))
    return replace(job, patches=(patch,), allowance=takes, min_part_mm=2 * job.min_part_mm), tuple(grown)


def _twice(point: Point | None) -> Point | None:
    return None if point is None else (2 * point[0], 2 * point[1])


def turned_a_quarter(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """The room drawn from another side."""
    patch = job.patches[0]
    motif = patch.motif and turned_ring((patch.motif,), 90.0)[0]
    turned = replace(patch, ring=turned_ring(patch.ring, 90.0), pile_deg=(patch.pile_deg + 90.0) % 360.0, motif=motif)
    return replace(job, patches=(turned,)), pieces


def with_a_useless_piece(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """One more that is too small for anything."""
    return job, (*pieces, a_piece("X-99", 20, 20, style=pieces[0].style, motif=pieces[0].piece.motif and (0.0, 0.0)))


def in_inches(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """Job and stock written down in inches, and read back."""
    stock = Stock(tuple({each.style.name: each.style for each in pieces}.values()), tuple(each.piece for each in pieces), Unit.IN)
    by_tag = {piece.tag: piece for piece in read_stock(json.dumps(stock_json(stock))).pieces}
    read = read_job(json.dumps(job_json(replace(job, unit=Unit.IN))))
    return read, tuple(replace(each, piece=by_tag[each.piece.tag]) for each in pieces)


def with_more_allowance(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """5 mm more at every joint and wall."""
    takes = job.allowance
    return replace(job, allowance=Allowance(takes.seam_mm + 5, takes.wall_mm + 5, takes.transition_mm + 5)), pieces


def with_a_larger_piece(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """One of the pieces as large as the box round it, and whole."""
    first, *rest = sorted(pieces, key=lambda each: each.piece.tag)
    left, bottom, right, top = bounds(first.piece.outline.ring)
    box = Outline(((left, bottom), (right, bottom), (right, top), (left, top)))
    return job, (replace(first, piece=replace(first.piece, outline=box)), *rest)


def with_a_piece_twice(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """Another piece just like one of them."""
    first = min(pieces, key=lambda each: each.piece.tag)
    return job, (*pieces, replace(first, piece=replace(first.piece, tag="Z-1")))


def _worth(plan: Plan) -> tuple[int, tuple[Rank, ...]]:
    """Less is better: made at all, then what is seen of it, worst first.

    A seam is one straight run, however many parts meet at it; how long it is, and what is spent, is left out.
    """
    assert plan.merit is not None
    return plan.merit.unfilled, plan.merit.sights


def _alike(before: Plan, after: Plan) -> bool:
    return _worth(before) == _worth(after)


def _the_same(before: Plan, after: Plan) -> bool:
    return [(patch.parts, patch.seams) for patch in before.patches] == [(patch.parts, patch.seams) for patch in after.patches]


def _no_better(before: Plan, after: Plan) -> bool:
    return _worth(before) <= _worth(after)


def _no_worse(before: Plan, after: Plan) -> bool:
    return _worth(before) >= _worth(after)


LAWS = {
    "shuffled stock": Law(shuffled, _the_same),
    "doubled lengths": Law(doubled, _alike),
    "a quarter turn": Law(turned_a_quarter, _alike),
    "a useless piece": Law(with_a_useless_piece, _the_same),
    "in inches": Law(in_inches, _alike),
    "more allowance": Law(with_more_allowance, _no_better),
    "a larger piece": Law(with_a_larger_piece, _no_worse),
    "a piece twice": Law(with_a_piece_twice, _no_worse),
}
"""What is held, by name."""


def broken(case: Planted) -> list[str]:
    """The laws that a case breaks, each with what was and what came."""
    before = answer_to((case.job, case.pieces))
    found = []
    for name, law in LAWS.items():
        after = answer_to(law.change(case.job, case.pieces))
        if not law.holds(before, after):
            parts, became = (sum(len(patch.parts) for patch in plan.patches) for plan in (before, after))
            found.append(f"{name}: {parts} parts became {became}, {_worth(before)} became {_worth(after)}")
    return found


def main(words: Iterable[str] | None = None) -> None:
    """Prints what breaks a law, and how many cases were asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=100, help="cases asked")
    parser.add_argument("--seed", type=int, default=1, help="the first seed; each case has the next one, and the next kind")
    parser.add_argument("--kind", choices=KINDS, action="append", help="only this kind; may be given again")
    asked = parser.parse_args(None if words is None else list(words))
    counts: Counter[str] = Counter()
    kinds = asked.kind or KINDS
    for number in range(asked.cases):
        print(".", end="", flush=True, file=sys.stderr)
        kind, seed = kinds[number % len(kinds)], asked.seed + number
        for fault in broken(planted(kind, seed)):
            counts[fault.split(":")[0]] += 1
            print(f"{kind} {seed}: {fault}", flush=True)
    print(f"{asked.cases} jobs, {len(LAWS)} laws: {counts.total()} broken {dict(counts) if counts else ''}")


if __name__ == "__main__":
    main()
