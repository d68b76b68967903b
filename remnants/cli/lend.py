"""Lends pieces to a customer until a day; without pieces it lists what is lent, what is late first.

    remnants lend R-0142 R-0150 --to F-2031 --until 2031-06-03
    remnants lend R-0142 --back "Bay 3"
    remnants lend

What is lent is with that customer, and is used for their jobs alone unless they were asked. `--back` ends the loan. Without
--until it is lent for 14 days.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.loans import lend, take_back, what_is_lent
from remnants.cli.options import add_signature, day, own_branch, signature
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.report.loans import loans_table

__all__ = ["add_arguments", "run"]

MOST_LISTED = 200
"""Pieces that are listed; of more, how many there are."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants lend`."""
    parser.add_argument("tags", metavar="TAG", nargs="*", help="the pieces' tags; without any, what is lent is listed")
    parser.add_argument("--to", default="", metavar="REFERENCE", help="your own reference of the customer")
    parser.add_argument("--until", type=day, metavar="DATE", help="the day until which they have it (default: 14 days from now)")
    parser.add_argument("--back", default="", metavar="PLACE", help="they are back from whoever had them, and lie at this place")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Lends the pieces, or lists what is lent."""
    if not args.tags:
        if args.to or args.until or args.back:
            raise BadInput([Fault("TAG", "say which pieces are lent, by their tags")])
        return _list(args)
    if args.back:
        return _back(args)
    if not args.to:
        raise BadInput([Fault("--to", "say to which customer, by your own reference")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        signed = signature(args)
        tags = lend(catalogue, args.tags, args.to, until=args.until, signed=signed, key=args.key)
    show_text(f"lent to {args.to}: {', '.join(tags)}")
    return 0


def _back(args: argparse.Namespace) -> int:
    if args.to or args.until:
        raise BadInput([Fault("--back", "it goes without --to and --until: what is back is lent to nobody")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        tags = take_back(catalogue, args.tags, args.back, own=own_branch(), signed=signature(args), key=args.key)
    show_text(f"back from loan: {', '.join(tags)}")
    return 0


def _list(args: argparse.Namespace) -> int:
    with open_catalogue(args.catalogue, write=False) as catalogue:
        lent, today = what_is_lent(catalogue, most=MOST_LISTED), catalogue.today()
    if not lent.count:
        show_text("nothing is lent")
        return 0
    show(loans_table(lent.first, args.unit, today=today))
    show_text(f"{lent.count:,} lent, {lent.late:,} late" if lent.late else f"{lent.count:,} lent, none late")
    return 0
