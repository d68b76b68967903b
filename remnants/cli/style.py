"""Describes a style, or tells how it is described: construction, roll width, pattern repeat, rows.

    remnants style "Velder Loop" --construction loop --roll-width "12 ft" --repeat 12,18 --drop 0.5 --row "1/4 in"
    remnants style "Velder Loop" --mass 2400 --pile-height "6 mm" --backing "2 mm"
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
from remnants.model.style_attributes import STYLE
from remnants.report.pieces import style_card, style_table

__all__ = ["add_arguments", "run"]

_OPTIONS = tuple(attribute for attribute in STYLE if attribute.name not in ("name", "colours"))
"""What options tell; a style's name stands by itself, and its colours are told in files."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants style`."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="the style's name; none lists all")
    for attribute in _OPTIONS:
        choices = [each.value for each in attribute.choices] if attribute.choices else None
        parser.add_argument(_flag(attribute.name), metavar=attribute.hint, choices=choices, help=attribute.told)
    parser.add_argument("--drop", type=float, metavar="SHARE", help="0 set match, 0.5 half-drop, 0.25 quarter-drop")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores or tells the style."""
    told = _told(args)
    if args.name and told:
        with open_catalogue(args.catalogue, write=True) as catalogue:
            known = known_styles(catalogue).get(args.name)
            before = stock_json(Stock((known,), (), args.unit))["styles"][0] if known else {"name": args.name}
            if "repeat" in told:
                before.pop("repeat_bar", None)  # that of another measure
            stock = _read(before | told, args)
            log_pieces(catalogue, stock, signed=signature(args), key=args.key)
        show_text(f"{args.name} is described")
        return 0
    with open_catalogue(args.catalogue, write=False) as catalogue:
        styles = known_styles(catalogue)
    if args.name and args.name not in styles:
        raise NotFound(f"no style is called {args.name!r}; `remnants style` lists those there are")
    show(style_card(styles[args.name], args.unit) if args.name else style_table(list(styles.values()), args.unit))
    return 0


def _told(args: argparse.Namespace) -> dict[str, Any]:
    """What the options tell, by the keys of a stock file."""
    given = {attribute: text for attribute in _OPTIONS if (text := getattr(args, attribute.name)) is not None}
    told: dict[str, Any] = {attribute.name: attribute.of_text(text) for attribute, text in given.items()}
    if args.drop is not None and not args.repeat:
        raise BadInput([Fault("--drop", "a drop goes with a repeat; give --repeat too")])
    if args.repeat:
        across, comma, along = args.repeat.partition(",")
        if not comma:
            raise BadInput([Fault("--repeat", f"{args.repeat!r} is no repeat: give ACROSS,ALONG, such as 12,18")])
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
            return _flag(key)
        case _:
            return fault.where


def _flag(name: str) -> str:
    return f"--{name.replace('_', '-')}"
