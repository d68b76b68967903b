"""Tells a piece anew where it was told wrong: only what is given changes, and the ledger keeps what it was before.

remnants correct R-0142 --lot 4471-B --worn 2
remnants correct R-0142 --width 39 --length "5 ft 4 in" --why "measured again"
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.change_piece import correct_piece
from remnants.actions.log_pieces import known_styles
from remnants.actions.show_piece import show_piece
from remnants.cli.options import add_signature, signature
from remnants.cli.piece_options import add_piece_options, entry_of, stock_of_entry
from remnants.cli.printing import remark, show_text
from remnants.errors import BadInput
from remnants.exchange import Stock, stock_json

__all__ = ["add_arguments", "run"]

_SIDES = frozenset({"width", "length"})
_SHAPES = frozenset({"outline", "centre", "radius", "diameter"})


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants correct`."""
    parser.add_argument("tag", metavar="TAG", help="the piece's tag")
    add_piece_options(parser, anew=True)
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Corrects the piece."""
    given = {key: value for key, value in entry_of(args).items() if key != "tag"}
    if not given:
        raise BadInput("say what is to be told anew, such as --lot or --width")
    with open_catalogue(args.catalogue, write=True) as catalogue:
        shown = show_piece(catalogue, args.tag)
        (known,) = stock_json(Stock((), (shown.piece,), args.unit))["pieces"]
        replaced = _SIDES | _SHAPES if given.keys() & _SHAPES else _SHAPES if given.keys() & _SIDES else frozenset()
        entry = {key: value for key, value in known.items() if key not in replaced} | given
        (piece,) = stock_of_entry(entry, args, known_styles(catalogue), remark).pieces
        tag = correct_piece(catalogue, piece, expected=shown.standing.version, signed=signature(args), key=args.key)
    show_text(f"{tag} is corrected")
    return 0
