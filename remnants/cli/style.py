"""Describes a style, or tells how it is described: construction, roll width, pattern repeat, rows.

    remnants style "Velder Loop" --construction loop --roll-width "12 ft" --repeat 12,18 --drop 0.5 --row "1/4 in"
    remnants style "Velder Loop"
    remnants style

A piece of a style that nobody described is taken for cut pile without a pattern.
"""

import argparse
from typing import Any

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.cli.options import add_signature, signature
from remnants.cli.printing import show, show_text
from remnants.errors import BadInput, Fault, NotFound
from remnants.exchange import Stock, read_stock, stock_json
from remnants.model import Construction
from remnants.report.pieces import style_table

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants style`."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="the style's name; none lists all")
    parser.add_argument("--construction", choices=tuple(way.value for way in Construction))
    parser.add_argument("--roll-width", metavar="LENGTH", help="width that it is made in")
    parser.add_argument("--repeat", metavar="ACROSS,ALONG", help="pattern repeat across and along the pile")
    parser.add_argument("--drop", type=float, metavar="SHARE", help="0 set match, 0.5 half-drop, 0.25 quarter-drop")
    parser.add_argument("--row", metavar="LENGTH", help="spacing of tuft rows")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores or tells the style."""
    told = _told(args)
    if args.name and told:
        with open_catalogue(args.catalogue, write=True) as catalogue:
            known = known_styles(catalogue).get(args.name)
            before = stock_json(Stock((known,), (), args.unit))["styles"][0] if known else {"name": args.name}
            stock = _read(before | told, args)
            log_pieces(catalogue, stock, signed=signature(args), key=args.key)
        show_text(f"{args.name} is described")
        return 0
    with open_catalogue(args.catalogue, write=False) as catalogue:
        styles = known_styles(catalogue)
    if args.name and args.name not in styles:
        raise NotFound(f"no style is called {args.name!r}; `remnants style` lists those there are")
    show(style_table([styles[args.name]] if args.name else list(styles.values()), args.unit))
    return 0


def _told(args: argparse.Namespace) -> dict[str, Any]:
    """What the options tell, by the keys of a stock file."""
    texts = {"construction": args.construction, "roll_width": args.roll_width, "row": args.row}
    told: dict[str, Any] = {key: value for key, value in texts.items() if value is not None}
    if args.drop is not None and not args.repeat:
        raise BadInput([Fault("--drop", "a drop goes with a repeat; give --repeat too")])
    if args.repeat:
        across, _, along = args.repeat.partition(",")
        told["repeat"] = {"across": across.strip(), "along": along.strip(), "drop": args.drop or 0.0}
    return told


def _read(style: dict[str, Any], args: argparse.Namespace) -> Stock:
    try:
        return read_stock({"unit": args.unit.value, "styles": [style], "pieces": []})
    except BadInput as error:
        raise BadInput(Fault(_option(fault), fault.what) for fault in error.faults) from None


def _option(fault: Fault) -> str:
    """`styles[0].roll_width` is `--roll-width` here."""
    match fault.path:
        case ("styles", 0, str(key), *_):
            return f"--{key.replace('_', '-')}"
        case _:
            return fault.where
