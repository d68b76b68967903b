"""Lists what is on the way between branches and vans, what is late first.

remnants on-the-way
remnants on-the-way --to North

Of very many the first 200 are listed; `--most` lists more.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.branches import branches_of
from remnants.actions.transfers import on_the_way
from remnants.cli.options import add_most
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.report.ways import ways_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants on-the-way`."""
    parser.add_argument("--to", default="", metavar="BRANCH", help="only what goes to this branch or van")
    add_most(parser)


def run(args: argparse.Namespace) -> int:
    """Lists it."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        found, today, ours = on_the_way(catalogue), catalogue.today(), branches_of(catalogue)
    goal = ours.named(args.to)
    if args.to.strip() and not goal:
        raise BadInput(
            [Fault("--to", f"no branch and no van is called {args.to.strip()!r}; `remnants branch` and `remnants van` list them")]
        )
    found = tuple(standing for standing in found if standing.way and (not goal or standing.way.goal == goal))
    if not found:
        show_text("nothing is on the way" + (f" to {goal}" if goal else ""))
        return 0
    show(ways_table(found[: args.most], args.unit, today=today))
    late = sum(standing.way.late(today) for standing in found if standing.way)
    show_text(f"{len(found):,} on the way, {late:,} late" if late else f"{len(found):,} on the way, none late")
    if len(found) > args.most:
        show_text(f"the first {args.most} are listed; --most {len(found)} lists them all")
    return 0
