"""Says where a piece lies now.

remnants move R-0142 "Bay 4"
remnants move K-0007 attic --customer F-2031

Of a shop with several branches a place is meant as it is called at the branch that $REMNANTS_BRANCH names.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.show_piece import show_piece
from remnants.cli.options import add_signature, own_branch, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants move`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag")
    parser.add_argument("place", metavar="PLACE", help="where it lies now")
    parser.add_argument("--room", default="", help="the room, of a piece that is laid or kept")
    parser.add_argument("--customer", default="", metavar="REFERENCE", help="the customer who has it (default: the shop)")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Moves the piece."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        tag = move_piece(
            catalogue,
            args.tag,
            args.place,
            room=args.room,
            customer=args.customer,
            own=own_branch(),
            signed=signature(args),
            key=args.key,
        )
        place = show_piece(catalogue, tag).piece.place
    show_text(f"{tag} is at {place} now")
    return 0
