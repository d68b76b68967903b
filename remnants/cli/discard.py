"""Takes a piece out of stock for good: thrown away, given away, sold as it is.

remnants discard R-0142 --why "water damage"
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.change_piece import discard_piece
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants discard`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Discards the piece."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        standing = discard_piece(catalogue, args.tag, signed=signature(args), key=args.key)
    show_text(f"{standing.piece.tag} is discarded; `remnants undo {standing.piece.tag}` takes it back")
    return 0
