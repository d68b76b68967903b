"""Finds pieces by style, colour, lot or tag. Typing slips and shortened words are forgiven.

remnants find veldr loop oatml
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.find_pieces import find_pieces
from remnants.cli.options import at_least_one
from remnants.cli.printing import show, show_json
from remnants.exchange import Stock, stock_json
from remnants.report.pieces import piece_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants find`."""
    parser.add_argument("words", metavar="WORDS", nargs="+", help="what you remember of style, colour and lot, or a tag")
    parser.add_argument("--most", type=at_least_one, default=20, metavar="N", help="most pieces to list (default 20)")
    parser.add_argument("--json", action="store_true", help="print a stock file with these pieces")


def run(args: argparse.Namespace) -> int:
    """Prints the pieces found."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        found = find_pieces(catalogue, " ".join(args.words), most=args.most)
    if args.json:
        show_json(stock_json(Stock(found.styles, found.pieces, args.unit)))
    elif found.pieces:
        show(piece_table(found.pieces, args.unit))
        if found.more:
            show(f"and {found.more} more or over: add a word, or raise --most")
    else:
        show(f"nothing in the catalogue is like {found.words!r}")
    return 0
