"""Prints labels as a PDF: tag, style, colour, lot, size in inches and millimetres, a pile arrow, a QR code with the tag.

    remnants tags R-0142 R-0143 -o tags.pdf
    remnants tags --place "Bay 3" -o tags.pdf --sheet letter-2x5
    remnants tags --latest 12 -o tags.pdf --label 100x50

Print at full size. With --link the code holds that address with the tag behind it.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.ledger_head import head_note
from remnants.actions.make_sheet import fonts
from remnants.actions.pick_pieces import pick_pieces
from remnants.cli.files import write_bytes
from remnants.cli.options import at_least_one
from remnants.cli.printing import show_text
from remnants.errors import BadInput
from remnants.report.labels import SHEETS, LabelSheet, labels_pdf, one_label

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants tags`."""
    parser.add_argument("tags", metavar="TAG", nargs="*", help="tags of pieces")
    parser.add_argument("--place", default="", help="all pieces at this place")
    parser.add_argument("--latest", metavar="N", type=at_least_one, default=0, help="the N pieces that came in last")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the PDF to write")
    parser.add_argument("--sheet", choices=tuple(SHEETS), default="a4-3x8", help="sheet of labels (default a4-3x8)")
    parser.add_argument("--label", metavar="WxH", type=_label, help="one label a page, in mm, for a label printer: 100x50")
    parser.add_argument("--skip", metavar="N", type=at_least_one, default=0, help="labels already taken from the first sheet")
    parser.add_argument("--link", metavar="TEXT", default="", help="what stands before the tag in the QR code")


def run(args: argparse.Namespace) -> int:
    """Writes the labels."""
    if not (args.tags or args.place or args.latest):
        raise BadInput("say which pieces: tags, --place or --latest")
    with open_catalogue(args.catalogue, write=False) as catalogue:
        standings = pick_pieces(catalogue, args.tags, place=args.place, latest=args.latest)
        head = head_note(catalogue)
    pieces = [standing.piece for standing in standings]
    sheet = args.label or SHEETS[args.sheet]
    write_bytes(args.output, labels_pdf(pieces, fonts(), sheet=sheet, link=args.link, skip=args.skip, witness=head))
    show_text(f"labels of {len(pieces)} {'piece' if len(pieces) == 1 else 'pieces'} in {args.output}")
    return 0


def _label(text: str) -> LabelSheet:
    width, _, height = text.lower().partition("x")
    if not (width.isdigit() and height.isdigit() and 40 <= int(width) <= 300 and 25 <= int(height) <= 300):
        raise argparse.ArgumentTypeError(
            f"{text!r} is no label: give its width and height in mm, such as 100x50 (at least 40x25)"
        )
    return one_label(int(width), int(height))
