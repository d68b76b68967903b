"""Says that pieces came where they were sent to.

    remnants take-in R-0142 R-0150 --place "Bay 3"
    remnants take-in R-0151 --not-there

A place is told as it is called there: `Bay 3` at the branch North is `North Bay 3`. With --not-there they never came: they are
missing from then on, from the place where they lay, until somebody sees them again.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.transfers import not_there, take_in
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text
from remnants.errors import BadInput, Fault

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants take-in`."""
    parser.add_argument("tags", metavar="TAG", nargs="+", help="the pieces' tags")
    parser.add_argument("--place", default="", help="where they lie there now (default: the branch or van alone)")
    parser.add_argument("--not-there", action="store_true", help="they never came")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Takes the pieces in, or says that they never came."""
    if args.not_there and args.place:
        raise BadInput([Fault("--place", "what never came lies nowhere there: leave the place out")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        signed = signature(args)
        if args.not_there:
            done = not_there(catalogue, args.tags, signed=signed, key=args.key)
        else:
            done = take_in(catalogue, args.tags, args.place, signed=signed, key=args.key)
    told = "{tag} is missing; it lay at {place}" if args.not_there else "{tag} is at {place} now"
    show_text("\n".join(told.format(tag=one.piece.tag, place=one.piece.place or "a place that nobody told") for one in done))
    return 0
