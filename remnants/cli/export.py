"""Writes the stock on hand to a file: everything as a stock file (JSON), or pieces as a spreadsheet (CSV).

    remnants export stock.json
    remnants export racks.csv --unit mm
    remnants export for-the-mill.csv --for-others

`remnants log` reads both back the same. Styles, branches, vans and what is on the way stand in the stock file alone; the ledger
stays in the catalogue, whose whole copy is `remnants backup`. What is handed to somebody outside is written `--for-others`:
without costs and suppliers, and without what customers have, branches, vans and what is on the way.
"""

import argparse
from collections.abc import Callable, Iterator
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.export_stock import StockOut, stock_out
from remnants.cli.files import write_bit_by_bit
from remnants.cli.noting import note_here
from remnants.cli.printing import show_text
from remnants.cli.progress import counting
from remnants.errors import BadInput
from remnants.exchange.lines_text import lines_of
from remnants.exchange.stock_text import stock_text
from remnants.model import Piece, Role
from remnants.model.door_line import DoorKind

__all__ = ["add_arguments", "run"]

TOLD_EVERY = 500
"""Pieces after which the bar is moved on."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants export`."""
    parser.add_argument("file", metavar="FILE", type=Path, help="the file to write; its ending, .json or .csv, says which kind")
    parser.add_argument(
        "--for-others",
        action="store_true",
        help="leave out what is for the shop alone: costs, suppliers, and pieces that customers have or had laid",
    )
    parser.add_argument("--force", action="store_true", help="write over a file that is there")


def run(args: argparse.Namespace) -> int:
    """Writes the file."""
    kind = args.file.suffix.lower()
    if kind not in (".json", ".csv"):
        raise BadInput(f"{args.file} ends neither in .json nor in .csv")
    if args.file.exists() and not args.force:
        raise BadInput(f"{args.file} is there already; name another file, or --force to write over it")
    role = Role.LOOK if args.for_others else Role.MANAGE
    with (
        open_catalogue(args.catalogue, write=False) as catalogue,
        stock_out(catalogue, unit=args.unit, for_others=args.for_others) as out,
        counting("pieces looked at", out.on_hand) as passed,
    ):
        told, sent = _Told(out, passed), len(out.around.sent)
        text = stock_text(out.around, told, seen_by=role) if kind == ".json" else lines_of(told, args.unit, seen_by=role)
        write_bit_by_bit(args.file, map(str.encode, text))
    note_here(args.catalogue, DoorKind.EXPORT, f"{told.count} pieces, {kind}")
    show_text(f"{told.count} piece{'s' * (told.count != 1)} in {args.file}")
    if sent:
        more = "stands there too" if kind == ".json" else "is left out: a stock file (.json) has it"
        show_text(f"what is on the way ({sent}) {more}")
    return 0


class _Told:
    """The pieces that are written, counted as they go; `passed` hears how many more were looked at."""

    def __init__(self, out: StockOut, passed: Callable[[int], None]) -> None:
        self.count = 0
        self._out, self._passed = out, passed

    def __iter__(self) -> Iterator[Piece]:
        for looked, piece in enumerate(self._out.pieces(), 1):
            if looked % TOLD_EVERY == 0:
                self._passed(TOLD_EVERY)
            if piece:
                self.count += 1
                yield piece
