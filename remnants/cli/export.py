"""Writes the stock on hand to a file: everything as a stock file (JSON), or pieces as a spreadsheet (CSV).

    remnants export stock.json
    remnants export racks.csv --unit mm
    remnants export for-the-mill.csv --for-others

`remnants log` reads both back the same. Styles, branches, vans and what is on the way stand in the stock file alone; the ledger
stays in the catalogue, whose whole copy is `remnants backup`. What is handed to somebody outside is written `--for-others`:
without costs and suppliers, and without what customers have, branches, vans and what is on the way.
"""

import argparse
import json
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.export_stock import export_stock
from remnants.cli.files import write_bytes
from remnants.cli.noting import note_here
from remnants.cli.printing import show_text
from remnants.errors import BadInput
from remnants.exchange import stock_json
from remnants.exchange.lines_text import lines_text
from remnants.model import Role
from remnants.model.door_line import DoorKind

__all__ = ["add_arguments", "run"]


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
    with open_catalogue(args.catalogue, write=False) as catalogue:
        stock = export_stock(catalogue, unit=args.unit, for_others=args.for_others)
    role = Role.LOOK if args.for_others else Role.MANAGE
    told = stock_json(stock, seen_by=role) if kind == ".json" else {}
    text = json.dumps(told, indent=1, ensure_ascii=False) if told else lines_text(stock.pieces, args.unit, seen_by=role)
    write_bytes(args.file, text.encode())
    note_here(args.catalogue, DoorKind.EXPORT, f"{len(stock.pieces)} pieces, {kind}")
    show_text(f"{len(stock.pieces)} piece{'s' * (len(stock.pieces) != 1)} in {args.file}")
    if stock.sent:
        more = "stands there too" if kind == ".json" else "is left out: a stock file (.json) has it"
        show_text(f"what is on the way ({len(stock.sent)}) {more}")
    return 0
