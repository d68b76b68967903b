"""Calls pieces back that are on the way: they lie where they lay before they were sent.

remnants call-back R-0142
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.transfers import call_back
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants call-back`."""
    parser.add_argument("tags", metavar="TAG", nargs="+", help="the pieces' tags")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Calls the pieces back."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        done = call_back(catalogue, args.tags, signed=signature(args), key=args.key)
    show_text(
        "\n".join(f"{one.piece.tag} is called back" + (f" to {one.piece.place}" if one.piece.place else "") for one in done)
    )
    return 0
