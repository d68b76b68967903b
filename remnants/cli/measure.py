"""Measures in a photograph that shows a marker page: an outline on the carpet, or the length between two points.

    remnants measure hall.jpg --corners 812,640 1020,655 1004,880 790,861
    remnants measure hall.jpg --corners 812,640 1020,655 --unit mm
    remnants measure hall.jpg --corners 812,640 1020,655 1004,880 --flat flat.jpg
    remnants measure hall.jpg --tap 912,760
    remnants measure hall.jpg --rows 1200,400
    remnants measure hall.jpg --shades 900,600 900,1400 --alike --piece R-0142
    remnants measure hall.jpg --rows 1200,400 --take 1 --style "Velder Loop"

Print the page with `remnants photo-page` and tell its check bar once. Every length comes with how far off it may be: 95 of 100
lie within. --flat writes the carpet as seen from straight above, with the outline drawn in.

--rows tells which way the rows run round a pixel, how far apart they are, and the repeat of the pattern. Two candidates are told,
the stronger first: look at the carpet and choose. Which way the pile lays no photograph tells: stroke it. With --take 1 and
--style the first one describes that style: its repeat with how far off that may be, and how far apart its rows are.

--scaled writes a piece's carpet with its scale, by which `remnants fit --preview` shows a repair before it is made.
--shades tells the step in shade from the floor to another carpet in the same picture: a pixel in the middle of each. Both must
lie the same way, which no picture shows: say so with --alike. With --piece it is told as a job takes it (`shade_steps`).

--known tells whether what a tape says lies within the bar: to try your own phone.
--tap finds the outline of a stain by itself, where it stands out enough. All this sizes a patch; never cut by it.
"""

import argparse
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.measure_photo import Flat, Length, MeasuredOutline, RowsSeen, View, flat_picture, rows_round, step_round
from remnants.actions.measured_style import describe_seen, seen_in
from remnants.actions.repair_preview import piece_picture
from remnants.cli.files import write_bytes
from remnants.cli.options import add_signature, shade_figures, signature
from remnants.cli.photo_options import above_mm, add_photo_options, corners_of, outline_on, view_in
from remnants.cli.printing import show_json, show_text
from remnants.errors import BadInput, Fault, NotMeasured
from remnants.model import Lab
from remnants.report.measured_text import known_text, measured_text, rows_words, step_lines, step_of
from remnants.units import Unit, parse_length, to_unit

__all__ = ["add_arguments", "run"]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `remnants measure`."""
    parser.add_argument(
        "photo", metavar="PHOTO", type=Path, help="a JPEG, HEIC, PNG or WebP picture, whole as the camera stored it"
    )
    add_photo_options(parser)
    parser.add_argument(
        "--known", metavar="LENGTH", help="of two corners: what a tape says, to see whether it lies within the bar"
    )
    parser.add_argument("--rows", metavar="X,Y", help="instead of corners: a pixel of sound carpet, whose rows are told")
    parser.add_argument(
        "--shades", metavar="X,Y", nargs=2, help="instead of corners: a pixel of the floor and one of another carpet"
    )
    parser.add_argument("--alike", action="store_true", help="of --shades: both carpets lie the same way")
    parser.add_argument("--floor-lab", metavar="L,A,B", help="of --shades: the floor's shade by an instrument")
    parser.add_argument("--piece", metavar="TAG", help="of --shades: the piece that the other carpet is")
    parser.add_argument("--take", type=int, choices=(1, 2), help="of --rows: the candidate that the carpet shows")
    parser.add_argument("--style", metavar="NAME", help="of --take: the style that it describes")
    add_signature(parser)
    parser.add_argument("--flat", metavar="FILE", type=Path, help="write the carpet as seen from straight above (JPEG)")
    parser.add_argument(
        "--scaled",
        metavar="FILE",
        type=Path,
        help="of a piece: write its carpet from above with its scale in the file, for `remnants fit --donor-photo` (JPEG)",
    )
    parser.add_argument("--json", action="store_true", help="print what was measured as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints what was measured."""
    if args.rows:
        return _rows(args)
    if args.shades:
        return _shades(args)
    if args.take or args.style:
        raise BadInput([Fault("--take", "a style is described by its rows: give --rows X,Y too")])
    corners = corners_of(args)
    if len(corners) == 1 and not args.tap:
        raise BadInput([Fault("--corners", "one corner has no length: give two, or the three and more of an outline")])
    if args.known and len(corners) != 2:
        raise BadInput([Fault("--known", "a tape measures one length: give two corners")])
    known_mm = parse_length(args.known, args.unit) if args.known else None
    view = view_in(args, args.photo)
    length = len(corners) == 2
    found = view.length(*corners, above_mm=above_mm(args)) if length else outline_on(view, args, corners)
    ring = found.ring if isinstance(found, MeasuredOutline) else ()
    flat = flat_picture(view, ring) if args.flat else None
    if flat:
        write_bytes(args.flat, flat.jpeg)
    if args.scaled:
        _write_scaled(args, view, found)
    if args.json:
        told = _known(found, known_mm, args.unit) if isinstance(found, Length) and known_mm is not None else {}
        show_json(_json(view, found, args.unit) | told | (_flat(flat, args.unit) if flat else {}))
        return 0
    if isinstance(found, Length) and known_mm is not None:
        show_text(known_text(found, known_mm, args.unit))
    show_text(measured_text(args.photo.name, view.camera.pages, found, args.unit))
    if args.scaled:
        show_text(f"its carpet to scale, for `remnants fit --donor-photo`, in {args.scaled}")
    if flat:
        show_text(f"seen from above, {flat.px_per_mm:.2f} pixels a mm, in {args.flat}")
    return 0


