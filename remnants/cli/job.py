"""Writes all of a job into a folder: answer, sheet, customer's page, tags and drawings.

    remnants job job.json -o alder-court-7
    remnants job job.json -o alder-court-7 --stock stock.json

The job is fitted from the catalogue, from --stock, or taken from --answer and proved anew. All files are written, or none.
--photo shows the repair on the customer's page, in the photograph that its damage was measured in.
"""

import argparse
import json
from pathlib import Path

from remnants.actions.make_sheet import fonts
from remnants.cli.files import write_folder
from remnants.cli.printing import show_text
from remnants.cli.sheet_options import add_sheet_arguments, made_sheet, paper_of
from remnants.exchange import answer_json
from remnants.report.cut_tags import tags_pdf
from remnants.report.diagram import write_svgs
from remnants.report.sheet import customer_pdf, sheet_pdf

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants job`."""
    add_sheet_arguments(parser)
    parser.add_argument("-o", "--output", metavar="FOLDER", type=Path, required=True, help="the folder to write into")


def run(args: argparse.Namespace) -> int:
    """Writes the folder."""
    fitted, wish, sheet = made_sheet(args)
    size, faces = paper_of(args), fonts()
    drawn = write_svgs(fitted.plan, fitted.job, pieces=fitted.pieces, styles=fitted.styles, unit=wish.unit)
    contents = {
        "answer.json": json.dumps(answer_json(fitted.plan), indent=1, ensure_ascii=False).encode() + b"\n",
        "sheet.pdf": sheet_pdf(sheet, faces, size=size),
        "customer.pdf": customer_pdf(sheet, faces, size=size),
        "tags.pdf": tags_pdf(sheet, faces, size=size),
        **{name: svg.encode() for name, svg in drawn.items()},
    }
    written = write_folder(args.output, contents)
    show_text(f"Job {fitted.job.name} in {args.output}: {', '.join(path.name for path in written)}")
    return 0
