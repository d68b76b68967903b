"""A piece told by options, read by the same reader as a stock file."""

import argparse
import json
import math
from collections.abc import Mapping
from typing import Any

from remnants.cli.options import shade_figures
from remnants.errors import BadInput, Fault
from remnants.exchange import Note, Stock, read_stock
from remnants.model import Kind, Style

__all__ = ["add_piece_options", "entry_of", "kind_of", "stock_from_options", "stock_of_entry"]

_PLAIN = ("tag", "kind", "style", "colour", "lot", "width", "length", "radius", "pile", "place", "room", "worn", "illuminant")


def add_piece_options(parser: argparse.ArgumentParser, *, anew: bool = False) -> None:
    """The options that tell a piece; `anew` for one that is there, of which only what is given changes."""
    piece = parser.add_argument_group("what to tell anew" if anew else "a piece told by options")
    if not anew:
        piece.add_argument("--tag", help="its tag (default: the next free one)")
    kinds = ", ".join(Kind)
    piece.add_argument("--kind", default=None if anew else "remnant", metavar="KIND", help=f"{kinds} (default: remnant)")
    piece.add_argument("--style")
    piece.add_argument("--colour")
    piece.add_argument("--lot", help="dye lot")
    piece.add_argument("--width", help="across the roll")
    piece.add_argument("--length", help="along the roll")
    piece.add_argument("--outline", metavar="X,Y", nargs="+", help="corners in order, instead of width and length")
    piece.add_argument("--radius", help="of a round piece")
    piece.add_argument(
        "--cutout", metavar="X,Y", nargs="+", action="append", help="corners of what can't be used; may be repeated"
    )
    piece.add_argument(
        "--pile",
        default=None if anew else 0.0,
        metavar="DEGREES",
        help="way the pile lays, clockwise from up the length",
    )
    piece.add_argument("--motif", metavar="X,Y", help="where the pattern's reference point lies")
    piece.add_argument("--place", help="where it lies, such as a bay")
    piece.add_argument("--room", help="of a piece laid or kept: its room")
    piece.add_argument("--worn", metavar="0-4", help='0 new to 4 heavily worn, or in words, such as "hardly worn"')
    piece.add_argument("--lab", metavar="L,A,B", help="measured shade in CIELAB, such as 72.1,2.0,13.8")
    piece.add_argument("--illuminant", help="light and observer of the shade (default D65/10), or photo")


def kind_of(args: argparse.Namespace) -> Kind:
    """The kind of piece that the options tell. Raises BadInput naming `--kind`."""
    if args.kind not in tuple(Kind):
        raise BadInput([Fault("--kind", f"{args.kind!r} is none of {', '.join(Kind)}")])
    return Kind(args.kind)


def stock_from_options(args: argparse.Namespace, tag: str, known: Mapping[str, Style], note: Note) -> Stock:
    """The stock of one piece. Raises BadInput naming options, such as `--width`, all that are at fault at once."""
    return stock_of_entry(entry_of(args) | {"tag": tag}, args, known, note)


def stock_of_entry(entry: Mapping[str, Any], args: argparse.Namespace, known: Mapping[str, Style], note: Note) -> Stock:
    """The stock of one piece, told as a stock file would tell it. Raises BadInput naming options."""
    try:
        return read_stock(json.dumps({"unit": args.unit.value, "pieces": [entry]}), known=known, note=note)
    except BadInput as error:
        raise BadInput(Fault(_option(fault.where), fault.what) for fault in error.faults) from None


def entry_of(args: argparse.Namespace) -> dict[str, Any]:
    """What the options tell, by the keys of a stock file."""
    entry: dict[str, Any] = {key: value for key in _PLAIN if (value := getattr(args, key, None)) is not None}
    entry |= {key: _figure(entry[key]) for key in ("pile", "worn") if key in entry}
    if args.radius is not None:
        entry["centre"] = [args.radius, args.radius]
    if args.outline:
        entry["outline"] = [_corner("--outline", text) for text in args.outline]
    if args.motif:
        entry["motif"] = _corner("--motif", args.motif)
    if args.lab:
        entry["lab"] = shade_figures("--lab", args.lab)
    if args.cutout:
        entry["cutouts"] = [[_corner("--cutout", text) for text in ring] for ring in args.cutout]
    return entry


def _figure(text: str | float) -> str | float:
    """The number that a text tells; a text that tells none is left for the reader of pieces to refuse."""
    try:
        figure = float(text)
    except ValueError:
        return text
    if not math.isfinite(figure):
        return text
    return int(figure) if figure.is_integer() else figure


def _corner(option: str, text: str) -> list[str]:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2:
        raise BadInput([Fault(option, f"{text!r} is no point: give X,Y, such as 12,6.5 (with a point for decimals)")])
    return parts


def _option(place: str) -> str:
    """`pieces[0].width` is `--width` here."""
    inner = place.removeprefix("pieces[0]").removeprefix(".")
    return f"--{inner.replace('cutouts', 'cutout')}" if inner else ""
