"""Prints the sheet that goes to the floor, as a PDF: donors and patches to scale, order of work, materials, cautions, templates.

    remnants sheet job.json -o sheet.pdf
    remnants sheet job.json -o sheet.pdf --stock stock.json --paper letter --rule strip_stock=1500

The job is fitted from the catalogue, from --stock, or taken from --answer and proved anew. Its last page is for the customer.
--photo shows the repair there, in the photograph that its damage was measured in: a drawing, not a promise.
Print at full size and measure one of the bars at the foot before you measure from the page.
"""

import argparse
from pathlib import Path

from remnants.actions.make_sheet import fonts
from remnants.cli.files import write_bytes
from remnants.cli.printing import show_text
from remnants.cli.sheet_options import add_sheet_arguments, made_sheet, paper_of
from remnants.report.sheet import sheet_pdf

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants sheet`."""
    add_sheet_arguments(parser)
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the PDF to write")


def run(args: argparse.Namespace) -> int:
    """Writes the sheet."""
    _, _, sheet = made_sheet(args)
    path = write_bytes(args.output, sheet_pdf(sheet, fonts(), size=paper_of(args)))
    show_text(f"Sheet for {sheet.job.name}: {path}")
    return 0
