"""Puts pieces into the catalogue: one from options, or all of a stock file. All of them are stored, or none.

    remnants log --style "Velder Loop" --colour Oatmeal --lot 4471-B --width 40 --length "5 ft 6 in" --place "Bay 3"
    remnants log stock.json

Bare figures are in the unit that --unit names (inches unless set). Without --tag the piece gets the next free one.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import known_styles, log_pieces, next_tag
from remnants.cli.options import add_signature, signature
from remnants.cli.piece_options import add_piece_options, stock_from_options
from remnants.cli.printing import remark, show
from remnants.exchange import read_stock
from remnants.model import Kind

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants log`."""
    parser.add_argument("file", metavar="FILE", nargs="?", type=Path, help="a stock file (JSON)")
    add_piece_options(parser)
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores the pieces and tells their tags."""
    with open_catalogue(args.catalogue, write=True) as catalogue:
        known = known_styles(catalogue)
        if args.file:
            stock = read_stock(args.file, known=known, note=remark)
        else:
            tag = args.tag or next_tag(catalogue, Kind(args.kind))
            stock = stock_from_options(args, tag, known, remark)
        tags = log_pieces(catalogue, stock, signed=signature(args), key=args.key)
    shown = ", ".join(tags[:8]) + (f" and {len(tags) - 8} more" if len(tags) > 8 else "")
    show(f"logged {len(tags)} piece{'' if len(tags) == 1 else 's'}: {shown}")
    return 0
