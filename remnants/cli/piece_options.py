"""A piece told by options, read by the same reader as a stock file."""

import argparse
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from remnants.cli.options import shade_figures
from remnants.errors import BadInput, Fault
from remnants.exchange import Note, Stock, read_stock
from remnants.model import Kind, Style
from remnants.model.attributes import PIECE, Attribute

__all__ = ["add_piece_options", "entry_of", "kind_of", "places_as_options", "stock_from_options", "stock_of_entry"]

_OTHERWISE: Mapping[str, Mapping[str, Any]] = {
    "outline": {"metavar": "X,Y", "nargs": "+"},
    "cutouts": {"flag": "--cutout", "metavar": "X,Y", "nargs": "+", "action": "append", "more": "; may be repeated"},
    "motif": {"metavar": "X,Y"},
}
"""What argparse must know of an option beside the table."""

_LEFT_OUT = frozenset({"centre"})
"""A round piece's centre follows from its radius."""

_BY_MOVING = frozenset({"customer"})
"""Told by `remnants move`, which looks whether there is such a customer."""


def add_piece_options(parser: argparse.ArgumentParser, *, anew: bool = False) -> None:
    """The options that tell a piece; `anew` for one that is there, of which only what is given changes."""
    piece = parser.add_argument_group("what to tell anew" if anew else "a piece told by options")
    usual = {} if anew else {"kind": "remnant"}
    for attribute in PIECE:
        if attribute.name in _LEFT_OUT | _BY_MOVING or (anew and attribute.name == "tag"):
            continue
        more = dict(_OTHERWISE.get(attribute.name, {}))
        flag = more.pop("flag", f"--{attribute.name.replace('_', '-')}")
        told = (attribute.told + more.pop("more", "")).replace("%", "%%") or None
        piece.add_argument(flag, **({"metavar": attribute.hint} | more), default=usual.get(attribute.name), help=told)


def kind_of(args: argparse.Namespace) -> Kind:
    """The kind of piece that the options tell. Raises BadInput naming `--kind`."""
    if args.kind not in tuple(Kind):
        raise BadInput([Fault("--kind", f"{args.kind!r} is none of {', '.join(Kind)}")])
    return Kind(args.kind)


def stock_from_options(args: argparse.Namespace, tag: str, known: Mapping[str, Style], note: Note) -> Stock:
    """The stock of one piece. Raises BadInput naming options, such as `--width`, all that are at fault at once.

    A pile that isn't told is taken to lay up the length, which is for the caller to say.
    """
    return stock_of_entry({"pile": 0.0} | entry_of(args) | {"tag": tag}, args, known, note)


def stock_of_entry(entry: Mapping[str, Any], args: argparse.Namespace, known: Mapping[str, Style], note: Note) -> Stock:
    """The stock of one piece, told as a stock file would tell it. Raises BadInput naming options."""
    with places_as_options():
        return read_stock({"unit": args.unit.value, "pieces": [entry]}, known=known, note=note)


@contextmanager
def places_as_options() -> Iterator[None]:
    """Tells the faults of the one piece of a stock file at the options that they came from."""
    try:
        yield
    except BadInput as error:
        raise BadInput(Fault(_option(fault), fault.what) for fault in error.faults) from None


def entry_of(args: argparse.Namespace) -> dict[str, Any]:
    """What the options tell, by the keys of a stock file."""
    given = {attribute: text for attribute in PIECE if (text := getattr(args, attribute.name, None)) is not None}
    entry: dict[str, Any] = {attribute.name: _told(attribute, text) for attribute, text in given.items()}
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


def _told(attribute: Attribute, text: Any) -> Any:
    """A figure as a number, where the attribute is one; a text that tells none is left for the reader of pieces to refuse."""
    return attribute.of_text(text) if isinstance(text, str) else text


def _corner(option: str, text: str) -> list[str]:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2:
        raise BadInput([Fault(option, f"{text!r} is no point: give X,Y, such as 12,6.5 (with a point for decimals)")])
    return parts


def _option(fault: Fault) -> str:
    """`pieces[0].width` is `--width` here."""
    if fault.where.startswith("-"):
        return fault.where
    match fault.path:
        case () | ("pieces", 0):
            return ""
        case ("pieces", 0, str(key), *_) | (str(key), *_):
            return f"--{_OTHERWISE.get(key, {}).get('flag', key).removeprefix('--').replace('_', '-')}"
        case _:
            return fault.where
