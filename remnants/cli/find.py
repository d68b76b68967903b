"""Finds pieces by style, colour, lot or tag. Typing slips and shortened words are forgiven, and each find says why.

remnants find veldr loop oatml
remnants find dk oat 4471-B
remnants find --why R-0142 veldr oatml
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.find_pieces import Why, find_pieces, why_found
from remnants.actions.promised_seen import promised_like
from remnants.cli.options import at_least_one
from remnants.cli.printing import show, show_json
from remnants.exchange import Stock, stock_json
from remnants.report.pieces import standing_table
from remnants.report.promised_text import promised_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants find`."""
    parser.add_argument("words", metavar="WORDS", nargs="+", help="what you remember of style, colour and lot, or a tag")
    parser.add_argument("--most", type=at_least_one, default=20, metavar="N", help="most pieces to list (default 20)")
    parser.add_argument("--why", metavar="TAG", help="tell how the words score this piece, instead of listing pieces")
    parser.add_argument("--json", action="store_true", help="print a stock file with these pieces")


def run(args: argparse.Namespace) -> int:
    """Prints the pieces found, or how one is scored."""
    words = " ".join(args.words)
    with open_catalogue(args.catalogue, write=False) as catalogue:
        if args.why:
            return _why(why_found(catalogue, args.why, words), words)
        found = find_pieces(catalogue, words, most=args.most)
        promised = promised_like(catalogue, words)
    if args.json:
        show_json(stock_json(Stock(found.styles, found.pieces, args.unit)))
    elif found.pieces:
        shared = len(found.reasons) > 1 and len(set(found.reasons)) == 1
        if shared:
            show(f"all of them: {found.reasons[0]}\n")
        show(standing_table(found.standings, args.unit, why=() if shared else found.reasons))
        if found.more:
            show(f"and {found.more} more or over: add a word, or raise --most")
    else:
        show(f"nothing in the catalogue is like {found.words!r}")
    if found.coming and not args.json:
        show("\nOn the way, not to be cut until it is taken in:", standing_table(found.coming, args.unit))
    if promised and not args.json:
        show(
            "\nPromised by orders, not to be cut yet:",
            promised_table([(each.number, each.order, each.leftover) for each in promised], args.unit),
        )
    return 0


def _why(told: Why, words: str) -> int:
    piece = told.piece
    label = ", ".join(text for text in (piece.style, piece.colour, piece.lot and f"lot {piece.lot}") if text)
    place = f"place {told.rank} of what is found" if told.rank else "too little to be listed"
    show(f"{piece.tag} ({label}) for {words!r}: {100 * told.score:.0f} of 100, {place}")
    show(told.reason or "nothing of the words is on it")
    return 0
