"""Sends pieces to another branch or into a van: until they are taken in there, they are on the way.

    remnants send R-0142 R-0150 --to North
    remnants send R-0142 --to "Van 3" --expected 2031-06-03 --for "Alder Court 7"

What is on the way lies at no place, isn't planned with and can't be cut. `remnants take-in` says that it came, and
`remnants call-back` that it lies where it lay. A piece that is held goes for its job alone. Without --expected it is expected on
the next day.
"""

import argparse
from dataclasses import replace

from remnants.actions import open_catalogue
from remnants.actions.transfers import send
from remnants.cli.options import add_signature, day, signature
from remnants.cli.printing import show_text

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants send`."""
    parser.add_argument("tags", metavar="TAG", nargs="+", help="the pieces' tags")
    parser.add_argument("--to", required=True, metavar="BRANCH", help="the branch or the van that they go to")
    parser.add_argument(
        "--expected", type=day, metavar="DATE", help="the day on which they will be there (default: the next day)"
    )
    parser.add_argument("--for", dest="job", metavar="JOB", default="", help="the job that they are held for")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Sends the pieces."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        signed = replace(signature(args), job=args.job.strip())
        sent = send(catalogue, args.tags, args.to, expected=args.expected, signed=signed, key=args.key)
    show_text("\n".join(f"{standing.piece.tag} is {standing.words}" for standing in sent))
    return 0
