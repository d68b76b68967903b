"""Which job a plan is for, where the catalogue has one of that name already."""

import argparse
import sys

from remnants.actions import Catalogue
from remnants.actions.booking import answered
from remnants.actions.job_names import AS_NAMED, Which, job_words, jobs_called, number_text, row_of
from remnants.errors import BadInput, Fault, SameName

__all__ = ["add_which", "which_job"]


def add_which(parser: argparse.ArgumentParser) -> None:
    """The options that say it."""
    group = parser.add_argument_group("where a job of that name is there already")
    group.add_argument(
        "--job", dest="number", metavar="NUMBER", default="", help="make the plan of this job anew, such as J-0001"
    )
    group.add_argument("--again", action="store_true", help="this is another job of that name; the first keeps what it holds")


def which_job(args: argparse.Namespace, catalogue: Catalogue, name: str) -> tuple[Which, str]:
    """Which job is meant, and what the ledger calls it ("" for a new one); asked for at the terminal where it isn't said.

    Raises SameName where it isn't said and nobody can be asked, NotFound, BadInput.
    """
    if args.number and args.again:
        raise BadInput([Fault("--again", "give --job for the job that is there, or --again for another one, not both")])
    if args.number:
        return Which(args.number), row_of(catalogue, args.number).name
    same = jobs_called(catalogue, name)
    if args.again:
        return Which(again=True), ""
    if not same or answered(catalogue, args.key):
        return AS_NAMED, name
    told = list(map(job_words, same))
    numbers = tuple(number_text(row.number) for row in same)
    if not sys.stdin.isatty():
        ways = f"give --job {numbers[-1]} to plan that one anew, or --again for another job of that name"
        raise SameName(name, "; ".join(told), numbers, ways)
    said = input(
        f"A job is called {name!r} already ({'; '.join(told)}).\nIts number to plan it anew, or `again` for another job: "
    )
    if said.strip().casefold() == "again":
        return Which(again=True), ""
    return Which(said.strip()), row_of(catalogue, said).name