def _write_scaled(args: argparse.Namespace, view: View, found: Length | MeasuredOutline) -> None:
    """Writes the piece's carpet from above. Raises BadInput where no outline was measured, or too little of it is left."""
    if isinstance(found, Length):
        raise BadInput([Fault("--scaled", "two corners are a length: give three and more of the piece")])
    write_bytes(args.scaled, piece_picture(view, found, above_mm=above_mm(args)))


def _rows(args: argparse.Namespace) -> int:
    """Tells both candidates for the rows."""
    (at,) = corners_of(argparse.Namespace(tap=args.rows, corners=args.corners))
    if (args.take is None) != (args.style is None):
        raise BadInput([Fault("--take", "tell the candidate and the style that it describes: --take 1 --style NAME")])
    view = view_in(args, args.photo)
    try:
        found = rows_round(view, at, above_mm=above_mm(args))
    except BadInput as error:
        raise type(error)(Fault("--rows", fault.what) for fault in error.faults) from None
    if args.take:
        with open_catalogue(args.catalogue, write=True) as catalogue:
            describe_seen(catalogue, args.style, seen_in(found[args.take - 1]), args.unit, signed=signature(args), key=args.key)
    if args.json:
        show_json({"unit": args.unit.value, "digest": view.picture.digest, "rows": [_seen(seen, args.unit) for seen in found]})
        return 0
    for number, seen in enumerate(found, 1):
        show_text(f"{number}. {rows_words(seen)}")
    if args.take:
        show_text(f"{args.style} is described by candidate {args.take}; `remnants style` tells it")
    show_text("Look at the carpet, and choose. Which way the pile lays no photograph tells: stroke it.")
    return 0


def _shades(args: argparse.Namespace) -> int:
    """Tells the step between two carpets."""
    if not args.alike:
        what = "a step in shade is told of carpets that lie the same way: turn one until they do, and say so with --alike"
        raise BadInput([Fault("--alike", what)])
    floor_at, other_at = corners_of(argparse.Namespace(tap=None, corners=args.shades))
    view = view_in(args, args.photo)
    floor = Lab(*shade_figures("--floor-lab", args.floor_lab)) if args.floor_lab else None
    try:
        found = step_round(view, floor_at, other_at, floor=floor, above_mm=above_mm(args))
    except BadInput as error:
        why = {"why": error.why} if isinstance(error, NotMeasured) else {}
        raise type(error)((Fault("--shades", fault.what) for fault in error.faults), **why) from None
    step = step_of(found, args.piece or "the piece")
    if args.json:
        told = {"delta_e": found.delta_e, "bar": found.bar, "graded": found.graded, "graded_bar": found.graded_bar}
        key = {"shade_steps": str(step)} if args.piece else {}
        show_json({"digest": view.picture.digest, **{name: round(value, 2) for name, value in told.items()}, **key})
        return 0
    show_text("\n".join(step_lines(found)))
    if args.piece:
        show_text(f'for the job file: "shade_steps": "{step}"')
    return 0


def _seen(seen: RowsSeen, unit: Unit) -> dict[str, object]:
    lengths = {"apart": seen.rows.apart, "along": seen.along, "across": seen.across}
    told = {name: _length(length, unit) for name, length in lengths.items() if length}
    return {"bearing": round(seen.rows.bearing_deg, 3), "bearing_bar": round(seen.rows.bar_deg, 3), **told}


def _json(view: View, found: Length | MeasuredOutline, unit: Unit) -> dict[str, object]:
    about: dict[str, object] = {
        "unit": unit.value,
        "pages": list(view.camera.pages),
        "digest": view.picture.digest,
        "calibration": view.by_phone,
    }
    if isinstance(found, Length):
        return about | _length(found, unit)
    ring = [[_told(x, unit), _told(y, unit)] for x, y in found.ring]
    return about | {"outline": ring, "bar": _told(found.bar_mm, unit), "sides": [_length(side, unit) for side in found.sides]}


def _known(found: Length, known_mm: float, unit: Unit) -> dict[str, object]:
    return {"known": _told(known_mm, unit), "within": found.holds(known_mm)}


def _flat(flat: Flat, unit: Unit) -> dict[str, object]:
    """Where its lower left corner lies, in the axes of the outline."""
    return {"flat": {"px_per_mm": flat.px_per_mm, "corner": [_told(side, unit) for side in flat.corner_mm]}}


def _length(length: Length, unit: Unit) -> dict[str, object]:
    return {"length": _told(length.mm, unit), "bar": _told(length.bar_mm, unit)}


def _told(mm: float, unit: Unit) -> float:
    return round(to_unit(mm, unit), 4)
