"""Tells what the stock cost and what it is worth today: by style, by branch, by age, by supplier.

    remnants worth
    remnants worth --by supplier

A piece's cost is what was paid for all that is left of it: a cut hands it on by area, to the cent. It is worth that today if it
would be kept, and nothing if not (`remnants rules`: keep_short, keep_long). Age counts from the day of delivery.
"""

import argparse

from remnants.actions import open_catalogue
from remnants.actions.stock_worth import WorthLine, stock_worth
from remnants.cli.options import now
from remnants.cli.printing import show, show_text
from remnants.ledger.worth import By
from remnants.report.worth_text import TOLD_AS, WorthRow, sums_words, unshared_words, worth_table
from remnants.units import write_area

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants worth`."""
    parser.add_argument("--by", choices=[by.value for by in By], help="tell the sums by this alone (default: by each)")


def run(args: argparse.Namespace) -> int:
    """Prints a table for each, and what all comes to."""
    with open_catalogue(args.catalogue, write=False) as catalogue:
        found = stock_worth(catalogue, today=now().date())
    for by, lines in found.lines.items():
        if args.by in (None, by.value):
            show(worth_table(map(_row, lines), by.value, args.unit))
            show_text("")
    total = found.all
    cost, worth = (f" {sums_words(sums)}" if sums else " nothing that was told" for sums in (total.cost, total.worth))
    untold = f"; of {total.untold} no cost is told" if total.untold else ""
    pieces = f"{total.pieces} piece{'s' * (total.pieces != 1)}"
    show_text(f"{pieces}, {write_area(total.area_mm2, args.unit)}: cost{cost}, worth{worth}{untold}")
    show_text(f"{TOLD_AS} Kept is what holds {found.keep.words(args.unit)}.")
    if found.unshared.tags:
        show_text(unshared_words(found.unshared.tags, found.unshared.cost))
    return 0


def _row(line: WorthLine) -> WorthRow:
    return line.name, line.pieces, line.area_mm2, line.untold, line.cost, line.worth
