"""Writes the papers of an order as PDFs, each for one reader: customer, supplier, warehouse, installer.

    remnants papers rooms.json -o papers --prices prices.json

The order is worked out as `remnants order` does it. quote.pdf is the customer's, priced by the shop's own price file and by
nothing else; order.pdf is the supplier's; ticket.pdf is for whoever cuts the roll; floors.pdf draws every room for the
installer, house.pdf the whole house on one sheet, on A3 or tabloid where it can't be read on less.
Without --prices the shop's kept prices are taken; where there are none either, no quote is
written.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.make_sheet import fonts
from remnants.actions.price_lists import prices_in_force
from remnants.actions.quote_order import quote_order
from remnants.cli.files import write_folder
from remnants.cli.options import now
from remnants.cli.order import add_question, ordered_of
from remnants.cli.order_saving import saved
from remnants.cli.printing import remark, show_text
from remnants.days import day_words
from remnants.exchange.price_entries import read_price_list
from remnants.model.price_list import PriceList
from remnants.report.house_sheet import house_pdf
from remnants.report.page import PageSize
from remnants.report.papers import OrderPaper, floors_pdf, quote_pdf, quote_rows, stock_told, supplier_pdf, unpriced_told
from remnants.report.ticket_sheet import TicketSheet, ticket_pdf

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants papers`."""
    add_question(parser)
    parser.add_argument("-o", "--output", metavar="FOLDER", type=Path, required=True, help="where to write them")
    parser.add_argument("--prices", metavar="FILE", type=Path, help="the shop's price file (JSON), for the quote")
    parser.add_argument("--paper", choices=[size.name.lower() for size in PageSize], default="a4", help="size of the paper")


def run(args: argparse.Namespace) -> int:
    """Writes the papers, and tells the quote's sum."""
    prices = _prices(args)
    ordered, file = ordered_of(args)
    asked, parts = ordered.asked, ordered.plans
    unit, size, day = args.shown_unit or asked.unit, PageSize[args.paper.upper()], day_words(now())
    quoted = quote_order(parts, prices) if prices else None
    revision = saved(args, ordered, file, quoted)
    called = revision.called if revision else ""
    paper = OrderPaper(asked.name, parts, unit, day, revision=called)
    made = {
        "order.pdf": supplier_pdf(paper, fonts(), size=size),
        "ticket.pdf": ticket_pdf(TicketSheet(paper.name, parts, unit, day, revision=called), fonts(), size=size),
        "floors.pdf": floors_pdf(paper, fonts(), size=size),
        "house.pdf": house_pdf(paper, fonts(), size=size),
    }
    if quoted:
        made["quote.pdf"] = quote_pdf(paper, quoted, fonts(), size=size)
        for what, much, each, amount in quote_rows(quoted):
            show_text(f"{what}: {much} at {each}: {amount}")
        show_text(f"Total {quoted.total}, of it tax {quoted.tax}")
        if quoted.unpriced:
            show_text(f"Not priced, as the price file has no price for it: {unpriced_told(quoted)}")
        if stock := stock_told([part.plan for part in parts], unit):
            show_text(f"Not priced, as a quote prices the roll alone: {stock}, cut from stock")
    written = write_folder(args.output, made)
    show_text(f"Papers for {paper.name}{f', {called.lower()}' * bool(called)}: {', '.join(path.name for path in written)}")
    return 0


def _prices(args: argparse.Namespace) -> PriceList | None:
    """The prices in the file, or else those that the shop keeps; None without either."""
    if args.prices:
        return read_price_list(args.prices, note=remark)
    if not args.catalogue.exists():
        return None
    with open_catalogue(args.catalogue, write=False) as catalogue:
        kept = prices_in_force(catalogue)
    return kept.prices if kept else None
