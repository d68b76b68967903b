"""Puts a van in, with who answers for what lies in it, or lists the vans.

    remnants van "Van 3" --with Ana --of North
    remnants van

A van is a place: a piece lies in it when its place begins with the van's name, such as `Van 3, left shelf`.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.branches import branches_of, close_van, pieces_by_place, put_van
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault
from remnants.model.branches import Van
from remnants.report.branches import van_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants van`."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="the van; none lists all")
    parser.add_argument("--with", dest="custodian", metavar="PERSON", default="", help="who answers for what lies in it")
    parser.add_argument("--of", dest="branch", metavar="BRANCH", default="", help="the branch that it is of (default: the first)")
    parser.add_argument("--close", action="store_true", help="take it away; nothing may lie in it")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores, closes or lists."""
    told = args.custodian or args.branch
    if not args.name:
        if told or args.close:
            raise BadInput([Fault("NAME", "say which van is meant")])
        with open_catalogue(args.catalogue, write=False) as catalogue:
            found = branches_of(catalogue)
            counts = pieces_by_place(catalogue, found)
        if not found.vans:
            show_text("no vans: a place is one only by its name")
            return 0
        show(van_table(found, counts))
        return 0
    if args.close and told:
        raise BadInput([Fault("--close", "it goes with nothing else: close it, or tell it anew")])
    with open_catalogue(args.catalogue, write=True) as catalogue:
        if args.close:
            name = close_van(catalogue, args.name, signed=signature(args), key=args.key)
        else:
            van = Van(args.name, args.custodian, args.branch)
            name = put_van(catalogue, van, signed=signature(args), key=args.key)
    show_text(f"{name} is closed" if args.close else f"{name} is stored")
    return 0
