"""Tells all about one piece: what it is, its size and outline, where it lies.

remnants show R-0142
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.show_piece import show_piece
from remnants.cli.printing import show, show_json
from remnants.exchange import Stock, stock_json
from remnants.report.pieces import piece_card

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants show`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag, in any letter case")
    parser.add_argument("--json", action="store_true", help="print a stock file with this piece")


def run(args: argparse.Namespace) -> int:
    """Prints the piece."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        shown = show_piece(catalogue, args.tag)
    if args.json:
        show_json(stock_json(Stock((shown.style,), (shown.piece,), args.unit)))
    else:
        show(piece_card(shown.standing, shown.style, args.unit, customer=shown.customer))
    return 0
