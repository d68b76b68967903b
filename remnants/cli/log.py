"""Puts pieces into the catalogue: one from options or answers, or all of a file. All of them are stored, or none.

    remnants log --style "Velder Loop" --colour Oatmeal --lot 4471-B --width 40 --length "5 ft 6 in" --pile 0 --place "Bay 3"
    remnants log --style "Velder Loop" --photo rack.jpg --corners 812,640 1020,655 1004,880 790,861
    remnants log --ask
    remnants log stock.json
    remnants log racks.csv --unit cm

Bare figures are in the unit that --unit names (inches unless set), or that a column's heading names. A piece without a tag gets
the next free one. The columns of a CSV file may stand in any order under any likely headings: what each is taken for is shown
first, and what is not sure is asked about. A row with a quantity gives as many pieces, with tags of their own.
"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.laid_floor import log_or_correct, same_floor_notes
from remnants.actions.log_pieces import known_styles, log_pieces, next_tag
from remnants.actions.log_stock import log_stock
from remnants.actions.style_spelling import spelled_as_known
from remnants.cli.asking import log_answers
from remnants.cli.options import add_signature, signature
from remnants.cli.photo_options import above_mm, outline_in, photo_wish
from remnants.cli.piece_options import add_piece_options, kind_of, places_as_options, stock_from_options
from remnants.cli.printing import remark, show_text
from remnants.cli.sheet_questions import style_meant
from remnants.cli.sheets import add_sheet_options, log_sheet
from remnants.errors import BadInput, Fault
from remnants.exchange import read_stock
from remnants.exchange.row_entry import PILE_TAKEN
from remnants.late import Late
from remnants.report.measured_text import bar_text

if TYPE_CHECKING:
    from remnants.actions import photo_outlines, repair_preview
else:
    repair_preview = Late("remnants.actions.repair_preview")  # the same
    photo_outlines = Late("remnants.actions.photo_outlines")  # brings geometry and what opens pictures

__all__ = ["add_arguments", "run"]

MOST_LOOKED_AT = 2_000
"""Pieces of a file up to which each is looked at for another one on its floor."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants log`."""
    parser.add_argument(
        "file", metavar="FILE", nargs="?", type=Path, help="a stock file (JSON), or a spreadsheet (.xlsx, .ods or CSV)"
    )
    parser.add_argument("--ask", action="store_true", help="ask for one piece after another at the terminal")
    add_piece_options(parser)
    photo_wish(parser, "the piece's outline, the page's top up its length")
    parser.add_argument(
        "--keep-photo", action="store_true", help="with --photo: keep the carpet from above with the piece, to scale"
    )
    add_sheet_options(parser)
    add_signature(parser)


def run(args: argparse.Namespace) -> int:
    """Stores the pieces and tells their tags."""
    if args.ask and args.file:
        raise BadInput("give a file or --ask, not both")
    if args.keep_photo and not args.photo:
        raise BadInput([Fault("--keep-photo", "give the photograph too, with --photo")])
    picture = _measure(args) if args.photo else b""
    if args.ask:
        kind_of(args)
    is_sheet = args.file and args.file.suffix.lower() != ".json"
    if not args.ask and not is_sheet:
        _look(args)
    with open_catalogue(args.catalogue, write=True) as catalogue:
        count: int | None = None
        if args.ask:
            tags = log_answers(catalogue, args)
        elif is_sheet:
            tags, count = log_sheet(catalogue, args)
        elif args.file:
            stock = read_stock(args.file, known=known_styles(catalogue), note=remark)
            tags = log_stock(catalogue, stock, signed=signature(args), key=args.key)
        else:
            tags, again = _log_told(catalogue, args)
            if picture:
                repair_preview.add_photo(catalogue, tags[0], picture, signed=signature(args))
            if args.pile is None:
                remark(Fault("--pile", f"{PILE_TAKEN}; where it lays otherwise: `remnants correct {tags[0]} --pile`"))
            if again:
                show_text(f"{tags[0]} is the carpet of that floor already: told anew, not logged again")
                return 0
        for note in same_floor_notes(catalogue, tags[:MOST_LOOKED_AT]):
            remark(note)
    count = len(tags) if count is None else count
    shown = ", ".join(tags[:8]) + (f" and {count - 8:,} more" if count > 8 else "")
    show_text(f"logged {count:,} piece{'' if count == 1 else 's'}: {shown}")
    return 0


def _measure(args: argparse.Namespace) -> bytes:
    """The outline that the photograph shows, drawn in by what it may be off, in the place of the options that tell one.

    Gives the carpet from above where it is to be kept.
    """
    given = [f"--{name}" for name in ("outline", "width", "length", "radius", "diameter", "ask", "file") if getattr(args, name)]
    if given:
        raise BadInput([Fault(name, "the photograph tells the outline: leave this out, or --photo") for name in given])
    view, found = outline_in(args)
    told = photo_outlines.piece_entry(found, view.picture.digest, args.unit)
    args.outline = [f"{x:.6f},{y:.6f}" for x, y in told.pop("outline")]
    for name, value in told.items():
        setattr(args, name, value)
    show_text(f"measured from {args.photo.name}, {bar_text(found.bar_mm, args.unit)}: the outline is drawn in by that")
    return repair_preview.piece_picture(view, found, above_mm=above_mm(args)) if args.keep_photo else b""


def _log_told(catalogue: Catalogue, args: argparse.Namespace) -> tuple[tuple[str, ...], bool]:
    """Stores the piece that the options tell; without a tag, a laid floor that is there already is told anew (True)."""
    tag, signed = args.tag or next_tag(catalogue, kind_of(args)), signature(args)
    known = known_styles(catalogue)
    stock = stock_from_options(args, tag, known, lambda _: None)
    pieces, notes = spelled_as_known(stock.pieces, known.keys(), style_meant(ask=True))
    for note in notes:
        remark(note)
    args.style = pieces[0].style
    stock = stock_from_options(args, tag, known, remark)
    with places_as_options():
        if args.tag:
            return log_pieces(catalogue, stock, signed=signed, key=args.key), False
        tag, again = log_or_correct(catalogue, stock, signed=signed, key=args.key)
        return (tag,), again


def _look(args: argparse.Namespace) -> None:
    """Raises what is wrong with the pieces before a catalogue is made for them, and before a tag is looked for."""
    if not args.file:
        stock_from_options(args, args.tag or "-", {}, lambda _: None)
    elif not args.catalogue.exists():
        read_stock(args.file)
