"""Prints the marker page that lengths are measured by in a photograph, and keeps how large it came out of the printer.

    remnants photo-page -o page.pdf
    remnants photo-page -o page.pdf --page 2 --paper letter
    remnants photo-page --page 1 --bar "149.5 mm"
    remnants photo-page

Print it at 100 %, measure the bar below the board with a steel rule, and tell its length once; each page has a number of its own,
so print others where two printers or two sizes are in use. Without options it lists the pages whose bar was told.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.make_sheet import fonts
from remnants.actions.photo_pages import measured_pages, refuse_no_page, tell_bar
from remnants.cli.files import write_bytes
from remnants.cli.options import add_signature, at_least_one, signature
from remnants.cli.printing import show_text
from remnants.days import day_words
from remnants.errors import BadInput, Fault
from remnants.photo.there import refuse_where_none_are_measured
from remnants.report.photo_page import PAPERS, photo_page_pdf
from remnants.units import Unit, parse_length

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants photo-page`."""
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, help="the PDF to write")
    parser.add_argument("--page", metavar="N", type=at_least_one, default=1, help="the number of the page, 1 to 99 (default 1)")
    parser.add_argument("--paper", choices=tuple(PAPERS), default="a4", help="the paper to print on (default a4)")
    parser.add_argument("--bar", metavar="LENGTH", help="how long the check bar is on your paper; a bare figure is in mm")
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Writes the page, keeps its bar, or lists what is known."""
    try:
        refuse_no_page(args.page)
        if args.bar is not None:
            _tell(args)
    except BadInput as error:
        raise BadInput(Fault(f"--{fault.where or 'bar'}", fault.what) for fault in error.faults) from None
    if args.output is not None:
        refuse_where_none_are_measured("--output")
        write_bytes(args.output, photo_page_pdf(args.page, fonts(), paper=args.paper))
        show_text(f"marker page {args.page} in {args.output}: print it at 100 %, then tell its bar with --bar")
    if args.bar is None and args.output is None:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            known = measured_pages(catalogue)
        lines = [f"page {each.page}: bar {each.bar_mm:g} mm, told by {each.who}, {day_words(each.at)}" for each in known.values()]
        show_text(
            "\n".join(lines) or "no page's bar was told yet: print one with -o FILE, measure its bar, and tell it with --bar"
        )
    return 0


def _tell(args: argparse.Namespace) -> None:
    bar_mm = parse_length(args.bar, Unit.MM)
    with open_catalogue(args.catalogue, write=True) as catalogue:
        tell_bar(catalogue, args.page, bar_mm, signed=signature(args), key=args.key)
    show_text(f"page {args.page}: its check bar is {bar_mm:g} mm; photographs with it are measured by that")
