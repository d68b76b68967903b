"""Prints labels as a PDF: tag, style, colour, lot, size in inches and millimetres, a pile arrow, a QR code with the tag.

    remnants tags R-0142 R-0143 -o tags.pdf
    remnants tags --place "Bay 3" -o tags.pdf --sheet letter-2x5
    remnants tags --latest 12 -o tags.pdf --label "4 x 2 in"
    remnants tags --rack "Bay 3" --rack "Bay 4" -o racks.pdf
    remnants tags R-0142 -o tag.png --label 62x29 --dpi 300

Of a place whole sheets of up to 100 labels are written at a time, by tag; `--after` writes the next, `--most` more at once.

Print at full size. With --link the code holds that address with the tag behind it. A PNG holds the dots of a label printer, black
and white, a label a file: several are numbered.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.ledger_head import head_note
from remnants.actions.make_sheet import fonts
from remnants.actions.pick_pieces import pick_pieces
from remnants.actions.places import the_place
from remnants.actions.rack import count_at
from remnants.cli.files import write_bytes
from remnants.cli.options import at_least_one, own_branch
from remnants.cli.printing import show_text
from remnants.errors import BadInput
from remnants.model import Piece
from remnants.report.dots import RESOLUTIONS, label_png, read_label_size
from remnants.report.labels import SHEETS, Rack, labels_of, labels_pdf, one_label

__all__ = ["add_arguments", "run"]

MOST = 100
"""Labels of a place that are written at a time, at most: about a second's work."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants tags`."""
    parser.add_argument("tags", metavar="TAG", nargs="*", help="tags of pieces")
    parser.add_argument("--place", default="", help="all pieces at this place")
    parser.add_argument(
        "--most", metavar="N", type=at_least_one, help=f"of a place so many (default: whole sheets, up to {MOST})"
    )
    parser.add_argument("--after", metavar="N", type=at_least_one, default=0, help="of a place those after so many, by tag")
    parser.add_argument("--latest", metavar="N", type=at_least_one, default=0, help="the N pieces that came in last")
    parser.add_argument("--rack", metavar="PLACE", action="append", default=[], help="the label of a place itself")
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help="the PDF or PNG to write")
    parser.add_argument("--sheet", choices=tuple(SHEETS), default="a4-3x8", help="sheet of labels (default a4-3x8)")
    parser.add_argument(
        "--label", metavar="WxH", type=_label, help='one label a page, for a label printer: 100x50 in mm, or "4 x 2 in"'
    )
    parser.add_argument("--dpi", type=int, choices=tuple(RESOLUTIONS), default=203, help="dots of a PNG (default 203)")
    parser.add_argument("--skip", metavar="N", type=at_least_one, default=0, help="labels already taken from the first sheet")
    parser.add_argument("--link", metavar="TEXT", default="", help="what stands before the tag in the QR code")


def run(args: argparse.Namespace) -> int:
    """Writes the labels."""
    if not (args.tags or args.place or args.latest or args.rack):
        raise BadInput("say which pieces: tags, --place or --latest; or --rack for the label of a place itself")
    sheet = one_label(*args.label) if args.label else SHEETS[args.sheet]
    most = args.most or MOST - MOST % (sheet.columns * sheet.rows) or MOST
    with open_catalogue(args.catalogue, write=False) as catalogue:
        place = the_place(catalogue, args.place, own=own_branch(), where="--place") if args.place else ""
        standings = pick_pieces(catalogue, args.tags, place=place, after=args.after, most=most, latest=args.latest)
        there = count_at(catalogue, place) if place else 0
        head = head_note(catalogue)
    things: list[Piece | Rack] = [*map(Rack, args.rack), *(standing.piece for standing in standings)]
    if args.output.suffix.casefold() == ".png":
        _write_pictures(args, things, head)
    else:
        write_bytes(args.output, labels_pdf(things, fonts(), sheet=sheet, link=args.link, skip=args.skip, witness=head))
    told = [(len(args.rack), "rack"), (len(standings), "piece")]
    counted = " and ".join(f"{count} {word}{'s' * (count != 1)}" for count, word in told if count)
    show_text(f"labels of {counted} in {args.output}")
    if there > args.after + most:
        where = f"{there:,} lie at {place}: these are {args.after + 1:,} to {args.after + most:,} by tag"
        show_text(f"{where}; --after {args.after + most} writes the next")
    return 0


def _write_pictures(args: argparse.Namespace, things: list[Piece | Rack], head: str) -> None:
    """A file for each label, numbered where there are several. Raises BadInput without the size of a label."""
    if not args.label:
        raise BadInput("a PNG is one label: say how large it is, such as --label 62x29")
    labels = labels_of(things, args.label, link=args.link, witness=head)
    made = [label_png(label, fonts(), size_mm=args.label, dots_per_mm=RESOLUTIONS[args.dpi]) for label in labels]
    width = len(str(len(made)))
    for number, picture in enumerate(made, 1):
        name = f"{args.output.stem}-{number:0{width}d}{args.output.suffix}" if len(made) > 1 else args.output.name
        write_bytes(args.output.with_name(name), picture)


def _label(text: str) -> tuple[float, float]:
    try:
        return read_label_size(text)
    except BadInput as error:
        raise argparse.ArgumentTypeError(error.faults[0].what) from None
