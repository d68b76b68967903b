"""Takes back what last happened to a piece, by a new entry. A cut is taken back whole, with all its donors and offcuts.

remnants undo R-0142
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.undo import undo_last
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants undo`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Takes the entry back and names the pieces that it changes."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        tags = undo_last(catalogue, args.tag, signed=signature(args), key=args.key)
    show_text(f"taken back: {', '.join(tags)} as before")
    return 0
